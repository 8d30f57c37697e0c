using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Rules;
using Tomlyn;
using Tomlyn.Model;
using Tomlyn.Parsing;
using Tomlyn.Syntax;

namespace HoopCheck.Planning;

/// <summary>
/// Reads what a machine can do: the table <c>[machine]</c> of a hoop file, or a file of its own with the same entries, in that
/// table or at the top. All may be left away: <c>nudge-step</c> (length), <c>resize-step</c> (length or "1%"), <c>turn-step</c>
/// (degrees, or "none"), <c>smallest-size</c> and <c>largest-size</c> (percent of the planned size).
/// </summary>
public static class MachineFile
{
    private const string Nudge = "nudge-step", Resize = "resize-step", Turn = "turn-step", Smallest = "smallest-size", Largest = "largest-size";

    private static readonly string[] s_entries = [Nudge, Resize, Turn, Smallest, Largest];

    /// <summary>Reads and checks a machine file's text.</summary>
    /// <param name="text">The whole file.</param>
    /// <returns>The machine, or HC117 naming the entry.</returns>
    public static Outcome<MachineSpec> Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        try
        {
            if (SyntaxParser.Parse(text, sourceName: null, validate: true).Diagnostics.FirstOrDefault(d => d.Kind == DiagnosticMessageKind.Error) is { } wrong)
            {
                return new Problem(Problems.MachineFileBroken, string.Create(CultureInfo.InvariantCulture, $"Line {wrong.Span.Start.Line + 1}: it cannot be read; entries look like nudge-step = \"0.5mm\"."));
            }

            TomlTable table = TomlSerializer.Deserialize<TomlTable>(text) ?? [];
            return Read(table.TryGetValue("machine", out object? inner) && inner is TomlTable machine && table.Count == 1 ? machine : table, Problems.MachineFileBroken);
        }
        catch (TomlException)
        {
            return new Problem(Problems.MachineFileBroken, "It cannot be read; entries look like nudge-step = \"0.5mm\".");
        }
    }

    /// <summary>Reads and checks the entries.</summary>
    /// <param name="table">The entries.</param>
    /// <param name="broken">The problem to name where an entry is wrong.</param>
    internal static Outcome<MachineSpec> Read(TomlTable table, ProblemKind broken)
    {
        Problem Wrong(string why) => new(broken, why);

        foreach (string key in table.Keys)
        {
            if (!s_entries.Contains(key, StringComparer.Ordinal))
            {
                return Wrong($"\"{key}\" is not known for a machine; is \"{NearestWord.Of(key, s_entries)}\" meant?");
            }
        }

        MachineSpec spec = MachineSpec.Usual;
        if (table.TryGetValue(Nudge, out object? nudge))
        {
            if (Mm(nudge) is not (>= 0.05 and <= 10 and var step))
            {
                return Wrong($"\"{Nudge}\" must be a length of 0.05 to 10 mm, such as \"0.5mm\".");
            }

            spec = spec with { NudgeStepMm = step };
        }

        if (table.TryGetValue(Resize, out object? resize))
        {
            if (Percent(resize) is >= 0.1 and <= 10 and var percent)
            {
                spec = spec with { ResizeStep = percent, ResizeInPercent = true };
            }
            else if (Mm(resize) is >= 0.05 and <= 20 and var mm)
            {
                spec = spec with { ResizeStep = mm };
            }
            else
            {
                return Wrong($"\"{Resize}\" must be a length of 0.05 to 20 mm or 0.1 to 10 percent, such as \"1mm\" or \"1%\".");
            }
        }

        if (table.TryGetValue(Turn, out object? turn))
        {
            if (turn is "none")
            {
                spec = spec with { TurnStepDegrees = null };
            }
            else if (Number(turn) is >= 0.05 and <= 90 and var degrees)
            {
                spec = spec with { TurnStepDegrees = degrees };
            }
            else
            {
                return Wrong($"\"{Turn}\" must be 0.05 to 90 degrees, a plain number, or \"none\".");
            }
        }

        if (table.TryGetValue(Smallest, out object? smallest))
        {
            if (Percent(smallest) is not (>= 10 and <= 100 and var percent))
            {
                return Wrong($"\"{Smallest}\" must be 10 to 100 percent, such as \"80%\".");
            }

            spec = spec with { SmallestPercent = percent };
        }

        if (table.TryGetValue(Largest, out object? largest))
        {
            if (Percent(largest) is not (>= 100 and <= 400 and var percent))
            {
                return Wrong($"\"{Largest}\" must be 100 to 400 percent, such as \"120%\".");
            }

            spec = spec with { LargestPercent = percent };
        }

        return spec;
    }

    private static double? Number(object value) => value switch
    {
        long whole => whole,
        double number => number,
        _ => null,
    };

    private static double? Mm(object value) =>
        value is string text ? Length.TryParse(text, out double mm, out _) ? mm : null : Number(value);

    private static double? Percent(object value) =>
        value is string text && text.TrimEnd().EndsWith('%')
        && double.TryParse(text.TrimEnd()[..^1], NumberStyles.AllowDecimalPoint | NumberStyles.AllowTrailingWhite, CultureInfo.InvariantCulture, out double percent)
            ? percent
            : null;
}
