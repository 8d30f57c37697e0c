using HoopCheck.Geometry;
using HoopCheck.Planning.Fills;

namespace HoopCheck.Planning;

/// <summary>The fill that is to be stitched, in hoop coordinates: a rectangle, or a free shape in its bounding rectangle, turned about its centre.</summary>
/// <param name="Centre">Its centre, mm.</param>
/// <param name="Width">Along its own x, mm, before the turn.</param>
/// <param name="Height">Along its own y, mm, before the turn.</param>
public sealed record PlannedFill(HoopPoint Centre, double Width, double Height)
{
    /// <summary>Turn about the centre, degrees, counter-clockwise.</summary>
    public double TurnDegrees { get; init; }

    /// <summary>Radius of a rectangle's corners, mm; 0 for square ones. A machine that shortens a fill by a little hardly changes it.</summary>
    public double CornerRadius { get; init; }

    /// <summary>The free shape, thread included in <see cref="Width"/> and <see cref="Height"/>; null for a rectangle.</summary>
    public FillShape? Outline { get; init; }

    /// <summary>A free shape in its own size.</summary>
    /// <param name="shape">The shape.</param>
    /// <param name="centre">Where the middle of its bounding box goes, mm.</param>
    public static PlannedFill Of(FillShape shape, HoopPoint centre)
    {
        ArgumentNullException.ThrowIfNull(shape);
        return new(centre, shape.CoreWidth + shape.ThreadMm, shape.CoreHeight + shape.ThreadMm) { Outline = shape };
    }

    /// <summary>Smallest x of the whole fill.</summary>
    public double Left => -FacingEdge(Side.Left);

    /// <summary>Largest x of the whole fill.</summary>
    public double Right => FacingEdge(Side.Right);

    /// <summary>Smallest y of the whole fill.</summary>
    public double Bottom => -FacingEdge(Side.Bottom);

    /// <summary>Largest y of the whole fill.</summary>
    public double Top => FacingEdge(Side.Top);

    /// <summary>The corners, in hoop order when the fill is not turned: top-left, top-right, bottom-right, bottom-left.</summary>
    public IReadOnlyList<HoopPoint> Corners => [At(-1, 1), At(1, 1), At(1, -1), At(-1, -1)];

    /// <summary>
    /// The hoop point at a place of the fill's own square: (0, 0) is its centre, u runs from −1 to 1 over its width and v over its
    /// height. The only place where size, turn and position are put together.
    /// </summary>
    public HoopPoint At(double u, double v)
    {
        double x = u * Width / 2, y = v * Height / 2;
        if (TurnDegrees == 0)
        {
            return new(Centre.X + x, Centre.Y + y);
        }

        (double sin, double cos) = Math.SinCos(TurnDegrees * Math.PI / 180);
        return new(Centre.X + (x * cos) - (y * sin), Centre.Y + (x * sin) + (y * cos));
    }

    /// <summary>The hoop point at a place of the free shape's own mm: grown with the fill's size, the thread's width as it is.</summary>
    public HoopPoint AtShape(double x, double y)
    {
        FillShape shape = Outline ?? throw new InvalidOperationException("A rectangle has no shape of its own.");
        return At(Unit(x, shape.CoreWidth, Width), Unit(y, shape.CoreHeight, Height));

        // What is narrower than its thread has no width left to stretch, and certainly none to turn inside out.
        double Unit(double at, double core, double size) => core > 0 && size > 0 ? 2 * at / core * Math.Max(0, size - shape.ThreadMm) / size : 0;
    }

    /// <summary>How far out the fill reaches: the largest distance of any of its points, thread included, from the hoop's centre along the side's outward normal, mm.</summary>
    public double FacingEdge(Side side)
    {
        if (TurnDegrees != 0 && (Outline is not null || CornerRadius > 0))
        {
            return FarthestTurned(side.Normal());
        }

        (HoopPoint a, HoopPoint b) = FacingCorners(side);
        HoopVector n = side.Normal();
        return Math.Max((a.X * n.X) + (a.Y * n.Y), (b.X * n.X) + (b.Y * n.Y));
    }

    /// <summary>Distance of the facing edge from the hoop's centre along the side's outward normal at a place along the side, mm; a turned edge slants.</summary>
    /// <param name="side">The side faced.</param>
    /// <param name="s">Place along the side, mm; outside of <see cref="FacingStretch"/> the edge is carried on straight.</param>
    public double FacingEdgeAt(Side side, double s) => FacingLine(side).At(s);

    /// <summary>The facing edge as a line, for many places at once.</summary>
    internal EdgeLine FacingLine(Side side)
    {
        (HoopPoint a, HoopPoint b) = FacingCorners(side);
        HoopVector n = side.Normal(), t = side.Along();
        double qa = (a.X * n.X) + (a.Y * n.Y), qb = (b.X * n.X) + (b.Y * n.Y);
        double sa = (a.X * t.X) + (a.Y * t.Y), sb = (b.X * t.X) + (b.Y * t.Y);
        return new(qa, sa, qa == qb ? 0 : (qb - qa) / (sb - sa));
    }

