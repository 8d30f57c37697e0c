using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Vision;

/// <summary>Finds the ring and fits camera and ring to it.</summary>
public static class FrameFinder
{
    /// <summary>Finds and fits the frame.</summary>
    public static Outcome<FrameFit> Find(Photograph photo, HoopSpec hoop, PhotoDirection? up, CameraIntrinsics? camera, ITrace trace) =>
        new Problem(Problems.FrameNotFound, "");
}
