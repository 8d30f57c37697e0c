using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>What a search may do to the fill, and how far it may go.</summary>
/// <param name="NudgeStepMm">Step of a move.</param>
/// <param name="Widths">Changes of the fill's own width, mm; 0 among them.</param>
/// <param name="Heights">Changes of the fill's own height, mm; 0 among them.</param>
/// <param name="Turns">Turns, degrees; 0 among them.</param>
/// <param name="FieldWidth">Where the needle may go, mm; infinite: anywhere.</param>
/// <param name="FieldHeight">Where the needle may go, mm; infinite: anywhere.</param>
internal sealed record Freedom(
    double NudgeStepMm, IReadOnlyList<double> Widths, IReadOnlyList<double> Heights, IReadOnlyList<double> Turns, double FieldWidth, double FieldHeight);

/// <summary>
/// Finds the first change, in the order of preference, that makes every side hold: a nudge; a change of size whose far edge stays
/// where it was; any change of size; a turn; both. Among those of a kind the smallest, see <see cref="Find"/>.
/// </summary>
/// <remarks>
/// For a fill of given size and turn the room for a move is a box with sides that depend on the move along the other axis only, because
/// that shifts which part of the tape is faced: so each size and turn costs a few dozen measurements, not one for each place on
/// the grid. Sizes and turns that cannot do are left out by a relaxation, in which only the part of each tape counts that every
/// candidate faces. For a rectangle nothing is approximated: what is found is the smallest on the machine's own grid. A free shape's
/// distances do not go one to one with a move, and its search is cut short: what is found holds, but a smaller change may be missed.
/// A fill is never nudged along an axis without tape (nobody knows what lies there), except to keep its far edge or to stay in the field.
/// </remarks>
internal sealed class CorrectionSearch
{
    /// <summary>What must be left over everywhere, mm, so that numbers rounded to three decimals in a report still hold.</summary>
    public const double SlackMm = 0.001;

    private const double Rounding = 1e-9;

    /// <summary>Measurements of one side that may be spent on a free shape, and on one of very many points.</summary>
    /// <remarks>Each costs 0.1 to 1 ms, and a person waits; a rectangle's cost a thousandth of that and are not counted.</remarks>
    private const int MostMeasured = 5000, MostMeasuredLarge = 200, Large = 20_000;

    private readonly (Side Side, TapeSample[] Sound, TapeSample[] Within)[] _tapes;
    private readonly PlannedFill _fill;
    private readonly Freedom _freedom;
    private readonly double _minGap, _spacing, _halfWidth, _halfHeight;
    private readonly Tolerances _t;
    private readonly bool _quarter, _tapedX, _tapedY;
    private readonly double[] _growX, _growY;
    private int _left;

    public CorrectionSearch(IReadOnlyList<TapeEdge> tapes, PlannedFill fill, Freedom freedom, double minGapMm, double spacingMm, Tolerances tolerances)
    {
        _tapes = [.. tapes.Select(tape => (tape.Side, ClearanceCheck.Sound(tape))).Select(s => (s.Side, s.Item2, new TapeSample[s.Item2.Length + 2]))];
        (_fill, _freedom, _minGap, _spacing, _t) = (fill, freedom, minGapMm, spacingMm, tolerances);
        _left = fill.Outline is not { } shape ? int.MaxValue : shape.Xs.Length > Large ? MostMeasuredLarge : MostMeasured;
        (_halfWidth, _halfHeight) = (freedom.FieldWidth / 2, freedom.FieldHeight / 2);
        _tapedX = tapes.Any(tape => tape.Side is Side.Left or Side.Right);
        _tapedY = tapes.Any(tape => tape.Side is Side.Top or Side.Bottom);

        // Turned by a quarter, a fill's own width lies along the hoop's y.
        _quarter = fill.QuarterTurns % 2 != 0;
        _growX = [.. _quarter ? freedom.Heights : freedom.Widths];
        _growY = [.. _quarter ? freedom.Widths : freedom.Heights];
    }

