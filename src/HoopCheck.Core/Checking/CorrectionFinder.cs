using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>What a correction is asked for.</summary>
/// <param name="Fill">The fill as it now is.</param>
/// <param name="Planned">The fill as planned: how far its size may go is reckoned from it.</param>
/// <param name="Hoop">The hoop; its sewing field.</param>
/// <param name="Machine">The machine's steps.</param>
/// <param name="MostResizePercent">How far the size may differ from the planned one, percent.</param>
/// <param name="MinGapMm">Smallest gap allowed, mm.</param>
/// <param name="SpacingMm">Widest gap that does not show, mm.</param>
public sealed record CorrectionAsked(
    PlannedFill Fill, PlannedFill Planned, HoopSpec Hoop, MachineSpec Machine, double MostResizePercent, double MinGapMm, double SpacingMm);

/// <summary>The stage that follows the decision: the smallest change of the fill on the machine.</summary>
public static class CorrectionFinder
{
    /// <summary>How long it is asked why a drawing cannot be made to fit, in boxes of <see cref="CorrectionSearch"/>; about 5 ms.</summary>
    private const int MostBoxesForAReason = 1500;

    /// <summary>Points of a drawing for which no reason is sought: each of dozens of turns would have to read them all.</summary>
    private const int MostPointsForAReason = 20_000;

    /// <summary>Finds the correction.</summary>
    /// <param name="tapes">The tapes' inner edges.</param>
    /// <param name="now">What the fill came to as it is.</param>
    /// <param name="asked">Fill, limits and steps.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    /// <returns>
    /// The correction; null where there is nothing to correct (clear, no tape), and where the only doubt is that too little of a tape is seen.
    /// </returns>
    public static Correction? Find(IReadOnlyList<TapeEdge> tapes, ClearanceFound now, CorrectionAsked asked, Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(tapes);
        ArgumentNullException.ThrowIfNull(now);
        ArgumentNullException.ThrowIfNull(asked);
        Tolerances t = tolerances ?? Tolerances.Default;
        if (now.Decision is not (Decision.Overlap or Decision.Tight or Decision.Wide or Decision.Undecided))
        {
            return null;
        }

        if (now.Sides.FirstOrDefault(side => side.SeenShare < t.EnoughSeenShare || !double.IsFinite(side.MinMm)) is { } unseen)
        {
            return now.Decision == Decision.Undecided
                ? null
                : new([], asked.Fill, [], new(ObstacleKind.TooLittleSeen, unseen.Side, 0, null));
        }

        bool cutShort = false;
        Freedom machine = Machine(asked, t);
        if (Search(machine, t) is { } steps)
        {
            PlannedFill after = asked.Fill.After(steps);
            ClearanceFound predicted = ClearanceCheck.Measure(tapes, after, asked.MinGapMm, asked.SpacingMm, t);

            // The search asks the same figures; should it ever come to differ, no promise is made.
            if (predicted.Decision == Decision.Clear && SewingField.Check(asked.Hoop, after, t) is null)
            {
                return new(steps, after, predicted.Sides, null);
            }
        }

        return new([], asked.Fill, [], Why(machine));

        IReadOnlyList<FillChange>? Search(Freedom freedom, Tolerances limits, int mostBoxes = CorrectionSearch.MostBoxes)
        {
            var search = new CorrectionSearch(tapes, asked.Fill, freedom, asked.MinGapMm, asked.SpacingMm, limits) { Limit = mostBoxes };
            IReadOnlyList<FillChange>? found = search.Find();
            cutShort |= search.IsCutShort;
            return found;
        }

        Obstacle Why(Freedom freedom)
        {
            // By turns, each limit is lifted alone; the first without which it would work is the one that stops it. Of a drawing's reason less is asked.
            bool drawn = asked.Fill.Outline is not null;
            if (drawn && asked.Fill.Outline!.Xs.Length > MostPointsForAReason)
            {
                return new(ObstacleKind.NotFound, null, 0, null);
            }

            int most = drawn ? MostBoxesForAReason : CorrectionSearch.MostBoxes;
            double[] fine = Angles(drawn ? 1 : 0.5, t.LargestRehoopTurnDegrees);
            Rehooping? rehoop = Search(new(1, [0], [0], fine, double.PositiveInfinity, double.PositiveInfinity), t, most) is { } moved ? Laid(moved) : null;
            if (Search(freedom with { FieldWidth = double.PositiveInfinity, FieldHeight = double.PositiveInfinity }, t, most) is { } free)
            {
                PlannedFill after = asked.Fill.After(free);
                Side side = SideExtensions.All.MaxBy(Beyond);
                if (Beyond(side) > 0)
                {
                    return new(ObstacleKind.Field, side, Beyond(side), rehoop);
                }

                double Beyond(Side s) => after.FacingEdge(s) - ((s is Side.Left or Side.Right ? asked.Hoop.FieldWidth : asked.Hoop.FieldHeight) / 2);
            }

            if (Search(freedom with { NudgeStepMm = 0.05, Widths = [0], Heights = [0], Turns = [0] }, t, most) is not null)
            {
                return new(ObstacleKind.Steps, null, 0, rehoop);
            }

            if (rehoop is { TurnDegrees: not 0 })
            {
                return new(ObstacleKind.Turn, null, Math.Abs(rehoop.TurnDegrees), rehoop);
            }

            if ((Search(Sized(1, 0), t, most) ?? Search(Sized(2, 8), t, most)) is { } resized)
            {
                PlannedFill after = asked.Fill.After(resized);
                double x = 100 * ((after.Width / asked.Planned.Width) - 1), y = 100 * ((after.Height / asked.Planned.Height) - 1);
                return new(ObstacleKind.Size, null, Math.Abs(x) > Math.Abs(y) ? x : y, rehoop);
            }

            if (Search(freedom, t with { CoverageFactor = 1e-6 }, most) is not null)
            {
                return new(ObstacleKind.Uncertainty, null, 0, rehoop);
            }

            return cutShort
                ? new(ObstacleKind.NotFound, null, 0, rehoop)
                : new(ObstacleKind.Uneven, now.Sides.MaxBy(side => side.MaxMm - side.MinMm)!.Side, 0, rehoop);

            // Other sizes: in steps of mm along an axis with tape, and in others where it has none; 0: as it is.
            Freedom Sized(double taped, double bare)
            {
                bool quarter = asked.Fill.QuarterTurns % 2 != 0;
                return freedom with
                {
                    Widths = Sizes(!quarter, asked.Fill.Width, asked.Planned.Width),
                    Heights = Sizes(quarter, asked.Fill.Height, asked.Planned.Height),
                    Turns = [0],
                };

                IReadOnlyList<double> Sizes(bool alongX, double size, double planned) =>
                    (tapes.Any(tape => (tape.Side is Side.Left or Side.Right) == alongX) ? taped : bare) is > 0 and var step
                        ? new MachineSpec(NudgeStepMm: 0.5, ResizeStep: step, SmallestPercent: 50, LargestPercent: 150).Resizes(size, planned, t.LargestSizeExplainedPercent)
                        : [0];
            }
        }
    }

