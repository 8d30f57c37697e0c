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
/// Best-first branch and bound over the machine's own grid: boxes of sizes and presses wait in the order of the cheapest change they hold; a box is
/// narrowed by what each side and the field leave of it (<see cref="SideBounds"/>, the relaxation), dropped when nothing is left, and otherwise halved.
/// A single change is measured. So the first that holds is the smallest, and when no box is left there is none.
/// A fill is never nudged along an axis without tape (nobody knows what lies there), except to keep its far edge or to stay in the field.
/// </remarks>
internal sealed class CorrectionSearch
{
    private const double Rounding = 1e-9;

    /// <summary>Boxes after which a search is given up, half a second's; the hardest of thousands of generated cases took a tenth.</summary>
    public const int MostBoxes = 200_000;

    private readonly TapeRow[] _tapes;
    private readonly PlannedFill _fill;
    private readonly Freedom _freedom;
    private readonly double _minGap, _spacing, _halfWidth, _halfHeight;
    private readonly Tolerances _t;
    private readonly bool _quarter, _tapedX, _tapedY;
    private readonly double[] _growX, _growY;
    private readonly Dictionary<double, SideBounds[]> _bounds = [];
    private readonly int[] _order;
    private int _boxes;

    public CorrectionSearch(IReadOnlyList<TapeEdge> tapes, PlannedFill fill, Freedom freedom, double minGapMm, double spacingMm, Tolerances tolerances)
    {
        _tapes = [.. tapes.Select(tape => new TapeRow(tape, tolerances))];
        _order = [.. Enumerable.Range(0, _tapes.Length)];
        (_fill, _freedom, _minGap, _spacing, _t) = (fill, freedom, minGapMm, spacingMm, tolerances);
        (_halfWidth, _halfHeight) = (freedom.FieldWidth / 2, freedom.FieldHeight / 2);
        _tapedX = tapes.Any(tape => tape.Side is Side.Left or Side.Right);
        _tapedY = tapes.Any(tape => tape.Side is Side.Top or Side.Bottom);

        // Turned by a quarter, a fill's own width lies along the hoop's y.
        _quarter = fill.QuarterTurns % 2 != 0;
        _growX = [.. (_quarter ? freedom.Heights : freedom.Widths).Order()];
        _growY = [.. (_quarter ? freedom.Widths : freedom.Heights).Order()];
    }

    /// <summary>Whether the search was given up: that nothing was found then proves nothing.</summary>
    public bool IsCutShort => _boxes > Limit;

    /// <summary>Boxes after which to give up.</summary>
    public int Limit { get; init; } = MostBoxes;

    /// <summary>Boxes looked at.</summary>
    public int Boxes => _boxes;

    /// <summary>Changes on the grid: one turn, sizes from one index to another, presses of the arrow keys from one number to another.</summary>
    private readonly record struct Box(double Turn, int X0, int X1, int Y0, int Y1, int Right0, int Right1, int Up0, int Up1, bool Placed);

    /// <summary>Finds the change.</summary>
    /// <returns>
    /// The steps, or null where there is none. Nudges: fewest presses. Sizes: least change of width and height together, then fewest presses.
    /// Turns: smallest angle, then fewest presses. Both: least change of size, then smallest angle, then fewest presses. Of equals the one
    /// that leaves most room to the nearest limit.
    /// </returns>
    public IReadOnlyList<FillChange>? Find()
    {
        bool sized = _growX.Length + _growY.Length > 2;
        double[] turns = [.. _freedom.Turns.Where(turn => turn != 0)];
        Box? found = Best([0], sized: false, keep: false)
            ?? (sized ? Best([0], sized, keep: true) ?? Best([0], sized, keep: false) : null)
            ?? Best(turns, sized: false, keep: false)
            ?? (sized ? Best(turns, sized, keep: false) : null);
        return found is { } box ? Steps(box) : null;
    }

    private List<FillChange> Steps(Box c)
    {
        var steps = new List<FillChange>();
        (double x, double y) = (_growX[c.X0], _growY[c.Y0]);
        (double width, double height) = _quarter ? (y, x) : (x, y);
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

        if (c.Right0 != 0)
        {
            steps.Add(FillChange.Nudge(FillAxis.X, c.Right0 * _freedom.NudgeStepMm));
        }

        if (c.Up0 != 0)
        {
            steps.Add(FillChange.Nudge(FillAxis.Y, c.Up0 * _freedom.NudgeStepMm));
        }

        return steps;
    }

