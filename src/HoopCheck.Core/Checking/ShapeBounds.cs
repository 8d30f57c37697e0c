using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using HoopCheck.Rules;
using Lanes = System.Numerics.Vector<double>;

namespace HoopCheck.Checking;

/// <summary>
/// A free shape's bounds. Its upper profile, widened by discs of the least gap and of the spacing (a dilation, the Minkowski sum with a
/// disc), is made once for a turn; a place of the tape must then lie above the one and below the other, which is a look into two rows, whatever the shape.
/// </summary>
/// <remarks>
/// A change of size stretches the shape along its own axes: the place is taken back through that map, and the discs' radii through its
/// smallest or largest stretching. Between two radii the wider dilation is higher by at least their difference, so one row does for all
/// sizes and all uncertainties. Rows have cells; each holds a value that is on the safe side for every place in it.
/// Places between which the tape rises by more than 45 degrees are not asked for the least gap: there the shape may pass below the tape and above the disc.
/// </remarks>
internal sealed class ShapeBounds : SideBounds
{
    private const double Cell = 0.5, Empty = -1e9;

    private readonly double _origin, _nearRadius, _farRadius, _low, _high, _deepCore, _longCore;
    private readonly StretchMax _far, _near;
    private readonly double[] _least, _most;
    private readonly bool[] _steep;
    private int _tightFrom = -1, _tightTo = -1;

    /// <inheritdoc cref="SideBounds(TapeRow, PlannedFill, Tolerances)"/>
    public ShapeBounds(
        TapeRow row, PlannedFill fill, Tolerances t, double minGapMm, double spacingMm, double smallestStretch, double largestStretch)
        : base(row, fill, t)
    {
        (Side side, TapeSample[] sound) = (row.Side, row.Samples);
        FillShape shape = fill.Outline!;
        bool across = (side is Side.Left or Side.Right) == (fill.QuarterTurns % 2 == 0);
        (_deepCore, _longCore) = across ? (fill.Width - shape.ThreadMm, fill.Height - shape.ThreadMm) : (fill.Height - shape.ThreadMm, fill.Width - shape.ThreadMm);
        double half = shape.ThreadMm / 2;
        _least = [.. sound.Select(s => minGapMm + SlackMm + half + (t.CoverageFactor * s.StandardUncertainty))];
        _most = [.. sound.Select(s => spacingMm - SlackMm + half - (t.CoverageFactor * s.StandardUncertainty))];
        _steep = new bool[sound.Length];
        for (int i = 1; i < sound.Length; i++)
        {
            if (Math.Abs(sound[i].Q - sound[i - 1].Q) > sound[i].S - sound[i - 1].S)
            {
                _steep[i] = _steep[i - 1] = true;
            }
        }

        _nearRadius = Math.Max(0, _least.Append(1e3).Min() / largestStretch);
        _farRadius = Math.Max(0, _most.Append(0).Max() / smallestStretch);

        ShapeProfile profile = ShapeProfile.Of(side, fill, Cell, _farRadius + 1);
        (_origin, _low, _high) = (profile.Origin, profile.Low - half, profile.High + half);
        _near = new(Dilated(profile.Heights, Cell, _nearRadius, sure: true));
        _far = new(Dilated(profile.Heights, Cell, _farRadius, sure: false));
    }

