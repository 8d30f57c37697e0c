using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>The figures of one side that its decision rests on, mm. NaN where nothing of the edge is seen.</summary>
/// <param name="First">Index of the first facing sample that counts.</param>
/// <param name="Last">Index of the last one.</param>
/// <param name="SeenShare">Share of the facing stretch in which the edge was read, 0 to 1.</param>
/// <param name="SeenMm">Its length.</param>
/// <param name="MinMm">Smallest clearance.</param>
/// <param name="MaxMm">Largest clearance.</param>
/// <param name="Narrowest">Index of the sample with the smallest clearance.</param>
/// <param name="UncertaintyMm">Expanded uncertainty there.</param>
/// <param name="LeastSureMm">Smallest clearance with each place's own expanded uncertainty taken off.</param>
/// <param name="MostSureMm">Largest clearance with each place's own expanded uncertainty added.</param>
internal readonly record struct SideFigures(
    int First, int Last, double SeenShare, double SeenMm, double MinMm, double MaxMm, int Narrowest, double UncertaintyMm, double LeastSureMm, double MostSureMm)
{
    /// <summary>Nothing seen that counts.</summary>
    public static SideFigures None(double share, double seen) =>
        new(0, -1, share, seen, double.NaN, double.NaN, -1, double.NaN, double.NaN, double.NaN);

    /// <summary>Whether enough is seen to give figures at all.</summary>
    public bool IsMeasured(Tolerances t) => Last >= First && SeenShare >= t.LeastSeenShare && SeenMm >= t.LeastSeenMm;

    /// <summary>Whether enough is seen for the side to be called clear.</summary>
    public bool MayBeClear(Tolerances t) => IsMeasured(t) && SeenShare >= t.EnoughSeenShare;

    /// <summary>
    /// How far the fill's edge may go outward from where it is, mm, so that the side holds: at every place the clearance less its
    /// uncertainty is at least the least gap and with it at most the spacing, and the verdict's own test holds as well.
    /// </summary>
    /// <returns>From, to; from is above to where no move can do it.</returns>
    public (double From, double To) Room(double minGapMm, double spacingMm) =>
        (Math.Max(MostSureMm, MaxMm + UncertaintyMm) - spacingMm, LeastSureMm - minGapMm);
}
