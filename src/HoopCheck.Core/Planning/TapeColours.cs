using System.Globalization;

namespace HoopCheck.Planning;

/// <summary>The everyday names of tape colours and the sRGB colour that stands for each.</summary>
public static class TapeColours
{
    /// <summary>The colours known by name. Typical values of such tapes under a white lamp; own choice.</summary>
    public static IReadOnlyList<TapeColour> Named { get; } =
    [
        new("blue", 0x2F, 0x7F, 0xC1),
        new("green", 0x4F, 0xA8, 0x4B),
        new("yellow", 0xF0, 0xD0, 0x40),
        new("orange", 0xEE, 0x8A, 0x2C),
        new("red", 0xC8, 0x32, 0x32),
        new("pink", 0xE8, 0x7F, 0xAE),
        new("purple", 0x84, 0x5C, 0xA8),
        new("pale", 0xE8, 0xE0, 0xC8),
    ];

    /// <summary>Reads a name of <see cref="Named"/> or "#RRGGBB".</summary>
    /// <param name="text">What was written; capitals do not matter.</param>
    /// <returns>The colour, or null when it is neither.</returns>
    public static TapeColour? Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Length == 7 && text[0] == '#'
            && uint.TryParse(text.AsSpan(1), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out uint rgb))
        {
            return new(text, (byte)(rgb >> 16), (byte)(rgb >> 8), (byte)rgb);
        }

        return Named.FirstOrDefault(colour => colour.Name.Equals(text, StringComparison.OrdinalIgnoreCase));
    }
}
