using HoopCheck.Geometry;

namespace HoopCheck.Checking;

/// <summary>One place on a tape's inner edge, in the coordinates of its side.</summary>
/// <param name="S">Along the side, mm.</param>
/// <param name="Q">Distance from the hoop's centre towards the side, mm.</param>
/// <param name="StandardUncertainty">Of Q, one standard deviation, mm: camera, edge and puff together.</param>
/// <param name="Seen">False where the edge was bridged (gap, object, shadow) and not read.</param>
public readonly record struct TapeSample(double S, double Q, double StandardUncertainty, bool Seen);

/// <summary>The inner edge of the tape on one side, as measured.</summary>
/// <param name="Side">Which side.</param>
/// <param name="Samples">By rising S, every 2 mm or closer, over the whole stretch between the ring's walls where there is tape.</param>
/// <param name="AngleDegrees">Of the straight line through the edge, counter-clockwise from the side's own direction.</param>
/// <param name="Colour">The colour's everyday name: blue, green, yellow, orange, pink, purple, pale …</param>
/// <param name="ColourRgb">Mean sRGB colour as "#RRGGBB", for drawing.</param>
public sealed record TapeEdge(Side Side, IReadOnlyList<TapeSample> Samples, double AngleDegrees, string Colour, string ColourRgb);