    /// <inheritdoc/>
    public override (double From, double To) Room(in SideBox box)
    {
        double deepFrom = Stretch(box.DeepFrom, _deepCore), deepTo = Stretch(box.DeepTo, _deepCore), longFrom = Stretch(box.LongFrom, _longCore), longTo = Stretch(box.LongTo, _longCore);
        double alongFrom = CentreS + box.AlongFrom, alongTo = CentreS + box.AlongTo;

        // The ends of the breadth move by half the growth, and when turned by what the depth's growth adds at most.
        double lean = Math.Abs(Lean), spread = Math.Max(Math.Abs(box.DeepFrom), Math.Abs(box.DeepTo)) / 2 * lean;
        double least = (lean == 0 ? box.LongFrom : Math.Min(0, box.LongFrom)) / 2 - spread, most = (lean == 0 ? box.LongTo : Math.Max(0, box.LongTo)) / 2 + spread;
        (double coreFrom, double coreTo, double wideFrom, double wideTo) = (alongTo + _low - least, alongFrom + _high + least, alongFrom + _low - most, alongTo + _high + most);
        if (!Facing(coreFrom, coreTo, wideFrom, wideTo, _high - _low + (2 * least), out int first, out int last))
        {
            return Nothing;
        }

        // e: own axes in the side's coordinates; stretched by d across and l along, a place (q, s) is S·(q'', s'') with
        // S = d·a·aᵀ + l·b·bᵀ, a = (cos, −lean), b = (lean, cos).
        double cc = Cos * Cos, ww = Lean * Lean, cw = Cos * Lean;
        double qqFrom = (deepFrom * cc) + (longFrom * ww), qqTo = (deepTo * cc) + (longTo * ww);
        double qsFrom = Math.Min(cw * (longFrom - deepTo), cw * (longTo - deepFrom)), qsTo = Math.Max(cw * (longFrom - deepTo), cw * (longTo - deepFrom));
        double narrow = 1 / Math.Max(deepTo, longTo), broad = 1 / Math.Min(deepFrom, longFrom);
        TapeSample[] samples = Samples;
        double from = double.NegativeInfinity, to = double.PositiveInfinity, centreFrom = CentreQ + box.MoveFrom, centreTo = CentreQ + box.MoveTo;
        double sScale0 = (ww / deepTo) + (cc / longTo), sScale1 = (ww / deepFrom) + (cc / longFrom);
        double shear0 = cw * ((1 / longTo) - (1 / deepFrom)), shear1 = cw * ((1 / longFrom) - (1 / deepTo));

        // First those that decided last time: most boxes end there.
        if (Ask(_tightFrom) || Ask(_tightTo))
        {
            return Nothing;
        }

        // The ends of the breadth are places, too: always the same ones of the shape, and often the farthest from it.
        if (Nearest(Math.Min(wideFrom, coreFrom), Math.Max(wideFrom, coreFrom)) is { } begin && Far(begin.Q, begin.Most, _low - most, _low - least, -1)
            || Nearest(Math.Min(wideTo, coreTo), Math.Max(wideTo, coreTo)) is { } end && Far(end.Q, end.Most, _high + least, _high + most, -1))
        {
            return Nothing;
        }

        bool one = box.AlongFrom == box.AlongTo && box.DeepFrom == box.DeepTo && box.LongFrom == box.LongTo;
        int step = one ? 1 : Math.Max(1, (last - first) / 12);
        for (int i = first; i <= last; i += step)
        {
            if (Ask(i))
            {
                return Nothing;
            }
        }

        return (from - CentreQ - 1e-9, to - CentreQ + 1e-9);

        // Takes one sample into account; true when nothing is left of the box.
        bool Ask(int i)
        {
            if (i < first || i > last)
            {
                return false;
            }

            ref readonly TapeSample at = ref samples[i];
            (double sFrom, double sTo) = (at.S - alongTo, at.S - alongFrom);
            if (Far(at.Q, _most[i], sFrom, sTo, i))
            {
                return true;
            }

            if (!_steep[i])
            {
                Back(at.Q, sFrom, sTo, out int c0, out int c1, out double tilt0, out _);
                double near = -_near.Of(c0, c1) + ((_least[i] * narrow) - _nearRadius), high = at.Q - (near > 0 ? near * qqFrom : near * qqTo) - tilt0;
                if (high < to)
                {
                    (to, _tightTo) = (high, i);
                }
            }

            return from > to || to < centreFrom - 1e-9;
        }

        // A place must not be farther than the most from the shape.
        bool Far(double q, double farthest, double sFrom, double sTo, int i)
        {
            Back(q, sFrom, sTo, out int c0, out int c1, out _, out double tilt1);
            double far = _far.Of(c0, c1) - (_farRadius - (farthest * broad)), low = q - (far > 0 ? far * qqTo : far * qqFrom) - tilt1;
            if (low > from)
            {
                (from, _tightFrom) = (low, i < 0 ? _tightFrom : i);
            }

            return from > to || from > centreTo + 1e-9;
        }

        // Back into the shape's own size: s'' = q·cw·(1/l − 1/d) + s·(ww/d + cc/l).
        void Back(double q, double sFrom, double sTo, out int c0, out int c1, out double tilt0, out double tilt1)
        {
            double a = sFrom * (sFrom > 0 ? sScale0 : sScale1), b = sTo * (sTo > 0 ? sScale1 : sScale0);
            (tilt0, tilt1) = (0, 0);
            if (cw != 0)
            {
                double q0 = q - centreTo, q1 = q - centreFrom;
                a += Math.Min(Math.Min(q0 * shear0, q0 * shear1), Math.Min(q1 * shear0, q1 * shear1));
                b += Math.Max(Math.Max(q0 * shear0, q0 * shear1), Math.Max(q1 * shear0, q1 * shear1));
                tilt0 = Math.Min(Math.Min(a * qsFrom, a * qsTo), Math.Min(b * qsFrom, b * qsTo));
                tilt1 = Math.Max(Math.Max(a * qsFrom, a * qsTo), Math.Max(b * qsFrom, b * qsTo));
            }

            (c0, c1) = (Index(a), Index(b));
        }

        static double Stretch(double growth, double core) => core > 0 ? Math.Max(1e-6, (core + growth) / core) : 1;
    }

