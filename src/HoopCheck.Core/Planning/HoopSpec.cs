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
    double FieldHeight)
{
    /// <summary>The machine's steps, where the hoop file gives them.</summary>
    public MachineSpec? Machine { get; init; }
}
