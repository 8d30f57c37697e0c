namespace HoopCheck.Geometry;

/// <summary>A side of the hoop. The attachment bar is at <see cref="Left"/>.</summary>
public enum Side
{
    /// <summary>x negative: the side of the attachment bar.</summary>
    Left,

    /// <summary>x positive.</summary>
    Right,

    /// <summary>y positive: the hoop's far side when its bar is at the left.</summary>
    Top,

    /// <summary>y negative.</summary>
    Bottom,
}

/// <summary>
/// Each side has an outward axis q and an axis along it, s: a point of the hoop plane is q·n + s·t, with n the
/// outward normal and t = +y for left and right, +x for top and bottom.
/// </summary>
public static class SideExtensions
{
    /// <summary>All four sides, in a fixed order.</summary>
    public static IReadOnlyList<Side> All { get; } = [Side.Left, Side.Right, Side.Top, Side.Bottom];

    /// <summary>Outward unit normal.</summary>
    public static HoopVector Normal(this Side side) => side switch
    {
        Side.Left => new(-1, 0),
        Side.Right => new(1, 0),
        Side.Top => new(0, 1),
        _ => new(0, -1),
    };

    /// <summary>Unit vector along the side.</summary>
    public static HoopVector Along(this Side side) => side is Side.Left or Side.Right ? new(0, 1) : new(1, 0);

    /// <summary>The hoop point at outward distance <paramref name="q"/> and place <paramref name="s"/> along, mm.</summary>
    public static HoopPoint At(this Side side, double q, double s)
    {
        HoopVector n = side.Normal(), t = side.Along();
        return new((q * n.X) + (s * t.X), (q * n.Y) + (s * t.Y));
    }

    /// <summary>The name the contract uses: left, right, top, bottom.</summary>
    public static string Name(this Side side) => side switch
    {
        Side.Left => "left",
        Side.Right => "right",
        Side.Top => "top",
        _ => "bottom",
    };

    /// <summary>Reads a side's name.</summary>
    /// <returns>The side, or null for any other word.</returns>
    public static Side? Parse(string name) => name switch
    {
        "left" => Side.Left,
        "right" => Side.Right,
        "top" => Side.Top,
        "bottom" => Side.Bottom,
        _ => null,
    };
}
