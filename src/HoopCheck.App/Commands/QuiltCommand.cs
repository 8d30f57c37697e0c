using System.CommandLine;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Rules;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck quilt new</c>: makes a quilt's folder.</summary>
internal static class QuiltCommand
{
    /// <summary>Options that become entries of quilt.toml as they are written.</summary>
    private static readonly (string Entry, string Value, string Description)[] s_entries =
    [
        ("name", "TEXT", "A name of your own."),
        ("size", "WxH", "The quilt, width by height: \"63x47 1/4in\", 1600x1200mm."),
        ("spacing", "LEN", "Distance between the fill's lines, the widest gap that does not show. Default: 1/2in."),
        ("min-gap", "LEN", "Smallest gap allowed. Default: 1/16in."),
        ("gap", "LEN", "Gap between two fills that the plan aims at. Default: 1/4in."),
        ("edge", "LEN", "Left without stitching along each edge of the quilt. Default: 0."),
        ("tape", "COLOUR", "The tape's colour. Default: any."),
        ("order", "ORDER", "From the middle outward by rows or by columns. Default: rows."),
        ("layout", "LAYOUT", "full: full fills, smaller ones at the edge; or equal: all alike. Default: full."),
        ("hoop-lies", "WAY", "straight, sideways or auto: whichever takes fewer hoopings. Default: auto."),
        ("bobbin-metres", "M", "Metres on a full bobbin. Default: not known."),
    ];

    /// <summary>The command with its options.</summary>
    public static Command Create(Terminal terminal)
    {
        var folder = new Argument<string>("FOLDER") { Description = "The folder to make." };
        var hoop = new Option<string?>("--hoop") { HelpName = "HOOP.toml", Description = "The hoop's measures; the file is copied into the folder." };
        var fill = new Option<string?>("--fill") { HelpName = "WxH|FILE.svg", Description = "Largest fill of one hooping, or its drawing, which is copied into the folder." };
        Option<string?>[] entries = [.. s_entries.Select(e => new Option<string?>($"--{e.Entry}") { HelpName = e.Value, Description = e.Description })];
        var json = new Option<bool>("--json") { Description = "The answer as JSON on standard output." };
        var made = new Command("new", "Makes the folder of a new quilt. What is not given is filled in by hand in its quilt.toml.") { folder, hoop, fill, json };
        foreach (Option<string?> entry in entries)
        {
            made.Options.Add(entry);
        }

        made.SetAction(call =>
        {
            var given = entries.Zip(s_entries).Where(pair => call.GetValue(pair.First) is not null).ToDictionary(pair => pair.Second.Entry, pair => call.GetValue(pair.First)!);
            return New(call.GetRequiredValue(folder), given, call.GetValue(hoop), call.GetValue(fill), call.GetValue(json), terminal);
        });
        return new Command("quilt", "The whole quilt: its folder.") { made };
    }

    private static int New(string folder, Dictionary<string, string> given, string? hoop, string? fill, bool json, Terminal terminal)
    {
        bool drawn = fill is not null && FillCall.IsDrawing(fill);
        if (fill is not null && !drawn)
        {
            given["fill"] = fill;
        }

        if (QuiltFolder.Create(folder, given, hoop, drawn ? fill : null) is { } problem)
        {
            return ErrorReport.Write(problem, json, terminal);
        }

        string file = Path.Combine(folder, QuiltFolder.FileName);
        string[] missing = [.. new[] { given.ContainsKey("size") ? null : "size", fill is null ? "fill" : null, hoop is null ? "hoop" : null }.OfType<string>()];
        if (json)
        {
            terminal.Out.WriteLine(JsonText.Write(writer =>
            {
                writer.WriteStartObject();
                writer.WriteString("schema", "hoopcheck.folder/1");
                writer.WriteString("folder", folder);
                writer.WriteStartArray("missing");
                foreach (string entry in missing)
                {
                    writer.WriteStringValue(entry);
                }

                writer.WriteEndArray();
                writer.WriteEndObject();
            }));
            return 0;
        }

        terminal.Out.WriteLine($"{folder}: {QuiltFolder.FileName}, the log and {QuiltFolder.PhotosName}/ are made.");
        if (missing.Any(m => m != "hoop"))
        {
            terminal.Out.WriteLine($"Fill in in {file}: {string.Join(", ", missing.Where(m => m != "hoop"))}.");
        }

        if (hoop is null)
        {
            terminal.Out.WriteLine($"Put the hoop's measures into {Path.Combine(folder, "hoop.toml")}.");
        }

        terminal.Out.WriteLine($"Then: hoopcheck plan --quilt {folder}");
        return 0;
    }
}
