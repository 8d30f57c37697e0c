using System.Globalization;
using System.Text;
using HoopCheck.Geometry;
using HoopCheck.Rules;
using Tomlyn;

namespace HoopCheck.Planning.Quilts;

/// <summary>Reads <c>quilt.toml</c>, and writes the first one of a new quilt. A person reads and edits it by hand.</summary>
public static class QuiltFile
{
    private const string Name = "name", Size = "size", Hoop = "hoop", Fill = "fill", Spacing = "spacing", MinGap = "min-gap", Aim = "gap", Edge = "edge",
        Tape = "tape", Order = "order", Layout = "layout", Lies = "hoop-lies", Turn = "turn-fills", Stitch = "stitch", TopFactor = "top-thread-factor",
        BobbinFactor = "bobbin-thread-factor", Bobbin = "bobbin-metres";

    private static readonly string[] s_entries =
        [Name, Size, Hoop, Fill, Spacing, MinGap, Aim, Edge, Tape, Order, Layout, Lies, Turn, Stitch, TopFactor, BobbinFactor, Bobbin];

    /// <summary>Every entry with the value a new quilt starts with and what it means; an empty value has to be filled in, null is left as a comment.</summary>
    private static readonly (string Key, string? Value, string Meaning)[] s_template =
    [
        (Name, "\"\"", "a name of your own"),
        (Size, "\"\"", "the quilt, width by height, such as \"63x47 1/4in\" or \"1600x1200mm\""),
        (Hoop, "\"hoop.toml\"", "the hoop's measures: a file in this folder"),
        (Fill, "\"\"", "largest fill of one hooping, the hoop's width by height; or its drawing, an .svg in this folder"),
        (Spacing, "\"1/2in\"", "between neighbouring lines of the fill: the widest gap that does not show"),
        (MinGap, "\"1/16in\"", "smallest gap allowed between two fills"),
        (Aim, "\"1/4in\"", "gap that the plan aims at"),
        (Edge, "\"0mm\"", "left without stitching along each edge of the quilt"),
        (Tape, "\"any\"", "the tape's colour: any, a name such as blue, or #RRGGBB"),
        (Order, "\"rows\"", "from the middle outward by \"rows\" or by \"columns\""),
        (Layout, "\"full\"", "\"full\" fills with smaller ones along the quilt's edge, or all \"equal\""),
        (Lies, "\"auto\"", "the hoop lies \"straight\" or \"sideways\" on the quilt; auto: whichever takes fewer hoopings"),
        (Turn, "true", "every other fill turned by 180 degrees (90 where it is square), so that the repeat does not show"),
        (Stitch, "\"2.5mm\"", "length of a stitch"),
        (TopFactor, "1.4", "top thread over the length of the stitched line"),
        (BobbinFactor, "1.4", "bobbin thread over the length of the stitched line"),
        (Bobbin, null, "metres on a full bobbin: the plan then says before which hooping to change it"),
    ];

    /// <summary>The entries that a new quilt can be given from outside.</summary>
    public static IReadOnlyList<string> Entries => s_entries;

