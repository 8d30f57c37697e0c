using HoopCheck.Checking;
using HoopCheck.Planning;

namespace HoopCheck.Vision;

/// <summary>Finds tape on the fabric and reads its inner edge.</summary>
public static class TapeFinder
{
    /// <summary>Finds the tape on each side of the opening.</summary>
    /// <returns>An edge for each side that has tape; empty when there is none.</returns>
    public static IReadOnlyList<TapeEdge> Find(Photograph photo, FrameFit frame, TapeColour? colour, ITrace trace) => [];
}
