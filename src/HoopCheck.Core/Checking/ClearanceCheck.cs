using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>All sides' clearances and what they come to.</summary>
/// <param name="Decision">The worst side's; <see cref="Decision.NoTape"/> when there is no side.</param>
/// <param name="Sides">One entry for each tape edge given, in the order of <see cref="SideExtensions.All"/>.</param>
/// <param name="Problems">What weakens the judgement.</param>
public sealed record ClearanceFound(Decision Decision, IReadOnlyList<SideClearance> Sides, IReadOnlyList<Problem> Problems);

/// <summary>Compares the planned fill with the measured tape edges. All lengths in mm, in the hoop plane.</summary>
public static class ClearanceCheck
{
    /// <summary>Measures each side and decides.</summary>
    /// <param name="tapes">The tapes' inner edges, at most one a side.</param>
    /// <param name="fill">The planned fill.</param>
    /// <param name="minGapMm">Smallest gap allowed, mm.</param>
    /// <param name="spacingMm">Widest gap that does not show, mm.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    public static ClearanceFound Measure(
        IReadOnlyList<TapeEdge> tapes,
        PlannedFill fill,
        double minGapMm,
        double spacingMm,
        Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(tapes);
        ArgumentNullException.ThrowIfNull(fill);
        Tolerances t = tolerances ?? Tolerances.Default;
        var sides = new List<SideClearance>();
        var problems = new List<Problem>();
        foreach (TapeEdge tape in tapes.OrderBy(tape => tape.Side))
        {
            SideClearance side = MeasureSide(tape, fill, minGapMm, spacingMm, t);
            sides.Add(side);
            if (side.SeenShare < t.EnoughSeenShare || !double.IsFinite(side.MinMm))
            {
                problems.Add(new(Problems.TapeTooLittle, string.Create(
                    CultureInfo.InvariantCulture,
                    $"On the {tape.Side.Name()} {100 * side.SeenShare:0} % of the edge beside the fill is seen, {100 * t.EnoughSeenShare:0} % is needed.")));
            }
        }

        if (sides.Count == 0)
        {
            problems.Add(new(Problems.NoTape, ""));
        }

