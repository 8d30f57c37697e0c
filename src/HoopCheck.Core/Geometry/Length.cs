using System.Globalization;
using System.Text.RegularExpressions;

namespace HoopCheck.Geometry;

/// <summary>
/// Lengths as people write them, and inches as a ruler shows them. Millimetres unless a unit is written; one inch is
/// 25.4 mm exactly (international yard and pound agreement, 1959). Never depends on the machine's language settings.
/// </summary>
public static partial class Length
{
    /// <summary>Millimetres in an inch, exact.</summary>
    public const double MillimetresPerInch = 25.4;

    /// <summary>Nothing in a hoop is longer than this, mm; a larger number is a slip of the hand.</summary>
    public const double LargestMm = 10_000;

    /// <summary>
    /// Reads a length: <c>12.7</c>, <c>12.7mm</c>, <c>1.27cm</c>, <c>1/2in</c>, <c>10 5/8in</c>, <c>10-5/8"</c>.
    /// A fraction must carry its unit, because nobody measures in fractions of a millimetre.
    /// </summary>
    /// <param name="text">What was written.</param>
    /// <param name="millimetres">The length, finite, at most <see cref="LargestMm"/> either way; 0 when not understood.</param>
    /// <param name="why">What is wrong, as a piece of a sentence; empty when understood.</param>
    /// <returns>Whether the text is a length. A leading minus is understood; whether it makes sense is the caller's to say.</returns>
    public static bool TryParse(string text, out double millimetres, out string why)
    {
        ArgumentNullException.ThrowIfNull(text);
        Match match = OneLength().Match(text.Trim());
        millimetres = 0;
        if (!match.Success)
        {
            why = NotALength(text);
            return false;
        }

        return Convert(match, 1, match.Groups["u1"].Value, out millimetres, out why);
    }

    /// <summary>
    /// Reads a size, width by height: <c>350x230</c>, <c>350x230mm</c>, <c>13 3/4x9in</c>, <c>10inx200mm</c>.
    /// A unit written once, at the end, counts for both.
    /// </summary>
    /// <param name="text">What was written.</param>
    /// <param name="width">mm, above 0; 0 when not understood.</param>
    /// <param name="height">mm, above 0; 0 when not understood.</param>
    /// <param name="why">What is wrong, as a piece of a sentence; empty when understood.</param>
    /// <returns>Whether the text is a size.</returns>
    public static bool TryParseSize(string text, out double width, out double height, out string why)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (!TryParsePair(TwoBySize(), text, "two lengths with an x between them, such as 350x230mm", out width, out height, out why))
        {
            return false;
        }

        if (width > 0 && height > 0)
        {
            return true;
        }