    /// <summary>A change: sizes along the hoop's axes, turn, and presses of the arrow keys.</summary>
    private readonly record struct Candidate(double GrowX, double GrowY, double Turn, int X, int Y, double Margin)
    {
        public int Presses => Math.Abs(X) + Math.Abs(Y);

        /// <summary>Fewer presses first, then more room to the nearest limit.</summary>
        public bool IsBetterThan(Candidate? other) =>
            other is not { } o || Presses < o.Presses || (Presses == o.Presses && Margin > o.Margin + Rounding);
    }

    /// <summary>Finds the change.</summary>
    /// <returns>
    /// The steps, or null where there is none. Nudges: fewest presses. Sizes: least change of width and height together, then fewest presses.
    /// Turns: smallest angle, then fewest presses. Both: least change of size, then smallest angle, then fewest presses. Of equals the one
    /// that leaves most room to the nearest limit.
    /// </returns>
    public IReadOnlyList<FillChange>? Find()
    {
        Relaxed? straight = Relax(0);
        Candidate? found = null;
        if (straight is not null)
        {
            found = Nudged(straight, 0, 0, keep: false);
            if (found is null && _growX.Length + _growY.Length > 2)
            {
                List<(double Sum, double Turn, double X, double Y)> sizes = [.. Sizes(straight).OrderBy(s => s.Sum)];
                found = FirstOf(sizes, _ => straight, keep: true) ?? FirstOf(sizes, _ => straight, keep: false);
            }
        }

        if (found is null && _freedom.Turns.Count > 1)
        {
            Relaxed[] turned = [.. _freedom.Turns.Where(turn => turn != 0).OrderBy(Math.Abs).Select(Relax).OfType<Relaxed>()];
            Dictionary<double, Relaxed> by = turned.ToDictionary(r => r.Turn);
            found = FirstOf([.. turned.Select(r => (0.0, r.Turn, 0.0, 0.0))], turn => by[turn], keep: false);
            if (found is null && _growX.Length + _growY.Length > 2)
            {
                found = FirstOf([.. turned.SelectMany(Sizes).OrderBy(s => s.Sum).ThenBy(s => Math.Abs(s.Turn))], turn => by[turn], keep: false);
            }
        }

        return found is { } c ? Steps(c) : null;
    }

    private List<FillChange> Steps(Candidate c)
    {
        var steps = new List<FillChange>();
        (double width, double height) = _quarter ? (c.GrowY, c.GrowX) : (c.GrowX, c.GrowY);
        if (width != 0)
        {
            steps.Add(FillChange.Resize(FillAxis.X, width));
        }

        if (height != 0)
        {
            steps.Add(FillChange.Resize(FillAxis.Y, height));
        }

        if (c.Turn != 0)
        {
            steps.Add(FillChange.Turn(c.Turn));
        }

        if (c.X != 0)
        {
            steps.Add(FillChange.Nudge(FillAxis.X, c.X * _freedom.NudgeStepMm));
        }

        if (c.Y != 0)
        {
            steps.Add(FillChange.Nudge(FillAxis.Y, c.Y * _freedom.NudgeStepMm));
        }

        return steps;
    }

    /// <summary>The best of the first group, equal in size and angle, in which there is any.</summary>
    private Candidate? FirstOf(List<(double Sum, double Turn, double X, double Y)> sizes, Func<double, Relaxed> relaxed, bool keep)
    {
        Candidate? best = null;
        for (int i = 0; i < sizes.Count; i++)
        {
            (double sum, double turn, double x, double y) = sizes[i];
            if (best is not null && (sum > sizes[i - 1].Sum + 1e-6 || Math.Abs(turn) > Math.Abs(sizes[i - 1].Turn) + 1e-6))
            {
                return best;
            }

            if (Nudged(relaxed(turn), x, y, keep) is { } found && found.IsBetterThan(best))
            {
                best = found;
            }
        }

        return best;
    }

