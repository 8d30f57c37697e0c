using System.Globalization;
using HoopCheck.Rules;

namespace HoopCheck.Vision;

/// <summary>What a card says of the hoop file's scale, in words.</summary>
internal static class ScaleSaid
{
    /// <summary>HC208 where card and hoop file disagree, HC209 where no card was found, otherwise null.</summary>
    public static Problem? Problem(CardFound? card) =>
        card is null ? new(Problems.NoCard, "")
        : card.Agrees ? null
        : new(Problems.ScaleDisagrees, $"By the hoop file it is {Size(card)}, true are 85.60 by 53.98 mm: its measures are {Percent(Math.Abs(card.Ratio - 1))} too {(card.Ratio > 1 ? "large" : "small")}, ± {Percent(card.RatioUncertainty)}.");

    /// <summary>A note for the person.</summary>
    public static string Agreement(CardFound card) =>
        $"The card on the fabric agrees with the hoop file's scale: measured {Size(card)}, true are 85.60 by 53.98 mm, {Percent(card.Ratio - 1)} off, ± {Percent(card.RatioUncertainty)}.";

    private static string Size(CardFound card) => string.Create(CultureInfo.InvariantCulture, $"{card.LongMm:0.00} by {card.ShortMm:0.00} mm");

    private static string Percent(double share) => string.Create(CultureInfo.InvariantCulture, $"{100 * share:0.0} %").Replace('-', '−');
}
