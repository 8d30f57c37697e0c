using HoopCheck.Planning;
using System.Globalization;

namespace HoopCheck.Vision.Tape;

/// <summary>Everyday names for measured tape colours.</summary>
internal static class TapeNaming
{
    /// <summary>The name of a colour, by CIELAB hue and chroma (D65). The hue borders lie half-way between tapes as they are sold; own choice.</summary>
    /// <param name="r">Linear red, 0 to 1.</param>
    /// <param name="g">Linear green.</param>
    /// <param name="b">Linear blue.</param>
    public static string Name(double r, double g, double b)
    {
        double x = F(((0.4124 * r) + (0.3576 * g) + (0.1805 * b)) / 0.9505);
        double y = F((0.2126 * r) + (0.7152 * g) + (0.0722 * b));
        double z = F(((0.0193 * r) + (0.1192 * g) + (0.9505 * b)) / 1.089);
        double light = (116 * y) - 16, a = 500 * (x - y), bb = 200 * (y - z);
        double chroma = Math.Sqrt((a * a) + (bb * bb)), hue = Math.Atan2(bb, a) * 180 / Math.PI;
        hue = hue < 0 ? hue + 360 : hue;
        if (chroma < 15 || (hue is > 60 and < 115 && chroma < 38))
        {
            return light > 55 ? "pale" : light > 25 ? "grey" : "black";
        }

        return hue switch
        {
            < 42 or >= 335 => light < 42 && hue is >= 15 and < 42 ? "red" : "pink",
            < 74 => "orange",
            < 110 => "yellow",
            < 195 => "green",
            < 300 => "blue",
            _ => "purple",
        };

        static double F(double t) => t > 0.008856 ? Math.Cbrt(t) : (7.787 * t) + (16.0 / 116);
    }

    /// <summary>Linear light as "#RRGGBB" in sRGB (IEC 61966-2-1).</summary>
    public static string Hex(double r, double g, double b) =>
        string.Create(CultureInfo.InvariantCulture, $"#{Code(r):X2}{Code(g):X2}{Code(b):X2}");

    /// <summary>Whether a log-chromaticity could be that of the tape the person named, in light of any usual warmth.</summary>
    public static bool CouldBe(TapeColour colour, double u, double v)
    {
        (float wu, float wv, float _) = FlatColours.Feature(Linear(colour.R), Linear(colour.G), Linear(colour.B));
        double wanted = Math.Sqrt((wu * wu) + (wv * wv)), seen = Math.Sqrt((u * u) + (v * v));
        if (wanted < 0.5)
        {
            return seen < 1.2;
        }

        double cosine = ((wu * u) + (wv * v)) / Math.Max(1e-6, wanted * seen);
        return seen > 0.15 && cosine > 0.6;
    }

    private static int Code(double linear)
    {
        double v = Math.Clamp(linear, 0, 1);
        return (int)Math.Round(255 * (v <= 0.0031308 ? 12.92 * v : (1.055 * Math.Pow(v, 1 / 2.4)) - 0.055));
    }

    private static float Linear(byte code)
    {
        double v = code / 255.0;
        return (float)(v <= 0.04045 ? v / 12.92 : Math.Pow((v + 0.055) / 1.055, 2.4));
    }
}
