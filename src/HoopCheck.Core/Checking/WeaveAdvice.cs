using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>What a measured weave means for the person, in words.</summary>
public static class WeaveAdvice
{
    /// <summary>Turns below it are not worth a new hooping, degrees: 2 mm over a hoop of 360 mm. Own choice.</summary>
    private const double WorthTurningDeg = 0.3;

    /// <summary>A tape and the lines beside it that differ by less are taken for parallel, degrees. Own choice: tape is laid by hand.</summary>
    private const double ParallelDeg = 0.5;

    /// <summary>Standard uncertainty of a tape's angle, degrees: half a millimetre of puff over a side of 250 mm.</summary>
    private const double TapeAngleSdDeg = 0.12;

    /// <summary>Turn first, then skew and bow, each with what to do; in a hoop, skew and bow only where they are more than usual.</summary>
    /// <param name="weave">The measure.</param>
    /// <param name="inHoop">False for a photo of fabric without a hoop: then only what was seen is said.</param>
    /// <returns>Sentences.</returns>
    public static IReadOnlyList<string> Say(WeaveMeasure weave, bool inHoop = true)
    {
        ArgumentNullException.ThrowIfNull(weave);
        var say = new List<string>();
        if (weave.TurnDeg is { } turn)
        {
            say.Add(Turn(turn, weave, inHoop));
        }

        if (weave.SkewPercent is { } skew && (!inHoop || IsMuch(skew, Tolerances.Default.UsualSkewPercent)))
        {
            say.Add(Skew(skew, weave));
        }

        if (weave.BowPercent is { } bow && (!inHoop || IsMuch(bow, Tolerances.Default.UsualBowPercent)))
        {
            say.Add(Bow(bow, weave));
        }

        return say;
    }

    /// <summary>What to say where tapes do not run along the lines of the fabric beside them; null where all do, or no lines are known.</summary>
    public static string? AgainstTape(WeaveMeasure weave, IEnumerable<TapeEdge> tapes)
    {
        ArgumentNullException.ThrowIfNull(weave);
        ArgumentNullException.ThrowIfNull(tapes);
        double sd = weave.UncertaintyDeg / Tolerances.Default.CoverageFactor;
        double limit = Math.Max(ParallelDeg, Tolerances.Default.CoverageFactor * Math.Sqrt((sd * sd) + (TapeAngleSdDeg * TapeAngleSdDeg)));
        var off = new List<string>();
        foreach (TapeEdge tape in tapes)
        {
            double? lines = tape.Side is Side.Left or Side.Right ? weave.WarpAngleDeg : weave.WeftAngleDeg - 90;
            if (tape.AngleDegrees - lines is { } apart && Math.Abs(apart) > limit)
            {
                off.Add($"{Degrees(apart)} {Way(apart)} on the {tape.Side.Name()}");
            }
        }

        return off.Count == 0 ? null
            : $"The tape is turned against the fabric's lines: {string.Join(", ", off)}. The earlier stitching may lie crooked; follow the tape or the fabric, as you choose.";
    }

    private static string Turn(double turn, WeaveMeasure weave, bool inHoop)
    {
        string sure = $"sure to ±{Degrees(Math.Ceiling((weave.UncertaintyDeg * 10) - 1e-6) / 10)}";
        if (!inHoop)
        {
            return $"The fabric is turned {Degrees(turn)} {Way(turn)} in the picture ({sure}).";
        }

        if (Math.Abs(turn) <= Math.Max(WorthTurningDeg, weave.UncertaintyDeg))
        {
            return $"The fabric lies straight in the hoop: turned {Degrees(turn)} ({sure}).";
        }

        double length = Math.Max(weave.WidthMm, weave.HeightMm) * Math.Tan(Math.Abs(turn) * Math.PI / 180);
        return $"The fabric is turned {Degrees(turn)} {Way(turn)} in the hoop ({sure}): {Whole(length)} over its length. " +
            $"Turn the fabric {Way(-turn)}; or, if your machine does that, turn the fill {Degrees(turn)} {Way(turn)} and check again.";
    }

    private static string Skew(double skew, WeaveMeasure weave)
    {
        string much = $"Out of square (skew) {Percent(skew)}";
        if (!IsMuch(skew, Tolerances.Default.UsualSkewPercent))
        {
            return $"{much}: crosswise and lengthwise lines are as square as is usual.";
        }

        // Half at either end leaves the middle where it is; all crosswise lines must be moved, not one corner.
        double each = Math.Abs(skew) / 100 * weave.WidthMm / 2;
        return skew > 0
            ? $"{much}: the crosswise lines run up to the right. Ease the whole right side {Whole(each)} down and the left side {Whole(each)} up."
            : $"{much}: the crosswise lines run down to the right. Ease the whole left side {Whole(each)} down and the right side {Whole(each)} up.";
    }

    private static string Bow(double bow, WeaveMeasure weave)
    {
        string much = $"Curved (bow) {Percent(bow)}";
        if (!IsMuch(bow, Tolerances.Default.UsualBowPercent))
        {
            return $"{much}: the crosswise lines are as straight as is usual.";
        }

        double middle = Math.Abs(bow) / 100 * weave.WidthMm;
        return $"{much}: the crosswise lines bulge {(bow > 0 ? "up" : "down")} in the middle. Ease the middle {Whole(middle)} {(bow > 0 ? "down" : "up")}, or draw both sides {Whole(middle)} {(bow > 0 ? "up" : "down")}.";
    }

    /// <summary>Judged as shown, to 0.1 %.</summary>
    private static bool IsMuch(double percent, double usual) => Math.Round(Math.Abs(percent), 1) >= usual;

    private static string Way(double degrees) => degrees >= 0 ? "counter-clockwise" : "clockwise";

    private static string Degrees(double degrees) => string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(degrees):0.0}°");

    private static string Percent(double percent) => string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(percent):0.0} %");

    private static string Whole(double millimetres) => string.Create(CultureInfo.InvariantCulture, $"{millimetres:0} mm");
}
