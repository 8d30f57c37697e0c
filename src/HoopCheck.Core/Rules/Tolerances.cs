namespace HoopCheck.Rules;

/// <summary>
/// Every number that decides a verdict, with its unit and its evidence. What finds and fits (how strong an edge must be,
/// say) stands beside the finding code; what a person is told follows from the numbers here.
/// </summary>
public sealed record Tolerances
{
    /// <summary>Smallest gap allowed between neighbouring fills unless the caller says otherwise, mm.</summary>
    /// <remarks>1/16 in. Common practice, no source.</remarks>
    public const double UsualMinGapMm = 1.6;

    /// <summary>Widest gap that does not show unless the caller says otherwise, mm: the usual distance between a fill's lines.</summary>
    /// <remarks>1/2 in. Common practice, no source.</remarks>
    public const double UsualSpacingMm = 12.7;

    /// <summary>Width of the thread unless the caller says otherwise, mm.</summary>
    /// <remarks>Common practice, no source: the usual embroidery thread lies 0.4 mm wide.</remarks>
    public const double UsualThreadMm = 0.4;

    /// <summary>The numbers in use.</summary>
    public static Tolerances Default { get; } = new();

    /// <summary>Expanded uncertainty over standard uncertainty, without unit.</summary>
    /// <remarks>k = 2, about 95 %: JCGM 100:2008, 6.3.3; ISO 14253-1 uses the same for its guard bands.</remarks>
    public double CoverageFactor { get; init; } = 2;

    /// <summary>Share of the facing stretch in which the tape's edge must have been read before a side may be called clear or wide.</summary>
    /// <remarks>Own choice: with less than this the unread part is as likely as not to hold the smallest gap. No measurement behind it yet.</remarks>
    public double EnoughSeenShare { get; init; } = 0.60;

    /// <summary>Share of the facing stretch below which a side is not measured at all.</summary>
    /// <remarks>Own choice: such a scrap may as well be something else of the tape's colour.</remarks>
    public double LeastSeenShare { get; init; } = 0.15;

    /// <summary>Length of tape edge below which a side is not measured at all, mm.</summary>
    /// <remarks>Own choice: about half the breadth of a usual strip of tape, so that a strip's short end is not taken for its edge.</remarks>
    public double LeastSeenMm { get; init; } = 10;

    /// <summary>Longest step between neighbouring samples of a tape's edge that still counts as read, mm.</summary>
    /// <remarks>Samples come every 2 mm or closer; twice that allows for one that is missing.</remarks>
    public double LongestSampleStepMm { get; init; } = 4;

    /// <summary>Longest step of a clearance profile, mm.</summary>
    /// <remarks>Fixed by the report's format.</remarks>
    public double ProfileStepMm { get; init; } = 5;

    /// <summary>How far a correction may change a fill's width or height unless the caller says otherwise, percent.</summary>
    /// <remarks>"A few per cent" do not show: common practice, no source.</remarks>
    public const double UsualMostResizePercent = 5;

    /// <summary>Largest turn that a correction suggests, degrees.</summary>
    /// <remarks>Own choice: 5 degrees are 17 mm over 200 mm; who is off by more hoops again.</remarks>
    public double LargestTurnDegrees { get; init; } = 5;

    /// <summary>Largest turn of the quilt that is suggested for hooping again, degrees.</summary>
    /// <remarks>Own choice: beyond it no number helps to lay the quilt straight.</remarks>
    public double LargestRehoopTurnDegrees { get; init; } = 15;

    /// <summary>Largest change of size named where no correction exists, percent.</summary>
    /// <remarks>Own choice: a fill off by more has to be planned anew.</remarks>
    public double LargestSizeExplainedPercent { get; init; } = 25;

    /// <summary>How far a fill may reach over the sewing field, mm.</summary>
    /// <remarks>For rounding only: 13 3/4 in is 349.25 mm in whatever order it is computed.</remarks>
    public double FieldRoundingMm { get; init; } = 1e-6;

    /// <summary>Margin of the sewing field inside the opening where the hoop file gives no field, mm all round.</summary>
    /// <remarks>Own choice, on the safe side of the needle; fixed by the hoop file's format.</remarks>
    public double FieldMarginMm { get; init; } = 5;

    /// <summary>Shortest side of an opening, mm.</summary>
    /// <remarks>Common practice, no source: hoops for a quilt start at about 100 mm.</remarks>
    public double SmallestOpeningMm { get; init; } = 40;

    /// <summary>Longest side of an opening, mm.</summary>
    /// <remarks>Common practice, no source: domestic machines end at about 400 mm.</remarks>
    public double LargestOpeningMm { get; init; } = 600;

    /// <summary>Lowest ring, mm.</summary>
    /// <remarks>Common practice, no source: 8 to 15 mm is usual.</remarks>
    public double LowestFrameMm { get; init; } = 3;

