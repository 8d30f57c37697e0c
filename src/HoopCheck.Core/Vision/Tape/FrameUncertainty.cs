using HoopCheck.Geometry;

namespace HoopCheck.Vision.Tape;

/// <summary>What the frame's and the camera's fit leave unsure of a place on the fabric.</summary>
/// <param name="across">Standard deviation, mm, of a place's outward distance q on a side, at a point of the hoop plane.</param>
internal sealed class FrameUncertainty(Func<Side, HoopPoint, double> across)
{
    /// <summary>Camera and ring known exactly.</summary>
    public static FrameUncertainty None { get; } = new((_, _) => 0);

    /// <summary>One standard deviation of q at a place, mm.</summary>
    public double StandardUncertaintyAcross(Side side, HoopPoint at) => across(side, at);
}