    /// <summary>The best change of one kind.</summary>
    /// <param name="turns">The turns to try.</param>
    /// <param name="sized">Whether the size changes, too.</param>
    /// <param name="keep">Whether a changed size must keep one edge where it was.</param>
    private Box? Best(double[] turns, bool sized, bool keep)
    {
        (int zeroX, int zeroY) = (Array.IndexOf(_growX, 0), Array.IndexOf(_growY, 0));
        var waiting = new PriorityQueue<Box, long>();
        (Box Box, long Cost, double Margin)? best = null;
        foreach (double turn in turns)
        {
            int right = Farthest(alongX: true, turn), up = Farthest(alongX: false, turn);
            var root = new Box(turn, zeroX, zeroX, zeroY, zeroY, -right, right, -up, up, false);
            Add(sized ? root with { X0 = 0, X1 = _growX.Length - 1, Y0 = 0, Y1 = _growY.Length - 1 } : root);
        }

        while (waiting.TryDequeue(out Box box, out long cost) && !(best is { } b && cost > b.Cost) && ++_boxes <= Limit)
        {
            if (Narrowed(box) is not { } left)
            {
                continue;
            }

            bool oneSize = left.X1 == left.X0 && left.Y1 == left.Y0;
            if (oneSize && sized && left.X0 == zeroX && left.Y0 == zeroY)
            {
                continue;
            }

            if (oneSize && !left.Placed)
            {
                foreach ((int r0, int r1) in Presses(left, alongX: true, keep))
                {
                    foreach ((int u0, int u1) in Presses(left, alongX: false, keep))
                    {
                        Add(left with { Right0 = r0, Right1 = r1, Up0 = u0, Up1 = u1, Placed = true });
                    }
                }
            }
            else if (!oneSize || left.Right1 > left.Right0 || left.Up1 > left.Up0)
            {
                (Box a, Box c) = Halved(left);
                Add(a);
                Add(c);
            }
            else if (CostOf(left) is var exact && !(best is { } sofar && exact > sofar.Cost) && Margin(left) is { } margin)
            {
                if (best is not { } other || exact < other.Cost || margin > other.Margin + Rounding)
                {
                    best = (left, exact, margin);
                }
            }
        }

        return best?.Box;

        void Add(Box box) => waiting.Enqueue(box, CostOf(box));

    }

    /// <summary>A box in two: across the sizes first, the wider of them, then across the presses.</summary>
    /// <remarks>Presses first, or whatever moves an edge farthest, was tried and needs three times the boxes.</remarks>
    private (Box, Box) Halved(in Box box)
    {
        double x = _growX[box.X1] - _growX[box.X0], y = _growY[box.Y1] - _growY[box.Y0];
        if (x > 0 || y > 0)
        {
            if (x > y)
            {
                int half = (box.X0 + box.X1) / 2;
                return (box with { X1 = half }, box with { X0 = half + 1 });
            }
            else
            {
                int half = (box.Y0 + box.Y1) / 2;
                return (box with { Y1 = half }, box with { Y0 = half + 1 });
            }
        }

        if (box.Right1 - box.Right0 > box.Up1 - box.Up0)
        {
            int middle = (int)Math.Floor((box.Right0 + box.Right1) / 2.0);
            return (box with { Right1 = middle }, box with { Right0 = middle + 1 });
        }
        else
        {
            int middle = (int)Math.Floor((box.Up0 + box.Up1) / 2.0);
            return (box with { Up1 = middle }, box with { Up0 = middle + 1 });
        }
    }

    /// <summary>A bound far enough that every allowed number of presses lies within it.</summary>
    private int Farthest(bool alongX, double turn)
    {
        const double WithoutField = 100;
        (bool taped, double half, double own, double other) = alongX
            ? (_tapedX, _halfWidth, _growX.Max(Math.Abs), _growY.Max(Math.Abs))
            : (_tapedY, _halfHeight, _growY.Max(Math.Abs), _growX.Max(Math.Abs));

        // Without tape: to keep an edge, or into the field. Turned, a fill's reach along one axis grows with both sizes.
        PlannedFill fill = Shape(0, 0, turn);
        (double low, double high) = alongX ? (fill.Left, fill.Right) : (fill.Bottom, fill.Top);
        double spread = (own + other) / 2;
        double mm = (taped, double.IsInfinity(half)) switch
        {
            (true, true) => WithoutField,
            (true, false) => Math.Max(Math.Abs(half - high), Math.Abs(half + low)) + spread,
            (false, true) => own / 2,
            _ => Math.Max(own / 2, Math.Max(high + spread - half, spread - half - low)),
        };
        return (int)(mm / _freedom.NudgeStepMm) + 2;
    }