    /// <summary>Highest ring, mm.</summary>
    /// <remarks>Common practice, no source: 8 to 15 mm is usual.</remarks>
    public double HighestFrameMm { get; init; } = 40;

    /// <summary>Narrowest ring seen from above, mm.</summary>
    /// <remarks>Common practice, no source: about 20 mm is usual.</remarks>
    public double NarrowestFrameMm { get; init; } = 5;

    /// <summary>Broadest ring seen from above, mm.</summary>
    /// <remarks>Common practice, no source: about 20 mm is usual.</remarks>
    public double BroadestFrameMm { get; init; } = 60;

    /// <summary>Farthest that a chord of a drawn curve may be from the curve, mm.</summary>
    /// <remarks>Own choice: a twentieth of the uncertainty that is usual for a clearance, and no more points than are needed.</remarks>
    public double CurveFlatnessMm { get; init; } = 0.01;

    /// <summary>Smallest drawing of a fill that is one, the longer way, mm.</summary>
    /// <remarks>Own choice: less is a slip of the units.</remarks>
    public double SmallestFillMm { get; init; } = 5;

    /// <summary>Most points of a drawn fill, curves counted as they are cut.</summary>
    /// <remarks>Own choice: 200 000 stitches are a large hoop sewn many times over; the rest is for curves.</remarks>
    public int LargestFillPoints { get; init; } = 250_000;

    /// <summary>Most elements of a drawing of a fill.</summary>
    /// <remarks>Own choice: a fill is one line or a few.</remarks>
    public int MostFillElements { get; init; } = 20_000;

    /// <summary>Deepest nesting of a drawing of a fill, elements.</summary>
    /// <remarks>Own choice: drawing programs nest fewer than ten groups.</remarks>
    public int DeepestFillNesting { get; init; } = 50;

    /// <summary>Largest drawing of a fill, bytes.</summary>
    /// <remarks>Own choice: 250 000 points written with all their digits.</remarks>
    public long LargestFillFileBytes { get; init; } = 20_000_000;

    /// <summary>Largest photo file, bytes.</summary>
    /// <remarks>Own choice: five times the file of a 48 megapixel phone photo.</remarks>
    public long LargestFileBytes { get; init; } = 100_000_000;

    /// <summary>Largest photo, pixels.</summary>
    /// <remarks>Phones end at 200 megapixels; four bytes each still fit into memory.</remarks>
    public long LargestPhotoPixels { get; init; } = 200_000_000;

    /// <summary>Shortest long side of a photo, px.</summary>
    /// <remarks>A 360 mm hoop over half of such a picture has under 2 px a millimetre, and an edge good to 0.2 px is then 0.1 mm.</remarks>
    public int SmallestLongSidePx { get; init; } = 1000;

    /// <summary>Longest long side of the working picture, px; a larger photo is reduced by 2, 4 or 8.</summary>
    /// <remarks>A half-scale JPEG decode costs 0.05 px of full size, a quarter 0.16 px: never reduce more than is needed.</remarks>
    public int WorkingLongSidePx { get; init; } = 3000;

    /// <summary>Lightness L* (0 to 100) that more than half of a photo must reach.</summary>
    /// <remarks>Own choice: at L* 4 a JPEG keeps some ten steps of grey for everything in the picture.</remarks>
    public double DarkestPhoto { get; init; } = 4;

    /// <summary>Least support (0 to 1) by the picture for a ring to be believed.</summary>
    /// <remarks>Generated photos: right rings 0.73 to 0.94, the best wrong ones up to 0.75; those between are caught by their uncertainty.</remarks>
    public double LeastFrameScore { get; init; } = 0.62;

    /// <summary>Least support (0 to 1) by the picture for a ring once it is fitted.</summary>
    /// <remarks>110 generated photos: right rings 0.72 and more, a wrong one 0.58.</remarks>
    public double LeastFittedScore { get; init; } = 0.66;

    /// <summary>Largest angle between the camera's axis and the fabric's normal, degrees.</summary>
    /// <remarks>At 40 degrees a puff of 0.4 mm alone moves an edge by 0.34 mm, as much as the whole error allowed.</remarks>
    public double SteepestTilt { get; init; } = 42;

    /// <summary>Largest blur (Gaussian standard deviation) of the strongest edges, as a share of the picture's diagonal.</summary>
    /// <remarks>Own choice: 7.5 px of a 2016 x 1512 picture; soft focus on generated photos is up to 1.5 px, shake up to 7 px in one direction.</remarks>
    public double SoftestPhoto { get; init; } = 0.003;

    /// <summary>Largest bow of the sides at their middle, root mean square of the four, mm.</summary>
    /// <remarks>A frame under tension bows by up to 1 mm; more than that on all sides is another frame, or no frame.</remarks>
    public double LargestBowMm { get; init; } = 1.15;

