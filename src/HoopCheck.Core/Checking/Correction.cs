using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.Checking;

/// <summary>The smallest change of the fill on the machine that makes every side clear, or why there is none.</summary>
/// <param name="Steps">In the order in which to make them; empty when none helps.</param>
/// <param name="After">The fill after them.</param>
/// <param name="Predicted">The sides' clearances after them, from the same tape edges; empty when there are no steps.</param>
/// <param name="Obstacle">What stops it; null when the steps make every side clear.</param>
public sealed record Correction(IReadOnlyList<FillChange> Steps, PlannedFill After, IReadOnlyList<SideClearance> Predicted, Obstacle? Obstacle)
{
    /// <summary>Whether the steps make every side clear.</summary>
    public bool IsPossible => Obstacle is null;
}

/// <summary>What stands in the way of a correction on the machine.</summary>
public enum ObstacleKind
{
    /// <summary>Too little of a tape's edge is seen to promise anything.</summary>
    TooLittleSeen,

    /// <summary>The fill would leave the sewing field.</summary>
    Field,

    /// <summary>The fill would have to change its size by more than allowed.</summary>
    Size,

    /// <summary>The fill would have to be turned by more, or finer, than the machine does.</summary>
    Turn,

    /// <summary>The steps of the machine are too coarse.</summary>
    Steps,

    /// <summary>The photo's uncertainty alone uses up the room.</summary>
    Uncertainty,

    /// <summary>None was found, and not everything was tried that might tell why.</summary>
    NotFound,

    /// <summary>The tape runs too unevenly for the fill's edge.</summary>
    Uneven,
}

/// <summary>What stops a correction.</summary>
/// <param name="Kind">Which constraint.</param>
/// <param name="Side">The side it is about, where it is about one.</param>
/// <param name="Amount">Field: how far over it, mm. Size: the change needed, percent. Turn: degrees needed. Otherwise 0.</param>
/// <param name="Rehoop">How to lay the quilt anew so that the fill fits as it is; null where that would not help.</param>
public sealed record Obstacle(ObstacleKind Kind, Side? Side, double Amount, Rehooping? Rehoop);

/// <summary>How to lay the quilt anew in the hoop: first the turn about the fill's middle, then the shift.</summary>
/// <param name="X">To the right, mm.</param>
/// <param name="Y">Up, mm.</param>
/// <param name="TurnDegrees">Counter-clockwise.</param>
public sealed record Rehooping(double X, double Y, double TurnDegrees);
