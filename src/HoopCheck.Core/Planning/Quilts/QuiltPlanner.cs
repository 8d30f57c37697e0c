using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Rules;

namespace HoopCheck.Planning.Quilts;

/// <summary>Lays out the hoopings of a whole quilt and puts them in order. Knows no files.</summary>
public static class QuiltPlanner
{
    /// <summary>Most hoopings of a plan. A bed takes some dozens; more is a slip of the units.</summary>
    public const int MostHoopings = 2500;

    /// <summary>Makes the plan.</summary>
    /// <param name="quilt">What is to be quilted; its fill's size above 0.</param>
    /// <param name="hoop">The hoop whose sewing field the fill must fit.</param>
    /// <returns>The plan, HC121 where the fill leaves the sewing field, or HC153 naming the entry.</returns>
    public static Outcome<QuiltPlan> Make(QuiltSpec quilt, HoopSpec hoop)
    {
        ArgumentNullException.ThrowIfNull(quilt);
        if (Wrong(quilt) is { } wrong)
        {
            return new Problem(Problems.QuiltAbsurd, wrong);
        }

        if (SewingField.Check(hoop, new(default, quilt.FillWidth, quilt.FillHeight)) is { } outside)
        {
            return outside;
        }

        PlanCount straight = Count(quilt, HoopLies.Straight), sideways = Count(quilt, HoopLies.Sideways);
        (PlanCount chosen, PlanCount other) = quilt.Lies switch
        {
            HoopLies.Straight => (straight, sideways),
            HoopLies.Sideways => (sideways, straight),
            _ => (sideways.Hoopings, sideways.OddSized).CompareTo((straight.Hoopings, straight.OddSized)) < 0 ? (sideways, straight) : (straight, sideways),
        };
        if (chosen.Hoopings > MostHoopings)
        {
            return new Problem(Problems.QuiltAbsurd, string.Create(
                CultureInfo.InvariantCulture, $"\"size\" and \"fill\" come to {chosen.Hoopings} hoopings; up to {MostHoopings} are planned."));
        }

        (AxisLayout x, AxisLayout y) = Axes(quilt, chosen.Lies);
        List<PlannedHooping> hoopings = Ordered(quilt, x, y, chosen.Lies);
        return new QuiltPlan(quilt, x, y, chosen, other, hoopings, ThreadEstimate.Of(hoopings, quilt.SpacingMm, quilt.Thread));
    }

    /// <summary>The side of the hoop that looks to a side of the quilt.</summary>
    public static Side HoopSide(Side ofQuilt, HoopLies lies) => lies == HoopLies.Straight
        ? ofQuilt
        : ofQuilt switch
        {
            Side.Top => Side.Right,
            Side.Left => Side.Top,
            Side.Bottom => Side.Left,
            _ => Side.Bottom,
        };

    /// <summary>The side of the quilt that a side of the hoop looks to.</summary>
    public static Side QuiltSide(Side ofHoop, HoopLies lies) => SideExtensions.All.First(side => HoopSide(side, lies) == ofHoop);

    private static string? Wrong(QuiltSpec q)
    {
        static string Mm(double length) => string.Create(CultureInfo.InvariantCulture, $"{length:0.###} mm");

        double least = Tolerances.Default.SmallestFillMm;
        return q switch
        {
            { SpacingMm: not > 0 } => "\"spacing\" must be larger than 0.",
            _ when q.MinGapMm >= q.SpacingMm => $"\"min-gap\" is {Mm(q.MinGapMm)}; it must be smaller than the spacing, {Mm(q.SpacingMm)}, or no gap would do.",
            _ when q.GapMm < q.MinGapMm || q.GapMm > q.SpacingMm =>
                $"\"gap\" is {Mm(q.GapMm)}; it must lie between the smallest gap, {Mm(q.MinGapMm)}, and the spacing, {Mm(q.SpacingMm)}.",
            _ when q.FillWidth < least || q.FillHeight < least => $"\"fill\" is {Mm(q.FillWidth)} by {Mm(q.FillHeight)}; from {Mm(least)} on it is one.",
            _ when Math.Min(q.Width, q.Height) - (2 * q.EdgeMm) < least =>
                $"\"edge\" is {Mm(q.EdgeMm)}; of a quilt {Mm(q.Width)} by {Mm(q.Height)} that leaves nothing to stitch.",
            { Thread.StitchMm: not (>= 0.5 and <= 10) } => $"\"stitch\" is {Mm(q.Thread.StitchMm)}; 0.5 to 10 mm is possible.",
            { Thread.TopFactor: not (>= 1 and <= 5) } => "\"top-thread-factor\" must be 1 to 5: no thread is shorter than its line.",
            { Thread.BobbinFactor: not (>= 1 and <= 5) } => "\"bobbin-thread-factor\" must be 1 to 5: no thread is shorter than its line.",
            { Thread.BobbinMetres: not (null or (>= 1 and <= 10_000)) } => "\"bobbin-metres\" must be 1 to 10 000.",
            _ => null,
        };
    }

