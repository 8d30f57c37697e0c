namespace HoopCheck.Vision.Frame;

/// <summary>Samples the photo in linear light (IEC 61966-2-1 undone), where the place of a blurred edge is not displaced.</summary>
internal sealed class LinearSampler
{
    private static readonly float[] Table = LinearLight.Table.ToArray();
    private readonly byte[] bgr;
    private readonly int width;
    private readonly int height;
    private readonly double scale;

    public LinearSampler(Pixels pixels)
    {
        bgr = pixels.Bgr;
        width = pixels.Width;
        height = pixels.Height;
        scale = 1.0 / pixels.Reduction;
    }

    /// <summary>Full-size px per working px.</summary>
    public double PerPixel => 1 / scale;

    /// <summary>Bilinear sample at full-size upright coordinates: linear red, green, blue, 0 to 1.</summary>
    /// <returns>False outside the picture.</returns>
    public bool Sample(double fullX, double fullY, out float r, out float g, out float b)
    {
        double x = ((fullX + 0.5) * scale) - 0.5, y = ((fullY + 0.5) * scale) - 0.5;
        if (!(x >= 0 && y >= 0 && x < width - 1 && y < height - 1))
        {
            r = g = b = 0;
            return false;
        }

        int xi = (int)x, yi = (int)y;
        float fx = (float)(x - xi), fy = (float)(y - yi);
        int p = ((yi * width) + xi) * 3, q = p + (width * 3);
        float w00 = (1 - fx) * (1 - fy), w01 = fx * (1 - fy), w10 = (1 - fx) * fy, w11 = fx * fy;
        float[] t = Table;
        byte[] d = bgr;
        b = (w00 * t[d[p]]) + (w01 * t[d[p + 3]]) + (w10 * t[d[q]]) + (w11 * t[d[q + 3]]);
        g = (w00 * t[d[p + 1]]) + (w01 * t[d[p + 4]]) + (w10 * t[d[q + 1]]) + (w11 * t[d[q + 4]]);
        r = (w00 * t[d[p + 2]]) + (w01 * t[d[p + 5]]) + (w10 * t[d[q + 2]]) + (w11 * t[d[q + 5]]);
        return true;
    }

    /// <summary>Samples along a straight line at one height over the fabric: as <see cref="Sample"/> where <see cref="CameraPose.Project"/> sees the places.</summary>
    /// <param name="camera">The camera.</param>
    /// <param name="from">First place, mm.</param>
    /// <param name="step">From place to place, mm.</param>
    /// <param name="z">Height, mm.</param>
    /// <param name="into">Three numbers a place; how many there are says where the line ends.</param>
    /// <returns>False when a place lies outside the picture.</returns>
    public bool SampleLine(CameraPose camera, HoopPoint from, HoopVector step, double z, Span<float> into)
    {
        double[] r = camera.R, t = camera.T;
        double xc = (r[0] * from.X) + (r[1] * from.Y) + (r[2] * z) + t[0], yc = (r[3] * from.X) + (r[4] * from.Y) + (r[5] * z) + t[1], zc = (r[6] * from.X) + (r[7] * from.Y) + (r[8] * z) + t[2];
        double dx = (r[0] * step.X) + (r[1] * step.Y), dy = (r[3] * step.X) + (r[4] * step.Y), dz = (r[6] * step.X) + (r[7] * step.Y);
        bool inside = true;
        for (int i = 0; i < into.Length; i += 3)
        {
            if (zc < 1)
            {
                return false;
            }

            double x = xc / zc, y = yc / zc, r2 = (x * x) + (y * y), d = camera.Focal * (1 + (r2 * (camera.K1 + (camera.K2 * r2))));
            inside &= Sample((x * d) + camera.Cx, (y * d) + camera.Cy, out into[i], out into[i + 1], out into[i + 2]);
            xc += dx;
            yc += dy;
            zc += dz;
        }

        return inside;
    }
}
