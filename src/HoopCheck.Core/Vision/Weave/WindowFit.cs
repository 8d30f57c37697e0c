using MathNet.Numerics.LinearAlgebra;

namespace HoopCheck.Vision.Weave;

/// <summary>The fine measure: displacement of each window of the cloth against the mean profile of the others, and a model through them.</summary>
internal static class WindowFit
{
    /// <summary>Parts the family is cut into across, for windows.</summary>
    private const int Blocks = 4;

    /// <summary>Rounds of the fit.</summary>
    private const int Rounds = 3;

    /// <summary>Reads displacements and fits, a few rounds from the coarse answer.</summary>
    public static LineFamily? Fit(LineStrips strips, double slope, double curve, double half, double curvePrior, double local)
    {
        const int Parameters = Blocks + 3;
        int length = strips.Length;
        double step = strips.Step, halfAcross = length * step / 2;
        double curveSd = 4 * curvePrior / (2 * half), fanSd = Math.Tan(0.7 * Math.PI / 180) / halfAcross;
        var means = new WindowMeans(strips);
        double[] at = means.U;
        LineFamily? found = null;
        for (int round = 0; round < Rounds; round++)
        {
            means.Move(slope, curve);
            var rows = new List<(int Block, double[] Row, double Y, double Weight, double U, double V)>();
            for (int k = 0; k < at.Length; k++)
            {
                foreach ((int block, double num, double den, double v) in means.Displacements(k, Blocks))
                {
                    double[] row = new double[Parameters];
                    row[block] = 1;
                    (row[Blocks], row[Blocks + 1], row[Blocks + 2]) = (at[k], at[k] * at[k], at[k] * v);

                    // The strip shows at v what the others show at v + d: its lines lie d lower.
                    rows.Add((block, row, -num / den * step, den, at[k], v));
                }
            }

            if (rows.Count < Parameters)
            {
                return null;
            }

            double usual = rows.Select(r => r.Weight).Order().ElementAt(rows.Count / 2);
            double[] weights = [.. rows.Select(r => Math.Min(r.Weight, 4 * usual) / usual)];
            double[] robust = [.. Enumerable.Repeat(1.0, rows.Count)];
            Vector<double> x = Vector<double>.Build.Dense(Parameters);
            Matrix<double> inverse = Matrix<double>.Build.DenseIdentity(Parameters);
            double variance = 1e-4;
            double[] misfit = new double[rows.Count];
            for (int pass = 0; pass < 8; pass++)
            {
                Matrix<double> normal = Matrix<double>.Build.Dense(Parameters, Parameters);
                Vector<double> right = Vector<double>.Build.Dense(Parameters);
                for (int i = 0; i < rows.Count; i++)
                {
                    double w = weights[i] * robust[i] / variance;
                    double[] row = rows[i].Row;
                    for (int p = 0; p < Parameters; p++)
                    {
                        right[p] += w * row[p] * rows[i].Y;
                        for (int q = 0; q < Parameters; q++)
                        {
                            normal[p, q] += w * row[p] * row[q];
                        }
                    }
                }

                for (int b = 0; b < Blocks; b++)
                {
                    normal[b, b] += 1;
                }

                normal[Blocks + 1, Blocks + 1] += 1 / (curveSd * curveSd);
                right[Blocks + 1] -= curve / (curveSd * curveSd);
                normal[Blocks + 2, Blocks + 2] += 1 / (fanSd * fanSd);
                inverse = normal.Inverse();
                x = inverse * right;
                double top = 0, bottom = 0;
                for (int i = 0; i < rows.Count; i++)
                {
                    misfit[i] = rows[i].Y - rows[i].Row.Zip(x, (a, b) => a * b).Sum();
                    top += weights[i] * robust[i] * misfit[i] * misfit[i];
                    bottom += robust[i];
                }

                double middle = (1.4826 * misfit.Select(Math.Abs).Order().ElementAt(rows.Count / 2)) + 0.003;
                for (int i = 0; i < rows.Count; i++)
                {
                    double t = misfit[i] / (2 * middle);
                    robust[i] = 1 / ((1 + (t * t)) * (1 + (t * t)));
                }

                variance = Math.Max(1e-5, top / Math.Max(1, bottom - Parameters));
            }

            slope += x[Blocks];
            curve += x[Blocks + 1];
            if (round == Rounds - 1)
            {
                double scatter = Math.Sqrt(weights.Select((w, i) => w * robust[i] * misfit[i] * misfit[i]).Sum() / weights.Select((w, i) => w * robust[i]).Sum());
                double uneven = Math.Sqrt(weights.Select((w, i) => w * misfit[i] * misfit[i]).Sum() / weights.Sum());
                double spread = BlockSpread([.. rows.Select((r, i) => (r.Block, r.U, misfit[i], weights[i] * Math.Sqrt(robust[i])))]);
                (double strength, double fourth) = means.Lines();
                found = new(
                    slope, curve, x[Blocks + 2], Math.Sqrt(Math.Max(0, inverse[Blocks, Blocks])), spread, scatter, uneven,
                    Steps([.. rows.Select((r, i) => (r.Block, r.U, misfit[i], weights[i]))]), strength, fourth, local,
                    [.. rows.Select((r, i) => new Window(r.U, r.V, misfit[i], robust[i]))]);
            }
        }

        return found;
    }

    /// <summary>Standard deviation of the mean of the blocks' own slopes: what neighbouring windows have in common shows there.</summary>
    private static double BlockSpread((int Block, double U, double Misfit, double Weight)[] windows)
    {
        double sum = 0, square = 0, squared = 0;
        foreach (IGrouping<int, (int Block, double U, double Misfit, double Weight)> block in windows.GroupBy(w => w.Block))
        {
            double all = block.Sum(w => w.Weight), u = block.Sum(w => w.Weight * w.U) / all, y = block.Sum(w => w.Weight * w.Misfit) / all;
            double moment = block.Sum(w => w.Weight * (w.U - u) * (w.U - u));
            if (moment > 0)
            {
                double slope = block.Sum(w => w.Weight * (w.U - u) * (w.Misfit - y)) / moment;
                sum += moment;
                squared += moment * moment;
                square += moment * slope * slope;
            }
        }

        double blocks = squared > 0 ? sum * sum / squared : 0;
        return blocks > 1.2 ? Math.Sqrt(square / sum / (blocks - 1)) : 0;
    }

    /// <summary>
    /// The median slope from window to neighbouring window, in its own standard errors: far from 0 where pieces of the cloth have lines of
    /// one direction that do not meet across their seams, so that lines through all pieces lean otherwise than each piece.
    /// </summary>
    private static double Steps((int Block, double U, double Misfit, double Weight)[] windows)
    {
        const double LeastWeight = 0.3;
        double[] slopes = [.. windows.GroupBy(w => w.Block).Select(block => block.OrderBy(w => w.U).ToList()).SelectMany(row => row.Zip(row.Skip(1)))
            .Where(pair => Math.Min(pair.First.Weight, pair.Second.Weight) > LeastWeight)
            .Select(pair => (pair.Second.Misfit - pair.First.Misfit) / (pair.Second.U - pair.First.U)).Order()];
        if (slopes.Length < 12)
        {
            return 0;
        }

        double median = slopes[slopes.Length / 2], spread = 1.4826 * slopes.Select(s => Math.Abs(s - median)).Order().ElementAt(slopes.Length / 2);

        // Standard error of a median: √(π/2)·σ/√n.
        return spread > 0 ? median / (1.2533 * spread / Math.Sqrt(slopes.Length)) : 0;
    }
}
