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

    private static SideClearance MeasureSide(TapeEdge tape, PlannedFill fill, double minGapMm, double spacingMm, Tolerances t)
    {
        (double from, double to) = fill.FacingStretch(tape.Side);
        List<TapeSample> facing = Restrict(tape.Samples, from, to, t.LongestSampleStepMm);
        double seen = SeenLength(facing, t.LongestSampleStepMm), share = Math.Clamp(seen / (to - from), 0, 1);

        // What is bridged at an end has nothing on its far side to hold it: it is not measured.
        int first = facing.FindIndex(s => s.Seen), last = facing.FindLastIndex(s => s.Seen);
        if (first < 0 || share < t.LeastSeenShare || seen < t.LeastSeenMm)
        {
            return new(
                tape.Side, Decision.Undecided, double.NaN, double.NaN, double.NaN, double.NaN, new(double.NaN, double.NaN),
                share, [], tape, "too little of the tape's edge is seen to say anything");
        }

        facing = facing.GetRange(first, last - first + 1);
        Reading r = fill.Outline is null ? RectangleClearance.Measure(tape, facing, fill) : ShapeClearance.Measure(tape.Side, facing, fill);
        List<Gap> gaps = r.Gaps;
        (double min, TapeSample narrowest) = (r.MinMm, r.Narrowest);
        double max = gaps.Max(g => g.Mm), mean = Mean(gaps);
        double uncertainty = t.CoverageFactor * narrowest.StandardUncertainty;

        Decision decision = GuardBand.Decide(min, max, uncertainty, minGapMm, spacingMm);
        if (share < t.EnoughSeenShare && decision is Decision.Clear or Decision.Wide)
        {
            // An overlap is proven by what is seen; a clear side is not.
            decision = Decision.Undecided;
        }

        return new(
            tape.Side, decision, min, max, mean, uncertainty, tape.Side.At(narrowest.Q, narrowest.S),
            share, Profile(gaps, t.ProfileStepMm), tape,
            decision == Decision.Undecided ? GuardBand.NearestReading(min, max, minGapMm, spacingMm) : null)
        {
            NearestMm = r.NearestMm,
            NormalMm = r.NormalMm,
        };
    }

    /// <summary>The samples within a stretch, with samples put in at its ends where the edge runs on beyond them.</summary>
    private static List<TapeSample> Restrict(IReadOnlyList<TapeSample> samples, double from, double to, double longestStep)
    {
        TapeSample[] sound = [.. samples.Where(s => double.IsFinite(s.S) && double.IsFinite(s.Q) && s.StandardUncertainty >= 0).OrderBy(s => s.S)];
        var within = new List<TapeSample>();
        for (int i = 0; i < sound.Length; i++)
        {
            if (i > 0)
            {
                foreach (double end in (double[])[from, to])
                {
                    if (sound[i - 1].S < end && end < sound[i].S)
                    {
                        within.Add(Between(sound[i - 1], sound[i], end, longestStep));
                    }
                }
            }

            if (sound[i].S >= from && sound[i].S <= to)
            {
                within.Add(sound[i]);
            }
        }

        return within;
    }

    private static TapeSample Between(TapeSample a, TapeSample b, double s, double longestStep)
    {
        double part = (s - a.S) / (b.S - a.S);
        return new(
            s,
            a.Q + (part * (b.Q - a.Q)),
            a.StandardUncertainty + (part * (b.StandardUncertainty - a.StandardUncertainty)),
            a.Seen && b.Seen && b.S - a.S <= longestStep);
    }

    /// <summary>Length of edge that was read; beside a place that was not, half a step counts.</summary>
    private static double SeenLength(List<TapeSample> samples, double longestStep)
    {
        double length = 0;
        for (int i = 1; i < samples.Count; i++)
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

/// <summary>What one side reads before anything is decided, mm.</summary>
/// <param name="Gaps">Along the tape's edge.</param>
/// <param name="MinMm">The smallest; may lie between two of <paramref name="Gaps"/> or at a round corner beside them.</param>
/// <param name="Narrowest">The place of the smallest.</param>
/// <param name="NearestMm">Smallest true distance.</param>
/// <param name="NormalMm">Smallest distance along the side's normal.</param>
internal sealed record Reading(List<Gap> Gaps, double MinMm, TapeSample Narrowest, double NearestMm, double NormalMm);
