using System.Numerics;
using System.Runtime.Intrinsics;

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

    /// <summary>Cuts the cloth for lines along its x axis, or with u along y and v along x.</summary>
    public static LineStrips Of(FlatCloth cloth, bool upright = false)
    {
        (int w, int n, int alongU, int alongV) = upright ? (cloth.Height, cloth.Width, cloth.Width, 1) : (cloth.Width, cloth.Height, 1, cloth.Width);
        double stripMm = Math.Clamp(Math.Min(w, n) * cloth.Step / 40, 2.5, 5);
        int k = Math.Max(1, (int)Math.Round(stripMm / cloth.Step)), count = w / k, first = (w - (count * k)) / 2;
        float[][] strips = [.. Enumerable.Range(0, count).Select(_ => new float[Rows * n])];
        double[] u = [.. Enumerable.Range(0, count).Select(i => (first + (i * k) + ((k - 1) / 2.0) - ((w - 1) / 2.0)) * cloth.Step)];
        Vector128<float>[] cells = cloth.Cells;

        // In the order in which the cells lie in memory, nearly.
        for (int outer = 0; outer < (upright ? count : n - 2); outer++)
        {
            for (int inner = 0; inner < (upright ? n - 2 : count); inner++)
            {
                (int i, int v) = upright ? (outer, inner + 1) : (inner, outer + 1);
                Average(cells, ((first + (i * k)) * alongU) + (v * alongV), alongU, alongV, k, strips[i], v, n);
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

    /// <summary>A strip at v, if all its cells are bare cloth; the unsigned change is the sum over lightness and colours.</summary>
    private static void Average(Vector128<float>[] cells, int at, int alongU, int alongV, int number, float[] strip, int v, int length)
    {
        Vector128<float> sum = Vector128<float>.Zero, size = sum, bare = Vector128.Create(-1f), most = Vector128.Create(Largest);
        for (int j = 0; j < number; j++, at += alongU)
        {
            Vector128<float> before = cells[at - alongV], after = cells[at + alongV];
            Vector128<float> change = Vector128.Min(Vector128.Max(after - before, -most), most);
            bare &= before & cells[at] & after;
            sum += change;
            size += Vector128.Abs(change);
        }

        if ((bare.ExtractMostSignificantBits() & 8) != 0)
        {
            sum *= 1f / number;
            (strip[v], strip[length + v], strip[(2 * length) + v]) = (sum[0], sum[1], sum[2]);
            (strip[(3 * length) + v], strip[(4 * length) + v]) = ((size[0] + size[1] + size[2]) / number, 1);
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