    /// <summary>Changes of size that the relaxation and the field leave.</summary>
    private IEnumerable<(double Sum, double Turn, double X, double Y)> Sizes(Relaxed r)
    {
        // Turned, a fill's reach along one axis grows with both sizes: the smallest of the other is the best case.
        double shortX = _growX.Min(), shortY = _growY.Min();
        double[] ys = [.. _growY.Where(y => Shape(shortX, y, r.Turn) is var s && Leaves(_tapedY, r.RangeY(y), -_halfHeight - s.Bottom, _halfHeight - s.Top))];
        foreach (double x in _growX.Where(x => Shape(x, shortY, r.Turn) is var s && Leaves(_tapedX, r.RangeX(x), -_halfWidth - s.Left, _halfWidth - s.Right)))
        {
            foreach (double y in ys)
            {
                if (x != 0 || y != 0)
                {
                    // Rounded, so that sums that are equal on paper are equal here.
                    yield return (Math.Round(Math.Abs(x) + Math.Abs(y), 6), r.Turn, x, y);
                }
            }
        }

        bool Leaves(bool taped, (double From, double To) range, double fieldFrom, double fieldTo)
        {
            (double from, double to) = (fieldFrom - _t.FieldRoundingMm - Rounding, fieldTo + _t.FieldRoundingMm + Rounding);
            return taped ? Math.Max(range.From, from) <= Math.Min(range.To, to) : from <= to;
        }
    }

    /// <summary>The best nudge for one size and turn.</summary>
    private Candidate? Nudged(Relaxed r, double growX, double growY, bool keep)
    {
        if (_left <= 0)
        {
            return null;
        }

        PlannedFill shape = Shape(growX, growY, r.Turn);
        double step = _freedom.NudgeStepMm;
        List<int> xs = Presses(_tapedX, r.RangeX(growX), growX, keep, -_halfWidth - shape.Left, _halfWidth - shape.Right);
        List<int> ys = Presses(_tapedY, r.RangeY(growY), growY, keep, -_halfHeight - shape.Bottom, _halfHeight - shape.Top);
        var roomsY = new Dictionary<int, (double From, double To)>();
        Candidate? best = null;
        foreach (int y in ys)
        {
            if (_left <= 0 || (best is { } b && Math.Abs(y) > b.Presses))
            {
                break;
            }

            (double fromX, double toX) = Room(shape with { Centre = new(shape.Centre.X, shape.Centre.Y + (y * step)) }, Side.Left, Side.Right);
            foreach (int x in xs)
            {
                double dx = x * step, dy = y * step;
                if (best is { } sofar && Math.Abs(x) + Math.Abs(y) > sofar.Presses)
                {
                    break;
                }

                if (dx < fromX || dx > toX)
                {
                    continue;
                }

                if (!roomsY.TryGetValue(x, out (double From, double To) room))
                {
                    roomsY[x] = room = Room(shape with { Centre = new(shape.Centre.X + dx, shape.Centre.Y) }, Side.Bottom, Side.Top);
                }

                if (dy >= room.From && dy <= room.To && Holds(shape with { Centre = new(shape.Centre.X + dx, shape.Centre.Y + dy) }))
                {
                    double margin = Math.Min(Math.Min(dx - fromX, toX - dx), Math.Min(dy - room.From, room.To - dy));
                    var found = new Candidate(growX, growY, r.Turn, x, y, margin);
                    if (found.IsBetterThan(best))
                    {
                        best = found;
                    }
                }
            }
        }

        return best;
    }

    /// <summary>
    /// Whether a free shape holds where it is: its distances change by less than it is moved, so that the room for a move says only where to look.
    /// A rectangle's room is exact.
    /// </summary>
    private bool Holds(PlannedFill fill)
    {
        if (fill.Outline is null)
        {
            return true;
        }

        (double fromX, double toX) = Room(fill, Side.Left, Side.Right);
        (double fromY, double toY) = Room(fill, Side.Bottom, Side.Top);
        return fromX <= 0 && toX >= 0 && fromY <= 0 && toY >= 0;
    }

