using HoopCheck.Geometry;

namespace HoopCheck.Vision.Tape;

/// <summary>A strip of one colour along a side: a tape, coarsely placed.</summary>
/// <param name="Side">The side it runs along.</param>
/// <param name="Q0">Inner edge at s = 0, mm.</param>
/// <param name="Q1">Outer edge at s = 0, mm; the ring's wall when it runs under the ring.</param>
/// <param name="Slope">dq/ds.</param>
/// <param name="From">Where it begins along the side, mm.</param>
/// <param name="To">Where it ends, mm.</param>
/// <param name="U">Its log-chromaticity ln R/G.</param>
/// <param name="V">Its log-chromaticity ln B/G.</param>
/// <param name="L">Its weighted log-lightness.</param>
/// <param name="Coverage">Share of the strip that has its colour.</param>
/// <param name="Contrast">Difference in log-chromaticity from the cloth at the inner edge.</param>
/// <param name="Elsewhere">Share of the opening beyond its inner edge that has the same colour.</param>
/// <param name="Score">0 to 1.</param>
internal sealed record Strip(
    Side Side, double Q0, double Q1, double Slope, double From, double To, double U, double V, double L,
    double Coverage, double Contrast, double Elsewhere, double Score);