    /// <summary>What a box costs at least: size, turn, presses, in that order, in one number.</summary>
    private long CostOf(in Box box)
    {
        // Whole units of 0.01 µm and 0.0001 degrees: sums that are equal on paper are equal here.
        double size = Least(_growX[box.X0], _growX[box.X1]) + Least(_growY[box.Y0], _growY[box.Y1]);
        long presses = (long)(Least(box.Right0, box.Right1) + Least(box.Up0, box.Up1));
        return ((long)Math.Round(size * 1e5) << 35) | ((long)Math.Round(Math.Abs(box.Turn) * 1e4) << 16) | Math.Min(presses, 0xFFFF);

        static double Least(double from, double to) => from <= 0 && to >= 0 ? 0 : Math.Min(Math.Abs(from), Math.Abs(to));
    }

    /// <summary>What the field and the sides leave of a box; null: nothing.</summary>
    private Box? Narrowed(Box box)
    {
        if (InField(box) is not { } left)
        {
            return null;
        }

        SideBounds[] bounds = Bounds(box.Turn);
        double step = _freedom.NudgeStepMm;
        Box asked = default;
        for (int round = 0; round < 3; round++)
        {
            Box before = left;
            for (int k = 0; k < _order.Length; k++)
            {
                int i = _order[k];
                Side side = _tapes[i].Side;
                bool x = side is Side.Left or Side.Right, outward = side is Side.Right or Side.Top;
                if (round > 0 && (x ? left.Up0 == asked.Up0 && left.Up1 == asked.Up1 : left.Right0 == asked.Right0 && left.Right1 == asked.Right1))
                {
                    // What bears on this side has not changed.
                    continue;
                }

                (double m0, double m1) = x ? (left.Right0 * step, left.Right1 * step) : (left.Up0 * step, left.Up1 * step);
                (double a0, double a1) = x ? (left.Up0 * step, left.Up1 * step) : (left.Right0 * step, left.Right1 * step);
                (double d0, double d1, double l0, double l1) = x
                    ? (_growX[left.X0], _growX[left.X1], _growY[left.Y0], _growY[left.Y1])
                    : (_growY[left.Y0], _growY[left.Y1], _growX[left.X0], _growX[left.X1]);
                (double from, double to) = bounds[i].Room(new(outward ? m0 : -m1, outward ? m1 : -m0, a0, a1, d0, d1, l0, l1));
                (from, to) = outward ? (from, to) : (-to, -from);
                if (!(from <= to) || Presses(from, to, ref left, x))
                {
                    // Most likely it is this side's again that the next one fails.
                    (_order[0], _order[k]) = (_order[k], _order[0]);
                    return null;
                }
            }

            if (left == before)
            {
                break;
            }

            asked = before;
        }

        return left;
    }

    /// <summary>Keeps the presses between two moves; true when none is left.</summary>
    private bool Presses(double from, double to, ref Box box, bool alongX)
    {
        double step = _freedom.NudgeStepMm;
        int low = (int)Math.Max(-1e9, Math.Ceiling((from / step) - Rounding)), high = (int)Math.Min(1e9, Math.Floor((to / step) + Rounding));
        box = alongX
            ? box with { Right0 = Math.Max(box.Right0, low), Right1 = Math.Min(box.Right1, high) }
            : box with { Up0 = Math.Max(box.Up0, low), Up1 = Math.Min(box.Up1, high) };
        return alongX ? box.Right0 > box.Right1 : box.Up0 > box.Up1;
    }

    /// <summary>What the sewing field leaves of a box.</summary>
    private Box? InField(Box box)
    {
        if (double.IsInfinity(_halfWidth) && double.IsInfinity(_halfHeight))
        {
            return box;
        }

        // A fill reaches least far at its smallest sizes, but for what the other size's growth takes away when it is turned: at most half of it.
        PlannedFill small = Shape(_growX[box.X0], _growY[box.Y0], box.Turn);
        double lean = Math.Abs(Math.Sin((small.TurnDegrees - (90 * small.QuarterTurns)) * Math.PI / 180));
        double x = (_growX[box.X1] - _growX[box.X0]) / 2 * lean, y = (_growY[box.Y1] - _growY[box.Y0]) / 2 * lean;
        (x, y) = _fill.Outline is null ? (0, 0) : (x + y, x + y);
        double over = _t.FieldRoundingMm + Rounding;
        return Presses(-_halfWidth - small.Left - over - x, _halfWidth - small.Right + over + x, ref box, true)
            || Presses(-_halfHeight - small.Bottom - over - y, _halfHeight - small.Top + over + y, ref box, false) ? null : box;
    }

