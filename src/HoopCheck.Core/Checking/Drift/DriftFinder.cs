using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;

namespace HoopCheck.Checking.Drift;

/// <summary>
/// Puts all photos' seams together: three networks of differences, one each for x, y and turn, adjusted by least squares. A seam tells how
/// its neighbours lie across it and how they are turned against each other; what it does not tell, the place along it, follows from another
/// seam or else from the mark the hooping was placed by.
/// </summary>
/// <remarks>
/// Seen from hooping 1 as if it lay where it was planned: nothing else is known of the quilt as a whole. The lever of turned edges, which is of second
/// order, is put right by repeating the adjustment with the gaps that the adjusted places would have.
/// </remarks>
public static class DriftFinder
{
    /// <summary>Repetitions for the lever of turned edges; each leaves about a hundredth of what was left.</summary>
    private const int Rounds = 3;

    /// <summary>Adjusts the quilt.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="fills">The fills that are stitched.</param>
    /// <param name="readings">Seams as photos of stitched hoopings show them; those whose neighbour is not stitched are passed over.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    /// <returns>The quilt as it lies; null where nothing is stitched.</returns>
    public static QuiltDrift? Find(QuiltPlan plan, IReadOnlyList<StitchedFill> fills, IReadOnlyList<SeamReading> readings, Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(fills);
        ArgumentNullException.ThrowIfNull(readings);
        Tolerances t = tolerances ?? Tolerances.Default;
        var net = new Net(plan, [.. fills.OrderBy(f => f.Number)], t);
        Seam[] seams = [.. readings.Select(net.Seam).OfType<Seam>()];
        return fills.Count == 0 ? null : net.Adjust(seams);
    }

    /// <summary>A reading between two stitched fills, by their indices.</summary>
    private sealed record Seam(int At, int Beside, SeamReading Reading);

    /// <summary>Place and turn (radians) of a fill against the plan.</summary>
    private readonly record struct Pose(double X, double Y, double Turn);

    private sealed class Net(QuiltPlan plan, StitchedFill[] fills, Tolerances t)
    {
        private readonly Dictionary<int, int> _index = fills.Select((f, i) => (f.Number, i)).ToDictionary(p => p.Number, p => p.i);

        private PlannedHooping Planned(int index) => plan.Find(fills[index].Number)!;

        public Seam? Seam(SeamReading reading) =>
            _index.TryGetValue(reading.Hooping, out int at) && plan.Neighbour(Planned(at), reading.Side) is { } beside && _index.TryGetValue(beside.Number, out int other)
                ? new(at, other, reading)
                : null;

        public QuiltDrift Adjust(Seam[] seams)
        {
            LevelAdjusted turns = Adjusted([.. seams.Select(s => new LevelLine(s.At, s.Beside, s.Reading.TurnDegrees, s.Reading.TurnSigma))], t.PlacingDegrees);
            Pose[] poses = [.. turns.Values.Select(v => new Pose(0, 0, v * Math.PI / 180))];
            LevelAdjusted x = null!, y = null!;
            for (int round = 0; round < Rounds; round++)
            {
                x = Adjusted([.. seams.Where(s => s.Reading.Side is Side.Left or Side.Right).Select(s => Line(s, poses))], t.PlacingMm);
                y = Adjusted([.. seams.Where(s => s.Reading.Side is Side.Top or Side.Bottom).Select(s => Line(s, poses))], t.PlacingMm);
                poses = [.. poses.Select((p, i) => new Pose(x.Values[i], y.Values[i], p.Turn))];
            }

            double k = t.CoverageFactor;
            FillLies[] lies = [.. fills.Select((f, i) => new FillLies(
                f.Number, x.Values[i], y.Values[i], turns.Values[i], k * x.Sigma(i), k * y.Sigma(i), k * turns.Sigma(i)))];
            return new(lies, Gaps(seams, poses, x, y), Forecast(poses, x, y), Outlook(poses, x, y), turns.VarianceFactor);
        }

