using HoopCheck.Vision;

namespace HoopCheck.Tests.Scenes;

/// <summary>
/// A flat picture of fabric drawn from its answer: 400 mm wide, 300 mm high, 3 px a mm, x right, y up, from its middle. The crosswise lines are
/// parabolas along their own direction, moved along the lengthwise lines, as ASTM D3882 draws bow and skew.
/// </summary>
public sealed record ClothPicture(double WarpDegrees, double WeftDegrees, double BowShare)
{
    public const double WidthMm = 400, HeightMm = 300, PxPerMm = 3;

    /// <summary>Lightness of the fabric at (u, v) mm, 0 to 1, once for each of blue, green, red.</summary>
    public Func<double, double, (double B, double G, double R)> Print { get; init; } = Plaid(80);

    /// <summary>Where the thread that is seen at (x, y) mm would lie were the fabric not draped.</summary>
    public Func<double, double, (double X, double Y)> Drape { get; init; } = (x, y) => (x, y);

    /// <summary>Standard deviation of the camera's noise, in codes.</summary>
    public double Noise { get; init; } = 3;

    /// <summary>Stripes of four unequal widths and colours both ways; they repeat after <paramref name="repeat"/> mm.</summary>
    /// <param name="repeat">mm.</param>
    /// <param name="crosswise">Strength of the crosswise stripes, 0 to 1.</param>
    /// <param name="lengthwise">Strength of the lengthwise stripes, 0 to 1.</param>
    public static Func<double, double, (double B, double G, double R)> Plaid(double repeat, double crosswise = 1, double lengthwise = 1) => (u, v) =>
    {
        (double B, double G, double R) a = Stripe(u / repeat), b = Stripe((v / repeat) + 0.3);
        double k = 0.5 * lengthwise, m = 0.5 * crosswise;
        return (0.6 + (k * (a.B - 0.6)) + (m * (b.B - 0.6)), 0.6 + (k * (a.G - 0.6)) + (m * (b.G - 0.6)), 0.6 + (k * (a.R - 0.6)) + (m * (b.R - 0.6)));
    };

    /// <summary>Two colours in equal stripes both ways.</summary>
    public static Func<double, double, (double B, double G, double R)> Gingham(double repeat) => (u, v) =>
    {
        double share = 1 - (0.4 * (Half(u / repeat) + Half(v / repeat)));
        return (0.8 * share, 0.75 * share, 0.8);
    };

    /// <summary>Patches of one size, each of another plain colour.</summary>
    public static Func<double, double, (double B, double G, double R)> Patches(double size) => (u, v) =>
    {
        uint h = Hash((int)Math.Floor(u / size), (int)Math.Floor(v / size));
        return (0.15 + ((h & 255) / 340.0), 0.15 + (((h >> 8) & 255) / 340.0), 0.15 + (((h >> 16) & 255) / 340.0));
    };

    /// <summary>Patches of stripes, each cut at an angle of its own.</summary>
    public static Func<double, double, (double B, double G, double R)> CutAnyhow(double size) => (u, v) =>
    {
        int i = (int)Math.Floor((u / size) + (0.37 * Math.Floor(v / size))), j = (int)Math.Floor(v / size);
        double angle = (Hash(i, j) % 1000 / 1000.0 * Math.PI);
        return Plaid(17, 0, 1)((u * Math.Cos(angle)) + (v * Math.Sin(angle)), 0);
    };

    /// <summary>Blots without order.</summary>
    public static Func<double, double, (double B, double G, double R)> Blots(Random random)
    {
        (double Kx, double Ky, double Phase)[] waves = [.. Enumerable.Range(0, 60).Select(_ =>
        {
            double angle = random.NextDouble() * 2 * Math.PI, k = 2 * Math.PI / (12 + (30 * random.NextDouble()));
            return (k * Math.Cos(angle), k * Math.Sin(angle), random.NextDouble() * 7);
        })];
        return (u, v) =>
        {
            double sum = 0;
            foreach ((double kx, double ky, double phase) in waves)
            {
                sum += Math.Cos((kx * u) + (ky * v) + phase);
            }

            return sum > 5 ? (0.2, 0.3, 0.7) : sum < -6 ? (0.6, 0.5, 0.1) : (0.7, 0.7, 0.65);
        };
    }

    /// <summary>Draws it. Each pixel is the mean of four random places, one in each quarter of a spot 1.4 px wide: on fixed places a slanted line would have
    /// steps, and steps of many parallel lines lie in rows of their own.</summary>
    public Photograph Draw(Random random)
    {
        const int W = (int)(WidthMm * PxPerMm), H = (int)(HeightMm * PxPerMm);
        double a = WarpDegrees * Math.PI / 180, b = WeftDegrees * Math.PI / 180;
        double wx = -Math.Sin(a), wy = Math.Cos(a), fx = Math.Cos(b), fy = Math.Sin(b), det = (fx * wy) - (fy * wx);
        byte[] bgr = new byte[W * H * 3];
        int seed = random.Next();
        Parallel.For(0, H, row =>
        {
            var noise = new Random(unchecked((seed * 397) ^ row));
            for (int column = 0, i = row * W * 3; column < W; column++, i += 3)
            {
                double blue = 0, green = 0, red = 0;
                for (int s = 0; s < 4; s++)
                {
                    double px = (column - ((W - 1) / 2.0) + (0.7 * ((s & 1) - noise.NextDouble()))) / PxPerMm, py = (((H - 1) / 2.0) - row + (0.7 * ((s >> 1) - noise.NextDouble()))) / PxPerMm;
                    (double x, double y) = Drape(px, py);
                    double u = ((x * wy) - (y * wx)) / det, v = ((y * fx) - (x * fy)) / det;
                    double t = 2 * u / WidthMm;
                    (double pb, double pg, double pr) = Print(u, v - (BowShare * WidthMm * (1 - (t * t))));
                    (blue, green, red) = (blue + (pb / 4), green + (pg / 4), red + (pr / 4));
                }

                bgr[i] = Code(blue);
                bgr[i + 1] = Code(green);
                bgr[i + 2] = Code(red);
            }

            byte Code(double value) => (byte)Math.Clamp((255 * LinearLight.Encode(value)) + (Noise * ((noise.NextDouble() + noise.NextDouble() + noise.NextDouble() - 1.5) * 2)), 0, 255);
        });
        return new(new("PNG", W, H, 1, null, null, null), new(bgr, W, H, 1));
    }

    private static (double B, double G, double R) Stripe(double at)
    {
        at -= Math.Floor(at);
        return at < 0.1 ? (0.1, 0.1, 0.5) : at < 0.16 ? (0.8, 0.8, 0.8) : at < 0.45 ? (0.5, 0.25, 0.1) : at < 0.5 ? (0.05, 0.05, 0.05) : (0.7, 0.7, 0.6);
    }

    private static double Half(double at) => at - Math.Floor(at) < 0.5 ? 1 : 0;

    private static uint Hash(int i, int j)
    {
        uint h = (uint)((i * 73856093) ^ (j * 19349663));
        h ^= h >> 13;
        h *= 0x5bd1e995;
        h ^= h >> 15;
        h *= 0x85ebca6b;
        return h ^ (h >> 13);
    }
}
