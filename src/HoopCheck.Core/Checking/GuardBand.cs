using HoopCheck.Geometry;

namespace HoopCheck.Checking;

/// <summary>
/// Decisions that the uncertainty has been taken off from, after ISO 14253-1: a side is only called clear, tight or
/// overlapping when it would still be so with the whole expanded uncertainty against it.
/// </summary>
public static class GuardBand
{
    /// <summary>Decides one side.</summary>
    /// <param name="minMm">Smallest clearance, mm; negative is an overlap.</param>
    /// <param name="maxMm">Largest clearance, mm.</param>
    /// <param name="uncertaintyMm">Expanded uncertainty (k = 2), mm, 0 or more.</param>
    /// <param name="minGapMm">Smallest gap allowed, mm.</param>
    /// <param name="spacingMm">Widest gap that does not show, mm.</param>
    /// <returns>One of overlap, tight, clear, wide, undecided. What is not a number leads to undecided.</returns>
    public static Decision Decide(double minMm, double maxMm, double uncertaintyMm, double minGapMm, double spacingMm)
    {
        if (!double.IsFinite(minMm) || !double.IsFinite(maxMm) || !double.IsFinite(uncertaintyMm))
        {
            return Decision.Undecided;
        }

        if (minMm + uncertaintyMm < 0)
        {
            return Decision.Overlap;
        }

        if (minMm + uncertaintyMm < minGapMm)
        {
            return Decision.Tight;
        }

        if (minMm - uncertaintyMm < minGapMm)
        {
            return Decision.Undecided;
        }

        return maxMm + uncertaintyMm <= spacingMm ? Decision.Clear
            : maxMm - uncertaintyMm > spacingMm ? Decision.Wide
            : Decision.Undecided;
    }

    /// <summary>The worst of several decisions: overlap, tight, undecided, wide, clear, in that order.</summary>
    /// <param name="decisions">The sides' decisions.</param>
    /// <returns>The worst one, or <see cref="Decision.NoTape"/> when there is none.</returns>
    public static Decision Worst(IEnumerable<Decision> decisions)
    {
        ArgumentNullException.ThrowIfNull(decisions);
        Decision? worst = null;
        foreach (Decision decision in decisions)
        {
            if (worst is null || Badness(decision) > Badness(worst.Value))
            {
                worst = decision;
            }
        }

        return worst ?? Decision.NoTape;
    }

    /// <summary>What the figures come to when the uncertainty is left out of account, in words for a person.</summary>
    /// <param name="minMm">Smallest clearance, mm.</param>
    /// <param name="maxMm">Largest clearance, mm.</param>
    /// <param name="minGapMm">Smallest gap allowed, mm.</param>
    /// <param name="spacingMm">Widest gap that does not show, mm.</param>
    public static string NearestReading(double minMm, double maxMm, double minGapMm, double spacingMm)
    {
        (string narrow, string needed) = Length.Apart(minMm, minGapMm);
        (string wide, string allowed) = Length.Apart(maxMm, spacingMm);
        return Decide(minMm, maxMm, 0, minGapMm, spacingMm) switch
        {
            Decision.Overlap => $"most likely the fill runs {Length.Millimetres(-minMm)} over the tape",
            Decision.Tight => $"most likely too tight: {narrow} where {needed} is needed",
            Decision.Wide => $"most likely too wide: {wide} where {allowed} is the most that does not show",
            Decision.Clear => $"most likely clear: {Length.Millimetres(minMm)} at the narrowest place, {Length.Millimetres(maxMm)} at the widest",
            _ => "no reading",
        };
    }

    private static int Badness(Decision decision) => decision switch
    {
        Decision.Clear => 0,
        Decision.Wide => 1,
        Decision.Undecided => 2,
        Decision.Tight => 3,
        Decision.Overlap => 4,
        Decision.NoTape => 5,
        _ => 6,
    };
}
