namespace HoopCheck.Planning;

/// <summary>The steps in which a machine changes a fill, and how far it goes. The usual values are common practice, no source.</summary>
/// <param name="NudgeStepMm">One press of an arrow key, mm.</param>
/// <param name="ResizeStep">One step of the size: mm, or percent of the planned size.</param>
/// <param name="ResizeInPercent">Whether <paramref name="ResizeStep"/> is percent.</param>
/// <param name="TurnStepDegrees">One step of a turn, degrees; null: the machine does not turn a fill.</param>
/// <param name="SmallestPercent">Smallest size, percent of the planned size.</param>
/// <param name="LargestPercent">Largest size, percent of the planned size.</param>
public sealed record MachineSpec(
    double NudgeStepMm = 0.5,
    double ResizeStep = 1,
    bool ResizeInPercent = false,
    double? TurnStepDegrees = 1,
    double SmallestPercent = 80,
    double LargestPercent = 120)
{
    /// <summary>A machine of which nothing is known.</summary>
    public static MachineSpec Usual { get; } = new();

    /// <summary>The changes of one size that the machine can make, mm, the smallest first; 0 is among them.</summary>
    /// <param name="now">The size as it is, mm.</param>
    /// <param name="planned">The size as planned, mm.</param>
    /// <param name="mostPercent">How far the size may differ from the planned one, percent, for the look's sake.</param>
    public IReadOnlyList<double> Resizes(double now, double planned, double mostPercent)
    {
        double least = planned * Math.Max(SmallestPercent, 100 - mostPercent) / 100, most = planned * Math.Min(LargestPercent, 100 + mostPercent) / 100;
        const double Rounding = 1e-9;
        var changes = new List<double> { 0 };
        double step = ResizeInPercent ? planned * ResizeStep / 100 : ResizeStep, zero = ResizeInPercent ? planned : now;
        for (int i = (int)Math.Ceiling((least - zero) / step - Rounding); zero + (i * step) <= most + Rounding; i++)
        {
            double change = zero + (i * step) - now;
            if (Math.Abs(change) > 1e-6)
            {
                changes.Add(change);
            }
        }

        return [.. changes.OrderBy(Math.Abs)];
    }
}
