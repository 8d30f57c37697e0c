using System.Runtime.InteropServices;
using HoopCheck.Vision.Frame;
using OpenCvSharp;

namespace HoopCheck.Vision.Tape;

/// <summary>
/// The opening seen from straight above in coarse cells of hoop millimetres, as colour that hardly changes in a shadow:
/// log-chromaticity U = ln R/G and V = ln B/G of linear light, and lightness at a small weight.
/// </summary>
internal sealed class FlatColours
{
    /// <summary>Weight of log-lightness against log-chromaticity: a shadow that halves the light moves a colour by 0.17, less than tapes differ from cloth.</summary>
    public const float LightWeight = 0.25f;

    /// <summary>Added to each channel before the logarithm, as a share of full light: what lens flare and the camera's black level leave unsure.</summary>
    public const float Floor = 0.012f;

    /// <summary>Added too, as a share of the strongest channel: a strong colour's weakest channel is clipped and says little.</summary>
    private const float GamutFloor = 0.06f;

    private FlatColours(double step, int width, int height)
    {
        Step = step;
        Width = width;
        Height = height;
        U = new float[width * height];
        V = new float[width * height];
        L = new float[width * height];
        Rgb = new float[width * height * 3];
    }

    /// <summary>mm a cell.</summary>
    public double Step { get; }

    public int Width { get; }

    public int Height { get; }

    public float[] U { get; }

    public float[] V { get; }

    /// <summary>Weighted log-lightness; NaN in cells that the photo does not show.</summary>
    public float[] L { get; }

    /// <summary>Linear red, green, blue.</summary>
    public float[] Rgb { get; }

    /// <summary>Hoop x of a column, mm.</summary>
    public double X(int column) => (column - ((Width - 1) / 2.0)) * Step;

    /// <summary>Hoop y of a row, mm; rows run from the top.</summary>
    public double Y(int row) => (((Height - 1) / 2.0) - row) * Step;

    public static FlatColours Of(Photograph photo, FrameFit frame, ClothHeight height)
    {
        double w = frame.Ring.OpeningWidth, h = frame.Ring.OpeningHeight;
        double step = Math.Clamp(Math.Min(w, h) / 110, 0.8, 2);
        var flat = new FlatColours(step, Math.Max(2, (int)(w / step)), Math.Max(2, (int)(h / step)));
        var sampler = new LinearSampler(Reduced(photo.Pixels, frame.PxPerMm * step));
        for (int row = 0, i = 0; row < flat.Height; row++)
        {
            for (int column = 0; column < flat.Width; column++, i++)
            {
                var at = new HoopPoint(flat.X(column), flat.Y(row));
                if (frame.Camera.Project(at, height.At(at)) is not { } p || !sampler.Sample(p.X, p.Y, out float r, out float g, out float b))
                {
                    flat.L[i] = float.NaN;
                    continue;
                }

                (flat.U[i], flat.V[i], flat.L[i]) = Feature(r, g, b);
                (flat.Rgb[3 * i], flat.Rgb[(3 * i) + 1], flat.Rgb[(3 * i) + 2]) = (r, g, b);
            }
        }

        return flat;
    }

    /// <summary>The shadow-proof colour of linear light.</summary>
    public static (float U, float V, float L) Feature(float r, float g, float b)
    {
        float floor = Floor + (GamutFloor * Math.Max(r, Math.Max(g, b))), lg = MathF.Log(g + floor);
        float y = (0.2126f * r) + (0.7152f * g) + (0.0722f * b);
        return (MathF.Log(r + floor) - lg, MathF.Log(b + floor) - lg, LightWeight * MathF.Log(y + Floor));
    }

    /// <summary>Reduces by a whole factor, area-averaged, so that a pixel is no larger than a cell.</summary>
    private static Pixels Reduced(Pixels pixels, double cellPx)
    {
        int factor = (int)Math.Floor(cellPx / pixels.Reduction);
        if (factor < 2)
        {
            return pixels;
        }

        int w = pixels.Width / factor, h = pixels.Height / factor;
        using Mat all = Mat.FromPixelData(pixels.Height, pixels.Width, MatType.CV_8UC3, pixels.Bgr);
        using Mat whole = all.SubMat(0, h * factor, 0, w * factor);
        using var small = new Mat();
        Cv2.Resize(whole, small, new Size(w, h), 0, 0, InterpolationFlags.Area);
        byte[] bytes = new byte[w * h * 3];
        Marshal.Copy(small.Data, bytes, 0, bytes.Length);
        return new(bytes, w, h, pixels.Reduction * factor);
    }
}
