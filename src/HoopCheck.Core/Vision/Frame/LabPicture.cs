using OpenCvSharp;

namespace HoopCheck.Vision.Frame;

/// <summary>
/// The photo reduced to a working size, in 8-bit CIELAB (OpenCV's coding: L·255/100, a + 128, b + 128), three bytes a pixel.
/// Full-size upright px relate to its own by full = (x + 0.5)·<see cref="PerPixel"/> − 0.5.
/// </summary>
internal sealed class LabPicture
{
    private LabPicture(byte[] lab, int width, int height, double perPixel)
    {
        Lab = lab;
        Width = width;
        Height = height;
        PerPixel = perPixel;
    }

    public byte[] Lab { get; }

    public int Width { get; }

    public int Height { get; }

    /// <summary>Full-size pixels a pixel of this picture spans.</summary>
    public double PerPixel { get; }

    /// <summary>Reduces by area averaging so that the long side has about <paramref name="longSide"/> px (never enlarges).</summary>
    public static LabPicture Of(Pixels pixels, int longSide)
    {
        // A whole factor: means over whole blocks are many times quicker than others. What is left over at the right and below is left away.
        int f = Math.Max(1, (int)Math.Round(Math.Max(pixels.Width, pixels.Height) / (double)longSide));
        int w = pixels.Width / f, h = pixels.Height / f;
        using Mat source = Mat.FromPixelData(pixels.Height, pixels.Width, MatType.CV_8UC3, pixels.Bgr);
        using Mat blocks = source[new Rect(0, 0, w * f, h * f)];
        using var small = new Mat();
        Cv2.Resize(blocks, small, new Size(w, h), 0, 0, InterpolationFlags.Area);
        using var lab = new Mat();
        Cv2.CvtColor(small, lab, ColorConversionCodes.BGR2Lab);
        byte[] bytes = new byte[w * h * 3];
        System.Runtime.InteropServices.Marshal.Copy(lab.Data, bytes, 0, bytes.Length);
        return new(bytes, w, h, pixels.Reduction * (double)f);
    }

    /// <summary>Bilinear sample at full-size coordinates; L in 0 to 100, a and b in CIELAB units.</summary>
    /// <returns>False outside the picture.</returns>
    public bool Sample(double fullX, double fullY, out float l, out float a, out float b)
    {
        double x = ((fullX + 0.5) / PerPixel) - 0.5, y = ((fullY + 0.5) / PerPixel) - 0.5;
        if (!(x >= 0 && y >= 0 && x < Width - 1 && y < Height - 1))
        {
            l = a = b = 0;
            return false;
        }

        int xi = (int)x, yi = (int)y;
        float fx = (float)(x - xi), fy = (float)(y - yi);
        int p = ((yi * Width) + xi) * 3, q = p + (Width * 3);
        float w00 = (1 - fx) * (1 - fy), w01 = fx * (1 - fy), w10 = (1 - fx) * fy, w11 = fx * fy;
        byte[] d = Lab;
        l = ((w00 * d[p]) + (w01 * d[p + 3]) + (w10 * d[q]) + (w11 * d[q + 3])) * (100f / 255f);
        a = (w00 * d[p + 1]) + (w01 * d[p + 4]) + (w10 * d[q + 1]) + (w11 * d[q + 4]) - 128;
        b = (w00 * d[p + 2]) + (w01 * d[p + 5]) + (w10 * d[q + 2]) + (w11 * d[q + 5]) - 128;
        return true;
    }
}