    /// <summary>The presses along one axis that are allowed at one size, as stretches of numbers.</summary>
    private List<(int From, int To)> Presses(in Box box, bool alongX, bool keep)
    {
        (bool taped, double grow) = alongX ? (_tapedX, _growX[box.X0]) : (_tapedY, _growY[box.Y0]);
        (int from, int to) = alongX ? (box.Right0, box.Right1) : (box.Up0, box.Up1);
        bool resized = grow != 0;
        if (taped && !(keep && resized))
        {
            return [(from, to)];
        }

        double step = _freedom.NudgeStepMm;
        var presses = new SortedSet<int>();
        if (resized)
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

        if (!taped && !(keep && resized))
        {
            // Only the field is a reason to move: as little as it asks for.
            PlannedFill shape = Shape(_growX[box.X0], _growY[box.Y0], box.Turn);
            double low = (alongX ? -_halfWidth - shape.Left : -_halfHeight - shape.Bottom) - _t.FieldRoundingMm;
            double high = (alongX ? _halfWidth - shape.Right : _halfHeight - shape.Top) + _t.FieldRoundingMm;
            presses.Add(low <= 0 && high >= 0 ? 0 : low > 0 ? (int)Math.Ceiling((low / step) - Rounding) : (int)Math.Floor((high / step) + Rounding));
        }

        return [.. presses.Where(n => n >= from && n <= to).Select(n => (n, n))];
    }

    /// <summary>How much room a single change leaves to the nearest limit, mm; null where it does not hold.</summary>
    private double? Margin(in Box box)
    {
        PlannedFill shape = Shape(_growX[box.X0], _growY[box.Y0], box.Turn);
        double step = _freedom.NudgeStepMm, margin = double.PositiveInfinity;
        PlannedFill fill = shape with { Centre = new(shape.Centre.X + (box.Right0 * step), shape.Centre.Y + (box.Up0 * step)) };
        if (fill.Outline is not null && _tapes.Any(tape => ShapeClearance.FailsAgain(tape, fill, _minGap, _spacing, _t)))
        {
            return null;
        }

        for (int k = 0; k < _order.Length; k++)
        {
            int i = _order[k];
            SideFigures figures = ClearanceCheck.Figures(_tapes[i].Samples, _tapes[i].Side, fill, _t, _tapes[i].Within);
            if (!figures.MayBeClear(_t))
            {
                return null;
            }

            (double from, double to) = figures.Room(_minGap, _spacing);
            margin = Math.Min(margin, Math.Min(-from, to) - SideBounds.SlackMm);
            if (!(margin >= 0))
            {
                // Most likely it is this side's again that the next one fails, and at the same place.
                (_order[0], _order[k]) = (_order[k], _order[0]);
                if (fill.Outline is not null)
                {
                    ShapeClearance.NoteFailure(_tapes[i], fill, _minGap, _spacing, _t);
                }

                return null;
            }
        }

        return margin;
    }

    private PlannedFill Shape(double growX, double growY, double turn)
    {
        (double width, double height) = _quarter ? (growY, growX) : (growX, growY);
        return _fill with { Width = _fill.Width + width, Height = _fill.Height + height, TurnDegrees = _fill.TurnDegrees + turn };
    }

    private SideBounds[] Bounds(double turn)
    {
        if (!_bounds.TryGetValue(turn, out SideBounds[]? bounds))
        {
            PlannedFill fill = Shape(0, 0, turn);
            _bounds[turn] = bounds = [.. _tapes.Select(tape => fill.Outline is null
                ? new RectangleBounds(tape, fill, _t, _minGap, _spacing)
                : (SideBounds)new ShapeBounds(tape, fill, _t, _minGap, _spacing, Stretched(least: true), Stretched(least: false)))];
        }

        return bounds;
    }

    /// <summary>By how much a free shape is stretched at least or at most.</summary>
    private double Stretched(bool least)
    {
        double thread = _fill.Outline!.ThreadMm, width = _fill.Width - thread, height = _fill.Height - thread;
        double[] all =
        [
            Of(width, _freedom.Widths.Min()), Of(width, _freedom.Widths.Max()), Of(height, _freedom.Heights.Min()), Of(height, _freedom.Heights.Max()),
        ];
        return least ? all.Min() : all.Max();

        static double Of(double core, double growth) => core > 0 ? Math.Max(1e-6, (core + growth) / core) : 1;
    }
}
