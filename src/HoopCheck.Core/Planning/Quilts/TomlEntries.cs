using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Rules;
using Tomlyn;
using Tomlyn.Model;
using Tomlyn.Parsing;
using Tomlyn.Syntax;

namespace HoopCheck.Planning.Quilts;

/// <summary>A flat TOML file's entries by name and kind; whatever is wrong becomes one sentence that names the entry.</summary>
internal sealed class TomlEntries(TomlTable table)
{
    /// <summary>An entry that is missing or not of its kind.</summary>
    public sealed class BadEntryException(string message) : Exception(message);

    /// <summary>Reads the file's grammar and sees that every entry is known.</summary>
    /// <exception cref="BadEntryException">No TOML, an entry twice or unknown.</exception>
    public static TomlEntries Parse(string text, IReadOnlyList<string> known)
    {
        // Only this check of the grammar sees entries that are there twice; the model lets the last one win.
        if (SyntaxParser.Parse(text, sourceName: null, validate: true).Diagnostics.FirstOrDefault(d => d.Kind == DiagnosticMessageKind.Error) is { } wrong)
        {
            string line = wrong.Message.ReplaceLineEndings(" ");
            throw new BadEntryException(string.Create(CultureInfo.InvariantCulture, $"Line {wrong.Span.Start.Line + 1}: {(line.Length <= 200 ? line : line[..200] + "…")}."));
        }

        TomlTable table = TomlSerializer.Deserialize<TomlTable>(text) ?? [];
        foreach (string key in table.Keys)
        {
            if (!known.Contains(key, StringComparer.Ordinal))
            {
                throw new BadEntryException($"\"{key}\" is not known; is \"{NearestWord.Of(key, known)}\" meant?");
            }
        }

        return new(table);
    }

    /// <summary>A text that must be there and not be empty.</summary>
    public string Text(string key) => OptionalText(key) ?? throw new BadEntryException($"\"{key}\" is missing or still empty.");

    /// <summary>A text; null where it is missing or empty.</summary>
    public string? OptionalText(string key) => !table.TryGetValue(key, out object? value)
        ? null
        : value is string text
            ? text.Trim() is { Length: > 0 } written ? written : null
            : throw new BadEntryException($"\"{key}\" must be a text in quotes.");

    /// <summary>A length, mm, 0 or more: a text with a unit or a plain number.</summary>
    public double? OptionalLength(string key)
    {
        if (!table.TryGetValue(key, out object? value))
        {
            return null;
        }

        double mm = value switch
        {
            string text => Length.TryParse(text, out double length, out string why) ? length : throw new BadEntryException($"\"{key}\": {why}."),
            _ => PlainNumber(value) ?? throw new BadEntryException($"\"{key}\" must be a length in quotes, such as \"6mm\" or \"1/4in\"."),
        };
        return mm >= 0 ? mm : throw new BadEntryException($"\"{key}\" must not be negative.");
    }

    /// <summary>A plain number.</summary>
    public double? OptionalNumber(string key) => !table.TryGetValue(key, out object? value)
        ? null
        : PlainNumber(value) ?? throw new BadEntryException($"\"{key}\" must be a plain number.");

    /// <summary>true or false.</summary>
    public bool? OptionalFlag(string key) => !table.TryGetValue(key, out object? value)
        ? null
        : value as bool? ?? throw new BadEntryException($"\"{key}\" must be true or false.");

    /// <summary>One of some words.</summary>
    public T? OptionalWord<T>(string key, IReadOnlyList<(string Word, T Value)> words)
        where T : struct
    {
        if (OptionalText(key) is not { } written)
        {
            return null;
        }

        foreach ((string word, T value) in words)
        {
            if (word == written)
            {
                return value;
            }
        }

        throw new BadEntryException($"\"{key}\" is \"{written}\"; it can be {string.Join(" or ", words.Select(w => $"\"{w.Word}\""))}.");
    }

    private static double? PlainNumber(object value) => value switch
    {
        long whole => whole,
        double number when double.IsFinite(number) => number,
        _ => null,
    };
}