    private PlannedFill Shape(double growX, double growY, double turn)
    {
        (double width, double height) = _quarter ? (growY, growX) : (growX, growY);
        return _fill with { Width = _fill.Width + width, Height = _fill.Height + height, TurnDegrees = _fill.TurnDegrees + turn };
    }

    /// <summary>The numbers of presses worth trying along one axis, the fewest first.</summary>
    private List<int> Presses(bool taped, (double From, double To) range, double grow, bool keep, double fieldFrom, double fieldTo)
    {
        double step = _freedom.NudgeStepMm, from = fieldFrom - _t.FieldRoundingMm, to = fieldTo + _t.FieldRoundingMm;
        var presses = new SortedSet<int>(Comparer<int>.Create((a, b) => Math.Abs(a) != Math.Abs(b) ? Math.Abs(a).CompareTo(Math.Abs(b)) : a.CompareTo(b)));
        bool resized = grow != 0;
        if (resized && (keep || !taped))
        {
            // One edge stays, to the nearest press: a size changed by g about the centre moves each edge by g/2.
            foreach (double exact in (double[])[grow / 2, -grow / 2])
            {
                for (int n = (int)Math.Ceiling((exact / step) - 0.5 - Rounding); n <= (exact / step) + 0.5 + Rounding; n++)
                {
                    presses.Add(n);
                }
            }
        }
        else if (taped)
        {
            (double low, double high) = (Math.Max(range.From, from), Math.Min(range.To, to));
            for (int n = (int)Math.Ceiling((low / step) - Rounding); n <= (high / step) + Rounding; n++)
            {
                presses.Add(n);
            }
        }

        if (!taped && !(keep && resized))
        {
            presses.Add(from <= 0 && to >= 0 ? 0 : from > 0 ? (int)Math.Ceiling((from / step) - Rounding) : (int)Math.Floor((to / step) + Rounding));
        }

        presses.RemoveWhere(n => n * step < from - Rounding || n * step > to + Rounding);
        return [.. presses];
    }

    /// <summary>How far a fill may move along one axis so that the tapes on its two ends hold, mm.</summary>
    private (double From, double To) Room(PlannedFill fill, Side negative, Side positive)
    {
        (double from, double to) = (double.NegativeInfinity, double.PositiveInfinity);
        foreach ((Side side, TapeSample[] sound, TapeSample[] within) in _tapes)
        {
            if (side != negative && side != positive)
            {
                continue;
            }

            if (fill.Outline is not null && --_left < 0)
            {
                return (double.PositiveInfinity, double.NegativeInfinity);
            }

            SideFigures figures = ClearanceCheck.Figures(sound, side, fill, _t, within);
            if (!figures.MayBeClear(_t))
            {
                return (double.PositiveInfinity, double.NegativeInfinity);
            }

            (double inner, double outer) = figures.Room(_minGap, _spacing);
            (inner, outer) = (inner + SlackMm, outer - SlackMm);
            (from, to) = side == positive ? (Math.Max(from, inner), Math.Min(to, outer)) : (Math.Max(from, -outer), Math.Min(to, -inner));
        }

        return (from, to);
    }

