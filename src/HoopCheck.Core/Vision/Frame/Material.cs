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

    /// <summary>Of samples in linear light.</summary>
    public static Material Of(List<(float R, float G, float B)> samples)
    {
        if (samples.Count < 8)
        {
            return default;
        }

        double[] u = [.. samples.Select(x => Math.Log((x.R + 0.02) / (x.G + 0.02)))], v = [.. samples.Select(x => Math.Log((x.B + 0.02) / (x.G + 0.02)))];
        double[] l = [.. samples.Select(x => (double)x.G)];
        double[] steps = [.. l.Skip(2).Zip(l, (a, b) => Math.Abs(a - b))];
        Array.Sort(u);
        Array.Sort(v);
        double mean = l.Average();
        return new(u[u.Length / 2], v[v.Length / 2], Math.Log(0.03 + (steps.Average() / (mean + 0.02))), Math.Log(0.02 + mean));
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

        return Of(samples);
    }
}
