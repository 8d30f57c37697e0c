using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>
/// A free shape against a tape's edge. Outside, each place of the edge has the true distance to the nearest part of the shape; where a part of the
/// shape lies beyond the edge, it has how far beyond, along the side's normal, negative. "Inside" would not do: stitches have no inside, and a
/// place between two lines of a fill that runs 10 mm over the tape can be far from both.
/// </summary>
/// <remarks>
/// The shape's own index (in its own mm, made once) gives what is near; only that is placed. Neighbouring places of the edge
/// bound each other's distance, so that each looks only as far as it must, and a changed placement costs no more than the first.
/// </remarks>
internal static class ShapeClearance
{
    /// <summary>First look around a place whose distance nothing bounds, mm.</summary>
    private const double FirstLookMm = 8;

    /// <summary>Reads one side.</summary>
    /// <param name="side">The side.</param>
    /// <param name="facing">The samples opposite to the shape, by rising S; at least one.</param>
    /// <param name="fill">The shape and its placement.</param>
    public static ShapeReading Measure(Side side, TapeSample[] facing, PlannedFill fill)
    {
        var placed = new Placed(side, fill);
        var beyond = new double[facing.Length];
        double normal = AlongNormal(facing, placed, beyond), half = placed.Shape.ThreadMm / 2;

        var gaps = new Gap[facing.Length];
        var least = new double[facing.Length];
        var near = new Neighbourhood(placed);
        double bound = double.NaN;
        for (int i = 0; i < facing.Length; i++)
        {
            double step = i == 0 ? 0 : Distance(facing[i - 1], facing[i]);
            (double far, double between) = Nearest(facing, i, near, bound + step);
            bound = far;
            gaps[i] = new(facing[i].S, beyond[i] < 0 ? beyond[i] : far - half);
            least[i] = beyond[i] < 0 ? beyond[i] : Math.Min(far, between) - half;
        }

        return new(gaps, least, normal);
    }

    /// <summary>Whether a placed shape is too near to, or too far from, one of the places at which others failed: most of many placements are told by one look.</summary>
    public static bool FailsAgain(TapeRow row, PlannedFill fill, double minGapMm, double spacingMm, Tolerances t)
    {
        List<int> failed = row.Failed;
        if (failed.Count == 0)
        {
            return false;
        }

        var placed = new Placed(row.Side, fill);
        (double from, double to) = fill.FacingStretch(row.Side);
        (int first, int last) = row.SeenWithin(from, to);
        for (int k = 0; k < failed.Count; k++)
        {
            if (failed[k] >= first && failed[k] <= last && !Holds(placed, row.Samples[failed[k]], minGapMm, spacingMm, t))
            {
                (failed[0], failed[k]) = (failed[k], failed[0]);
                return true;
            }
        }

        return false;
    }

    /// <summary>Looks for a place at which a placed shape fails, to ask it first from then on.</summary>
    public static void NoteFailure(TapeRow row, PlannedFill fill, double minGapMm, double spacingMm, Tolerances t)
    {
        const int Enough = 40;
        var placed = new Placed(row.Side, fill);
        (double from, double to) = fill.FacingStretch(row.Side);
        (int first, int last) = row.SeenWithin(from, to);
        for (int i = first; i <= last && row.Failed.Count < Enough; i++)
        {
            if (!Holds(placed, row.Samples[i], minGapMm, spacingMm, t))
            {
                row.Failed.Insert(0, i);
                return;
            }
        }
    }