    /// <summary>What every size and nudge at one turn must keep to at least; null where none can.</summary>
    private Relaxed? Relax(double turn)
    {
        PlannedFill fill = Shape(0, 0, turn);
        double degrees = fill.TurnDegrees - (90 * fill.QuarterTurns);
        (double sin, double cos) = Math.SinCos(degrees * Math.PI / 180);
        double tan = Math.Abs(sin / cos);
        sin = Math.Abs(sin);
        double shorterX = _growX.Min() / 2, longerX = _growX.Max() / 2, shorterY = _growY.Min() / 2, longerY = _growY.Max() / 2;
        double mostX = Math.Max(-shorterX, longerX), mostY = Math.Max(-shorterY, longerY);
        double farX = Farthest(_tapedX, mostX, _halfWidth, fill.Left, fill.Right, mostX + (mostY * sin));
        double farY = Farthest(_tapedY, mostY, _halfHeight, fill.Bottom, fill.Top, mostY + (mostX * sin));
        var sides = new (double From, double To)[4];
        for (int round = 0; round < 4; round++)
        {
            Array.Fill(sides, (double.NegativeInfinity, double.PositiveInfinity));
            foreach ((Side side, TapeSample[] sound, TapeSample[] within) in _tapes)
            {
                bool across = side is Side.Left or Side.Right;
                double along = across ? farY : farX;
                double inset = along + (across ? mostY + (mostX * sin) : mostX + (mostY * sin)) + Rounding;

                // Some place of the tape must be faced, and hold.
                EdgeLine edge = fill.FacingLine(side);
                (double least, double most) = (double.PositiveInfinity, double.NegativeInfinity);
                foreach (TapeSample sample in sound)
                {
                    double gap = sample.Q - edge.At(sample.S);
                    (least, most) = (Math.Min(least, gap), Math.Max(most, gap));
                }

                (double From, double To) range = (least - _spacing - (along * tan), most - _minGap + (along * tan));
                SideFigures core = fill.Outline is null ? ClearanceCheck.Figures(sound, side, fill, _t, within, inset) : SideFigures.None(0, 0);

                // A free shape brings another of its parts before a place when it moves along: no place is faced by all candidates alike.
                if (core.Last >= core.First)
                {
                    // Not the verdict's own test: the narrowest place of the core need not be the narrowest.
                    range = (Math.Max(range.From, core.MostSureMm - _spacing - (along * tan)), Math.Min(range.To, core.LeastSureMm - _minGap + (along * tan)));
                }

                sides[(int)side] = range;
            }

            (double fromX, double toX) = Range(sides[(int)Side.Left], sides[(int)Side.Right], shorterX / cos, longerX / cos);
            (double fromY, double toY) = Range(sides[(int)Side.Bottom], sides[(int)Side.Top], shorterY / cos, longerY / cos);
            if (fromX > toX || fromY > toY)
            {
                return null;
            }

            if (_tapedX)
            {
                farX = Math.Min(farX, Math.Max(Math.Abs(fromX), Math.Abs(toX)));
            }

            if (_tapedY)
            {
                farY = Math.Min(farY, Math.Max(Math.Abs(fromY), Math.Abs(toY)));
            }
        }

        return new(turn, cos, sides);
    }

    /// <summary>The longest nudge along one axis that can come into question.</summary>
    private double Farthest(bool taped, double grow, double half, double low, double high, double spread)
    {
        const double WithoutField = 100;
        if (double.IsInfinity(half))
        {
            return taped ? WithoutField : grow + _freedom.NudgeStepMm;
        }

        double into = Math.Max(0, Math.Max(high + spread - half, -half - low + spread));
        return taped ? Math.Max(Math.Abs(half - high), Math.Abs(half + low)) + spread : Math.Max(grow, into) + _freedom.NudgeStepMm;
    }

    /// <summary>The moves along one axis that any size between two leaves, each edge moved out by half the change.</summary>
    private static (double From, double To) Range((double From, double To) negative, (double From, double To) positive, double shorter, double longer) =>
        (Math.Max(positive.From - longer, shorter - negative.To), Math.Min(positive.To - shorter, longer - negative.From));

    private sealed record Relaxed(double Turn, double Cos, (double From, double To)[] Sides)
    {
        public (double From, double To) RangeX(double grow) => Range(Sides[(int)Side.Left], Sides[(int)Side.Right], grow / 2 / Cos, grow / 2 / Cos);

        public (double From, double To) RangeY(double grow) => Range(Sides[(int)Side.Bottom], Sides[(int)Side.Top], grow / 2 / Cos, grow / 2 / Cos);
    }
}
