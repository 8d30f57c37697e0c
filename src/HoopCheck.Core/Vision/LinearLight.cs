namespace HoopCheck.Vision;

/// <summary>
/// sRGB codes to linear light and back, after IEC 61966-2-1. Edges are located, blurred and averaged in linear light:
/// on coded values a blurred edge lies up to a pixel towards its dark side.
/// </summary>
public static class LinearLight
{
    /// <summary>Coded values up to this one lie on the straight piece.</summary>
    private const double CodedKnee = 0.04045;

    /// <summary>Linear values up to this one lie on the straight piece.</summary>
    private const double LinearKnee = 0.0031308;

    private static readonly float[] Codes = MakeTable();

    /// <summary>Linear light, 0 to 1, of each of the 256 codes.</summary>
    public static ReadOnlySpan<float> Table => Codes;

    /// <summary>Linear light, 0 to 1, of an 8-bit code.</summary>
    public static float ToLinear(byte code) => Codes[code];

    /// <summary>The 8-bit code nearest to a linear light; what lies outside 0 to 1 is held to that range.</summary>
    public static byte FromLinear(double linear) => (byte)Math.Round(255 * Encode(Math.Clamp(linear, 0, 1)));

    /// <summary>Linear light of a coded value, both 0 to 1.</summary>
    public static double Decode(double coded) =>
        coded <= CodedKnee ? coded / 12.92 : Math.Pow((coded + 0.055) / 1.055, 2.4);

    /// <summary>Coded value of a linear light, both 0 to 1.</summary>
    public static double Encode(double linear) =>
        linear <= LinearKnee ? linear * 12.92 : (1.055 * Math.Pow(linear, 1 / 2.4)) - 0.055;

    private static float[] MakeTable()
    {
        var table = new float[256];
        for (int i = 0; i < table.Length; i++)
        {
            table[i] = (float)Decode(i / 255.0);
        }

        return table;
    }
}
