using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Vision.Tape;

/// <summary>The opening seen from straight above with the edges drawn in, for the trace.</summary>
internal static class TapePicture
{
    private const double PixelsPerMm = 3;

    /// <summary>Draws read edge in red and bridged edge in white.</summary>
    public static Pixels Draw(LinearSampler sampler, FrameFit frame, ClothHeight height, IReadOnlyList<TapeEdge> edges)
    {
        int w = (int)(frame.Ring.OpeningWidth * PixelsPerMm), h = (int)(frame.Ring.OpeningHeight * PixelsPerMm);
        byte[] bgr = new byte[w * h * 3];
        for (int row = 0, i = 0; row < h; row++)
        {
            for (int column = 0; column < w; column++, i += 3)
            {
                var at = new HoopPoint((column - ((w - 1) / 2.0)) / PixelsPerMm, (((h - 1) / 2.0) - row) / PixelsPerMm);
                if (frame.Camera.Project(at, height.At(at)) is { } p && sampler.Sample(p.X, p.Y, out float r, out float g, out float b))
                {
                    (bgr[i], bgr[i + 1], bgr[i + 2]) = (Code(b), Code(g), Code(r));
                }
            }
        }

        foreach (TapeEdge edge in edges)
        {
            foreach (TapeSample sample in edge.Samples)
            {
                HoopPoint at = edge.Side.At(sample.Q, sample.S);
                int x = (int)Math.Round((at.X * PixelsPerMm) + ((w - 1) / 2.0)), y = (int)Math.Round(((h - 1) / 2.0) - (at.Y * PixelsPerMm));
                if (x >= 0 && y >= 0 && x < w && y < h)
                {
                    int i = ((y * w) + x) * 3;
                    (bgr[i], bgr[i + 1], bgr[i + 2]) = sample.Seen ? ((byte)0, (byte)0, (byte)255) : ((byte)255, (byte)255, (byte)255);
                }
            }
        }

        return new(bgr, w, h, 1);
    }

    private static byte Code(float linear) =>
        (byte)(255 * (linear <= 0.0031308f ? 12.92f * linear : (1.055f * MathF.Pow(linear, 1 / 2.4f)) - 0.055f));
}
