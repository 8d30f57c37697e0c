using MathNet.Numerics.LinearAlgebra;

namespace HoopCheck.Checking.Drift;

/// <summary>One measured difference between two points of a network, in the network's unit.</summary>
/// <param name="From">The point it starts at; null: a mark whose value is known to be 0.</param>
/// <param name="To">The point it ends at.</param>
/// <param name="Rise">Value of <paramref name="To"/> less value of <paramref name="From"/>, as measured.</param>
/// <param name="Sigma">Its standard uncertainty, above 0.</param>
public readonly record struct LevelLine(int? From, int To, double Rise, double Sigma);

/// <summary>The adjusted network.</summary>
/// <param name="Values">Of each point.</param>
/// <param name="Covariance">Of the values, from the lines' stated uncertainties alone.</param>
/// <param name="Residuals">Of each line: adjusted less measured.</param>
/// <param name="DegreesOfFreedom">Lines less points.</param>
/// <param name="VarianceFactor">Weighted sum of squared residuals over the degrees of freedom; near 1 when the stated uncertainties are right; NaN without any.</param>
public sealed record LevelAdjusted(
    IReadOnlyList<double> Values, Matrix<double> Covariance, IReadOnlyList<double> Residuals, int DegreesOfFreedom, double VarianceFactor)
{
    /// <summary>Standard uncertainty of a point's value.</summary>
    public double Sigma(int point) => Math.Sqrt(Math.Max(0, Covariance[point, point]));

    /// <summary>Standard uncertainty of the difference of two points, their correlation included (JCGM 100:2008, 5.2.2).</summary>
    public double SigmaOfDifference(int a, int b) => Math.Sqrt(Math.Max(0, Covariance[a, a] + Covariance[b, b] - (2 * Covariance[a, b])));
}

/// <summary>
/// The weighted least-squares adjustment of a network of differences, as surveyors adjust levels: each line is weighted by 1/σ², the normal equations
/// are solved and their inverse is the values' covariance.
/// </summary>
public static class LevelNetwork
{
    /// <summary>Adjusts a network.</summary>
    /// <param name="points">Number of points, at least 1.</param>
    /// <param name="lines">Measured differences.</param>
    /// <returns>The values, or null where some point hangs on no mark.</returns>
    /// <exception cref="ArgumentException">A line's uncertainty is not above 0, or it names no point of the network.</exception>
    public static LevelAdjusted? Adjust(int points, IReadOnlyList<LevelLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        ArgumentOutOfRangeException.ThrowIfLessThan(points, 1);
        if (lines.Any(l => !(l.Sigma > 0) || l.To < 0 || l.To >= points || l.From < 0 || l.From >= points || l.From == l.To))
        {
            throw new ArgumentException("Lines join two points of the network with an uncertainty above 0.", nameof(lines));
        }

        if (Unmarked(points, lines).Count > 0)
        {
            return null;
        }

        var normal = Matrix<double>.Build.Dense(points, points);
        var right = Vector<double>.Build.Dense(points);
        foreach (LevelLine line in lines)
        {
            double weight = 1 / (line.Sigma * line.Sigma);
            normal[line.To, line.To] += weight;
            right[line.To] += weight * line.Rise;
            if (line.From is { } from)
            {
                normal[from, from] += weight;
                normal[from, line.To] -= weight;
                normal[line.To, from] -= weight;
                right[from] -= weight * line.Rise;
            }
        }

        var factor = normal.Cholesky();
        Vector<double> values = factor.Solve(right);
        double[] residuals = [.. lines.Select(l => values[l.To] - (l.From is { } from ? values[from] : 0) - l.Rise)];
        double squares = lines.Zip(residuals, (l, r) => r / l.Sigma).Sum(v => v * v);
        int freedom = lines.Count - points;
        return new(values.ToArray(), factor.Solve(Matrix<double>.Build.DenseIdentity(points)), residuals, freedom, freedom > 0 ? squares / freedom : double.NaN);
    }

    /// <summary>The first point of each part of the network that hangs on no mark.</summary>
    /// <param name="points">Number of points.</param>
    /// <param name="lines">Measured differences.</param>
    public static IReadOnlyList<int> Unmarked(int points, IReadOnlyList<LevelLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        // Each point leads to a lower one of its part; the mark is the point before the first.
        int[] lower = [.. Enumerable.Range(0, points + 1)];
        int Root(int i)
        {
            while (lower[i] != i)
            {
                i = lower[i] = lower[lower[i]];
            }

            return i;
        }

        foreach (LevelLine line in lines)
        {
            int a = Root((line.From ?? -1) + 1), b = Root(line.To + 1);
            lower[Math.Max(a, b)] = Math.Min(a, b);
        }

        return [.. Enumerable.Range(1, points).Where(i => Root(i) == i).Select(i => i - 1)];
    }
}
