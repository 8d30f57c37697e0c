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

    public Material Cloth { get; init; }

    /// <summary>The lines of all four sides that can be seen from where the camera stands, unrolled about a prediction.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="model">The ring model.</param>
    /// <param name="p">The predicted parameters.</param>
    /// <param name="reach">How far on either side of the prediction to look, mm.</param>
    public static IEnumerable<RingStrip> All(LinearSampler photo, RingModel model, double[] p, double reach)
    {
        CameraPose camera = model.Camera(p);
        (double X, double Y, double Z) eye = camera.Centre;
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
                inner = wall > 1.5 ? Material.Of(photo, camera, p, side, Surface.Wall, p[RingModel.Height] / 2) : ring,
                cloth = Material.Of(photo, camera, p, side, Surface.Cloth, wall > 0.5 ? 0 : p[RingModel.Height]);
            foreach ((RingLine kind, double r) in wanted)
            {
                if (Unroll(photo, model, p, camera, eye, side, kind, r) is { } strip)
                {
                    yield return strip with { Ring = ring, Wall = inner, Cloth = cloth, Length = RingModel.Length(p, side) };
                }
            }
        }
    }

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
            inside[j] = true;
            for (int i = 0; i < n; i++)
            {
                int at = ((j * n) + i) * 3;
                inside[j] &= camera.Project(side.At(q + ((i - half) * step), s[j]), z) is { } x
                    && photo.Sample(x.X, x.Y, out strip[at], out strip[at + 1], out strip[at + 2]);
            }
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
        float[] result = new float[strip.Length];
        for (int j = 0; j < stations; j++)
        {
            int count = 0;
            Span<float> row = result.AsSpan(j * n * 3, n * 3);
            for (int k = Math.Max(0, j - along); k <= Math.Min(stations - 1, j + along); k++)
            {
                if (!inside[k])
                {
                    continue;
                }

                count++;
                for (int i = 0; i < row.Length; i++)
                {
                    row[i] += strip[(k * n * 3) + i];
                }
            }

            for (int i = 0; i < row.Length; i++)
            {
                row[i] /= Math.Max(1, count);
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

        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < stations; j++)
            {
                float sum = 0;
                int count = 0;
                for (int k = Math.Max(0, j - along); k <= Math.Min(stations - 2, j + along); k++)
                {
                    sum += steps[(k * n) + i];
                    count++;
                }

                result[(j * n) + i] = MathF.Log(0.01f + (sum / Math.Max(1, count)));
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

        for (int k = 0; k < kernel.Length; k++)
        {
            kernel[k] /= norm;
        }

        for (int j = 0; j < stations; j++)
        {
            for (int i = R; i < n - R; i++)
            {
                float r = 0, g = 0, b = 0, mean = 0, v = 0;
                for (int k = -R; k <= R; k++)
                {
                    v += kernel[k + R] * rough[(j * n) + i + k];
                    int at = ((j * n) + i + k) * 3;
                    float w = kernel[k + R];
                    r += w * smooth[at];
                    g += w * smooth[at + 1];
                    b += w * smooth[at + 2];
                    mean += smooth[at + 1];
                }

                float root = 1 / MathF.Sqrt((mean / kernel.Length) + 0.02f);
                float l = (0.2126f * r) + (0.7152f * g) + (0.0722f * b);
                luminance[(j * n) + i] = l;
                float rg = r - g, bg = b - g;
                v *= RoughnessWeight;
                energy[(j * n) + i] = MathF.Sqrt((root * root * ((l * l) + (0.25f * ((rg * rg) + (bg * bg))))) + (v * v));
            }
        }
    }

    private static (float Noise, float Cap) Levels(float[] energy)
    {
        float[] sorted = [.. energy.Where(e => e > 0)];
        Array.Sort(sorted);
        return sorted.Length == 0 ? (1, 1) : (sorted[sorted.Length / 2], sorted[(int)(0.93 * (sorted.Length - 1))]);
    }
}
