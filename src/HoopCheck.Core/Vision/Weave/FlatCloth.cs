using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
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

    /// <summary>Cells between places that are projected exactly: over 5 mm the projection is straight to 0.05 px.</summary>
    private const int Node = 8;

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
        var bare = BareCloth.Of(area, turn, flat);
        double cos = Math.Cos(turn), sin = Math.Sin(turn);
        for (int row = 0; row < flat.Height; row++)
        {
            (int from, int to) = bare.Span(row);
            double v = flat.Y(row);
            PhotoPoint? here = At(from), next = null;
            for (int start = from; start < to; start += Node, here = next)
            {
                int end = Math.Min(start + Node, to);
                next = At(end);
                if (here is { } a && next is { } b)
                {
                    flat.Sample(pixels, bare, row, start, end, a, (b - a) * (1.0 / (end - start)));
                }
            }

            PhotoPoint? At(int column)
            {
                double u = flat.X(column);
                return area.Camera.Project(new((cos * u) - (sin * v), (sin * u) + (cos * v)), area.ClothHeight);
            }
        }

        return flat;
    }

    /// <summary>x of a column, mm.</summary>
    public double X(int column) => (column - ((Width - 1) / 2.0)) * Step;

    /// <summary>y of a row, mm.</summary>
    public double Y(int row) => (row - ((Height - 1) / 2.0)) * Step;

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

    /// <summary>Bilinear samples in linear light along a piece of a row, between places in the photo that lie evenly.</summary>
    private void Sample(Pixels pixels, BareCloth bare, int row, int from, int to, PhotoPoint first, PhotoVector step)
    {
        double scale = 1.0 / pixels.Reduction;
        float x0 = (float)(((first.X + 0.5) * scale) - 0.5), y0 = (float)(((first.Y + 0.5) * scale) - 0.5), dx = (float)(step.X * scale), dy = (float)(step.Y * scale);
        int w = pixels.Width, h = pixels.Height, line = w * 3;
        ref float linear = ref MemoryMarshal.GetArrayDataReference(Linear), log = ref MemoryMarshal.GetArrayDataReference(Log);
        for (int column = from, i = (row * Width) + from; column < to; column++, i++)
        {
            float x = x0 + ((column - from) * dx), y = y0 + ((column - from) * dy);
            if (!(x >= 0 && y >= 0 && x < w - 1 && y < h - 1) || !bare.Shows(row, column))
            {
                continue;
            }

            int xi = (int)x, yi = (int)y, p = (yi * line) + (xi * 3);
            float fx = x - xi, fy = y - yi, w11 = fx * fy * Levels, w10 = (fy * Levels) - w11, w01 = (fx * Levels) - w11, w00 = Levels - w10 - w01 - w11;

            // Two pixels side by side and the two below them; the slices check that they lie in the picture, once for all twelve bytes.
            ReadOnlySpan<byte> upper = pixels.Bgr.AsSpan(p, 6), lower = pixels.Bgr.AsSpan(p + line, 6);
            float blue = (w00 * At(ref linear, upper[0])) + (w01 * At(ref linear, upper[3])) + (w10 * At(ref linear, lower[0])) + (w11 * At(ref linear, lower[3]));
            float green = (w00 * At(ref linear, upper[1])) + (w01 * At(ref linear, upper[4])) + (w10 * At(ref linear, lower[1])) + (w11 * At(ref linear, lower[4]));
            float red = (w00 * At(ref linear, upper[2])) + (w01 * At(ref linear, upper[5])) + (w10 * At(ref linear, lower[2])) + (w11 * At(ref linear, lower[5]));
            blue = At(ref log, Math.Clamp((int)blue, 0, Levels));
            green = At(ref log, Math.Clamp((int)green, 0, Levels));
            red = At(ref log, Math.Clamp((int)red, 0, Levels));
            Light[i] = (red + green + blue) * (1 / 3f);
            Red[i] = red - green;
            Blue[i] = blue - green;
            Valid[i] = true;
        }

        static float At(ref float table, int index) => Unsafe.Add(ref table, index);
    }
}
