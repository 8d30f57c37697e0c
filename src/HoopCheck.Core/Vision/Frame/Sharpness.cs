using OpenCvSharp;

namespace HoopCheck.Vision.Frame;

/// <summary>How blurred a photo is, whatever it shows.</summary>
internal static class Sharpness
{
    private const int Box = 9;

    /// <summary>Share of all places that count as edges.</summary>
    private const double Share = 0.005;

    /// <summary>Gradient, in half steps of 255 over two pixels, below which it is noise and shading more than edges.</summary>
    private const double Faint = 24;

    /// <summary>
    /// Blur (Gaussian standard deviation, full-size px) of the photo's strongest edges: blurring once more by a known amount weakens a
    /// sharp edge much and a soft one little. With gradients g before and after adding σₐ, r = g'/g = σ/√(σ² + σₐ²).
    /// </summary>
    public static double BlurPx(Pixels pixels)
    {
        using Mat bgr = Mat.FromPixelData(pixels.Height, pixels.Width, MatType.CV_8UC3, pixels.Bgr);
        using var grey = new Mat();
        using var calm = new Mat();
        using var soft = new Mat();
        Cv2.CvtColor(bgr, grey, ColorConversionCodes.BGR2GRAY);
        Cv2.Blur(grey, calm, new Size(3, 3));
        Cv2.Blur(calm, soft, new Size(Box, Box));
        double share = Share, before = Strong(calm, share);
        if (before < Faint)
        {
            // A white ring on white cloth: hardly anything has an edge, and those that have are few.
            share /= 10;
            before = Strong(calm, share);
        }

        double r = Math.Min(0.999, Strong(soft, share) / Math.Max(1e-6, before));
        double added = Math.Sqrt(((Box * Box) - 1) / 12.0), own = Math.Sqrt(8 / 12.0);
        double sigma2 = added * added * r * r / (1 - (r * r));
        return Math.Sqrt(Math.Max(0.01, sigma2 - (own * own))) * pixels.Reduction;
    }

    /// <summary>The gradient that a share of all places exceed.</summary>
    private static double Strong(Mat grey, double share)
    {
        int w = grey.Width, h = grey.Height;
        byte[] d = new byte[w * h];
        System.Runtime.InteropServices.Marshal.Copy(grey.Data, d, 0, d.Length);
        int[] counts = new int[1024];
        int total = 0;
        for (int y = 1; y < h - 1; y += 2)
        {
            for (int x = 1; x < w - 1; x += 2)
            {
                int p = (y * w) + x, gx = d[p + 1] - d[p - 1], gy = d[p + w] - d[p - w];
                counts[Math.Min(1023, (int)(2 * Math.Sqrt((gx * gx) + (gy * gy))))]++;
                total++;
            }
        }

        int above = 0;
        for (int i = 1023; i > 0; i--)
        {
            above += counts[i];
            if (above > share * total)
            {
                return i;
            }
        }

        return 1;
    }
}
