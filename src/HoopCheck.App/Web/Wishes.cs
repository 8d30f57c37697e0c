using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.App.Web;

/// <summary>What a phone's owner set, kept in that phone's own cookie.</summary>
/// <param name="Inches">Lengths in inches instead of millimetres.</param>
/// <param name="Large">Larger letters.</param>
/// <param name="Tape">The tape's colour where it is not the quilt file's; a name of <see cref="TapeColours"/>, "any", or null.</param>
internal sealed record Wishes(bool Inches, bool Large, string? Tape)
{
    /// <summary>Of a phone that set nothing.</summary>
    public static Wishes Usual { get; } = new(false, false, null);

    /// <summary>Reads the cookie; what it does not know it passes over.</summary>
    public static Wishes Parse(string? cookie)
    {
        string[] words = (cookie ?? "").Split('.');
        string? tape = words.FirstOrDefault(w => w == "any" || TapeColours.Named.Any(c => c.Name == w));
        return new(words.Contains("in"), words.Contains("large"), tape);
    }

    /// <summary>As the cookie holds it.</summary>
    public override string ToString() => string.Join('.', new[] { Inches ? "in" : "mm", Large ? "large" : null, Tape }.OfType<string>());

    /// <summary>A length in the unit asked for.</summary>
    public string Say(double millimetres) => Inches ? Length.Inches(millimetres) : Length.Millimetres(millimetres);

    /// <summary>A size in the unit asked for, width by height.</summary>
    public string Say(double width, double height) => Inches
        ? $"{Length.Inches(width)} × {Length.Inches(height)}"
        : string.Create(CultureInfo.InvariantCulture, $"{width:0.#} × {height:0.#} mm");
}