        return new(GuardBand.Worst(sides.Select(side => side.Decision)), sides, problems);
    }

    /// <summary>The samples of a tape's edge that can be used, by rising S.</summary>
    internal static TapeSample[] Sound(TapeEdge tape) =>
        [.. tape.Samples.Where(s => double.IsFinite(s.S) && double.IsFinite(s.Q) && s.StandardUncertainty >= 0).OrderBy(s => s.S)];

    /// <summary>The figures of one side that the decision rests on. Of a rectangle it allocates nothing, so that a search can ask it thousands of times.</summary>
    /// <param name="sound">From <see cref="Sound"/>.</param>
    /// <param name="side">The tape's side.</param>
    /// <param name="fill">The fill, wherever it is tried.</param>
    /// <param name="t">Limits.</param>
    /// <param name="within">Room for the samples of the stretch: two more than <paramref name="sound"/>.</param>
    /// <param name="inset">Length to leave out at each end of the facing stretch, mm.</param>
    internal static SideFigures Figures(ReadOnlySpan<TapeSample> sound, Side side, PlannedFill fill, Tolerances t, Span<TapeSample> within, double inset = 0) =>
        Figures(sound, side, fill, t, within, inset, out _);

    private static SideFigures Figures(
        ReadOnlySpan<TapeSample> sound, Side side, PlannedFill fill, Tolerances t, Span<TapeSample> within, double inset, out ShapeReading? shape)
    {
        shape = null;
        (double from, double to) = fill.FacingStretch(side);
        (from, to) = (from + inset, to - inset);
        int count = from < to ? Restrict(sound, from, to, t.LongestSampleStepMm, within) : 0;
        ReadOnlySpan<TapeSample> facing = within[..count];
        double seen = SeenLength(facing, t.LongestSampleStepMm), share = from < to ? Math.Clamp(seen / (to - from), 0, 1) : 0;

        // What is bridged at an end has nothing on its far side to hold it: it is not measured.
        int first = 0, last = count - 1;
        while (first < count && !facing[first].Seen)
        {
            first++;
        }

        while (last >= first && !facing[last].Seen)
        {
            last--;
        }

        if (last < first)
        {
            return SideFigures.None(share, seen);
        }

        EdgeLine edge = fill.Outline is null ? fill.FacingLine(side) : default;
        shape = fill.Outline is null ? null : ShapeClearance.Measure(side, facing[first..(last + 1)].ToArray(), fill);
        double min = double.MaxValue, max = double.MinValue, least = double.MaxValue, most = double.MinValue;
        int narrowest = first;
        for (int i = first; i <= last; i++)
        {
            TapeSample sample = facing[i];
            double gap = shape is null ? sample.Q - edge.At(sample.S) : shape.LeastMm[i - first], u = t.CoverageFactor * sample.StandardUncertainty;
            // Of equally narrow places the least sure one, so that the order of the samples does not matter.
            if (gap < min || (gap == min && sample.StandardUncertainty > facing[narrowest].StandardUncertainty))
            {
                (min, narrowest) = (gap, i);
            }

            max = Math.Max(max, shape is null ? gap : shape.Gaps[i - first].Mm);
            least = Math.Min(least, gap - u);
            most = Math.Max(most, (shape is null ? gap : shape.Gaps[i - first].Mm) + u);
        }

        double uncertainty = t.CoverageFactor * facing[narrowest].StandardUncertainty;
        if (fill.CornerRadius > 0 && inset == 0 && RoundCorners.Narrowest(sound, side, fill, min) is { } corner)
        {
            double u = t.CoverageFactor * corner.Sample.StandardUncertainty;
            (min, uncertainty, least) = (corner.Mm, u, Math.Min(least, corner.Mm - u));
        }

        return new(first, last, share, seen, min, max, narrowest, uncertainty, least, most);
    }

    private static SideClearance MeasureSide(TapeEdge tape, PlannedFill fill, double minGapMm, double spacingMm, Tolerances t)
    {
        TapeSample[] sound = Sound(tape), within = new TapeSample[sound.Length + 2];
        SideFigures f = Figures(sound, tape.Side, fill, t, within, 0, out ShapeReading? shape);
        if (!f.IsMeasured(t))
        {
            return new(
                tape.Side, Decision.Undecided, double.NaN, double.NaN, double.NaN, double.NaN, new(double.NaN, double.NaN),
                f.SeenShare, [], tape, "too little of the tape's edge is seen to say anything");
        }

        EdgeLine edge = fill.FacingLine(tape.Side);
        List<Gap> gaps = shape is not null ? [.. shape.Gaps] : [.. within[f.First..(f.Last + 1)].Select(s => new Gap(s.S, s.Q - edge.At(s.S)))];
        Decision decision = GuardBand.Decide(f.MinMm, f.MaxMm, f.UncertaintyMm, minGapMm, spacingMm);
        if (f.SeenShare < t.EnoughSeenShare && decision is Decision.Clear or Decision.Wide)
        {
            // An overlap is proven by what is seen; a clear side is not.
            decision = Decision.Undecided;
        }

        TapeSample narrowest = within[f.Narrowest];
        double nearest = f.MinMm;
        if (shape is null)
        {
            nearest = within[f.First..(f.Last + 1)].Min(s => RoundCorners.Distance(fill, tape.Side.At(s.Q, s.S)));
            if (fill.CornerRadius > 0 && RoundCorners.Narrowest(sound, tape.Side, fill, double.PositiveInfinity) is { } corner)
            {
                nearest = Math.Min(nearest, RoundCorners.Distance(fill, tape.Side.At(corner.Sample.Q, corner.Sample.S)));
                narrowest = corner.Mm <= f.MinMm ? corner.Sample : narrowest;
            }
        }

        return new(
            tape.Side, decision, f.MinMm, f.MaxMm, Mean(gaps), f.UncertaintyMm, tape.Side.At(narrowest.Q, narrowest.S),
            f.SeenShare, Profile(gaps, t.ProfileStepMm), tape,
            decision == Decision.Undecided ? GuardBand.NearestReading(f.MinMm, f.MaxMm, minGapMm, spacingMm) : null)
        {
            NearestMm = nearest,
            NormalMm = shape?.NormalMm ?? f.MinMm,
        };
    }

    /// <summary>The samples within a stretch, with samples put in at its ends where the edge runs on beyond them.</summary>
    /// <returns>How many were put into <paramref name="within"/>.</returns>
    private static int Restrict(ReadOnlySpan<TapeSample> sound, double from, double to, double longestStep, Span<TapeSample> within)
    {
        int low = 0, high = sound.Length, count = 0;
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = sound[middle].S < from ? (middle + 1, high) : (low, middle);
        }

        for (int i = low; i < sound.Length && (i == 0 || sound[i - 1].S < to); i++)
        {
            if (i > 0)
            {
                TapeSample before = sound[i - 1], after = sound[i];
                if (before.S < from && from < after.S)
                {
                    within[count++] = Between(before, after, from, longestStep);
                }

                if (before.S < to && to < after.S)
                {
                    within[count++] = Between(before, after, to, longestStep);
                }
            }

            if (sound[i].S <= to)
            {
                within[count++] = sound[i];
            }
        }

        return count;
    }

    /// <summary>The edge between two samples, straight; not seen where either is not or they lie too far apart.</summary>
    internal static TapeSample Between(TapeSample a, TapeSample b, double s, double longestStep)
    {
        double part = (s - a.S) / (b.S - a.S);
        return new(
            s,
            a.Q + (part * (b.Q - a.Q)),
            a.StandardUncertainty + (part * (b.StandardUncertainty - a.StandardUncertainty)),
            a.Seen && b.Seen && b.S - a.S <= longestStep);
    }

    /// <summary>Length of edge that was read; beside a place that was not, half a step counts.</summary>
    private static double SeenLength(ReadOnlySpan<TapeSample> samples, double longestStep)
    {
        double length = 0;
        for (int i = 1; i < samples.Length; i++)
        {
            double step = samples[i].S - samples[i - 1].S;
            if (step <= longestStep)
            {
                length += step * ((samples[i].Seen ? 0.5 : 0) + (samples[i - 1].Seen ? 0.5 : 0));
            }
        }

        return length;
    }

    private static double Mean(List<Gap> gaps)
    {
        double area = 0, length = gaps[^1].S - gaps[0].S;
        if (length <= 0)
        {
            return gaps.Average(g => g.Mm);
        }

        for (int i = 1; i < gaps.Count; i++)
        {
            area += (gaps[i].S - gaps[i - 1].S) * (gaps[i].Mm + gaps[i - 1].Mm) / 2;
        }

        return area / length;
    }

    private static List<(double T, double ClearanceMm)> Profile(List<Gap> gaps, double step)
    {
        var profile = new List<(double, double)> { (gaps[0].S, gaps[0].Mm) };
        for (int i = 1; i < gaps.Count; i++)
        {
            Gap a = gaps[i - 1], b = gaps[i];
            int pieces = Math.Max(1, (int)Math.Ceiling((b.S - a.S) / step));
            for (int k = 1; k <= pieces; k++)
            {
                double part = (double)k / pieces;
                profile.Add((a.S + (part * (b.S - a.S)), a.Mm + (part * (b.Mm - a.Mm))));
            }
        }

        return profile;
    }
}

/// <summary>The clearance at one place of a tape's edge, mm.</summary>
internal readonly record struct Gap(double S, double Mm);