    /// <summary>Reads and checks the file's text.</summary>
    /// <param name="text">The whole file.</param>
    /// <returns>The quilt, or HC152 naming the entry. Whether there is a plan for it, <see cref="QuiltPlanner"/> says.</returns>
    public static Outcome<QuiltSpec> Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        try
        {
            return Read(TomlEntries.Parse(text, s_entries));
        }
        catch (TomlEntries.BadEntryException bad)
        {
            return new Problem(Problems.QuiltFileBroken, bad.Message);
        }
        catch (TomlException)
        {
            return new Problem(Problems.QuiltFileBroken, "It cannot be read; entries look like size = \"1600x1200mm\".");
        }
    }

    /// <summary>The text of a new quilt's file, each entry with its meaning beside it.</summary>
    /// <param name="given">Values that replace the template's, by entry, as a person wrote them.</param>
    public static string Write(IReadOnlyDictionary<string, string> given)
    {
        ArgumentNullException.ThrowIfNull(given);
        var text = new StringBuilder("# A quilt for hoopcheck. Lengths are millimetres unless a unit is written: \"6mm\", \"1/4in\", \"63x47 1/4in\".\n");
        foreach ((string key, string? usual, string meaning) in s_template)
        {
            string? value = given.TryGetValue(key, out string? own) ? usual is null or [not '"', ..] ? own : Quoted(own) : usual;
            text.Append(CultureInfo.InvariantCulture, $"{(value is null ? $"# {key} = 60" : $"{key} = {value}"),-32} # {meaning}\n");
        }

        return text.ToString();
    }

    private static string Quoted(string value)
    {
        var text = new StringBuilder("\"");
        foreach (char c in value)
        {
            // TOML 1.0, basic strings: quotation mark, backslash and control characters are escaped.
            text.Append(c is '"' or '\\' ? $"\\{c}" : char.IsControl(c) ? string.Create(CultureInfo.InvariantCulture, $"\\u{(int)c:X4}") : c);
        }

        return text.Append('"').ToString();
    }

    private static QuiltSpec Read(TomlEntries entries)
    {
        string size = entries.Text(Size), hoop = FileHere(Hoop, entries.Text(Hoop)), fill = entries.Text(Fill);
        if (!Length.TryParseSize(size, out double width, out double height, out string why))
        {
            throw new TomlEntries.BadEntryException($"\"{Size}\": {why}.");
        }

        double fillWidth = 0, fillHeight = 0;
        string? drawing = fill.EndsWith(".svg", StringComparison.OrdinalIgnoreCase) ? FileHere(Fill, fill) : null;
        if (drawing is null && !Length.TryParseSize(fill, out fillWidth, out fillHeight, out why))
        {
            throw new TomlEntries.BadEntryException($"\"{Fill}\": {why}, nor a drawing such as \"fill.svg\".");
        }

        string? tape = entries.OptionalText(Tape) is { } colour && colour != "any" ? colour : null;
        if (tape is not null && TapeColours.Parse(tape) is null)
        {
            throw new TomlEntries.BadEntryException($"\"{Tape}\" is not any, #RRGGBB or one of {string.Join(", ", TapeColours.Named.Select(known => known.Name))}.");
        }

        double spacing = entries.OptionalLength(Spacing) ?? Tolerances.UsualSpacingMm;
        ThreadSpec usual = new();
        return new(entries.OptionalText(Name) ?? "", width, height, fillWidth, fillHeight, hoop)
        {
            FillFile = drawing,
            SpacingMm = spacing,
            MinGapMm = entries.OptionalLength(MinGap) ?? Tolerances.UsualMinGapMm,
            GapMm = entries.OptionalLength(Aim) ?? spacing / 2,
            EdgeMm = entries.OptionalLength(Edge) ?? 0,
            Tape = tape,
            Order = entries.OptionalWord(Order, [("rows", StitchOrder.Rows), ("columns", StitchOrder.Columns)]) ?? StitchOrder.Rows,
            Layout = entries.OptionalWord(Layout, [("full", PlanLayout.Full), ("equal", PlanLayout.Equal)]) ?? PlanLayout.Full,
            Lies = entries.OptionalText(Lies) == "auto" ? null : entries.OptionalWord(Lies, [("straight", HoopLies.Straight), ("sideways", HoopLies.Sideways)]),
            TurnFills = entries.OptionalFlag(Turn) ?? true,
            Thread = new(
                entries.OptionalLength(Stitch) ?? usual.StitchMm,
                entries.OptionalNumber(TopFactor) ?? usual.TopFactor,
                entries.OptionalNumber(BobbinFactor) ?? usual.BobbinFactor,
                entries.OptionalNumber(Bobbin)),
        };
    }

    /// <summary>A quilt's folder can be moved whole only when nothing in it leads out of it.</summary>
    private static string FileHere(string key, string name) =>
        name.IndexOfAny(['/', '\\', ':']) >= 0 || name is "." or ".."
            ? throw new TomlEntries.BadEntryException($"\"{key}\" is \"{name}\"; it must be the plain name of a file in the quilt's folder.")
            : name;
}
