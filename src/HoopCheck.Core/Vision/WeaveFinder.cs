using System.Diagnostics.CodeAnalysis;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Rules;
using HoopCheck.Vision.Weave;

namespace HoopCheck.Vision;

/// <summary>What was found of the weave.</summary>
/// <param name="Weave">The measure, or null.</param>
/// <param name="Reason">Where a family of lines is not given, why; one sentence, otherwise null.</param>
public sealed record WeaveFound(WeaveMeasure? Weave, string? Reason);

/// <summary>Measures how the lines of the fabric lie: printed or woven plaid, check, stripes, dots in rows, patchwork seams.</summary>
public static class WeaveFinder
{
    /// <summary>How much further apart true directions and measured ones lie than the scatter of the windows says: neighbouring windows err together.</summary>
    /// <remarks>147 directions on generated photos with the true camera: within ± U in 96 %.</remarks>
    private const double Together = 1.6;

    /// <summary>Length over which neighbouring windows err together where lines are uneven, mm: about a patch or a print's repeat.</summary>
    private const double PieceMm = 50;

    /// <summary>Standard errors by which pieces of the cloth may lean otherwise than the lines through all of them.</summary>
    /// <remarks>Generated photos: families measured right up to 2.7, one of patches whose prints do not meet 4.4.</remarks>
    private const double MostSteps = 3;

    /// <summary>Standard uncertainty that no scatter shows, radians (0.03°): cells, interpolation, the lens's remains.</summary>
    private const double Least = 0.0005;

    /// <summary>How far beyond the search's reach the fit may still wander, degrees; further out it has followed something else.</summary>
    private const double Wander = 1;

    /// <summary>Sagitta of the lines over their length that is expected beforehand, one standard deviation: crosswise lines bow, lengthwise ones hardly.</summary>
    private const double CrosswiseBow = 0.02, LengthwiseBow = 0.003;

    /// <summary>How much stronger turned axes must be to be preferred: the diagonals of a check are lines too, only weaker ones.</summary>
    private const double Clearly = 4;

    /// <summary>Largest angle between the families, away from square, degrees: 8.5 % skew, nearly twice what the trade lets pass. Own choice.</summary>
    private const double MostSkewDeg = 4.9;

    /// <summary>Strength in groups of strips from which it is said that there are lines, but no common ones.</summary>
    private const double LinesHereAndThere = 3;

