using HoopCheck.Geometry;

namespace HoopCheck.Planning.Quilts;

/// <summary>One hooping of the plan. All lengths in mm.</summary>
/// <param name="Number">Its place in the order of stitching, from 1.</param>
/// <param name="Row">From the quilt's top, from 0.</param>
/// <param name="Column">From the quilt's left, from 0.</param>
/// <param name="Centre">Where the fill's middle lies on the quilt.</param>
/// <param name="Width">The fill's size along quilt x.</param>
/// <param name="Height">The fill's size along quilt y.</param>
/// <param name="Lies">How the hoop lies on the quilt.</param>
/// <param name="FillTurnDegrees">How far the fill is turned in the hoop, counter-clockwise: 0, 180, or 90 where it is square.</param>
/// <param name="TapeSides">Sides <em>of the hoop</em> with tape along a neighbour stitched before, and that neighbour's number.</param>
public sealed record PlannedHooping(
    int Number,
    int Row,
    int Column,
    QuiltPoint Centre,
    double Width,
    double Height,
    HoopLies Lies,
    double FillTurnDegrees,
    IReadOnlyDictionary<Side, int> TapeSides)
{
    /// <summary>The fill's size along the hoop's x.</summary>
    public double FillWidth => Lies == HoopLies.Straight ? Width : Height;

    /// <summary>The fill's size along the hoop's y.</summary>
    public double FillHeight => Lies == HoopLies.Straight ? Height : Width;
}

/// <summary>What one way of laying the hoop would take.</summary>
/// <param name="Lies">How the hoop lies.</param>
/// <param name="Columns">Hoopings from left to right.</param>
/// <param name="Rows">Hoopings from top to bottom.</param>
/// <param name="SpareX">How much wider the quilt could be, mm.</param>
/// <param name="SpareY">How much higher the quilt could be, mm.</param>
/// <param name="OddSized">Hoopings whose fill is not of the commonest size.</param>
public sealed record PlanCount(HoopLies Lies, int Columns, int Rows, double SpareX, double SpareY, int OddSized)
{
    /// <summary>All hoopings.</summary>
    public int Hoopings => Columns * Rows;
}

/// <summary>The whole quilt's hoopings.</summary>
/// <param name="Quilt">What was planned for.</param>
/// <param name="X">Columns, from left to right.</param>
/// <param name="Y">Rows, from <em>bottom to top</em>, as quilt y runs.</param>
/// <param name="Chosen">The way the hoop lies.</param>
/// <param name="Other">The other way.</param>
/// <param name="Hoopings">In the order of stitching.</param>
/// <param name="Thread">Thread and stitches, hooping by hooping.</param>
public sealed record QuiltPlan(
    QuiltSpec Quilt,
    AxisLayout X,
    AxisLayout Y,
    PlanCount Chosen,
    PlanCount Other,
    IReadOnlyList<PlannedHooping> Hoopings,
    IReadOnlyList<ThreadUse> Thread)
{
    /// <summary>The hooping of a number; null where there is none.</summary>
    public PlannedHooping? Find(int number) => number >= 1 && number <= Hoopings.Count ? Hoopings[number - 1] : null;

    /// <summary>The hooping in a row and column, both from 0, rows from the top; null outside the plan.</summary>
    public PlannedHooping? At(int row, int column) => Cells.TryGetValue((row, column), out PlannedHooping? cell) ? cell : null;

    /// <summary>The hooping beside another at a side of the <em>quilt</em>; null at the quilt's edge.</summary>
    public PlannedHooping? Neighbour(PlannedHooping hooping, Side side)
    {
        ArgumentNullException.ThrowIfNull(hooping);
        return side switch
        {
            Side.Left => At(hooping.Row, hooping.Column - 1),
            Side.Right => At(hooping.Row, hooping.Column + 1),
            Side.Top => At(hooping.Row - 1, hooping.Column),
            _ => At(hooping.Row + 1, hooping.Column),
        };
    }

    private IReadOnlyDictionary<(int Row, int Column), PlannedHooping> Cells => field ??= Hoopings.ToDictionary(h => (h.Row, h.Column));

    /// <summary>Distance of a place from the quilt's left edge, mm.</summary>
    public double FromLeft(QuiltPoint place) => place.X + (Quilt.Width / 2);

    /// <summary>Distance of a place from the quilt's top edge, mm.</summary>
    public double FromTop(QuiltPoint place) => (Quilt.Height / 2) - place.Y;
}

/// <summary>Thread and stitches of one hooping.</summary>
/// <param name="Stitches">Number of stitches.</param>
/// <param name="LineMm">Length of the stitched line, mm.</param>
/// <param name="TopMetres">Top thread, m.</param>
/// <param name="BobbinMetres">Bobbin thread, m.</param>
/// <param name="BobbinLeftMetres">What is on the bobbin before it, m, new bobbins counted; null where a bobbin's length is not known.</param>
/// <param name="NewBobbin">Whether the bobbin would run out in it: put a full one in before.</param>
/// <param name="BobbinTooShort">Whether even a full bobbin runs out in it.</param>
public sealed record ThreadUse(
    int Stitches, double LineMm, double TopMetres, double BobbinMetres, double? BobbinLeftMetres, bool NewBobbin, bool BobbinTooShort);
