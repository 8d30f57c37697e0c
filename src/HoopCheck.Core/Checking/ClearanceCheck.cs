using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>All sides' clearances and what they come to.</summary>
public sealed record ClearanceFound(Decision Decision, IReadOnlyList<SideClearance> Sides, IReadOnlyList<Problem> Problems);

/// <summary>Compares the planned fill with the measured tape edges.</summary>
public static class ClearanceCheck
{
    /// <summary>Measures each side and decides.</summary>
    public static ClearanceFound Measure(IReadOnlyList<TapeEdge> tapes, PlannedFill fill, double minGapMm, double spacingMm) =>
        throw new NotSupportedException();
}
