using System.Buffers;
using System.Runtime.InteropServices;
using HoopCheck.Geometry;

namespace HoopCheck.Vision.Frame;

/// <summary>A surface beside a line of the ring.</summary>
internal enum Surface
{
    Top,
    Wall,
    Cloth,
}

/// <summary>
/// What a surface looks like along a side, nearly free of how brightly it is lit: log-chromaticity ln(R/G), ln(B/G), how much its
/// lightness varies (a print or weave against smooth plastic), and, with little weight, its lightness.
/// </summary>
internal readonly record struct Material(double Rg, double Bg, double Variation, double Lightness)
{
    /// <summary>How alike two materials are: 0 the same, about 1 told apart with ease.</summary>
    public double From(Material o)
    {
        double u = (Rg - o.Rg) / 0.12, v = (Bg - o.Bg) / 0.12, t = (Variation - o.Variation) / 0.7, l = (Lightness - o.Lightness) / 0.8;
        return Math.Sqrt((u * u) + (v * v) + (t * t) + (l * l));
    }

    /// <summary>Of samples in linear light, in the order in which they lie along the side.</summary>
    public static Material Of(ReadOnlySpan<(float R, float G, float B)> samples)
    {
        int count = samples.Length;
        if (count < 8)
        {
            return default;
        }

        float[] rg = ArrayPool<float>.Shared.Rent(count), bg = ArrayPool<float>.Shared.Rent(count);
        double sum = 0, steps = 0;
        for (int i = 0; i < count; i++)
        {
            (float r, float g, float b) = samples[i];
            rg[i] = (r + 0.02f) / (g + 0.02f);
            bg[i] = (b + 0.02f) / (g + 0.02f);
            sum += g;
            steps += i < 2 ? 0 : Math.Abs(g - samples[i - 2].G);
        }

        // The logarithm keeps the order: that of the median ratio is the median of the logarithms.
        Array.Sort(rg, 0, count);
        Array.Sort(bg, 0, count);
        double mean = sum / count;
        Material material = new(Math.Log(rg[count / 2]), Math.Log(bg[count / 2]), Math.Log(0.03 + (steps / (count - 2) / (mean + 0.02))), Math.Log(0.02 + mean));
        ArrayPool<float>.Shared.Return(rg);
        ArrayPool<float>.Shared.Return(bg);
        return material;
    }

    /// <summary>Of the ring's top, of its wall half-way up, or of the cloth some millimetres inside the edge that hides it: the foot (z = 0) or, where the wall is hidden, the top (z = ring height).</summary>
    public static Material Of(LinearSampler photo, CameraPose camera, double[] p, Side side, Surface surface, double z)
    {
        double half = RingModel.HalfExtent(p, side);
        double[] q = surface switch
        {
            Surface.Top => [half + p[RingModel.TopOffset] + 2.5, half + p[RingModel.TopOffset] + 4],
            Surface.Wall => [half + (p[RingModel.TopOffset] / 2)],
            _ => [half - 4, half - 5.5, half - 7],
        };
        var samples = new List<(float, float, float)>();
        foreach (double across in q)
        {
            for (int j = 0; j < 60; j++)
            {
                double s = RingModel.Length(p, side) * 0.8 * (((j + 0.5) / 60) - 0.5);
                if (camera.Project(side.At(across, s), z) is { } x && photo.Sample(x.X, x.Y, out float r, out float g, out float b))
                {
                    samples.Add((r, g, b));
                }
            }
        }

        return Of(CollectionsMarshal.AsSpan(samples));
    }
}