    /// <summary>The stretch along a side that the facing edge covers: from, to (mm along the side).</summary>
    /// <remarks>Of a free shape the whole breadth; of a rectangle the straight part between its corners.</remarks>
    public (double From, double To) FacingStretch(Side side)
    {
        if (Outline is not null)
        {
            return side is Side.Left or Side.Right ? (Bottom, Top) : (Left, Right);
        }

        (HoopPoint a, HoopPoint b) = FacingCorners(side);
        HoopVector t = side.Along();
        double sa = (a.X * t.X) + (a.Y * t.Y), sb = (b.X * t.X) + (b.Y * t.Y);
        return (Math.Min(sa, sb), Math.Max(sa, sb));
    }

    /// <summary>The fill after one more change on the machine.</summary>
    /// <remarks>A machine changes the size about the fill's centre, along the fill's own axes, and moves it along the hoop's.</remarks>
    public PlannedFill After(FillChange change)
    {
        ArgumentNullException.ThrowIfNull(change);
        double grow = change.Kind switch
        {
            FillChangeKind.Shorten => -change.Mm,
            FillChangeKind.Lengthen => change.Mm,
            _ => 0,
        };
        return (change.Kind, change.Axis) switch
        {
            (FillChangeKind.Turn, _) => this with { TurnDegrees = TurnDegrees + change.Degrees },
            (FillChangeKind.Nudge, FillAxis.X) => this with { Centre = new(Centre.X + change.Mm, Centre.Y) },
            (FillChangeKind.Nudge, _) => this with { Centre = new(Centre.X, Centre.Y + change.Mm) },
            (_, FillAxis.X) => this with { Width = Width + grow },
            _ => this with { Height = Height + grow },
        };
    }

    /// <summary>The fill after several changes, in their order.</summary>
    public PlannedFill After(IEnumerable<FillChange> changes)
    {
        ArgumentNullException.ThrowIfNull(changes);
        return changes.Aggregate(this, (fill, change) => fill.After(change));
    }

    /// <summary>The farthest point of a turned shape along a direction: one of its convex hull, or of a circle about the middle of a round corner.</summary>
    private double FarthestTurned(HoopVector n)
    {
        double far = double.NegativeInfinity;
        if (Outline is { } shape)
        {
            foreach (HoopPoint p in shape.Hull)
            {
                HoopPoint at = AtShape(p.X, p.Y);
                far = Math.Max(far, (at.X * n.X) + (at.Y * n.Y));
            }

            return far + (shape.ThreadMm / 2);
        }

        double u = 1 - (2 * CornerRadius / Width), v = 1 - (2 * CornerRadius / Height);
        foreach (HoopPoint at in new[] { At(u, v), At(u, -v), At(-u, v), At(-u, -v) })
        {
            far = Math.Max(far, (at.X * n.X) + (at.Y * n.Y));
        }

        return far + CornerRadius;
    }

    /// <summary>Whole quarter-turns nearest to its turn, counter-clockwise; half a quarter counts as one.</summary>
    public int QuarterTurns => (int)Math.Round(TurnDegrees / 90, MidpointRounding.AwayFromZero);

    /// <summary>Whether each side keeps a straight part of at least <paramref name="leastMm"/> between its round corners; true for square ones.</summary>
    public bool HasStraightSides(double leastMm) => CornerRadius == 0 || Math.Min(Width, Height) - (2 * CornerRadius) >= leastMm;

    /// <summary>Both ends of the edge that looks most towards a side; of its straight part where the corners are round.</summary>
    private (HoopPoint A, HoopPoint B) FacingCorners(Side side)
    {
        // Quarter-turns from the fill's own right edge, counter-clockwise.
        int quarters = side switch
        {
            Side.Right => 0,
            Side.Top => 1,
            Side.Left => 2,
            _ => 3,
        };
        quarters -= QuarterTurns % 4;
        double u = 1, v = 1;
        if (CornerRadius > 0)
        {
            (u, v) = (Math.Max(0, 1 - (2 * CornerRadius / Width)), Math.Max(0, 1 - (2 * CornerRadius / Height)));
        }

        return ((quarters + 8) % 4) switch
        {
            0 => (At(1, -v), At(1, v)),
            1 => (At(-u, 1), At(u, 1)),
            2 => (At(-1, -v), At(-1, v)),
            _ => (At(-u, -1), At(u, -1)),
        };
    }
}

/// <summary>A straight edge of a fill in the coordinates of a side, mm.</summary>
/// <param name="Q">Distance outward at <paramref name="S"/>.</param>
/// <param name="S">A place along the side.</param>
/// <param name="Slope">Rise of Q along S, without unit.</param>
internal readonly record struct EdgeLine(double Q, double S, double Slope)
{
    /// <summary>Distance outward at a place along the side.</summary>
    public double At(double s) => Q + (Slope * (s - S));
}