    /// <summary>Measures the fabric in the hoop.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="frame">Its frame.</param>
    /// <param name="tapes">Tape edges; what lies beyond them is not looked at.</param>
    /// <param name="trace">Takes both families' fits.</param>
    public static WeaveFound Find(Photograph photo, FrameFit frame, IReadOnlyList<TapeEdge> tapes, ITrace trace)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(frame);
        ArgumentNullException.ThrowIfNull(tapes);
        ArgumentNullException.ThrowIfNull(trace);
        ClothArea area = ClothArea.Of(frame, tapes);
        double across = DirectionUncertainty.Of(frame, new(0.5 * area.Width, 0)), along = DirectionUncertainty.Of(frame, new(0, 0.5 * area.Height));
        return Measure(FlatCloth.Of(photo.Pixels, area), area, 0, across, along, trace).Found;
    }

    /// <summary>Measures a photo of fabric alone, taken squarely from above: angles in the picture, counter-clockwise from its right and its top.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="trace">Takes the families' fits, for each turn that was tried.</param>
    public static WeaveFound Find(Photograph photo, ITrace trace)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(trace);
        ClothArea area = ClothArea.Of(photo.Header);

        // A family is found up to 16° from its axis, so that three positions of the axes cover all turns of a grid.
        (WeaveFound Found, double Strength) best = (new(null, null), -1);
        foreach (double turn in new[] { 0.0, 30, -30 })
        {
            (WeaveFound Found, double Strength) one = Measure(FlatCloth.Of(photo.Pixels, area, turn * Math.PI / 180), area, turn, 0, 0, trace);
            if (best.Strength < 0 || (one.Found.Weave is not null && one.Strength > Clearly * best.Strength))
            {
                best = one;
            }
        }

        return best.Found;
    }

    private static (WeaveFound Found, double Strength) Measure(
        FlatCloth cloth, ClothArea area, double turnDegrees, double frameAcross, double frameAlong, ITrace trace)
    {
        LineFamily? weft = null, warp = null;
        Parallel.Invoke(
            () => weft = LineFamily.Find(LineStrips.Of(cloth), CrosswiseBow),
            () => warp = LineFamily.Find(LineStrips.Of(cloth, upright: true), LengthwiseBow));
        trace.Data(50, turnDegrees == 0 ? "weave" : $"weave-turned-{turnDegrees:0}", new { cloth.Step, cloth.Width, cloth.Height, frameAcross, frameAlong, weft, warp });
        WeaveFound found = Combine(weft, warp, area, turnDegrees, frameAcross, frameAlong);
        return (found, Evident(weft) + Evident(warp));

        static double Evident(LineFamily? family) => IsThere(family) ? family.Strength : 0;
    }

    private static WeaveFound Combine(LineFamily? weft, LineFamily? warp, ClothArea area, double turnDegrees, double frameAcross, double frameAlong)
    {
        Tolerances limits = Tolerances.Default;
        (double Degrees, double U)? across = Direction(weft, frameAcross), along = Direction(warp, frameAlong);
        bool crosswise = across is { } a && a.U <= limits.LargestWeaveUncertaintyDeg, lengthwise = along is { } b && b.U <= limits.LargestWeaveUncertaintyDeg;
        if (crosswise && lengthwise && Math.Abs(across!.Value.Degrees + along!.Value.Degrees) > MostSkewDeg)
        {
            // Two families that far from square are no warp and weft: the weaker one is a part of a print.
            (crosswise, lengthwise) = (weft!.Strength > warp!.Strength, weft.Strength <= warp.Strength);
        }

        bool uneven = (across is { } c && double.IsInfinity(c.U)) || (along is { } d && double.IsInfinity(d.U));
        if (uneven || (!crosswise && !lengthwise))
        {
            bool local = Math.Max(weft?.Local ?? 0, warp?.Local ?? 0) > LinesHereAndThere;
            return new(null, uneven || across is not null || along is not null ? "The fabric's lines bend unevenly, so that no one angle fits them: smooth the fabric before measuring the weave."
                : weft is null && warp is null ? "Too little bare fabric is seen to measure the weave."
                : local ? "The fabric has lines, but no common grid: they run in different directions in different places, or lie far off the hoop's sides."
                : "No lines were found in the fabric, so the weave is not measured.");
        }

        double? weftAngle = crosswise ? 90 + across!.Value.Degrees + turnDegrees : null, warpAngle = lengthwise ? turnDegrees - along!.Value.Degrees : null;
        double? turn = (warpAngle, weftAngle) switch
        {
            ({ } p, { } f) => (p + f - 90) / 2,
            ({ } p, null) => p,
            (null, { } f) => f - 90,
            _ => null,
        };

        // Of a bow the direction of the edge is only needed to first order, so that it is known without the lengthwise lines too.
        double edge = warpAngle ?? turn!.Value;
        IReadOnlyList<IReadOnlyList<HoopPoint>> weftLines = crosswise ? Traced(weft!, area.Width, area.Height, false, edge - turnDegrees, turnDegrees) : [];
        IReadOnlyList<IReadOnlyList<HoopPoint>> warpLines = lengthwise ? Traced(warp!, area.Height, area.Width, true, turnDegrees - (weftAngle ?? edge + 90) + 90, turnDegrees) : [];
        double? bow = crosswise ? weftLines.Average(line => Straightness.BowPercent(line, edge)) : null;
        double? skew = crosswise && lengthwise ? weftLines.Average(line => Straightness.SkewPercent(line, edge)) : null;
        double u = Math.Max(crosswise ? across!.Value.U : 0, lengthwise ? along!.Value.U : 0);
        string? reason = crosswise && lengthwise ? null
            : $"Only the {(crosswise ? "crosswise" : "lengthwise")} lines of the fabric can be followed, so that skew {(crosswise ? "is" : "and bow are")} not measured.";
        return new(new(warpAngle, weftAngle, turn, skew, bow, u, area.Width, area.Height, [.. weftLines, .. warpLines]), reason);
    }

    /// <summary>The family's angle from its own axis and expanded uncertainty, degrees; null where there is no family. Endless where it bends unevenly.</summary>
    private static (double Degrees, double U)? Direction(LineFamily? family, double frameSd)
    {
        if (!IsThere(family))
        {
            return null;
        }

        // Outliers at their full weight, in as many pieces as do not err together; σ of a slope: σ·√12/(L·√n).
        double length = family.Windows.Max(w => w.U) - family.Windows.Min(w => w.U);
        double pieces = family.Uneven * Math.Sqrt(12) / length * Math.Sqrt(Math.Min(1, PieceMm / length));
        double scatter = Math.Max(Together * family.SlopeSd, family.BlockSd);
        double sd = family.Uneven > Tolerances.Default.LargestUnevennessMm ? double.PositiveInfinity
            : Math.Sqrt((scatter * scatter) + (pieces * pieces) + (frameSd * frameSd) + (Least * Least));
        return (Math.Atan(family.Slope) * 180 / Math.PI, Tolerances.Default.CoverageFactor * sd * 180 / Math.PI);
    }

    private static bool IsThere([NotNullWhen(true)] LineFamily? family) =>
        family is not null && family.Strength >= Tolerances.Default.LeastLineStrength && family.FourthLine >= Tolerances.Default.LeastFourthLineStrength
        && Math.Abs(family.Steps) <= MostSteps
        && Math.Abs(Math.Atan(family.Slope)) * 180 / Math.PI <= LineFamily.ReachDegrees + Wander;

    /// <summary>
    /// Three lines of a family over the fabric's own width, in the middle and a quarter of the opening to either side: straight along the
    /// family's direction, moved along the other family's as the parabola says.
    /// </summary>
    private static List<IReadOnlyList<HoopPoint>> Traced(LineFamily family, double length, double across, bool upright, double otherDegrees, double turnDegrees)
    {
        double cos = Math.Cos(turnDegrees * Math.PI / 180), sin = Math.Sin(turnDegrees * Math.PI / 180), other = otherDegrees * Math.PI / 180;
        var lines = new List<IReadOnlyList<HoopPoint>>();
        foreach (double share in new[] { -0.25, 0, 0.25 })
        {
            double v0 = share * across, own = Math.Atan(family.Slope + (family.Fan * v0));

            // v = Curve·u² on the cells' axes, written along the slanted ones.
            double curve = family.Curve * Math.Pow(Math.Cos(own), 3) / Math.Cos(own - other);
            lines.Add([.. Enumerable.Range(0, 21).Select(i =>
            {
                double s = ((i / 20.0) - 0.5) * length, away = curve * s * s;
                double u = (s * Math.Cos(own)) - (away * Math.Sin(other)), v = v0 + (s * Math.Sin(own)) + (away * Math.Cos(other));
                (double x, double y) = upright ? (v, u) : (u, v);
                return new HoopPoint((cos * x) - (sin * y), (sin * x) + (cos * y));
            })]);
        }

        return lines;
    }
}
