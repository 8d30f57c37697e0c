using MathNet.Numerics.LinearAlgebra;

namespace HoopCheck.Vision.Weave;

/// <summary>The fine measure: displacement of each window of the cloth against the mean profile of the others, and a model through them.</summary>
internal static class WindowFit
{
    /// <summary>Neighbouring strips that are averaged into a window.</summary>
    private const int StripsAWindow = 3;

    /// <summary>Parts the family is cut into across, for windows.</summary>
    private const int Blocks = 4;

    /// <summary>Rounds of the fit.</summary>
    private const int Rounds = 5;

    /// <summary>Cells on either side of a strong line that are left out with it, mm.</summary>
    private const double LineMm = 4;

    /// <summary>Reads displacements and fits, a few rounds from the coarse answer.</summary>
    public static LineFamily? Fit(LineStrips strips, double slope, double curve, double half, double curvePrior, double local)
    {
        const int Parameters = Blocks + 3;
        int length = strips.Length, n = strips.Strips.Length, windows = n / StripsAWindow;
        double step = strips.Step, halfAcross = length * step / 2;
        double curveSd = 4 * curvePrior / (2 * half), fanSd = Math.Tan(0.7 * Math.PI / 180) / halfAcross;
        float[][] means = [.. Enumerable.Range(0, windows).Select(_ => new float[LineStrips.Rows * length])];
        double[] at = [.. Enumerable.Range(0, windows).Select(k => strips.U[(k * StripsAWindow) + 1])];
        float[] sum = new float[LineStrips.Rows * length], template = new float[LineStrips.Signals * length];
        double[] noise = new double[LineStrips.Signals];
        LineFamily? found = null;
        for (int round = 0; round < Rounds; round++)
        {
            Array.Clear(sum);
            for (int k = 0; k < windows; k++)
            {
                float[] mean = means[k];
                Array.Clear(mean);
                for (int i = k * StripsAWindow; i < (k + 1) * StripsAWindow; i++)
                {
                    double u = strips.U[i];
                    LineStrips.AddMoved(mean, strips.Strips[i], length, LineFamily.Rise(slope, curve, u) / step);
                }

                // Kept as sums: the fifth row is their weight.
                LineStrips.AddMoved(sum, mean, length, 0);
            }

            const float Enough = 2 * StripsAWindow;
            for (int s = 0; s < LineStrips.Signals; s++)
            {
                noise[s] = Noise(means, sum, length, s, Enough);
            }

            var rows = new List<(double[] Row, double Y, double Weight, double U, double V)>();
            for (int k = 0; k < windows; k++)
            {
                Others(sum, means[k], template, length, Enough);
                for (int b = 0; b < Blocks; b++)
                {
                    int from = Math.Max(1, b * length / Blocks), to = Math.Min(length - 1, (b + 1) * length / Blocks);
                    (double num, double den, int cells) = Displacement(means[k], template, noise, length, from, to);
                    if (cells * step < 8 || den <= 0)
                    {
                        continue;
                    }

                    double v = strips.V((from + to - 1) / 2.0);
                    double[] row = new double[Parameters];
                    row[b] = 1;
                    (row[Blocks], row[Blocks + 1], row[Blocks + 2]) = (at[k], at[k] * at[k], at[k] * v);

                    // The strip shows at v what the others show at v + d: its lines lie d lower.
                    rows.Add((row, -num / den * step, den, at[k], v));
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
                double spread = BlockSpread([.. rows.Select((r, i) => (Array.IndexOf(r.Row, 1.0), r.U, misfit[i], weights[i] * Math.Sqrt(robust[i])))]);
                found = new(
                    slope, curve, x[Blocks + 2], Math.Sqrt(Math.Max(0, inverse[Blocks, Blocks])), spread, scatter, uneven,
                    StrengthOf(means, sum, noise, length, Enough, (int)(LineMm / step), windows), local,
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

    /// <summary>Mean square of what a signal's windows have beside their common profile.</summary>
    private static double Noise(float[][] means, float[] sum, int length, int signal, float enough)
    {
        double square = 1e-9, count = 1e-9;
        for (int v = 0; v < length; v++)
        {
            float all = sum[(LineStrips.Seen * length) + v];
            if (all < enough)
            {
                continue;
            }

            float common = sum[(signal * length) + v] / all;
            foreach (float[] mean in means)
            {
                float w = mean[(LineStrips.Seen * length) + v];
                if (w > 0.5f)
                {
                    float d = (mean[(signal * length) + v] / w) - common;
                    square += d * d * w;
                    count += w;
                }
            }
        }

        return (square / count) + 1e-6;
    }

    /// <summary>The mean profile of all windows but one; NaN where too few show cloth.</summary>
    private static void Others(float[] sum, float[] own, float[] template, int length, float enough)
    {
        int seen = LineStrips.Seen * length;
        for (int v = 0; v < length; v++)
        {
            float w = sum[seen + v] - own[seen + v];
            float k = w >= enough ? 1 / w : float.NaN;
            for (int s = 0; s < LineStrips.Signals; s++)
            {
                template[(s * length) + v] = (sum[(s * length) + v] - own[(s * length) + v]) * k;
            }
        }
    }

    /// <summary>One step of least squares for the displacement, in cells, of a window against the others' profile T: Σ T'·(p − T) / Σ T'².</summary>
    private static (double Num, double Den, int Cells) Displacement(float[] own, float[] template, double[] noise, int length, int from, int to)
    {
        double num = 0, den = 0;
        int cells = 0;
        for (int v = from; v < to; v++)
        {
            float w = own[(LineStrips.Seen * length) + v];
            if (w <= 0.5f || float.IsNaN(template[v - 1]) || float.IsNaN(template[v]) || float.IsNaN(template[v + 1]))
            {
                continue;
            }

            cells++;
            for (int s = 0; s < LineStrips.Signals; s++)
            {
                int i = (s * length) + v;
                double slope = (template[i + 1] - template[i - 1]) / 2;
                num += slope * ((own[i] / w) - template[i]) / noise[s];
                den += slope * slope / noise[s];
            }
        }

        return (num, den, cells);
    }

    private static double StrengthOf(float[][] means, float[] sum, double[] noise, int length, float enough, int line, int windows)
    {
        double[] common = new double[length], rest = new double[length];
        for (int v = 0; v < length; v++)
        {
            float all = sum[(LineStrips.Seen * length) + v];
            if (all < enough)
            {
                common[v] = double.NegativeInfinity;
                continue;
            }

            for (int s = 0; s < LineStrips.Signals; s++)
            {
                float t = sum[(s * length) + v] / all;
                common[v] += t * t * all / noise[s];
                foreach (float[] mean in means)
                {
                    float w = mean[(LineStrips.Seen * length) + v];
                    if (w > 0.5f)
                    {
                        float d = (mean[(s * length) + v] / w) - t;
                        rest[v] += d * d * w / noise[s];
                    }
                }
            }
        }

        // Without the two strongest lines: one long edge, a shadow or a fold, is no family.
        for (int k = 0; k < 2; k++)
        {
            int strongest = Array.IndexOf(common, common.Max());
            for (int v = Math.Max(0, strongest - line); v <= Math.Min(length - 1, strongest + line); v++)
            {
                common[v] = double.NegativeInfinity;
            }
        }

        double top = 0, bottom = 0;
        int left = 0;
        for (int v = 0; v < length; v++)
        {
            if (double.IsFinite(common[v]))
            {
                top += common[v];
                bottom += rest[v];
                left++;
            }
        }

        return left < 10 || bottom <= 0 ? 0 : top / bottom * (windows - 1);
    }
}
