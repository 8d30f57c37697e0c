using System.CommandLine;
using System.Globalization;
using System.Text;
using HoopCheck.App.Reports;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using HoopCheck.Rules;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck fill</c>: writes an even wandering line into an outline, as a drawing for printing or for <c>check --fill</c>.</summary>
internal static class FillCommand
{
    /// <summary>The command with its options.</summary>
    public static Command Create(Terminal terminal)
    {
        var file = new Argument<string>("FILE.svg") { Description = "The drawing to write." };
        var area = new Option<string>("--area") { HelpName = "WxH|OUTLINE.svg", Description = "What to fill: a size, or a drawing of closed lines in real units.", Required = true };
        var corners = new Option<string?>("--corners") { HelpName = "LEN", Description = "Radius of the corners, with a size. Default: 0, square." };
        var spacing = new Option<string?>("--spacing") { HelpName = "LEN", Description = "Distance between neighbouring lines. Default: 12.7mm (1/2in)." };
        var seed = new Option<string?>("--seed") { HelpName = "N", Description = "Another number, another line; the same number, the same line. Default: 1." };
        var json = new Option<bool>("--json") { Description = "Length and stitch count as JSON on standard output." };
        var command = new Command("fill", "Writes an even wandering line of stitches that never crosses itself.") { file, area, corners, spacing, seed, json };
        command.SetAction(call => Run(
            call.GetRequiredValue(file), new(call.GetRequiredValue(area), call.GetValue(corners), null, null, null) { FillOption = "--area", CornersOption = "--corners" },
            call.GetValue(spacing), call.GetValue(seed), call.GetValue(json), terminal));
        return command;
    }

    private static int Run(string file, FillCall area, string? spacing, string? seed, bool json, Terminal terminal)
    {
        int number = 1;
        if (seed is not null && !int.TryParse(seed, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out number))
        {
            return ErrorReport.Write(new(Problems.BadCall, $"--seed: \"{seed}\" is not a whole number."), json, terminal);
        }

        double lines = Tolerances.UsualSpacingMm;
        if (spacing is not null && !Length.TryParse(spacing, out lines, out string why))
        {
            return ErrorReport.Write(new(Problems.BadCall, $"--spacing: {why}."), json, terminal);
        }

        // A drawing is taken as an outline; nothing else can be filled.
        Outcome<FillGiven> given = FillCall.Read(FillCall.IsDrawing(area.Fill) ? area with { Kind = "outline" } : area);
        if (given.Value?.Fill is not { } fill)
        {
            return ErrorReport.Write(given.Problem!, json, terminal);
        }

        Outcome<MeanderLine> made = Meander.Make(FillBorder.Lines(fill), lines, number);
        if (made.Value is not { } line)
        {
            return ErrorReport.Write(made.Problem!, json, terminal);
        }

        try
        {
            Whole.Write(file, Encoding.UTF8.GetBytes(Svg(fill, line)));
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return ErrorReport.Write(new(Problems.CannotWrite, PhotoFile.Reason(file, e)), json, terminal);
        }

        Say(file, line, lines, json, terminal);
        return 0;
    }

    private static void Say(string file, MeanderLine line, double spacing, bool json, Terminal terminal)
    {
        if (json)
        {
            terminal.Out.WriteLine(JsonText.Write(writer =>
            {
                writer.WriteStartObject();
                writer.WriteString("schema", "hoopcheck.fill/1");
                writer.WriteString("file", file);
                writer.WriteRounded("lengthMm", line.LengthMm, 1);
                writer.WriteNumber("stitches", line.Stitches);
                writer.WriteRounded("stitchMm", line.StitchMm, 4);
                writer.WriteRounded("spacingMm", spacing, 3);
                writer.WriteRounded("emptyPercent", 100 * line.EmptyShare, 1);
                writer.WriteEndObject();
            }));
            return;
        }

        terminal.Out.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"{file}: one line, {line.LengthMm / 1000:0.0} m long, {line.Stitches} stitches of {line.StitchMm:0.00} mm, lines {Length.Millimetres(spacing)} ({Length.Inches(spacing)}) apart."));
        if (line.EmptyShare > 0.005)
        {
            terminal.Out.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{100 * line.EmptyShare:0} % of the outline is too narrow for such lines and stays empty."));
        }
    }

    /// <summary>As large as the area, 1 unit = 1 mm, the area's middle in the middle: so that it lies where the area lay.</summary>
    private static string Svg(PlannedFill fill, MeanderLine line)
    {
        // The place of a drawn outline within its own page is kept: the page is as large as needed about the same middle.
        double width = Math.Max(fill.Right, -fill.Left) * 2, height = Math.Max(fill.Top, -fill.Bottom) * 2;
        var path = new StringBuilder("M");
        foreach (HoopPoint p in line.Points)
        {
            path.Append(CultureInfo.InvariantCulture, $" {p.X + (width / 2):0.####},{(height / 2) - p.Y:0.####}");
        }

        return string.Create(
            CultureInfo.InvariantCulture,
            $"""
            <svg xmlns="http://www.w3.org/2000/svg" width="{width:0.####}mm" height="{height:0.####}mm" viewBox="0 0 {width:0.####} {height:0.####}">
              <path fill="none" stroke="#000" stroke-width="0.4" stroke-linejoin="round" stroke-linecap="round" d="{path}"/>
            </svg>

            """);
    }
}