    /// <summary>How far a side may bow inward at its middle, mm.</summary>
    /// <remarks>Tension bows a frame outward; on generated photos sides bow inward by 0.4 mm, and fits of sound frames reach 0.75 mm. More is not this frame.</remarks>
    public double LargestInwardBowMm { get; init; } = 0.9;

    /// <summary>Largest root-mean-square distance of edge points from the fitted ring, px.</summary>
    /// <remarks>110 generated photos: 0.2 to 1.1 px.</remarks>
    public double LargestMisfitPx { get; init; } = 1.8;

    /// <summary>Largest blur (Gaussian standard deviation) of the sharpest edges, mm on the fabric.</summary>
    /// <remarks>Own choice: an edge softer than the 1.6 mm that is to be judged.</remarks>
    public double SoftestEdgeMm { get; init; } = 0.9;

    /// <summary>Largest standard uncertainty of a place near a side of the opening, mm, from the frame's fit.</summary>
    /// <remarks>Own choice: beyond it not even the usual spacing can be told from a gap twice as wide.</remarks>
    public double LargestFrameUncertaintyMm { get; init; } = 1.5;

    /// <summary>Strength from which lines of the fabric are believed; about 1 where there are none.</summary>
    /// <remarks>See <see cref="LeastFourthLineStrength"/>, which decides together with it.</remarks>
    public double LeastLineStrength { get; init; } = 3;

    /// <summary>Strength of the fourth strongest line alone from which lines of the fabric are believed.</summary>
    /// <remarks>Generated photos, true camera: of 100 families of fabric with a grid 88 from 14.2 up; of 92 of fabric without one, those with wrong directions up to 15.6, at a strength of at most 2.6.</remarks>
    public double LeastFourthLineStrength { get; init; } = 12.5;

    /// <summary>Largest expanded uncertainty of a direction of the weave that is still reported, degrees.</summary>
    /// <remarks>Own choice: 1° is 6 mm over a hoop of 360 mm, which the eye sees.</remarks>
    public double LargestWeaveUncertaintyDeg { get; init; } = 1;

    /// <summary>Largest scatter of the lines about straight ones and parabolas, mm; beyond it the cloth is taken for draped.</summary>
    /// <remarks>Drawn pictures: draped with directions that differ by 2° (rms) from 0.63; bowed by 4 %: up to 0.37. Generated photos of hoops: up to 0.41, but for one family of 149 (0.55).</remarks>
    public double LargestUnevennessMm { get; init; } = 0.5;

    /// <summary>Skew from which it is advised to ease the fabric, per cent.</summary>
    /// <remarks>Common practice, no source: 3 to 5 %; ISO 13015 and ASTM D3882 set no limit.</remarks>
    public double UsualSkewPercent { get; init; } = 3;

    /// <summary>Bow from which it is advised to ease the fabric, per cent.</summary>
    /// <remarks>Common practice, no source: 2 to 3 %; ISO 13015 and ASTM D3882 set no limit.</remarks>
    public double UsualBowPercent { get; init; } = 2;

    /// <summary>Standard uncertainty with which tape is laid along the edge of stitching, mm.</summary>
    /// <remarks>Own choice: by eye along a thread; nothing measures it. It counts for the drift of the whole quilt, not for a single photo's verdict.</remarks>
    public double TapeLayingMm { get; init; } = 0.5;

    /// <summary>Standard uncertainty with which a hooping is placed by marks on the quilt, mm.</summary>
    /// <remarks>Own choice: soft layers and a tape measure. It counts only where no tape says better.</remarks>
    public double PlacingMm { get; init; } = 4;

    /// <summary>Standard uncertainty with which a hooping is turned by marks on the quilt, degrees.</summary>
    /// <remarks>Own choice: 1 degree is 5 mm over 300 mm. It counts only where no tape says better.</remarks>
    public double PlacingDegrees { get; init; } = 1;

    /// <summary>What is wrong with these numbers, one sentence, or null when they can be used.</summary>
    public string? Check()
    {
        if (!(CoverageFactor is >= 1 and <= 4))
        {
            return $"Tolerances.CoverageFactor is {CoverageFactor}; it must be 1 to 4.";
        }

        if (!(LeastSeenShare is >= 0 and <= 1 && EnoughSeenShare >= LeastSeenShare && EnoughSeenShare <= 1))
        {
            return $"Tolerances.LeastSeenShare is {LeastSeenShare} and EnoughSeenShare {EnoughSeenShare}; they must rise within 0 to 1.";
        }

        return ProfileStepMm is > 0 and <= 5
            ? null
            : $"Tolerances.ProfileStepMm is {ProfileStepMm} mm; it must be above 0 and at most 5 mm.";
    }
}
