using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>
/// Colours that people with any kind of colour vision can tell apart: Okabe and Ito, "Color Universal Design" (2002, revised 2008).
/// Colour is never the only carrier: line kinds differ in dash and width too, and verdicts in words and icon.
/// </summary>
internal static class Palette
{
    public static readonly SKColor Orange = new(0xE6, 0x9F, 0x00);
    public static readonly SKColor SkyBlue = new(0x56, 0xB4, 0xE9);
    public static readonly SKColor BluishGreen = new(0x00, 0x9E, 0x73);
    public static readonly SKColor Yellow = new(0xF0, 0xE4, 0x42);
    public static readonly SKColor Vermilion = new(0xD5, 0x5E, 0x00);
    public static readonly SKColor ReddishPurple = new(0xCC, 0x79, 0xA7);

    /// <summary>Background of banner, cards and legend.</summary>
    public static readonly SKColor Ink = new(0x15, 0x18, 0x1D);

    /// <summary>Casing under bright lines: readable on any fabric.</summary>
    public static readonly SKColor Casing = new(0x00, 0x00, 0x00, 0xD0);

    /// <summary>Second-rank words on <see cref="Ink"/>.</summary>
    public static readonly SKColor Soft = new(0xD2, 0xD6, 0xDC);

    /// <summary>The planned fill's outline.</summary>
    public static SKColor Fill => SkyBlue;

    /// <summary>The tape's inner edge.</summary>
    public static SKColor Tape => Yellow;

    /// <summary>The marked clearance.</summary>
    public static SKColor Dimension => Vermilion;

    /// <summary>The colour that goes with a verdict's icon.</summary>
    public static SKColor Of(Checking.Decision decision) => decision switch
    {
        Checking.Decision.Clear => BluishGreen,
        Checking.Decision.Overlap => Vermilion,
        Checking.Decision.Tight => Orange,
        Checking.Decision.Wide => SkyBlue,
        Checking.Decision.Undecided => Yellow,
        _ => ReddishPurple,
    };
}