    /// <summary>Whether one place is far enough from the shape, and near enough to it.</summary>
    private static bool Holds(Placed placed, in TapeSample at, double minGapMm, double spacingMm, Tolerances t)
    {
        double half = placed.Shape.ThreadMm / 2;
            double u = t.CoverageFactor * at.StandardUncertainty, least = minGapMm + half + u, most = spacingMm + half - u;
        bool near = false;
        foreach (double look in (ReadOnlySpan<double>)[least, Math.Min(most, 3 * least), most])
        {
            foreach (int number in placed.Near(at.Q, at.S, look))
            {
                FillRun run = placed.Shape.Runs[number];
                (double q0, double s0) = placed.Point(run.From);
                for (int k = run.From; k < run.To; k++)
                {
                    (double q1, double s1) = placed.Point(k + 1);
                    double far2 = Squared(at.Q, at.S, q0, s0, q1, s1);
                    if (far2 < (least * least) - 1e-9)
                    {
                        return false;
                    }

                    near |= far2 <= (most * most) + 1e-9;
                    (q0, s0) = (q1, s1);
                }
            }

            if (near)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>The smallest distance along the normal; for each place that the shape lies beyond, how far beyond.</summary>
    private static double AlongNormal(TapeSample[] facing, Placed placed, double[] beyond)
    {
        double first = facing[0].S, last = facing[^1].S, lowest = facing.Min(s => s.Q), half = placed.Shape.ThreadMm / 2;
        FillRun[] runs = placed.Shape.Runs;
        int highest = -1;
        double top = double.NegativeInfinity;
        for (int i = 0; i < runs.Length; i++)
        {
            (double runTop, double from, double to) = placed.Reach(runs[i]);
            if (to >= first && from <= last && runTop > top)
            {
                (highest, top) = (i, runTop);
            }
        }

        double best = double.PositiveInfinity;
        if (highest < 0)
        {
            return best;
        }

        Look(runs[highest]);
        for (int i = 0; i < runs.Length; i++)
        {
            (double runTop, double from, double to) = placed.Reach(runs[i]);
            if (to >= first && from <= last && lowest - runTop - half < Math.Max(best, 0))
            {
                Look(runs[i]);
            }
        }

        return best;

        void Look(FillRun run)
        {
            (double q0, double s0) = placed.Point(run.From);
            Meet(q0, s0);
            for (int k = run.From + 1; k <= run.To; k++)
            {
                (double q1, double s1) = placed.Point(k);
                Meet(q1, s1);
                (double left, double right) = s0 < s1 ? (s0, s1) : (s1, s0);
                for (int j = Above(facing, left); j < facing.Length && facing[j].S <= right; j++)
                {
                    double part = s1 == s0 ? 0 : (facing[j].S - s0) / (s1 - s0);
                    Found(j, facing[j].Q - (q0 + (part * (q1 - q0))) - half);
                }

                (q0, s0) = (q1, s1);
            }
        }

        void Meet(double q, double s)
        {
            int j = Above(facing, s);
            if (j < facing.Length && facing[j].S == s)
            {
                Found(j, facing[j].Q - q - half);
            }
            else if (j > 0 && j < facing.Length)
            {
                TapeSample a = facing[j - 1], b = facing[j];
                double part = (s - a.S) / (b.S - a.S);
                Found(part < 0.5 ? j - 1 : j, a.Q + (part * (b.Q - a.Q)) - q - half);
            }
        }

        void Found(int j, double gap)
        {
            best = Math.Min(best, gap);
            beyond[j] = Math.Min(beyond[j], gap);
        }
    }

    /// <summary>
    /// Distance of a place from the shape, and the smallest between the stretch of edge beside it and the shape's points where that is smaller; thread not counted.
    /// </summary>
    private static (double Place, double Beside) Nearest(TapeSample[] facing, int i, Neighbourhood near, double bound)
    {
        TapeSample at = facing[i];
        double before = i > 0 ? Distance(facing[i - 1], at) : 0, after = i + 1 < facing.Length ? Distance(at, facing[i + 1]) : 0, step = Math.Max(before, after);
        double look = double.IsNaN(bound) ? FirstLookMm : bound;
        while (true)
        {
            List<PlacedRun> runs = near.Around(at, look + step + 1e-6);
            double place = double.PositiveInfinity;
            foreach (PlacedRun run in runs)
            {
                if (run.Squared(at) >= place)
                {
                    continue;
                }

                ReadOnlySpan<(double Q, double S)> points = run.Points;
                (double q0, double s0) = points[0];
                for (int k = 1; k < points.Length; k++)
                {
                    (double q1, double s1) = points[k];
                    place = Math.Min(place, Squared(at.Q, at.S, q0, s0, q1, s1));
                    (q0, s0) = (q1, s1);
                }
            }

            double far = Math.Sqrt(place);
            if (!(far <= look * (1 + 1e-9)) && look <= 1e6)
            {
                look *= 2;
                continue;
            }

            // A point that is nearer to the edge beside the place than the place is to the shape lies at most a step farther from the place.
            double beside = place, reach2 = (far + step) * (far + step);
            foreach (PlacedRun run in runs)
            {
                if (run.Squared(at) > reach2)
                {
                    continue;
                }

                foreach ((double q, double s) in run.Points)
                {
                    if (((q - at.Q) * (q - at.Q)) + ((s - at.S) * (s - at.S)) <= reach2)
                    {
                        beside = Math.Min(beside, before > 0 ? Squared(q, s, facing[i - 1].Q, facing[i - 1].S, at.Q, at.S) : place);
                        beside = Math.Min(beside, after > 0 ? Squared(q, s, at.Q, at.S, facing[i + 1].Q, facing[i + 1].S) : place);
                    }
                }
            }

            return (far, Math.Sqrt(beside));
        }
    }

    /// <summary>Squared distance of (q, s) from a segment.</summary>
    private static double Squared(double q, double s, double q0, double s0, double q1, double s1)
    {
        double dq = q1 - q0, ds = s1 - s0, long2 = (dq * dq) + (ds * ds);
        double part = long2 > 0 ? Math.Clamp((((q - q0) * dq) + ((s - s0) * ds)) / long2, 0, 1) : 0;
        double a = q - q0 - (part * dq), b = s - s0 - (part * ds);
        return (a * a) + (b * b);
    }

    private static double Distance(TapeSample a, TapeSample b) => Math.Sqrt(((a.Q - b.Q) * (a.Q - b.Q)) + ((a.S - b.S) * (a.S - b.S)));

    /// <summary>The first sample at or above a place along the side.</summary>
    private static int Above(TapeSample[] facing, double s)
    {
        int low = 0, high = facing.Length;
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = facing[middle].S < s ? (middle + 1, high) : (low, middle);
        }

        return low;
    }

    /// <summary>A run where it lies, with its box.</summary>
    private sealed class PlacedRun
    {
        private readonly (double Q, double S)[] _points;
        private readonly double _q0 = double.MaxValue, _q1 = double.MinValue, _s0 = double.MaxValue, _s1 = double.MinValue;

        public PlacedRun(Placed placed, FillRun run)
        {
            _points = new (double, double)[run.To - run.From + 1];
            for (int i = 0; i < _points.Length; i++)
            {
                (double q, double s) = _points[i] = placed.Point(run.From + i);
                (_q0, _q1, _s0, _s1) = (Math.Min(_q0, q), Math.Max(_q1, q), Math.Min(_s0, s), Math.Max(_s1, s));
            }
        }

        public ReadOnlySpan<(double Q, double S)> Points => _points;

        /// <summary>Squared distance of a place from the box.</summary>
        public double Squared(in TapeSample at)
        {
            double q = Math.Max(0, Math.Max(_q0 - at.Q, at.Q - _q1)), s = Math.Max(0, Math.Max(_s0 - at.S, at.S - _s1));
            return (q * q) + (s * s);
        }
    }

    /// <summary>The runs near a place, kept for the next places while it reaches: neighbouring places have the same neighbours.</summary>
    private sealed class Neighbourhood(Placed placed)
    {
        private const double Ahead = 12;

        private readonly Dictionary<int, PlacedRun> _known = [];
        private readonly List<PlacedRun> _runs = [];
        private double _q, _s, _reach = -1;

        public List<PlacedRun> Around(in TapeSample at, double distance)
        {
            double q = at.Q - _q, s = at.S - _s;
            if (Math.Sqrt((q * q) + (s * s)) + distance > _reach)
            {
                (_q, _s, _reach) = (at.Q, at.S + Ahead, distance + Ahead);
                _runs.Clear();
                foreach (int number in placed.Near(_q, _s, _reach))
                {
                    if (!_known.TryGetValue(number, out PlacedRun? run))
                    {
                        _known[number] = run = new(placed, placed.Shape.Runs[number]);
                    }

                    _runs.Add(run);
                }
            }

            return _runs;
        }
    }

    /// <summary>A shape where it lies, in the coordinates of a side: one affine map of its points.</summary>
    private sealed class Placed
    {
        private readonly double _q, _qx, _qy, _s, _sx, _sy, _grow;

        public Placed(Side side, PlannedFill fill)
        {
            Shape = fill.Outline!;
            HoopVector n = side.Normal(), t = side.Along();
            HoopPoint o = fill.AtShape(0, 0);
            HoopVector ex = fill.AtShape(1, 0) - o, ey = fill.AtShape(0, 1) - o;
            (_q, _qx, _qy) = ((o.X * n.X) + (o.Y * n.Y), ex.Dot(n), ey.Dot(n));
            (_s, _sx, _sy) = ((o.X * t.X) + (o.Y * t.Y), ex.Dot(t), ey.Dot(t));

            // Both columns are the turned axes of the shape, at right angles: their lengths are all its stretching. A line has but one.
            double least = Math.Min(ex.Length > 0 ? ex.Length : double.PositiveInfinity, ey.Length > 0 ? ey.Length : double.PositiveInfinity);
            _grow = double.IsFinite(least) ? 1 / least : 1;
        }

        public FillShape Shape { get; }

        public (double Q, double S) Point(int i)
        {
            double x = Shape.Xs[i], y = Shape.Ys[i];
            return (_q + (_qx * x) + (_qy * y), _s + (_sx * x) + (_sy * y));
        }

        /// <summary>How far out a run may reach, and its stretch along the side.</summary>
        public (double Top, double From, double To) Reach(in FillRun run)
        {
            double x = (run.Left + run.Right) / 2, y = (run.Bottom + run.Top) / 2, hx = (run.Right - run.Left) / 2, hy = (run.Top - run.Bottom) / 2;
            double s = _s + (_sx * x) + (_sy * y), hs = (Math.Abs(_sx) * hx) + (Math.Abs(_sy) * hy);
            return (_q + (_qx * x) + (_qy * y) + (Math.Abs(_qx) * hx) + (Math.Abs(_qy) * hy), s - hs, s + hs);
        }

        /// <summary>The runs that may have a point within a distance.</summary>
        public IList<int> Near(double q, double s, double distance)
        {
            double dq = q - _q, ds = s - _s, down = (_qx * _sy) - (_qy * _sx), reach = distance * _grow;
            if (down == 0)
            {
                // A shape without width or without height: its one axis.
                double along2 = (_qx * _qx) + (_sx * _sx), up2 = (_qy * _qy) + (_sy * _sy);
                double x0 = along2 > 0 ? ((dq * _qx) + (ds * _sx)) / along2 : 0, y0 = up2 > 0 ? ((dq * _qy) + (ds * _sy)) / up2 : 0;
                return Shape.RunsNear(x0 - reach, y0 - reach, x0 + reach, y0 + reach);
            }

            double x = ((dq * _sy) - (ds * _qy)) / down, y = ((ds * _qx) - (dq * _sx)) / down;
            return Shape.RunsNear(x - reach, y - reach, x + reach, y + reach);
        }
    }
}

/// <summary>What a side of a free shape reads, mm.</summary>
/// <param name="Gaps">At each place of the tape's edge.</param>
/// <param name="LeastMm">The smallest there and half-way to the neighbouring places.</param>
/// <param name="NormalMm">The smallest along the side's normal.</param>
internal sealed record ShapeReading(Gap[] Gaps, double[] LeastMm, double NormalMm);
