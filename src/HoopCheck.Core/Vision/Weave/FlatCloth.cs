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
        Parallel.For(0, flat.Height, row =>
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
        });

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

    /// <summary>
    /// Samples in linear light along a piece of a row, between places in the photo that lie evenly. Quadratic B-spline weights over 3 x 3 pixels: they
    /// pass on nearly the same share of the noise wherever between the pixels a cell falls. Bilinear ones do not, and plain noisy fabric then shows lines.
    /// </summary>
    private void Sample(Pixels pixels, BareCloth bare, int row, int from, int to, PhotoPoint first, PhotoVector step)
    {
        double scale = 1.0 / pixels.Reduction;
        float x0 = (float)(((first.X + 0.5) * scale) - 0.5), y0 = (float)(((first.Y + 0.5) * scale) - 0.5), dx = (float)(step.X * scale), dy = (float)(step.Y * scale);
        int w = pixels.Width, h = pixels.Height, line = w * 3;
        ref float linear = ref MemoryMarshal.GetArrayDataReference(Linear), log = ref MemoryMarshal.GetArrayDataReference(Log);
        for (int column = from, i = (row * Width) + from; column < to; column++, i++)
        {
            float x = x0 + ((column - from) * dx) + 0.5f, y = y0 + ((column - from) * dy) + 0.5f;
            if (!(x >= 1 && y >= 1 && x < w - 1 && y < h - 1) || !bare.Shows(row, column))
            {
                continue;
            }

            int xi = (int)x, yi = (int)y, p = ((yi - 1) * line) + ((xi - 1) * 3);
            float tx = x - xi, ty = y - yi;
            float wx0 = 0.5f * (1 - tx) * (1 - tx), wx2 = 0.5f * tx * tx, wx1 = 1 - wx0 - wx2;
            float wy0 = 0.5f * (1 - ty) * (1 - ty), wy2 = 0.5f * ty * ty, wy1 = 1 - wy0 - wy2;
            float blue = 0, green = 0, red = 0;

            // The slices check once for all that the nine pixels lie in the picture.
            Add(pixels.Bgr.AsSpan(p, 9), wy0, ref linear);
            Add(pixels.Bgr.AsSpan(p + line, 9), wy1, ref linear);
            Add(pixels.Bgr.AsSpan(p + (2 * line), 9), wy2, ref linear);
            blue = At(ref log, Math.Clamp((int)(blue * Levels), 0, Levels));
            green = At(ref log, Math.Clamp((int)(green * Levels), 0, Levels));
            red = At(ref log, Math.Clamp((int)(red * Levels), 0, Levels));
            Light[i] = (red + green + blue) * (1 / 3f);
            Red[i] = red - green;
            Blue[i] = blue - green;
            Valid[i] = true;

            void Add(ReadOnlySpan<byte> three, float weight, ref float table)
            {
                blue += weight * ((wx0 * At(ref table, three[0])) + (wx1 * At(ref table, three[3])) + (wx2 * At(ref table, three[6])));
                green += weight * ((wx0 * At(ref table, three[1])) + (wx1 * At(ref table, three[4])) + (wx2 * At(ref table, three[7])));
                red += weight * ((wx0 * At(ref table, three[2])) + (wx1 * At(ref table, three[5])) + (wx2 * At(ref table, three[8])));
            }
        }

        static float At(ref float table, int index) => Unsafe.Add(ref table, index);
    }
}
