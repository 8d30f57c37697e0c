using HoopCheck.Geometry;

namespace HoopCheck.Vision.Weave;

/// <summary>
/// The cloth seen from straight above in square cells, rows from the smallest y to the largest, as logarithms of linear light:
/// a shadow then adds a constant, and a line's edge does not.
/// </summary>
internal sealed class FlatCloth
{
    /// <summary>Most cells: the time the stage may take. A hoop of 360 x 240 mm gets 0.65 mm cells.</summary>
    private const double MostCells = 205_000;

    /// <summary>Finest cell, mm: a quarter of the narrowest line of a 3 mm repeat.</summary>
    private const double FinestMm = 0.4;

    /// <summary>Added before the logarithm, as a share of full light: dark cloth is noise below it.</summary>
    private const float Floor = 0.02f;

    private const int Levels = 4096;

    private static readonly float[] Linear = LinearLight.Table.ToArray();
    private static readonly float[] Log = [.. Enumerable.Range(0, Levels + 1).Select(i => MathF.Log(((float)i / Levels) + Floor))];

    private FlatCloth(double step, int width, int height)
    {
        (Step, Width, Height) = (step, width, height);
        (Light, Red, Blue) = (new float[width * height], new float[width * height], new float[width * height]);
        Valid = new bool[width * height];
    }

    /// <summary>mm a cell.</summary>
    public double Step { get; }

    public int Width { get; }

    public int Height { get; }

    /// <summary>Mean of the three channels' logarithms.</summary>
    public float[] Light { get; }

    /// <summary>ln R/G.</summary>
    public float[] Red { get; }

    /// <summary>ln B/G.</summary>
    public float[] Blue { get; }

    /// <summary>Cells that show bare cloth.</summary>
    public bool[] Valid { get; }

    /// <summary>Samples the photo.</summary>
    /// <param name="pixels">The photo's pixels.</param>
    /// <param name="area">What of the cloth may be looked at.</param>
    /// <param name="turn">The cells' own x axis, radians counter-clockwise from the area's.</param>
    public static FlatCloth Of(Pixels pixels, ClothArea area, double turn = 0)
    {
        double step = Math.Max(FinestMm, Math.Sqrt(area.Width * area.Height / MostCells));
        var flat = new FlatCloth(step, Math.Max(2, (int)(area.Width / step)), Math.Max(2, (int)(area.Height / step)));
        CameraPose camera = area.Camera;
        (double X, double Y, double Z) eye = camera.Centre;
        double[] r = camera.R;
        double cos = Math.Cos(turn), sin = Math.Sin(turn);
        IReadOnlyList<(HoopVector Normal, HoopVector Along, double First, double[] Q)> tapes = area.TapeLimits();
        double scale = 1.0 / pixels.Reduction;
        int w = pixels.Width, h = pixels.Height;
        byte[] bgr = pixels.Bgr;
        float[] linear = Linear, log = Log;
        for (int row = 0, i = 0; row < flat.Height; row++)
        {
            double v = (row - ((flat.Height - 1) / 2.0)) * step;
            for (int column = 0; column < flat.Width; column++, i++)
            {
                double u = (column - ((flat.Width - 1) / 2.0)) * step;
                double px = (cos * u) - (sin * v), py = (sin * u) + (cos * v);
                if (!area.Holds(px, py, eye) || Beyond(tapes, px, py))
                {
                    continue;
                }

                // As CameraPose.Project, without the detour over nullable points.
                double zc = (r[6] * px) + (r[7] * py) + (r[8] * area.ClothHeight) + camera.T[2];
                double xn = ((r[0] * px) + (r[1] * py) + (r[2] * area.ClothHeight) + camera.T[0]) / zc;
                double yn = ((r[3] * px) + (r[4] * py) + (r[5] * area.ClothHeight) + camera.T[1]) / zc;
                double r2 = (xn * xn) + (yn * yn), bent = camera.Focal * (1 + (r2 * (camera.K1 + (camera.K2 * r2))));
                double x = (((bent * xn) + camera.Cx + 0.5) * scale) - 0.5, y = (((bent * yn) + camera.Cy + 0.5) * scale) - 0.5;
                if (!(zc > 1 && x >= 0 && y >= 0 && x < w - 1 && y < h - 1))
                {
                    continue;
                }

                int xi = (int)x, yi = (int)y, p = ((yi * w) + xi) * 3, q = p + (w * 3);
                float fx = (float)(x - xi), fy = (float)(y - yi);
                float w00 = (1 - fx) * (1 - fy) * Levels, w01 = fx * (1 - fy) * Levels, w10 = (1 - fx) * fy * Levels, w11 = fx * fy * Levels;
                float blue = log[(int)((w00 * linear[bgr[p]]) + (w01 * linear[bgr[p + 3]]) + (w10 * linear[bgr[q]]) + (w11 * linear[bgr[q + 3]]))];
                float green = log[(int)((w00 * linear[bgr[p + 1]]) + (w01 * linear[bgr[p + 4]]) + (w10 * linear[bgr[q + 1]]) + (w11 * linear[bgr[q + 4]]))];
                float red = log[(int)((w00 * linear[bgr[p + 2]]) + (w01 * linear[bgr[p + 5]]) + (w10 * linear[bgr[q + 2]]) + (w11 * linear[bgr[q + 5]]))];
                flat.Light[i] = (red + green + blue) / 3;
                flat.Red[i] = red - green;
                flat.Blue[i] = blue - green;
                flat.Valid[i] = true;
            }
        }

        return flat;
    }

    /// <summary>The same cloth with x and y exchanged.</summary>
    public FlatCloth Transposed()
    {
        var other = new FlatCloth(Step, Height, Width);
        const int Tile = 32;
        for (int y0 = 0; y0 < Height; y0 += Tile)
        {
            for (int x0 = 0; x0 < Width; x0 += Tile)
            {
                for (int y = y0; y < Math.Min(Height, y0 + Tile); y++)
                {
                    for (int x = x0, from = (y * Width) + x0, to = (x0 * Height) + y; x < Math.Min(Width, x0 + Tile); x++, from++, to += Height)
                    {
                        other.Light[to] = Light[from];
                        other.Red[to] = Red[from];
                        other.Blue[to] = Blue[from];
                        other.Valid[to] = Valid[from];
                    }
                }
            }
        }

        return other;
    }

    private static bool Beyond(IReadOnlyList<(HoopVector Normal, HoopVector Along, double First, double[] Q)> tapes, double x, double y)
    {
        for (int k = 0; k < tapes.Count; k++)
        {
            (HoopVector n, HoopVector t, double first, double[] q) = tapes[k];
            int i = (int)((x * t.X) + (y * t.Y) - first + 0.5);
            if ((uint)i < (uint)q.Length && (x * n.X) + (y * n.Y) > q[i])
            {
                return true;
            }
        }

        return false;
    }
}
