using HoopCheck.Geometry;

namespace HoopCheck.Checking;

/// <summary>What a side, or the whole photo, comes to.</summary>
public enum Decision
{
    /// <summary>The gap is at least the minimum and at most the spacing, uncertainty included.</summary>
    Clear,

    /// <summary>The gap is wider than the spacing: it would show.</summary>
    Wide,

    /// <summary>The uncertainty reaches over a limit.</summary>
    Undecided,

    /// <summary>The gap is, or may be, below the minimum.</summary>
    Tight,

    /// <summary>The fill runs, or may run, over the tape.</summary>
    Overlap,

    /// <summary>There is no tape to judge against.</summary>
    NoTape,

    /// <summary>The photo cannot be judged.</summary>
    Retake,
}

/// <summary>
/// One side's clearance, mm; positive is a gap. Of a rectangle the signed distance along the side's normal from its facing edge to the tape's
/// inner edge; of a free shape at each place of the tape's edge the distance to the nearest part of the shape, and where a part of it lies beyond the
/// tape's edge, how far beyond, negative.
/// </summary>
/// <param name="Side">Which side.</param>
/// <param name="Decision">Guard-banded.</param>
/// <param name="MinMm">Smallest over the facing stretch.</param>
/// <param name="MaxMm">Largest over the facing stretch.</param>
/// <param name="MeanMm">Mean over the facing stretch.</param>
/// <param name="UncertaintyMm">Expanded (k = 2) uncertainty of MinMm.</param>
/// <param name="MinAt">Place on the tape's edge where the smallest clearance is.</param>
/// <param name="SeenShare">Share of the facing stretch in which the edge was really read, 0 to 1.</param>
/// <param name="Profile">(t, clearance): t along the side in hoop coordinates.</param>
/// <param name="Tape">The measured edge.</param>
/// <param name="NearestReading">For undecided sides the nearest reading in words; otherwise null.</param>
public sealed record SideClearance(
    Side Side,
    Decision Decision,
    double MinMm,
    double MaxMm,
    double MeanMm,
    double UncertaintyMm,
    HoopPoint MinAt,
    double SeenShare,
    IReadOnlyList<(double T, double ClearanceMm)> Profile,
    TapeEdge Tape,
    string? NearestReading)
{
    /// <summary>Smallest true distance between tape edge and fill, mm, whatever the direction; negative on overlap.</summary>
    public double NearestMm { get; init; } = double.NaN;

    /// <summary>Smallest distance along the side's normal, mm; negative on overlap. What a move straight away from the tape would have to make up.</summary>
    public double NormalMm { get; init; } = double.NaN;
}
