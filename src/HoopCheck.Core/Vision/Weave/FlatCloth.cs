using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
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

    /// <summary>Steps of the logarithm's table for one step of an 8-bit code.</summary>
    private const int Finer = 16;

    /// <summary>Cells between places that are projected exactly: over 5 mm the projection is straight to 0.05 px.</summary>
    private const int Node = 8;

    private static readonly float[] Log = [.. Enumerable.Range(0, (255 * Finer) + 1).Select(i => MathF.Log((float)LinearLight.Decode(i / (255.0 * Finer)) + Floor))];

    private FlatCloth(double step, int width, int height)
    {
        (Step, Width, Height) = (step, width, height);
        Cells = new Vector128<float>[width * height];
    }

    /// <summary>mm a cell.</summary>
    public double Step { get; }

    public int Width { get; }

    public int Height { get; }

    /// <summary>Row by row: mean of the three channels' logarithms, ln R/G, ln B/G, and -1 where bare cloth is seen (its sign bit tells); 0 elsewhere.</summary>
    public Vector128<float>[] Cells { get; }

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

    /// <summary>
    /// Samples along a piece of a row, between places in the photo that lie evenly. Quadratic B-spline weights over 3 x 3 pixels: they
    /// pass on nearly the same share of the noise wherever between the pixels a cell falls. Bilinear ones do not, and plain noisy fabric then shows lines.
    /// Codes are weighted, not light: that moves an edge by a part of a pixel towards its dark side, the same all along a line.
    /// </summary>
    private void Sample(Pixels pixels, BareCloth bare, int row, int from, int to, PhotoPoint first, PhotoVector step)
    {
        double scale = 1.0 / pixels.Reduction;
        float x0 = (float)(((first.X + 0.5) * scale) - 0.5), y0 = (float)(((first.Y + 0.5) * scale) - 0.5), dx = (float)(step.X * scale), dy = (float)(step.Y * scale);
        int w = pixels.Width, h = pixels.Height, line = w * 3;

        // 16 bytes are read where nine are needed.
        int last = pixels.Bgr.Length - (2 * line) - Vector128<byte>.Count;
        ref byte bgr = ref MemoryMarshal.GetArrayDataReference(pixels.Bgr);
        for (int column = from, i = (row * Width) + from; column < to; column++, i++)
        {
            float x = x0 + ((column - from) * dx) + 0.5f, y = y0 + ((column - from) * dy) + 0.5f;
            if (!(x >= 1 && y >= 1 && x < w - 1 && y < h - 1) || !bare.Shows(row, column))
            {
                continue;
            }

            int xi = (int)x, yi = (int)y, p = ((yi - 1) * line) + ((xi - 1) * 3);
            if (p > last)
            {
                continue;
            }

            float tx = x - xi, ty = y - yi;
            float wx0 = 0.5f * (1 - tx) * (1 - tx), wx2 = 0.5f * tx * tx, wy0 = 0.5f * (1 - ty) * (1 - ty), wy2 = 0.5f * ty * ty;
            Vector128<float> a = Vector128.Create(wx0), c = Vector128.Create(wx2), b = Vector128.Create(1 - wx0 - wx2);
            Vector128<float> sum = Three(ref bgr, p, a * wy0, b * wy0, c * wy0);
            float wy1 = 1 - wy0 - wy2;
            sum += Three(ref bgr, p + line, a * wy1, b * wy1, c * wy1) + Three(ref bgr, p + (2 * line), a * wy2, b * wy2, c * wy2);

            // To the nearest: weights that add up to a hair less than 1 must not show as steps in an even area.
            Vector128<int> at = Vector128.ConvertToInt32((sum * Finer) + Vector128.Create(0.5f));
            float blue = Log[at[0]], green = Log[at[1]], red = Log[at[2]];
            Cells[i] = Vector128.Create((red + green + blue) * (1 / 3f), red - green, blue - green, -1);
        }
    }

    /// <summary>Three neighbouring pixels, weighted.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<float> Three(ref byte start, int offset, Vector128<float> a, Vector128<float> b, Vector128<float> c)
    {
        Vector128<byte> nine = Vector128.LoadUnsafe(ref start, (nuint)offset);
        return (a * Whole(nine, Vector128.Create((byte)0, 255, 255, 255, 1, 255, 255, 255, 2, 255, 255, 255, 255, 255, 255, 255)))
            + (b * Whole(nine, Vector128.Create((byte)3, 255, 255, 255, 4, 255, 255, 255, 5, 255, 255, 255, 255, 255, 255, 255)))
            + (c * Whole(nine, Vector128.Create((byte)6, 255, 255, 255, 7, 255, 255, 255, 8, 255, 255, 255, 255, 255, 255, 255)));
    }

    /// <summary>The bytes named, as whole numbers.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<float> Whole(Vector128<byte> nine, Vector128<byte> which) => Vector128.ConvertToSingle(Vector128.Shuffle(nine, which).AsInt32());
}
