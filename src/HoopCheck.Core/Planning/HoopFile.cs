using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Rules;
using Tomlyn;
using Tomlyn.Model;
using Tomlyn.Parsing;
using Tomlyn.Syntax;

namespace HoopCheck.Planning;

/// <summary>
/// Reads a hoop file (TOML): <c>name</c>, <c>opening</c> and <c>frame-height</c> must be there; <c>corner-radius</c>,
/// <c>frame-width</c>, <c>sewing-field</c> and <c>attachment</c> may. Lengths are texts such as "11mm" or "7/16in", or
/// plain numbers of millimetres. What a table <c>[machine]</c> may hold, <see cref="MachineFile"/> tells.
/// </summary>
public static class HoopFile
{
    private const string Name = "name", Opening = "opening", CornerRadius = "corner-radius", FrameWidth = "frame-width",
        FrameHeight = "frame-height", Field = "sewing-field", Attachment = "attachment", Machine = "machine";

    private static readonly string[] s_entries = [Name, Opening, CornerRadius, FrameWidth, FrameHeight, Field, Attachment, Machine];

    /// <summary>Reads and checks a hoop file's text.</summary>
    /// <param name="text">The whole file.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    /// <returns>The hoop, or HC111 (not understood) or HC112 (cannot be a hoop), naming the entry.</returns>
    public static Outcome<HoopSpec> Parse(string text, Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(text);
        try
        {
            // Only this check of the grammar sees entries that are there twice; the model lets the last one win.
            if (SyntaxParser.Parse(text, sourceName: null, validate: true).Diagnostics.FirstOrDefault(d => d.Kind == DiagnosticMessageKind.Error) is { } wrong)
            {
                return new Problem(Problems.HoopFileBroken, string.Create(CultureInfo.InvariantCulture, $"Line {wrong.Span.Start.Line + 1}: {OneLine(wrong.Message)}."));
            }

            TomlTable table = TomlSerializer.Deserialize<TomlTable>(text) ?? [];
            return new Reader(table, tolerances ?? Tolerances.Default).Read();
        }
        catch (TomlException broken)
        {
            return new Problem(Problems.HoopFileBroken, OneLine(broken.Message));
        }
        catch (BadEntryException bad)
        {
            return new Problem(bad.Kind, bad.Message);
        }
    }

    private static string OneLine(string message)
    {
        string line = message.ReplaceLineEndings("\n").Split('\n', StringSplitOptions.RemoveEmptyEntries).FirstOrDefault("It cannot be read; entries look like opening = \"360x240mm\".");
        return line.Length <= 200 ? line : line[..200] + "…";
    }

    private sealed class BadEntryException(ProblemKind kind, string message) : Exception(message)
    {
        public ProblemKind Kind { get; } = kind;
    }

    private sealed class Reader(TomlTable table, Tolerances limits)
    {
        public HoopSpec Read()
        {
            foreach (string key in table.Keys)
            {
                if (!s_entries.Contains(key, StringComparer.Ordinal))
                {
                    throw Broken($"\"{key}\" is not known; is \"{NearestWord.Of(key, s_entries)}\" meant?");
                }
            }

            MachineSpec? steps = null;
            if (table.TryGetValue(Machine, out object? machine))
            {
                Outcome<MachineSpec> read = machine is TomlTable entries
                    ? MachineFile.Read(entries, Problems.HoopFileBroken)
                    : throw Broken($"\"{Machine}\" must be a table: [machine].");
                steps = read.Value ?? throw Broken(read.Problem!.Detail);
            }

            string name = Required(Name) is string given && given.Trim().Length > 0 ? given.Trim() : throw Broken($"\"{Name}\" must be a text in quotes, not empty.");
            (double width, double height) = Size(Opening, Required(Opening));
            Within(Opening, Math.Min(width, height), limits.SmallestOpeningMm, limits.LargestOpeningMm);
            Within(Opening, Math.Max(width, height), limits.SmallestOpeningMm, limits.LargestOpeningMm);

            double frameHeight = LengthOf(FrameHeight, Required(FrameHeight));
            Within(FrameHeight, frameHeight, limits.LowestFrameMm, limits.HighestFrameMm);

            double? frameWidth = Optional(FrameWidth);
            if (frameWidth is { } breadth)
            {
                Within(FrameWidth, breadth, limits.NarrowestFrameMm, limits.BroadestFrameMm);
            }

            double? radius = Optional(CornerRadius);
            if (radius is { } r && !(r >= 0 && r < Math.Min(width, height) / 2))
            {
                throw Absurd($"\"{CornerRadius}\" is {Mm(r)}; it must be 0 or more and less than half the opening's short side, {Mm(Math.Min(width, height) / 2)}.");
            }

            (double fieldWidth, double fieldHeight) = (width - (2 * limits.FieldMarginMm), height - (2 * limits.FieldMarginMm));
            if (table.TryGetValue(Field, out object? field))
            {
                (fieldWidth, fieldHeight) = Size(Field, field);
                if (fieldWidth > width + limits.FieldRoundingMm || fieldHeight > height + limits.FieldRoundingMm)
                {
                    throw Absurd($"\"{Field}\" is {Mm(fieldWidth)} by {Mm(fieldHeight)}; it must lie inside the opening, {Mm(width)} by {Mm(height)}.");
                }
            }

            if (table.TryGetValue(Attachment, out object? attachment) && attachment is not "left")
            {
                throw Broken($"\"{Attachment}\" can only be \"left\": hold the hoop so that its bar is at the left and measure it that way.");
            }

            return new(name, width, height, frameHeight, radius, frameWidth, fieldWidth, fieldHeight) { Machine = steps };
        }

        private static string Mm(double length) => string.Create(CultureInfo.InvariantCulture, $"{length:0.###} mm");

        private static BadEntryException Broken(string message) => new(Problems.HoopFileBroken, message);

        private static BadEntryException Absurd(string message) => new(Problems.HoopFileAbsurd, message);

        private static void Within(string key, double length, double least, double most)
        {
            if (!(length >= least && length <= most))
            {
                throw Absurd($"\"{key}\" has {Mm(length)}; {Mm(least)} to {Mm(most)} is possible.");
            }
        }

        private static (double Width, double Height) Size(string key, object value)
        {
            if (value is not string text)
            {
                throw Broken($"\"{key}\" must be a size in quotes, such as \"360x240mm\".");
            }

            return Length.TryParseSize(text, out double width, out double height, out string why) ? (width, height) : throw Broken($"\"{key}\": {why}.");
        }

        private static double LengthOf(string key, object value)
        {
            switch (value)
            {
                case long whole:
                    return whole;
                case double number when double.IsFinite(number):
                    return number;
                case string text:
                    return Length.TryParse(text, out double length, out string why) ? length : throw Broken($"\"{key}\": {why}.");
                default:
                    throw Broken($"\"{key}\" must be a length in quotes, such as \"11mm\".");
            }
        }

        private object Required(string key) =>
            table.TryGetValue(key, out object? value) ? value : throw Broken($"\"{key}\" is missing.");

        private double? Optional(string key) => table.TryGetValue(key, out object? value) ? LengthOf(key, value) : null;
    }
}