    private static (AxisLayout X, AxisLayout Y) Axes(QuiltSpec q, HoopLies lies)
    {
        (double across, double down) = lies == HoopLies.Straight ? (q.FillWidth, q.FillHeight) : (q.FillHeight, q.FillWidth);
        return (AxisLayout.Make(q.Width - (2 * q.EdgeMm), across, q.GapMm, q.Layout), AxisLayout.Make(q.Height - (2 * q.EdgeMm), down, q.GapMm, q.Layout));
    }

    private static PlanCount Count(QuiltSpec q, HoopLies lies)
    {
        (AxisLayout x, AxisLayout y) = Axes(q, lies);
        int commonest = x.Sizes.GroupBy(s => s).Max(g => g.Count()) * y.Sizes.GroupBy(s => s).Max(g => g.Count());
        return new(lies, x.Count, y.Count, x.SpareMm, y.SpareMm, (x.Count * y.Count) - commonest);
    }

    /// <summary>
    /// The middle line first, then those on one side of it outward, then those on the other; within a line likewise. So every hooping but the
    /// first has a stitched neighbour to be measured against, and never two on opposite sides: a fill can always be moved away from its tapes.
    /// </summary>
    private static List<PlannedHooping> Ordered(QuiltSpec q, AxisLayout x, AxisLayout y, HoopLies lies)
    {
        int[] rows = FromMiddle(y.Count), columns = FromMiddle(x.Count);
        var cells = q.Order == StitchOrder.Rows
            ? rows.SelectMany(row => columns.Select(column => (Row: row, Column: column)))
            : columns.SelectMany(column => rows.Select(row => (Row: row, Column: column)));
        var numbers = new Dictionary<(int Row, int Column), int>();
        var hoopings = new List<PlannedHooping>();
        foreach ((int row, int column) in cells)
        {
            var tapes = new SortedDictionary<Side, int>();
            foreach ((Side side, (int, int) beside) in new[]
            {
                (Side.Left, (row, column - 1)), (Side.Right, (row, column + 1)), (Side.Top, (row - 1, column)), (Side.Bottom, (row + 1, column)),
            })
            {
                if (numbers.TryGetValue(beside, out int stitched))
                {
                    tapes[HoopSide(side, lies)] = stitched;
                }
            }

            int number = numbers[(row, column)] = hoopings.Count + 1, up = y.Count - 1 - row;
            double width = x.Sizes[column], height = y.Sizes[up];
            bool turned = q.TurnFills && (row + column - rows[0] - columns[0]) % 2 != 0;
            hoopings.Add(new(
                number, row, column, new(x.Centres[column], y.Centres[up]), width, height, lies,
                !turned ? 0 : Math.Abs(width - height) < SquareWithinMm ? 90 : 180, tapes));
        }

        return hoopings;
    }

    /// <summary>For rounding only: a square fill may be turned by a quarter.</summary>
    private const double SquareWithinMm = 1e-6;

    /// <summary>The middle (the first one of two), then down to 0, then up to the end.</summary>
    private static int[] FromMiddle(int count)
    {
        int middle = (count - 1) / 2;
        return [.. Enumerable.Range(0, middle + 1).Select(i => middle - i), .. Enumerable.Range(middle + 1, count - middle - 1)];
    }
}
