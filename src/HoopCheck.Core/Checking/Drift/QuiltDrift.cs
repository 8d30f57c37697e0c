using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;

namespace HoopCheck.Checking.Drift;

/// <summary>A fill that is stitched: its size on the quilt, mm.</summary>
/// <param name="Number">The hooping's number.</param>
/// <param name="Width">Along quilt x.</param>
/// <param name="Height">Along quilt y.</param>
public sealed record StitchedFill(int Number, double Width, double Height);

/// <summary>Where a fill really lies against the plan, seen from hooping 1 as if that lay where it was planned.</summary>
/// <param name="Number">The hooping's number.</param>
/// <param name="X">To the right of its planned place, mm.</param>
/// <param name="Y">Above its planned place, mm.</param>
/// <param name="TurnDegrees">Turned against the plan, counter-clockwise.</param>
/// <param name="UncertaintyX">Expanded uncertainty (k = 2) of <paramref name="X"/>, mm.</param>
/// <param name="UncertaintyY">Expanded uncertainty (k = 2) of <paramref name="Y"/>, mm.</param>
/// <param name="UncertaintyDegrees">Expanded uncertainty (k = 2) of the turn.</param>
public sealed record FillLies(int Number, double X, double Y, double TurnDegrees, double UncertaintyX, double UncertaintyY, double UncertaintyDegrees);

/// <summary>The gap between two neighbours that are stitched, mm.</summary>
/// <param name="First">The hooping with the lower number.</param>
/// <param name="Second">The one stitched later.</param>
/// <param name="GapMm">In the seam's middle; negative: they overlap.</param>
/// <param name="NarrowestMm">At the seam's narrow end.</param>
/// <param name="WidestMm">At the seam's wide end.</param>
/// <param name="UncertaintyMm">Expanded uncertainty (k = 2) of the gap in the middle.</param>
/// <param name="Seen">Whether a photo shows it; otherwise it follows from the fills' places alone.</param>
public sealed record SeamGap(int First, int Second, double GapMm, double NarrowestMm, double WidestMm, double UncertaintyMm, bool Seen);

/// <summary>The gap that a hooping still to come would have at its planned place and size.</summary>
/// <param name="Number">The hooping to come.</param>
/// <param name="Neighbour">The stitched neighbour.</param>
/// <param name="HoopSide">The side of the hoop.</param>
/// <param name="GapMm">Expected gap in the middle, mm.</param>
/// <param name="UncertaintyMm">Expanded uncertainty (k = 2), mm; how exactly the hooping itself is placed is left out.</param>
public sealed record GapForecast(int Number, int Neighbour, Side HoopSide, double GapMm, double UncertaintyMm);

/// <summary>What would let a line of hoopings still end at the quilt's edge.</summary>
public enum Remedy
{
    /// <summary>Nothing: it is within what cannot be told from nothing, or within a millimetre.</summary>
    None,

    /// <summary>Another gap for the rest of the line.</summary>
    Gap,

    /// <summary>Another size for the rest of the line, at the planned gap.</summary>
    Size,

    /// <summary>More than a size can change without showing; plan the rest anew.</summary>
    Replan,
}

/// <summary>How a row or column stands that is begun and not ended.</summary>
/// <param name="Towards">The side of the quilt that it proceeds to.</param>
/// <param name="Line">Row (from the top) or column (from the left), from 0.</param>
/// <param name="ToCome">The hoopings still to come, the next one first.</param>
/// <param name="BeyondMm">How far the stitching already reaches beyond its planned place, towards the quilt's edge, mm; negative: it lags.</param>
/// <param name="UncertaintyMm">Expanded uncertainty (k = 2), mm.</param>
/// <param name="Remedy">What to do.</param>
/// <param name="NewGapMm">The gap to aim at for the rest, mm.</param>
/// <param name="SizeChangeMm">How much each fill of the rest changes along the line, mm; negative: smaller.</param>
public sealed record LineOutlook(
    Side Towards, int Line, IReadOnlyList<int> ToCome, double BeyondMm, double UncertaintyMm, Remedy Remedy, double NewGapMm, double SizeChangeMm);

/// <summary>The whole quilt as it lies.</summary>
/// <param name="Fills">Each stitched fill, by number.</param>
/// <param name="Seams">Gaps between stitched neighbours.</param>
/// <param name="Forecast">Gaps of hoopings to come beside stitched ones.</param>
/// <param name="Outlook">Lines that are begun and not ended.</param>
/// <param name="TurnVarianceFactor">Near 1 when the turns seen in different photos agree as their uncertainties say; NaN where nothing is seen twice.</param>
public sealed record QuiltDrift(
    IReadOnlyList<FillLies> Fills,
    IReadOnlyList<SeamGap> Seams,
    IReadOnlyList<GapForecast> Forecast,
    IReadOnlyList<LineOutlook> Outlook,
    double TurnVarianceFactor);
