namespace HoopCheck.Planning;

/// <summary>What a person measured of a hoop with a ruler. All lengths in mm.</summary>
/// <param name="Name">A name of the person's own.</param>
/// <param name="OpeningWidth">Inside of the frame at the fabric, along x.</param>
/// <param name="OpeningHeight">Inside of the frame at the fabric, along y.</param>
/// <param name="FrameHeight">Top of the ring above the fabric.</param>
/// <param name="CornerRadius">Of the opening at the fabric; null when not measured.</param>
/// <param name="FrameWidth">Breadth of the ring seen from above; null when not measured.</param>
/// <param name="FieldWidth">Where the needle may go, along x.</param>
/// <param name="FieldHeight">Where the needle may go, along y.</param>
public sealed record HoopSpec(
    string Name,
    double OpeningWidth,
    double OpeningHeight,
    double FrameHeight,
    double? CornerRadius,
    double? FrameWidth,
    double FieldWidth,
    double FieldHeight);

/// <summary>The fill that is to be stitched: an axis-parallel rectangle in hoop coordinates, mm.</summary>
/// <param name="Centre">Its centre.</param>
/// <param name="Width">Along x.</param>
/// <param name="Height">Along y.</param>
public sealed record PlannedFill(HoopPoint Centre, double Width, double Height)
{
    /// <summary>Smallest x.</summary>
    public double Left => Centre.X - (Width / 2);

    /// <summary>Largest x.</summary>
    public double Right => Centre.X + (Width / 2);

    /// <summary>Smallest y.</summary>
    public double Bottom => Centre.Y - (Height / 2);

    /// <summary>Largest y.</summary>
    public double Top => Centre.Y + (Height / 2);

    /// <summary>Distance of the facing edge from the hoop's centre along the side's outward normal.</summary>
    public double FacingEdge(Geometry.Side side) => side switch
    {
        Geometry.Side.Left => -Left,
        Geometry.Side.Right => Right,
        Geometry.Side.Top => Top,
        _ => -Bottom,
    };

    /// <summary>The stretch along a side that the facing edge covers: from, to (mm along the side).</summary>
    public (double From, double To) FacingStretch(Geometry.Side side) =>
        side is Geometry.Side.Left or Geometry.Side.Right ? (Bottom, Top) : (Left, Right);
}
