using MathNet.Numerics.LinearAlgebra;

namespace HoopCheck.Vision.Frame;

/// <summary>What a fit found.</summary>
/// <param name="Values">The parameters.</param>
/// <param name="Covariance">Of the parameters; 0 where one was kept.</param>
/// <param name="Residuals">At the solution, over their standard deviations.</param>
/// <param name="Surprise">-2 ln of the evidence for the model with these priors, up to a constant of the observations: of two priors on the same observations the one with less is believed.</param>
internal sealed record MapResult(double[] Values, double[,] Covariance, double[] Residuals, double Surprise);

/// <summary>
/// Robust maximum-a-posteriori least squares (Levenberg-Marquardt): minimises Σ ρ(rᵢ/σᵢ) + Σ ((pⱼ − mⱼ)/sⱼ)² with
/// ρ Cauchy's (iteratively reweighted), the Gaussian priors kept unrobust. The covariance is the inverse of the final normal matrix
/// (Gauss-Newton; JCGM 100 propagates it from there).
/// </summary>
internal static class MapFit
{
    /// <summary>Fits.</summary>
    /// <param name="start">Start values; not changed.</param>
    /// <param name="prior">Prior means.</param>
    /// <param name="priorSd">Prior standard deviations; 0 keeps a parameter at its start value.</param>
    /// <param name="residuals">Fills residuals, already divided by their standard deviations.</param>
    /// <param name="slopes">Fills the residuals' derivatives, one row of all parameters a residual; rows come zeroed.</param>
    /// <param name="count">Number of residuals.</param>
    /// <param name="robustAt">Scale of Cauchy's function in standard deviations.</param>
    /// <param name="iterations">Largest number of steps.</param>
    public static MapResult Run(
        double[] start, double[] prior, double[] priorSd, Action<double[], double[]> residuals, Action<double[], double[]> slopes, int count, double robustAt, int iterations)
    {
        int[] free = [.. Enumerable.Range(0, start.Length).Where(i => priorSd[i] > 0)];
        int n = free.Length;
        double[] p = (double[])start.Clone();
        double[] r = new double[count], r2 = new double[count];
        double[] rows = new double[count * start.Length];
        residuals(p, r);
        double cost = Cost(p, r);
        double lambda = 1e-3;
        Matrix<double>? normal = null;
        for (int iteration = 0; iteration < iterations; iteration++)
        {
            (Matrix<double> a, Vector<double> g) = Normal();
            normal = a;
            bool better = false;
            double step = 0;
            for (int tries = 0; tries < 6 && !better; tries++)
            {
                Matrix<double> damped = a.Clone();
                for (int i = 0; i < n; i++)
                {
                    damped[i, i] *= 1 + lambda;
                }

                Vector<double> d;
                try
                {
                    d = damped.Cholesky().Solve(g);
                }
                catch (ArgumentException)
                {
                    lambda = Math.Max(lambda * 10, 1e-3);
                    continue;
                }

                double[] q = (double[])p.Clone();
                step = 0;
                for (int i = 0; i < n; i++)
                {
                    q[free[i]] -= d[i];
                    step = Math.Max(step, Math.Abs(d[i]) * Math.Sqrt(a[i, i]));
                }

                residuals(q, r2);
                double c = Cost(q, r2);
                if (c <= cost)
                {
                    better = true;
                    cost = c;
                    p = q;
                    (r, r2) = (r2, r);
                    lambda = Math.Max(lambda * 0.2, 1e-9);
                }
                else
                {
                    lambda *= 8;
                }
            }

            if (!better || step < 1e-3)
            {
                break;
            }
        }

        (normal, _) = Normal();
        double[,] covariance = new double[start.Length, start.Length];
        Matrix<double> inverse = normal.Inverse();
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++)
            {
                covariance[free[i], free[j]] = inverse[i, j];
            }
        }

        // Laplace's approximation of the evidence: the width of the posterior over that of the prior.
        double surprise = cost + normal.LU().U.Diagonal().Sum(d => Math.Log(Math.Max(double.Epsilon, Math.Abs(d))));
        foreach (int i in free)
        {
            surprise += 2 * Math.Log(priorSd[i]);
        }

        return new(p, covariance, r, surprise);

        double Cost(double[] q, double[] res)
        {
            double sum = 0;
            double s2 = robustAt * robustAt;
            for (int i = 0; i < count; i++)
            {
                sum += s2 * Math.Log(1 + (res[i] * res[i] / s2));
            }

            foreach (int i in free)
            {
                double d = (q[i] - prior[i]) / priorSd[i];
                sum += d * d;
            }

            return sum;
        }

        (Matrix<double> A, Vector<double> G) Normal()
        {
            Array.Clear(rows);
            slopes(p, rows);
            double s2 = robustAt * robustAt;
            double[] sums = new double[n * n], gradient = new double[n], row = new double[n];
            int[] at = new int[n];
            for (int j = 0; j < count; j++)
            {
                // An edge point depends on the camera and on its own line: most derivatives are 0.
                int filled = 0;
                for (int i = 0; i < n; i++)
                {
                    double slope = rows[(j * start.Length) + free[i]];
                    if (slope != 0)
                    {
                        row[filled] = slope;
                        at[filled++] = i;
                    }
                }

                double w = 1 / (1 + (r[j] * r[j] / s2));
                for (int i = 0; i < filled; i++)
                {
                    double wi = w * row[i];
                    gradient[at[i]] += wi * r[j];
                    int line = at[i] * n;
                    for (int k = i; k < filled; k++)
                    {
                        sums[line + at[k]] += wi * row[k];
                    }
                }
            }

            Matrix<double> a = Matrix<double>.Build.Dense(n, n, (i, k) => sums[(Math.Min(i, k) * n) + Math.Max(i, k)]);
            for (int i = 0; i < n; i++)
            {
                double sd = priorSd[free[i]];
                a[i, i] += 1 / (sd * sd);
                gradient[i] += (p[free[i]] - prior[free[i]]) / (sd * sd);
            }

            return (a, Vector<double>.Build.Dense(gradient));
        }
    }
}
