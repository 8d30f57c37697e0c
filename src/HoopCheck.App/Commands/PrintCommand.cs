using System.CommandLine;
using System.Globalization;
using HoopCheck.App.Prints;
using HoopCheck.App.Reports;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Sheets;
using HoopCheck.Rules;
using HoopCheck.Vision.Lens;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck print</c>: sheets at their true size, as PDF or SVG.</summary>
internal static class PrintCommand
{
    /// <summary>The command with its three parts.</summary>
    public static Command Create(Terminal terminal)
    {
        var file = new Argument<string>("FILE") { Description = "What to write: FILE.pdf for a printer, FILE.svg for one sheet as large as needed." };
        Option<string?> paper = Text("--paper", "a4|letter", "The printer's paper. Default: a4.");
        Option<string?> measured = Text("--measured", "LEN|LENxLEN", "What the 100 mm bar of an earlier print measures; across x down where the two differ.");

        var board = new Command("board", "The board for learning a phone's lens.") { file, paper, measured };
        board.SetAction(call => Run(new(call.GetRequiredValue(file), call.GetValue(paper), call.GetValue(measured)), () => Board(), terminal));

        Option<string?> length = Text("--length", "LEN", "Length of the ruler. Default: 220mm.");
        var ruler = new Command("ruler", "A paper ruler in millimetres and inches.") { file, length, paper, measured };
        ruler.SetAction(call => Run(new(call.GetRequiredValue(file), call.GetValue(paper), call.GetValue(measured)), () => Ruler(call.GetValue(length)), terminal));

        var hoop = new Option<string>("--hoop") { HelpName = "HOOP.toml", Description = "The hoop's measures.", Required = true };
        Option<string?> fill = Text("--fill", "WxH|FILE.svg", "The fill to draw, as in check. Default: none.");
        Option<string?> corners = Text("--fill-corners", "LEN", "Radius of the fill's corners, with --fill WxH.");
        Option<string?> kind = Text("--fill-kind", "KIND", "What a drawing's lines are: auto, outline or stitches.");
        Option<string?> at = Text("--fill-at", "X,Y", "The fill's centre. Default: 0,0.");
        var template = new Command("template", "A template of hoop and fill to print on something see-through.") { file, hoop, fill, corners, kind, at, paper, measured };
        template.SetAction(call => Run(
            new(call.GetRequiredValue(file), call.GetValue(paper), call.GetValue(measured)),
            () => Template(call.GetRequiredValue(hoop), call.GetValue(fill), call.GetValue(corners), call.GetValue(kind), call.GetValue(at)),
            terminal));
        return new Command("print", "Writes sheets to print at their true size.") { board, template, ruler };
    }

    private sealed record Call(string File, string? Paper, string? Measured);

    private static Option<string?> Text(string name, string value, string description) => new(name) { HelpName = value, Description = description };

    private static Problem Wrong(string option, string why) => new(Problems.BadCall, $"{option}: {why}.");

    private static int Run(Call call, Func<Outcome<SheetDrawing>> draw, Terminal terminal)
    {
        bool svg = call.File.EndsWith(".svg", StringComparison.OrdinalIgnoreCase);
        if (!svg && !call.File.EndsWith(".pdf", StringComparison.OrdinalIgnoreCase))
        {
            return ErrorReport.Write(Wrong("FILE", $"\"{call.File}\" must end in .pdf or .svg"), false, terminal);
        }

        Paper? paper = (call.Paper ?? "a4").ToLowerInvariant() switch
        {
            "a4" => Paper.A4,
            "letter" => Paper.Letter,
            _ => null,
        };
        if (paper is null)
        {
            return ErrorReport.Write(Wrong("--paper", $"\"{call.Paper}\" is not a4 or letter"), false, terminal);
        }

        if (Scale(call.Measured, out PrinterScale scale) is { } unmeasured)
        {
            return ErrorReport.Write(unmeasured, false, terminal);
        }

        Outcome<SheetDrawing> made;
        try
        {
            made = draw();
        }
        catch (TypeInitializationException missing) when (missing.TypeName.StartsWith("OpenCvSharp", StringComparison.Ordinal))
        {
            return ErrorReport.Write(new(Problems.NativeMissing, ""), false, terminal);
        }

        if (made.Value is not { } drawing)
        {
            return ErrorReport.Write(made.Problem!, false, terminal);
        }

        IReadOnlyList<SheetPage> pages = svg ? [SheetLayout.Whole(drawing, scale)] : SheetLayout.Pages(drawing, paper, scale);
        try
        {
            Whole.Write(call.File, svg ? SvgWriter.Write(pages[0], drawing.Title) : PdfWriter.Write(pages, drawing.Title));
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return ErrorReport.Write(new(Problems.CannotWrite, PhotoFile.Reason(call.File, e)), false, terminal);
        }

        string sheets = svg
            ? string.Create(CultureInfo.InvariantCulture, $"one sheet of {pages[0].Width:0.#} x {pages[0].Height:0.#} mm")
            : pages.Count == 1 ? $"one sheet of {paper.Name}" : string.Create(CultureInfo.InvariantCulture, $"{pages.Count} sheets of {paper.Name}, to be joined where the dashed lines are");
        terminal.Out.WriteLine($"{call.File}: {drawing.Title}");
        terminal.Out.WriteLine($"It is {sheets}. Print it at 100 % (actual size), then measure the bar of 100 mm with a steel rule.");
        terminal.Out.WriteLine("If it is not 100 mm long, write the file again with --measured and the length you read.");
        return 0;
    }

    private static Problem? Scale(string? measured, out PrinterScale scale)
    {
        scale = PrinterScale.True;
        if (measured is null)
        {
            return null;
        }

        if (Length.TryParse(measured, out double both, out string why))
        {
            scale = new(both, both);
        }
        else if (Length.TryParseSize(measured, out double across, out double down, out _))
        {
            scale = new(across, down);
        }
        else
        {
            return Wrong("--measured", why);
        }

        return scale.IsPossible ? null : Wrong("--measured", string.Create(
            CultureInfo.InvariantCulture, $"\"{measured}\" is not what the 100 mm bar can measure, {PrinterScale.Least} to {PrinterScale.Most} mm; print at 100 %, not fitted to the page"));
    }

    private static SheetDrawing Board() => BoardSheet.Draw(Charuco.Bits());

    private static Outcome<SheetDrawing> Ruler(string? length)
    {
        double mm = 220;
        string why = "";
        return length is not null && !(Length.TryParse(length, out mm, out why) && mm is >= RulerSheet.Shortest and <= RulerSheet.Longest)
            ? Wrong("--length", why.Length > 0 ? why : $"{RulerSheet.Shortest} to {RulerSheet.Longest} mm is possible")
            : RulerSheet.Draw(mm);
    }

    private static Outcome<SheetDrawing> Template(string hoop, string? fill, string? corners, string? kind, string? at)
    {
        Outcome<HoopSpec> read = PhotoFile.ReadText(hoop, Problems.HoopFileUnreadable).Then(text => HoopFile.Parse(text));
        if (read.Value is not { } spec)
        {
            return read.Problem!;
        }

        if (fill is null)
        {
            return (corners ?? kind ?? at) is null ? TemplateSheet.Draw(spec, null) : Wrong("--fill", "it is missing");
        }

        return FillCall.Read(new(fill, corners, kind, null, at)).Then<SheetDrawing>(given =>
            SewingField.Check(spec, given.Fill) is { } outside ? outside : TemplateSheet.Draw(spec, given.Fill));
    }
}