        /// <summary>Hooping 1 is the mark; a part of the network that does not hang on it was placed by marks of its own, at its first hooping.</summary>
        private LevelAdjusted Adjusted(List<LevelLine> lines, double placing)
        {
            lines.Add(new(null, 0, 0, fills[0].Number == 1 ? Fixed : placing));
            lines.AddRange(LevelNetwork.Unmarked(fills.Length, lines).Select(i => new LevelLine(null, i, 0, placing)));
            return LevelNetwork.Adjust(fills.Length, lines)!;
        }

        /// <summary>The mark's own uncertainty, mm or degrees: none, but for arithmetic.</summary>
        private const double Fixed = 1e-6;

        /// <summary>A seam as a difference along its normal: measured, less what the places as they are would give without that difference.</summary>
        private LevelLine Line(Seam s, Pose[] poses)
        {
            double outward = s.Reading.Side is Side.Right or Side.Top ? 1 : -1;
            Pose a = poses[s.At], b = poses[s.Beside];
            double now = outward * (s.Reading.Side is Side.Left or Side.Right ? b.X - a.X : b.Y - a.Y);
            double rest = GapOf(s.At, s.Beside, s.Reading.Side, a, b) - now;
            return new(s.At, s.Beside, outward * (s.Reading.GapMm - rest), s.Reading.GapSigma);
        }

        /// <summary>From the middle of a fill's edge along its normal to the line of the neighbour's edge, mm.</summary>
        private double GapOf(int at, int beside, Side side, Pose a, Pose b) =>
            Edges.Gap(Planned(at).Centre, fills[at], a.X, a.Y, a.Turn, Planned(beside).Centre, fills[beside], b.X, b.Y, b.Turn, side);

        private List<SeamGap> Gaps(Seam[] seams, Pose[] poses, LevelAdjusted x, LevelAdjusted y)
        {
            HashSet<(int, int)> seen = [.. seams.Select(s => (Math.Min(s.At, s.Beside), Math.Max(s.At, s.Beside)))];
            var gaps = new List<SeamGap>();
            for (int i = 0; i < fills.Length; i++)
            {
                foreach (Side side in SideExtensions.All)
                {
                    if (plan.Neighbour(Planned(i), side) is not { } beside || !_index.TryGetValue(beside.Number, out int j) || j > i)
                    {
                        continue;
                    }

                    bool across = side is Side.Left or Side.Right;
                    double gap = GapOf(i, j, side, poses[i], poses[j]);
                    double half = (across ? Math.Min(fills[i].Height, fills[j].Height) : Math.Min(fills[i].Width, fills[j].Width)) / 2;
                    double opens = Math.Abs(Math.Tan(poses[j].Turn - poses[i].Turn)) * half;
                    gaps.Add(new(fills[j].Number, fills[i].Number, gap, gap - opens, gap + opens, t.CoverageFactor * (across ? x : y).SigmaOfDifference(i, j), seen.Contains((j, i))));
                }
            }

            return gaps;
        }

        private List<GapForecast> Forecast(Pose[] poses, LevelAdjusted x, LevelAdjusted y)
        {
            var forecast = new List<GapForecast>();
            foreach (PlannedHooping h in plan.Hoopings.Where(h => !_index.ContainsKey(h.Number)))
            {
                foreach (Side side in SideExtensions.All)
                {
                    if (plan.Neighbour(h, side) is { } beside && _index.TryGetValue(beside.Number, out int j))
                    {
                        var itself = new StitchedFill(h.Number, h.Width, h.Height);
                        double gap = Edges.Gap(h.Centre, itself, 0, 0, 0, beside.Centre, fills[j], poses[j].X, poses[j].Y, poses[j].Turn, side);
                        double u = t.CoverageFactor * (side is Side.Left or Side.Right ? x : y).Sigma(j);
                        forecast.Add(new(h.Number, beside.Number, QuiltPlanner.HoopSide(side, h.Lies), gap, u));
                    }
                }
            }

            return forecast;
        }