    /// <summary>
    /// The least favourable but surely passed place between two places: no farther out than any of them, with no less room than any; null
    /// where they are not all read.
    /// </summary>
    private (double Q, double Most)? Nearest(double from, double to)
    {
        if (ReadBetween(from, to) is not { } read)
        {
            return null;
        }

        (int before, int after) = read;
        (double q, double most) = Between(from, Math.Min(before + 1, after));
        (double q1, double most1) = Between(to, after);
        (q, most) = (Math.Min(q, q1), Math.Max(most, most1));
        for (int i = before + 1; i < after; i++)
        {
            (q, most) = (Math.Min(q, Samples[i].Q), Math.Max(most, _most[i]));
        }

        return (q, most);

        (double, double) Between(double s, int right)
        {
            TapeSample a = Samples[right - 1], b = Samples[right];
            double part = Math.Clamp((s - a.S) / (b.S - a.S), 0, 1);
            return (a.Q + (part * (b.Q - a.Q)), _most[right - 1] + (part * (_most[right] - _most[right - 1])));
        }
    }

    private int Index(double s) => Math.Clamp((int)((s - _origin) * (1 / Cell)), 0, _far.Length - 1);

    /// <summary>
    /// The profile widened by a disc. Sure: no cell holds more than the least over its places (negative, so that the largest of a stretch is
    /// the least); otherwise none holds less than the most.
    /// </summary>
    private static double[] Dilated(double[] heights, double cell, double radius, bool sure)
    {
        int n = heights.Length, reach = (int)(radius / cell) + 1, lanes = Lanes.Count;
        var padded = new double[n + (2 * reach) + lanes];
        Array.Fill(padded, Empty);
        heights.CopyTo(padded, reach);
        var wide = new double[n];
        Array.Fill(wide, Empty);
        for (int k = -reach; k <= reach; k++)
        {
            double apart = sure ? (Math.Abs(k) + 1) * cell : Math.Max(0, Math.Abs(k) - 1) * cell;
            if (apart > radius)
            {
                continue;
            }

            double rise = Math.Sqrt((radius * radius) - (apart * apart));
            int i = 0;
            for (; i <= n - lanes; i += lanes)
            {
                System.Numerics.Vector.Max(new Lanes(wide, i), new Lanes(padded, i + reach + k) + new Lanes(rise)).CopyTo(wide, i);
            }

            for (; i < n; i++)
            {
                wide[i] = Math.Max(wide[i], padded[i + reach + k] + rise);
            }
        }

        if (sure)
        {
            for (int i = 0; i < n; i++)
            {
                wide[i] = -wide[i];
            }
        }

        return wide;
    }
}

/// <summary>How far out a shape reaches at each place along a side, about the fill's centre, thread not counted.</summary>
/// <param name="Origin">Place along the side at which the first cell begins, mm.</param>
/// <param name="Heights">Farthest point of the shape in each cell, mm; far below 0 in empty ones.</param>
/// <param name="Low">Smallest place of the shape along the side, mm.</param>
/// <param name="High">Largest one, mm.</param>
internal sealed record ShapeProfile(double Origin, double[] Heights, double Low, double High)
{
    /// <summary>Reads it off the shape as it is turned and sized.</summary>
    public static ShapeProfile Of(Side side, PlannedFill fill, double cell, double margin)
    {
        FillShape shape = fill.Outline!;
        PlannedFill middle = fill with { Centre = new(0, 0) };
        HoopVector n = side.Normal(), along = side.Along();
        HoopVector x = middle.AtShape(1, 0) - new HoopPoint(0, 0), y = middle.AtShape(0, 1) - new HoopPoint(0, 0);
        (double qx, double qy, double sx, double sy) = (x.Dot(n), y.Dot(n), x.Dot(along), y.Dot(along));
        double low = double.MaxValue, high = double.MinValue;
        foreach (HoopPoint p in shape.Hull)
        {
            double s = (sx * p.X) + (sy * p.Y);
            (low, high) = (Math.Min(low, s), Math.Max(high, s));
        }

        double origin = low - margin - cell;
        var heights = new double[(int)Math.Ceiling((high + margin - origin) / cell) + 2];
        Array.Fill(heights, -1e9);
        ReadOnlySpan<double> xs = shape.Xs, ys = shape.Ys;
        foreach (FillRun run in shape.Runs)
        {
            double q0 = (qx * xs[run.From]) + (qy * ys[run.From]), s0 = (sx * xs[run.From]) + (sy * ys[run.From]);
            for (int i = run.From + 1; i <= run.To; i++)
            {
                double q1 = (qx * xs[i]) + (qy * ys[i]), s1 = (sx * xs[i]) + (sy * ys[i]);
                int c0 = (int)((s0 - origin) / cell), c1 = (int)((s1 - origin) / cell);
                heights[c0] = Math.Max(heights[c0], q0);
                heights[c1] = Math.Max(heights[c1], q1);
                if (c0 != c1)
                {
                    // Where the segment passes from cell to cell it belongs to both.
                    double slope = (q1 - q0) / (s1 - s0);
                    for (int c = Math.Min(c0, c1) + 1, last = Math.Max(c0, c1); c <= last; c++)
                    {
                        double q = q0 + (slope * (origin + (c * cell) - s0));
                        heights[c] = Math.Max(heights[c], q);
                        heights[c - 1] = Math.Max(heights[c - 1], q);
                    }
                }

                (q0, s0) = (q1, s1);
            }
        }

        return new(origin, heights, low, high);
    }
}
