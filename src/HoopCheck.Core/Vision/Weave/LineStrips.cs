using System.Numerics;

namespace HoopCheck.Vision.Weave;

/// <summary>
/// One family of lines, which run more or less along u: the cloth cut into strips across them, each strip averaged over its few
/// millimetres of u and kept as a profile along v. Four signals: change of lightness and of both colours, which add up along
/// a line of one colour; and the size of the change whatever its sign, which adds up along a seam between patches of changing colours.
/// A fifth row tells where the strip shows cloth (1) and where not (0).
/// </summary>
internal sealed class LineStrips
{
    public const int Signals = 4;

    /// <summary>Index of the row that tells where there is cloth.</summary>
    public const int Seen = 4;

    /// <summary>Rows of a strip.</summary>
    public const int Rows = 5;

    /// <summary>Largest change of a cell that counts, in ln: a bright stitch or thread shall not outweigh a line.</summary>
    private const float Largest = 1;

    /// <summary>Length over which the mean of the unsigned change is taken away, mm.</summary>
    private const double MeanMm = 16;

    private LineStrips(double step, int length, float[][] strips, double[] u)
    {
        (Step, Length, Strips, U) = (step, length, strips, u);
    }

    /// <summary>mm a cell.</summary>
    public double Step { get; }

    /// <summary>Cells of a profile.</summary>
    public int Length { get; }

    /// <summary>Each <see cref="Rows"/> times <see cref="Length"/> numbers.</summary>
    public float[][] Strips { get; }

    /// <summary>Middle of each strip, mm.</summary>
    public double[] U { get; }

    /// <summary>v of a cell of a profile, mm.</summary>
    public double V(double cell) => (cell - ((Length - 1) / 2.0)) * Step;

    /// <summary>Cuts the cloth for lines along its x axis.</summary>
    public static LineStrips Of(FlatCloth cloth)
    {
        int w = cloth.Width, n = cloth.Height;
        double stripMm = Math.Clamp(Math.Min(w, n) * cloth.Step / 40, 2.5, 5);
        int k = Math.Max(1, (int)Math.Round(stripMm / cloth.Step)), count = w / k, first = (w - (count * k)) / 2;
        float[][] strips = [.. Enumerable.Range(0, count).Select(_ => new float[Rows * n])];
        double[] u = [.. Enumerable.Range(0, count).Select(i => (first + (i * k) + ((k - 1) / 2.0) - ((w - 1) / 2.0)) * cloth.Step)];
        float[] light = cloth.Light, red = cloth.Red, blue = cloth.Blue;
        bool[] valid = cloth.Valid;
        for (int v = 1; v < n - 1; v++)
        {
            int at = (v * w) + first;
            for (int i = 0; i < count; i++, at += k)
            {
                float a = 0, b = 0, c = 0, g = 0;
                bool all = true;
                for (int j = at; j < at + k; j++)
                {
                    if (!(valid[j - w] && valid[j] && valid[j + w]))
                    {
                        all = false;
                        break;
                    }

                    float dl = light[j + w] - light[j - w], dr = red[j + w] - red[j - w], db = blue[j + w] - blue[j - w];
                    dl = Math.Min(Math.Max(dl, -Largest), Largest);
                    dr = Math.Min(Math.Max(dr, -Largest), Largest);
                    db = Math.Min(Math.Max(db, -Largest), Largest);
                    a += dl;
                    b += dr;
                    c += db;
                    g += MathF.Sqrt((dl * dl) + (dr * dr) + (db * db));
                }

                if (all)
                {
                    float[] strip = strips[i];
                    (strip[v], strip[n + v], strip[(2 * n) + v], strip[(3 * n) + v], strip[(4 * n) + v]) = (a / k, b / k, c / k, g / k, 1);
                }
            }
        }

        foreach (float[] strip in strips)
        {
            TakeMeanAway(strip.AsSpan(3 * n, n), strip.AsSpan(4 * n, n), (int)(MeanMm / 2 / cloth.Step));
        }

        return new(cloth.Step, n, strips, u);
    }

    /// <summary>Adds a strip moved by whole cells: sum[v] += strip[v + shift].</summary>
    public static void AddMoved(float[] sum, float[] strip, int length, int shift)
    {
        int from = Math.Max(0, -shift), to = Math.Min(length, length - shift);
        if (to <= from)
        {
            return;
        }

        for (int row = 0; row < Rows; row++)
        {
            Span<float> s = sum.AsSpan((row * length) + from, to - from);
            ReadOnlySpan<float> p = strip.AsSpan((row * length) + from + shift, to - from);
            int i = 0;
            for (; i <= s.Length - Vector<float>.Count; i += Vector<float>.Count)
            {
                (new Vector<float>(s[i..]) + new Vector<float>(p[i..])).CopyTo(s[i..]);
            }

            for (; i < s.Length; i++)
            {
                s[i] += p[i];
            }
        }
    }

    /// <summary>Adds a strip moved by parts of a cell, linearly interpolated.</summary>
    public static void AddMoved(float[] sum, float[] strip, int length, double shift)
    {
        int whole = (int)Math.Floor(shift);
        float part = (float)(shift - whole);
        int from = Math.Max(0, -whole), to = Math.Min(length, length - whole - 1);
        var wa = new Vector<float>(1 - part);
        var wb = new Vector<float>(part);
        for (int row = 0; row < Rows && to > from; row++)
        {
            Span<float> s = sum.AsSpan((row * length) + from, to - from);
            ReadOnlySpan<float> a = strip.AsSpan((row * length) + from + whole, to - from), b = strip.AsSpan((row * length) + from + whole + 1, to - from);
            int i = 0;
            for (; i <= s.Length - Vector<float>.Count; i += Vector<float>.Count)
            {
                (new Vector<float>(s[i..]) + (wa * new Vector<float>(a[i..])) + (wb * new Vector<float>(b[i..]))).CopyTo(s[i..]);
            }

            for (; i < s.Length; i++)
            {
                s[i] += ((1 - part) * a[i]) + (part * b[i]);
            }
        }
    }

    private static void TakeMeanAway(Span<float> signal, ReadOnlySpan<float> seen, int reach)
    {
        Span<double> sum = stackalloc double[signal.Length + 1], count = stackalloc double[signal.Length + 1];
        for (int i = 0; i < signal.Length; i++)
        {
            sum[i + 1] = sum[i] + signal[i];
            count[i + 1] = count[i] + seen[i];
        }

        for (int i = 0; i < signal.Length; i++)
        {
            int a = Math.Max(0, i - reach), b = Math.Min(signal.Length, i + reach + 1);
            signal[i] = seen[i] > 0 ? signal[i] - (float)((sum[b] - sum[a]) / Math.Max(1, count[b] - count[a])) : 0;
        }
    }
}
