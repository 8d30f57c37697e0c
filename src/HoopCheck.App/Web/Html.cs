using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Unicode;

namespace HoopCheck.App.Web;

/// <summary>A piece of a page that is markup already. Everything else is text and is encoded.</summary>
/// <param name="Text">HTML.</param>
internal readonly record struct Markup(string Text)
{
    /// <summary>Nothing.</summary>
    public static Markup None { get; } = new("");
}

/// <summary>Puts pages together so that no text can become markup: every hole of the pattern is encoded unless it is <see cref="Markup"/>.</summary>
internal static class Html
{
    private static readonly HtmlEncoder s_encoder = HtmlEncoder.Create(UnicodeRanges.All);

    /// <summary>The pattern with its holes filled in: markup as it is, pieces in their order, null as nothing, all else as encoded text.</summary>
    public static Markup Of(FormattableString pattern)
    {
        object[] parts = [.. pattern.GetArguments().Select(Part)];
        return new(string.Format(CultureInfo.InvariantCulture, pattern.Format, parts));
    }

    /// <summary>Pieces one after the other.</summary>
    public static Markup All(IEnumerable<Markup> pieces) => new(string.Concat(pieces.Select(p => p.Text)));

    /// <summary>The pattern where something holds, otherwise nothing.</summary>
    public static Markup If(bool holds, FormattableString pattern) => holds ? Of(pattern) : Markup.None;

    private static string Part(object? value) => value switch
    {
        null => "",
        Markup markup => markup.Text,
        IEnumerable<Markup> pieces => All(pieces).Text,
        _ => s_encoder.Encode(Convert.ToString(value, CultureInfo.InvariantCulture) ?? ""),
    };
}