        (width, height) = (0, 0);
        why = $"\"{Shorten(text)}\" must be larger than 0 both ways";
        return false;
    }

    /// <summary>Reads a place in the hoop: <c>-12.5,3</c> or <c>-1/2in,3in</c>; x to the right, y up, from the centre of the opening.</summary>
    /// <param name="text">What was written.</param>
    /// <param name="place">The point, mm; the origin when not understood.</param>
    /// <param name="why">What is wrong, as a piece of a sentence; empty when understood.</param>
    /// <returns>Whether the text is a place.</returns>
    public static bool TryParsePlace(string text, out HoopPoint place, out string why)
    {
        ArgumentNullException.ThrowIfNull(text);
        bool understood = TryParsePair(TwoByComma(), text, "two lengths with a comma between them, such as -12.5,3", out double x, out double y, out why);
        place = understood ? new(x, y) : default;
        return understood;
    }

    /// <summary>
    /// A length in inches to the nearest 1/32, reduced: <c>13/32 in</c>, <c>1 1/8 in</c>, <c>0 in</c>, <c>−3/16 in</c>
    /// (a real minus sign). What would round to nothing without being nothing is written <c>&lt;1/64 in</c>, whichever way it goes.
    /// </summary>
    /// <param name="millimetres">mm, finite, within ±10 km.</param>
    /// <exception cref="ArgumentOutOfRangeException">The length is not finite or beyond that range.</exception>
    public static string Inches(double millimetres)
    {
        if (!(Math.Abs(millimetres) <= 1e7))
        {
            throw new ArgumentOutOfRangeException(nameof(millimetres), millimetres, "An inch fraction needs a finite length within 10 km.");
        }

        // In decimals, so that 25.4/64 mm is exactly half a step and 12.7 mm exactly half an inch.
        decimal size = Math.Abs((decimal)millimetres);
        long parts = (long)Math.Round(size * 32 / 25.4m, MidpointRounding.AwayFromZero);
        if (parts == 0)
        {
            return size < 0.0005m ? "0 in" : "<1/64 in";
        }

        (long whole, long over) = Math.DivRem(parts, 32);
        long under = 32;
        while (over > 0 && over % 2 == 0)
        {
            over /= 2;
            under /= 2;
        }

        string fraction = over == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $"{over}/{under}");
        string number = whole == 0 ? fraction : over == 0 ? Digits(whole) : $"{Digits(whole)} {fraction}";
        return $"{(millimetres < 0 ? "−" : "")}{number} in";
    }

    /// <summary>A length in millimetres with one decimal and a real minus sign: <c>−1.2 mm</c>; <c>0.0 mm</c> never carries a minus.</summary>
    /// <param name="millimetres">mm, finite.</param>
    public static string Millimetres(double millimetres) => Millimetres(millimetres, 1);

    /// <summary>
    /// A length that misses a limit, and the limit, with as many decimals as it takes to tell them apart, three at most:
    /// "1.57 mm" and "1.60 mm", where one decimal would say "1.6 mm where 1.6 mm is needed".
    /// </summary>
    /// <param name="millimetres">mm, finite.</param>
    /// <param name="limit">mm, finite.</param>
    public static (string Length, string Limit) Apart(double millimetres, double limit)
    {
        int decimals = 1;
        while (decimals < 3 && Millimetres(millimetres, decimals) == Millimetres(limit, decimals))
        {
            decimals++;
        }

        return (Millimetres(millimetres, decimals), Millimetres(limit, decimals));
    }

    private static string Millimetres(double millimetres, int decimals)
    {
        string digits = Math.Abs(millimetres).ToString(decimals switch
        {
            1 => "0.0",
            2 => "0.00",
            _ => "0.000",
        }, CultureInfo.InvariantCulture);
        return $"{(millimetres < 0 && digits.AsSpan().ContainsAnyInRange('1', '9') ? "−" : "")}{digits} mm";
    }

    private static bool TryParsePair(Regex pattern, string text, string shape, out double first, out double second, out string why)
    {
        (first, second) = (0, 0);
        Match match = pattern.Match(text.Trim());
        if (!match.Success)
        {
            why = $"\"{Shorten(text)}\" is not {shape}";
            return false;
        }

        string firstUnit = match.Groups["u1"].Value, secondUnit = match.Groups["u2"].Value;
        if (firstUnit.Length > 0 && secondUnit.Length == 0)
        {
            why = $"\"{Shorten(text)}\" has a unit for the first length only: write it at the end, or for both";
            return false;
        }

        if (Convert(match, 1, firstUnit.Length > 0 ? firstUnit : secondUnit, out first, out why)
            && Convert(match, 2, secondUnit, out second, out why))
        {
            return true;
        }

        (first, second) = (0, 0);
        return false;
    }

    private static bool Convert(Match match, int which, string unit, out double millimetres, out string why)
    {
        string Part(string name) => match.Groups[$"{name}{which}"].Value;

        millimetres = 0;
        bool fraction = Part("over").Length > 0;
        if (fraction && unit.Length == 0)
        {
            why = $"\"{Shorten(match.Value)}\" is a fraction without a unit: write 1/16in, for example";
            return false;
        }

        // At most six digits each (the pattern sees to it), so nothing here can overflow.
        double value = Number(Part("whole"));
        if (fraction)
        {
            double over = Number(Part("over")), under = Number(Part("under"));
            if (under < 1 || (Part("whole").Length > 0 && over >= under))
            {
                why = $"\"{Shorten(match.Value)}\" is not a proper fraction";
                return false;
            }

            value += over / under;
        }

        value *= unit switch
        {
            "" or "mm" => 1,
            "cm" => 10,
            _ => MillimetresPerInch,
        };
        if (value > LargestMm)
        {
            why = $"\"{Shorten(match.Value)}\" is longer than anything that fits a hoop";
            return false;
        }

        millimetres = Part("minus").Length > 0 && value > 0 ? -value : value;
        why = "";
        return true;
    }

    private static double Number(string digits) =>
        digits.Length == 0 ? 0 : double.Parse(digits, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture);

    private static string Digits(long number) => number.ToString(CultureInfo.InvariantCulture);

    private static string NotALength(string text) =>
        text.Contains(',', StringComparison.Ordinal)
            ? $"\"{Shorten(text)}\" is not a length: write decimals with a point, such as 12.7mm"
            : $"\"{Shorten(text)}\" is not a length such as 12.7mm or 1/2in";

    private static string Shorten(string text) => text.Length <= 40 ? text : text[..40] + "…";

    private const string Minus1 = @"(?<minus1>[-−]?)", Minus2 = @"(?<minus2>[-−]?)";
    private const string Number1 = @"(?:(?:(?<whole1>[0-9]{1,6})[ -])?(?<over1>[0-9]{1,6})/(?<under1>[0-9]{1,6})|(?<whole1>[0-9]{1,6}(?:\.[0-9]{0,12})?|\.[0-9]{1,12}))";
    private const string Number2 = @"(?:(?:(?<whole2>[0-9]{1,6})[ -])?(?<over2>[0-9]{1,6})/(?<under2>[0-9]{1,6})|(?<whole2>[0-9]{1,6}(?:\.[0-9]{0,12})?|\.[0-9]{1,12}))";
    private const string Unit1 = @"\s*(?<u1>mm|cm|inches|inch|in|""|″)?", Unit2 = @"\s*(?<u2>mm|cm|inches|inch|in|""|″)?";
    private const RegexOptions Plain = RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant;

    [GeneratedRegex("^" + Minus1 + Number1 + Unit1 + @"\z", Plain)]
    private static partial Regex OneLength();

    [GeneratedRegex("^" + Minus1 + Number1 + Unit1 + @"\s*[xX×]\s*" + Minus2 + Number2 + Unit2 + @"\z", Plain)]
    private static partial Regex TwoBySize();

    [GeneratedRegex("^" + Minus1 + Number1 + Unit1 + @"\s*,\s*" + Minus2 + Number2 + Unit2 + @"\z", Plain)]
    private static partial Regex TwoByComma();
}
