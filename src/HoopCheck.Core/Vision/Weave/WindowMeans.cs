using System.Numerics;

namespace HoopCheck.Vision.Weave;

/// <summary>
/// Profiles of windows of a few neighbouring strips each, moved along a slope and a curve, beside their common profile. All are kept as sums;
/// the row <see cref="LineStrips.Seen"/> is their weight. The arrays are used again from round to round.
/// </summary>
internal sealed class WindowMeans
{
    /// <summary>Neighbouring strips that are averaged into a window.</summary>
    private const int StripsAWindow = 3;

    /// <summary>Fewest strips that must show cloth for a common profile.</summary>
    private const float Enough = 2 * StripsAWindow;

    /// <summary>Weight above which a window shows a place at all.</summary>
    private const float Shown = 0.5f;

    /// <summary>Cells on either side of a strong line that belong to it, mm.</summary>
    private const double LineMm = 4;

    /// <summary>The line, counted from the strongest, that tells whether there is a family.</summary>
    private const int Fourth = 4;

    private const int Signals = LineStrips.Signals, Seen = LineStrips.Seen, Rows = LineStrips.Rows;

    private static readonly int Lanes = Vector<float>.Count;

    private readonly LineStrips strips;
    private readonly int length;
    private readonly float[][] means;
    private readonly float[] sum;
    private readonly float[] square;
    private readonly float[] others;
    private readonly float[] valid;
    private readonly float[] noise = new float[Signals];

    public WindowMeans(LineStrips strips)
    {
        (this.strips, length) = (strips, strips.Length);
        means = [.. Enumerable.Range(0, strips.Strips.Length / StripsAWindow).Select(_ => new float[Rows * length])];
        U = [.. Enumerable.Range(0, means.Length).Select(k => strips.U[(k * StripsAWindow) + 1])];
        (sum, square, others, valid) = (new float[Rows * length], new float[Signals * length], new float[Signals * length], new float[length]);
    }

    /// <summary>Middle of each window, mm.</summary>
    public double[] U { get; }

    /// <summary>Moves the strips and averages them anew.</summary>
    public void Move(double slope, double curve)
    {
        Array.Clear(sum);
        for (int k = 0; k < means.Length; k++)
        {
            Array.Clear(means[k]);
            for (int i = k * StripsAWindow; i < (k + 1) * StripsAWindow; i++)
            {
                LineStrips.AddMoved(means[k], strips.Strips[i], length, LineFamily.Rise(slope, curve, strips.U[i]) / strips.Step);
            }

            LineStrips.AddMoved(sum, means[k], length, 0);
        }

        Spread();
    }

    /// <summary>
    /// One step of least squares for the displacement, in cells, of a window against the others' profile T: Σ T'·(p − T) / Σ T'², signals weighted
    /// by their noise, in each of some equal parts across.
    /// </summary>
    /// <param name="window">Which.</param>
    /// <param name="blocks">Number of parts.</param>
    public IEnumerable<(int Block, double Num, double Den, double V)> Displacements(int window, int blocks)
    {
        Others(means[window]);
        for (int b = 0; b < blocks; b++)
        {
            int from = Math.Max(1, b * length / blocks), to = Math.Min(length - 1, (b + 1) * length / blocks);
            if (Sum(valid.AsSpan(from, to - from)) * strips.Step < 8)
            {
                continue;
            }

            double num = 0, den = 0;
            for (int s = 0; s < Signals; s++)
            {
                (float n, float d) = Displacement(means[window], s, from, to);
                (num, den) = (num + (n / noise[s]), den + (d / noise[s]));
            }

            if (den > 0)
            {
                yield return (b, num, den, strips.V((from + to - 1) / 2.0));
            }
        }
    }

    /// <summary>
    /// How evident lines are: variance of the common profile over that of the rest, times the number of windows (about 1 where there are none),
    /// without the two strongest lines; and at the fourth strongest line alone.
    /// </summary>
    public (double Strength, double FourthLine) Lines()
    {
        int line = (int)(LineMm / strips.Step);
        double[] common = new double[length], rest = new double[length], evident = new double[length];
        for (int v = 0; v < length; v++)
        {
            float all = sum[(Seen * length) + v];
            for (int s = 0; s < Signals && all >= Enough; s++)
            {
                float x = sum[(s * length) + v];
                common[v] += x * x / all / noise[s];
                rest[v] += square[(s * length) + v] / noise[s];
            }
        }

        for (int v = 1; v < length - 1; v++)
        {
            double below = rest[v - 1] + rest[v] + rest[v + 1];
            evident[v] = below > 0 ? (common[v - 1] + common[v] + common[v + 1]) / below * (means.Length - 1) : 0;
        }

        double fourth = 0;
        for (int k = 0; k < Fourth; k++)
        {
            fourth = evident.Max();
            Leave(evident, Array.IndexOf(evident, fourth));
        }

        // Without the two strongest: one long edge, a shadow or a fold, is no family.
        for (int k = 0; k < 2; k++)
        {
            int strongest = Array.IndexOf(common, common.Max());
            Leave(common, strongest);
            Leave(rest, strongest);
        }

        double bottom = rest.Sum();
        return (rest.Count(r => r > 0) < 10 || bottom <= 0 ? 0 : common.Sum() / bottom * (means.Length - 1), fourth);

        void Leave(double[] values, int middle)
        {
            int from = Math.Max(0, middle - line), to = Math.Min(length, middle + line + 1);
            values.AsSpan(from, to - from).Clear();
        }
    }

