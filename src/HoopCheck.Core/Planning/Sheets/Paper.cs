namespace HoopCheck.Planning.Sheets;

/// <summary>Paper that a printer takes.</summary>
/// <param name="Name">As it is called.</param>
/// <param name="Width">Upright, mm.</param>
/// <param name="Height">Upright, mm.</param>
public sealed record Paper(string Name, double Width, double Height)
{
    /// <summary>ISO 216.</summary>
    public static readonly Paper A4 = new("A4", 210, 297);

    /// <summary>ANSI/ASME Y14.1 size A: 8 1/2 by 11 in.</summary>
    public static readonly Paper Letter = new("US Letter", 215.9, 279.4);

    /// <summary>Lying on its long side.</summary>
    public Paper Turned => new(Name, Height, Width);
}

/// <summary>How a printer is told to scale, or found to.</summary>
/// <param name="Across">What becomes of 100 mm across the sheet, mm.</param>
/// <param name="Down">What becomes of 100 mm down the sheet, mm.</param>
public sealed record PrinterScale(double Across, double Down)
{
    /// <summary>A printer that keeps sizes.</summary>
    public static readonly PrinterScale True = new(100, 100);

    /// <summary>Beyond this, mm of 100, a bar was not measured but misread, or the print was fitted to the page.</summary>
    public const double Least = 90, Most = 110;

    /// <summary>Whether it can be corrected for.</summary>
    public bool IsPossible => Across is >= Least and <= Most && Down is >= Least and <= Most;
}
