using System.Numerics.Tensors;
using HoopCheck.Geometry;

namespace HoopCheck.Vision.Frame;

/// <summary>One line of the ring unrolled: stations along it by places across it, gradients of light and colour.</summary>
internal sealed record RingStrip(
    Side Side, RingLine Kind, double[] S, bool[] Inside, int Half, int Count, double Step, double PxPerMm, int Along, double Reach,
    float[] Smooth, float[] Luminance, float[] Energy, Func<double, double, PhotoPoint?> Place)
{
    public double Length { get; init; }

    /// <summary>Strength above which an edge counts no more: 93 % of all places are weaker.</summary>
    public float Cap { get; init; }

    /// <summary>Strength that half of all places reach: what noise and texture make.</summary>
    public float Noise { get; init; }

    public Material Ring { get; init; }

    /// <summary>The inner wall, lit otherwise than the top and tinted by the cloth; where it is too narrow to be seen, the top.</summary>
    public Material Wall { get; init; }

    /// <summary>What lies inside the line: the side's own cloth first. Where tape lies along a side that is the tape, and the cloth shows only beside it; then that of the other sides too.</summary>
    public Material[] Cloths { get; init; } = [];

    /// <summary>The lines of all four sides that can be seen from where the camera stands, unrolled about a prediction.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="model">The ring model.</param>
    /// <param name="p">The predicted parameters.</param>
    /// <param name="reach">How far on either side of the prediction to look, mm.</param>
    public static IEnumerable<RingStrip> All(LinearSampler photo, RingModel model, double[] p, double reach)
    {
        CameraPose camera = model.Camera(p);
        (double X, double Y, double Z) eye = camera.Centre;
        Material[] cloths = [.. SideExtensions.All.Select(side =>
            Material.Of(photo, camera, p, side, Surface.Cloth, RingModel.WallWidth(p, eye, side) > 0.5 ? 0 : p[RingModel.Height]))];
        foreach (Side side in SideExtensions.All)
        {
            double wall = RingModel.WallWidth(p, eye, side);
            double outer = Math.Min(reach, 2);
            (RingLine Kind, double Reach)[] wanted = wall switch
            {
                > 1.5 => [(RingLine.Outer, outer), (RingLine.Top, Math.Min(reach, 0.7 * wall)), (RingLine.Foot, reach)],
                > 0.5 => [(RingLine.Outer, outer), (RingLine.Top, 0.8), (RingLine.Foot, reach)],
                _ => [(RingLine.Outer, outer), (RingLine.Silhouette, reach)],
            };
            Material ring = Material.Of(photo, camera, p, side, Surface.Top, p[RingModel.Height]),
                inner = wall > 1.5 ? Material.Of(photo, camera, p, side, Surface.Wall, p[RingModel.Height] / 2) : ring;
            foreach ((RingLine kind, double r) in wanted)
            {
                if (Unroll(photo, model, p, camera, eye, side, kind, r) is { } strip)
                {
                    yield return strip with { Ring = ring, Wall = inner, Cloths = InnerCloths(cloths, side), Length = RingModel.Length(p, side) };
                }
            }
        }
    }

    /// <summary>What lies inside a side's lines: its own cloth, and that of the other sides too where its own is like none of theirs, as tape is.</summary>
    private static Material[] InnerCloths(Material[] cloths, Side side)
    {
        Material own = cloths[(int)side];
        Material[] others = [.. cloths.Where((_, i) => i != (int)side)];
        return others.Min(own.From) > UnlikeAny ? [own, .. others] : [own];
    }

    /// <summary>How unlike the cloth along all other sides something is that is taken for tape; in the unit of <see cref="Material.From"/>.</summary>
    private const double UnlikeAny = 2;

    private static RingStrip? Unroll(
        LinearSampler photo, RingModel model, double[] p, CameraPose camera, (double X, double Y, double Z) eye, Side side, RingLine kind, double reach)
    {
        double straight = RingModel.Length(p, side) - (2 * model.CornerRadius) - 4;
        int stations = Math.Clamp((int)(straight / 2.0), 24, 160);
        double spacing = straight / stations;
        (double q0, double z0) = RingModel.LineAt(p, eye, side, kind, 0);
        if (camera.Project(side.At(q0, 0), z0) is not { } c0 || camera.Project(side.At(q0 + 1, 0), z0) is not { } c1)
        {
            return null;
        }

        double pxPerMm = c0.DistanceTo(c1);
        double step = 0.5 * photo.PerPixel / pxPerMm;
        int half = (int)Math.Ceiling((reach + 1.0) / step) + 6, n = (2 * half) + 1;
        float[] strip = new float[stations * n * 3];
        double[] s = new double[stations];
        bool[] inside = new bool[stations];
        for (int j = 0; j < stations; j++)
        {
            s[j] = straight * (((j + 0.5) / stations) - 0.5);
            (double q, double z) = RingModel.LineAt(p, eye, side, kind, s[j]);
            inside[j] = photo.SampleLine(camera, side.At(q - (half * step), s[j]), side.Normal() * step, z, strip.AsSpan(j * n * 3, n * 3));
        }

        if (inside.Count(x => x) < stations / 3)
        {
            return null;
        }

        // Averaged a little along the line; the derivative of a Gaussian across it, of luminance and of two colour differences.
        int along = Math.Max(1, (int)Math.Round(2.5 / spacing));
        float[] smooth = Smoothed(strip, stations, n, along, inside);
        float[] luminance = new float[stations * n], energy = new float[stations * n];
        Derivatives(smooth, Roughness(strip, stations, n, Math.Max(4, 2 * along), inside), stations, n, luminance, energy);
        (float noise, float cap) = Levels(energy);
        return new(side, kind, s, inside, half, n, step, pxPerMm, along, reach, smooth, luminance, energy, (offset, at) =>
        {
            (double q, double z) = RingModel.LineAt(p, eye, side, kind, at);
            return camera.Project(side.At(q + offset, at), z);
        }) { Noise = noise, Cap = cap };
    }

    private static float[] Smoothed(float[] strip, int stations, int n, int along, bool[] inside)
    {
        int width = n * 3, count = 0;
        float[] result = new float[strip.Length], sum = new float[width];
        for (int j = -along; j < stations; j++)
        {
            // A running sum: the station that comes into reach is added, the one that leaves it taken off.
            if (j + along < stations && inside[j + along])
            {
                TensorPrimitives.Add(sum, strip.AsSpan((j + along) * width, width), sum);
                count++;
            }

            if (j > along && inside[j - along - 1])
            {
                TensorPrimitives.Subtract(sum, strip.AsSpan((j - along - 1) * width, width), sum);
                count--;
            }

            if (j >= 0)
            {
                TensorPrimitives.Multiply(sum, 1f / Math.Max(1, count), result.AsSpan(j * width, width));
            }
        }

        return result;
    }

    /// <summary>A doubling of roughness counts as an edge like a lightness step of about 6 %.</summary>
    private const float RoughnessWeight = 0.06f;

    /// <summary>
    /// How rough the surface is around each place: logarithm of the mean step from station to station, relative to its lightness.
    /// Where a white ring stands on a white quilt this is all that tells cloth from plastic.
    /// </summary>
    private static float[] Roughness(float[] strip, int stations, int n, int along, bool[] inside)
    {
        float[] result = new float[stations * n];
        float[] steps = new float[stations * n];
        for (int j = 0; j < stations - 1; j++)
        {
            for (int i = 0; i < n && inside[j] && inside[j + 1]; i++)
            {
                float a = strip[(((j * n) + i) * 3) + 1], b = strip[((((j + 1) * n) + i) * 3) + 1];
                steps[(j * n) + i] = Math.Abs(a - b) / (a + b + 0.02f);
            }
        }

        float[] sums = new float[n];
        int count = 0;
        for (int j = -along; j < stations; j++)
        {
            if (j + along < stations - 1)
            {
                TensorPrimitives.Add(sums, steps.AsSpan((j + along) * n, n), sums);
                count++;
            }

            if (j > along)
            {
                TensorPrimitives.Subtract(sums, steps.AsSpan((j - along - 1) * n, n), sums);
                count--;
            }

            if (j >= 0)
            {
                // A running difference of floats may end a little below 0.
                Span<float> row = result.AsSpan(j * n, n);
                TensorPrimitives.Multiply(sums, 1f / Math.Max(1, count), row);
                TensorPrimitives.Max(row, 0f, row);
                TensorPrimitives.Add(row, 0.01f, row);
                TensorPrimitives.Log(row, row);
            }
        }

        return result;
    }

    private static void Derivatives(float[] smooth, float[] rough, int stations, int n, float[] luminance, float[] energy)
    {
        // Derivative of a Gaussian of 1.1 px (samples are half a pixel apart), in the square root of light so that dark cloth counts too.
        const int R = 5;
        float[] kernel = new float[(2 * R) + 1];
        float norm = 0;
        for (int k = -R; k <= R; k++)
        {
            kernel[k + R] = k * MathF.Exp(-k * k / (2f * 2.2f * 2.2f));
            norm += k * kernel[k + R];
        }

        float[] even = new float[kernel.Length];
        for (int k = 0; k < kernel.Length; k++)
        {
            kernel[k] /= norm;
            even[k] = 1f / kernel.Length;
        }

        // Colours one after the other, each in a row of its own, so that a whole row is weighted at once.
        float[] red = new float[n], green = new float[n], blue = new float[n], gr = new float[n], gg = new float[n], gb = new float[n], gv = new float[n], mean = new float[n];
        int m = n - (2 * R);
        for (int j = 0; j < stations; j++)
        {
            for (int i = 0; i < n; i++)
            {
                int at = ((j * n) + i) * 3;
                (red[i], green[i], blue[i]) = (smooth[at], smooth[at + 1], smooth[at + 2]);
            }

            Weighted(red, kernel, gr);
            Weighted(green, kernel, gg);
            Weighted(blue, kernel, gb);
            Weighted(rough.AsSpan(j * n, n), kernel, gv);
            Weighted(green, even, mean);
            for (int i = 0; i < m; i++)
            {
                float l = (0.2126f * gr[i]) + (0.7152f * gg[i]) + (0.0722f * gb[i]), rg = gr[i] - gg[i], bg = gb[i] - gg[i], v = RoughnessWeight * gv[i];
                luminance[(j * n) + i + R] = l;
                energy[(j * n) + i + R] = MathF.Sqrt((((l * l) + (0.25f * ((rg * rg) + (bg * bg)))) / (mean[i] + 0.02f)) + (v * v));
            }
        }

        void Weighted(ReadOnlySpan<float> row, float[] weights, float[] into)
        {
            Span<float> sum = into.AsSpan(0, m);
            sum.Clear();
            for (int k = 0; k < weights.Length; k++)
            {
                TensorPrimitives.MultiplyAdd(row.Slice(k, m), weights[k], sum, sum);
            }
        }
    }

    private static (float Noise, float Cap) Levels(float[] energy)
    {
        // One place in five says as much; 5 has no factor in common with the strip's width as a rule.
        float[] some = new float[(energy.Length / 5) + 1];
        int count = 0;
        for (int i = 0; i < energy.Length; i += 5)
        {
            if (energy[i] > 0)
            {
                some[count++] = energy[i];
            }
        }

        Array.Sort(some, 0, count);
        return count == 0 ? (1, 1) : (some[count / 2], some[(int)(0.93 * (count - 1))]);
    }
}