        /// <summary>Each row and column outward from its outermost stitched fill.</summary>
        private List<LineOutlook> Outlook(Pose[] poses, LevelAdjusted x, LevelAdjusted y)
        {
            var outlook = new List<LineOutlook>();
            foreach (Side side in SideExtensions.All)
            {
                bool across = side is Side.Left or Side.Right;
                for (int line = 0; line < (across ? plan.Y.Count : plan.X.Count); line++)
                {
                    PlannedHooping[] outward = [.. Enumerable.Range(0, across ? plan.X.Count : plan.Y.Count).Select(i => (across ? plan.At(line, i) : plan.At(i, line))!)];
                    if (side is Side.Left or Side.Top)
                    {
                        Array.Reverse(outward);
                    }

                    int last = Array.FindLastIndex(outward, h => _index.ContainsKey(h.Number));
                    if (last >= 0 && last < outward.Length - 1)
                    {
                        outlook.Add(Ahead(side, line, _index[outward[last].Number], outward[(last + 1)..], poses, across ? x : y));
                    }
                }
            }

            return outlook;
        }

        private LineOutlook Ahead(Side side, int line, int last, PlannedHooping[] rest, Pose[] poses, LevelAdjusted network)
        {
            bool across = side is Side.Left or Side.Right;
            PlannedHooping h = Planned(last);
            HoopVector n = side.Normal();
            double grown = (across ? fills[last].Width - h.Width : fills[last].Height - h.Height) / 2;
            double beyond = (n.X * poses[last].X) + (n.Y * poses[last].Y) + grown, u = t.CoverageFactor * network.Sigma(last);
            QuiltSpec q = plan.Quilt;
            double each = beyond / rest.Length, gap = q.GapMm - each, smallest = rest.Min(r => across ? r.Width : r.Height);

            // Half of the room on either side of the planned gap stays for what placing adds.
            bool inGap = gap >= (q.MinGapMm + q.GapMm) / 2 && gap <= (q.SpacingMm + q.GapMm) / 2;
            Remedy remedy = Math.Abs(beyond) <= Math.Max(u, NotWorthMm) ? Remedy.None
                : inGap ? Remedy.Gap
                : Math.Abs(each) <= smallest * Tolerances.UsualMostResizePercent / 100 ? Remedy.Size
                : Remedy.Replan;
            return new(
                side, line, [.. rest.Select(r => r.Number)], beyond, u, remedy,
                remedy == Remedy.Gap ? gap : q.GapMm, remedy is Remedy.Size or Remedy.Replan ? -each : 0);
        }

        /// <summary>Own choice: a line that ends a millimetre off its place at the quilt's edge is as planned.</summary>
        private const double NotWorthMm = 1;
    }
}

/// <summary>Plane geometry of two turned rectangles side by side, mm and radians.</summary>
internal static class Edges
{
    /// <summary>From the middle of fill a's edge at a side of the quilt, along that edge's normal, to the line of fill b's facing edge.</summary>
    public static double Gap(
        QuiltPoint placeA, StitchedFill a, double ax, double ay, double turnA, QuiltPoint placeB, StitchedFill b, double bx, double by, double turnB, Side side)
    {
        HoopVector n = side.Normal();
        (double nax, double nay) = Turned(n, turnA);
        (double nbx, double nby) = Turned(n, turnB);
        bool across = side is Side.Left or Side.Right;
        double halfA = (across ? a.Width : a.Height) / 2, halfB = (across ? b.Width : b.Height) / 2;
        double x = placeB.X + bx - (nbx * halfB) - (placeA.X + ax + (nax * halfA));
        double y = placeB.Y + by - (nby * halfB) - (placeA.Y + ay + (nay * halfA));
        return ((x * nbx) + (y * nby)) / ((nax * nbx) + (nay * nby));
    }

    private static (double X, double Y) Turned(HoopVector v, double turn)
    {
        (double sin, double cos) = Math.SinCos(turn);
        return ((v.X * cos) - (v.Y * sin), (v.X * sin) + (v.Y * cos));
    }
}
