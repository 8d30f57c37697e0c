using HoopCheck.Geometry;

namespace HoopCheck.Checking;

/// <summary>
/// How straight the fabric lies. Angles are counter-clockwise in hoop coordinates; for a photo without a hoop, in the picture with x right and
/// y up. What could not be measured is null: with one family of lines (stripes) only its own direction is known, the turn is that direction,
/// and skew, which compares the two families, is not known; bow is known only where the crosswise lines are seen.
/// </summary>
/// <param name="WarpAngleDeg">The lengthwise lines' direction against the y axis.</param>
/// <param name="WeftAngleDeg">The crosswise lines' direction against the x axis plus 90, in the middle: 90 is square to the hoop.</param>
/// <param name="TurnDeg">How far the fabric as a whole is turned: the mean turn of the families that are seen.</param>
/// <param name="SkewPercent">Skew, <see cref="Straightness.SkewPercent"/>, mean of three places; positive when the crosswise lines' right end is too high.</param>
/// <param name="BowPercent">Bow, <see cref="Straightness.BowPercent"/>, over the width; positive when the crosswise lines' middle is too high.</param>
/// <param name="UncertaintyDeg">Expanded (k = 2) uncertainty of the angles: the larger of the families'.</param>
/// <param name="WidthMm">Width b that skew and bow belong to: the opening's.</param>
/// <param name="HeightMm">Height of the opening.</param>
/// <param name="Lines">Some lines of the weave as fitted, for drawing.</param>
public sealed record WeaveMeasure(
    double? WarpAngleDeg,
    double? WeftAngleDeg,
    double? TurnDeg,
    double? SkewPercent,
    double? BowPercent,
    double UncertaintyDeg,
    double WidthMm,
    double HeightMm,
    IReadOnlyList<IReadOnlyList<HoopPoint>> Lines);