    /// <summary>Σ over the windows of what they have beside their common profile, squared, place by place; and its mean.</summary>
    private void Spread()
    {
        Array.Clear(square);
        var shown = new Vector<float>(Shown);
        ReadOnlySpan<float> all = sum.AsSpan(Seen * length, length);
        double count = 1e-9;
        foreach (float weight in all)
        {
            count += weight >= Enough ? weight : 0;
        }

        for (int s = 0; s < Signals; s++)
        {
            Span<float> q = square.AsSpan(s * length, length);
            foreach (float[] mean in means)
            {
                ReadOnlySpan<float> x = mean.AsSpan(s * length, length), w = mean.AsSpan(Seen * length, length);
                int v = 0;
                for (; v <= length - Lanes; v += Lanes)
                {
                    Vector<float> vx = new(x[v..]), vw = new(w[v..]);
                    (new Vector<float>(q[v..]) + Vector.ConditionalSelect(Vector.GreaterThan(vw, shown), vx * vx / vw, Vector<float>.Zero)).CopyTo(q[v..]);
                }

                for (; v < length; v++)
                {
                    q[v] += w[v] > Shown ? x[v] * x[v] / w[v] : 0;
                }
            }

            double total = 0;
            for (int v = 0; v < length; v++)
            {
                float x = sum[(s * length) + v];
                q[v] = all[v] >= Enough ? Math.Max(0, q[v] - (x * x / all[v])) : 0;
                total += q[v];
            }

            noise[s] = (float)(total / count) + 1e-6f;
        }
    }

    /// <summary>The mean profile of all windows but one, and where it, its slope and the one can be used.</summary>
    private void Others(float[] own)
    {
        int seen = Seen * length;
        for (int v = 0; v < length; v++)
        {
            float w = sum[seen + v] - own[seen + v];
            valid[v] = w >= Enough ? 1 / w : 0;
        }

        for (int s = 0; s < Signals; s++)
        {
            Span<float> to = others.AsSpan(s * length, length);
            ReadOnlySpan<float> a = sum.AsSpan(s * length, length), b = own.AsSpan(s * length, length);
            int v = 0;
            for (; v <= length - Lanes; v += Lanes)
            {
                ((new Vector<float>(a[v..]) - new Vector<float>(b[v..])) * new Vector<float>(valid, v)).CopyTo(to[v..]);
            }

            for (; v < length; v++)
            {
                to[v] = (a[v] - b[v]) * valid[v];
            }
        }

        for (int v = 0, before = 0; v < length; v++)
        {
            int now = valid[v] > 0 ? 1 : 0, after = v < length - 1 && valid[v + 1] > 0 ? 1 : 0;
            valid[v] = before > 0 && now > 0 && after > 0 && own[seen + v] > Shown ? 1 : 0;
            before = now;
        }
    }

    private (float Num, float Den) Displacement(float[] own, int signal, int from, int to)
    {
        int row = signal * length, seen = Seen * length, v = from;
        Vector<float> num = Vector<float>.Zero, den = Vector<float>.Zero, half = new(0.5f), shown = new(Shown);
        for (; v <= to - Lanes; v += Lanes)
        {
            Vector<float> slope = (new Vector<float>(others, row + v + 1) - new Vector<float>(others, row + v - 1)) * half * new Vector<float>(valid, v);
            Vector<float> weight = Vector.Max(new Vector<float>(own, seen + v), shown);
            num += slope * ((new Vector<float>(own, row + v) / weight) - new Vector<float>(others, row + v));
            den += slope * slope;
        }

        (float top, float bottom) = (Vector.Sum(num), Vector.Sum(den));
        for (; v < to; v++)
        {
            float slope = (others[row + v + 1] - others[row + v - 1]) * 0.5f * valid[v];
            top += slope * ((own[row + v] / Math.Max(own[seen + v], Shown)) - others[row + v]);
            bottom += slope * slope;
        }

        return (top, bottom);
    }

    private static float Sum(ReadOnlySpan<float> values)
    {
        float sum = 0;
        foreach (float value in values)
        {
            sum += value;
        }

        return sum;
    }
}