    /// <summary>What the machine, the field and the look allow.</summary>
    internal static Freedom Machine(CorrectionAsked asked, Tolerances t) => new(
        asked.Machine.NudgeStepMm,
        asked.Machine.Resizes(asked.Fill.Width, asked.Planned.Width, asked.MostResizePercent),
        asked.Machine.Resizes(asked.Fill.Height, asked.Planned.Height, asked.MostResizePercent),
        asked.Machine.TurnStepDegrees is { } step ? Angles(step, t.LargestTurnDegrees) : [0],
        asked.Hoop.FieldWidth,
        asked.Hoop.FieldHeight);

    private static double[] Angles(double step, double most) =>
        [.. Enumerable.Range(-(int)(most / step), (2 * (int)(most / step)) + 1).Select(i => i * step)];

    /// <summary>The quilt goes the other way than the fill would have to.</summary>
    private static Rehooping Laid(IReadOnlyList<FillChange> steps) => new(
        -steps.Where(s => s.Kind == FillChangeKind.Nudge && s.Axis == FillAxis.X).Sum(s => s.Mm),
        -steps.Where(s => s.Kind == FillChangeKind.Nudge && s.Axis == FillAxis.Y).Sum(s => s.Mm),
        -steps.Where(s => s.Kind == FillChangeKind.Turn).Sum(s => s.Degrees));
}
