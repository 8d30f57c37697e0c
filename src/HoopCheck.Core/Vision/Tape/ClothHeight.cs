using HoopCheck.Geometry;

namespace HoopCheck.Vision.Tape;

/// <summary>
/// How high the tape's edge is expected to lie: its own thickness on cloth that is held down at the ring and puffs up away from it.
/// Own estimate for quilts of usual loft.
/// </summary>
internal sealed class ClothHeight(RingShape ring)
{
    /// <summary>Thickness of painter's tape, mm.</summary>
    private const double Thickness = 0.13;

    /// <summary>Mean rise of the cloth away from the ring, mm.</summary>
    private const double Puff = 0.22;

    /// <summary>Standard deviation of that rise, mm.</summary>
    private const double PuffSd = 0.4;

    /// <summary>Distance from the wall within which the cloth rises, mm.</summary>
    private const double Reach = 25;

    private readonly double halfWidth = ring.OpeningWidth / 2;
    private readonly double halfHeight = ring.OpeningHeight / 2;

    /// <summary>Expected height of the tape's upper face at a place of the opening, mm.</summary>
    public double At(HoopPoint p) => Thickness + (Puff * Rise(p));

    /// <summary>Standard deviation of the height, mm.</summary>
    public double StandardUncertaintyAt(HoopPoint p) => PuffSd * Rise(p);

    private double Rise(HoopPoint p)
    {
        double x = Math.Clamp((halfWidth - Math.Abs(p.X)) / Reach, 0, 1), y = Math.Clamp((halfHeight - Math.Abs(p.Y)) / Reach, 0, 1);
        return x * x * (3 - (2 * x)) * y * y * (3 - (2 * y));
    }
}
