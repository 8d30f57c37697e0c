using System.CommandLine;
using System.Text;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Rules;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck report</c>: the quilt as a page, a table or JSON.</summary>
internal static class ReportCommand
{
    /// <summary>The command with its options.</summary>
    public static Command Create(Terminal terminal)
    {
        Option<string?> quilt = PlanCommand.QuiltOption();
        var page = new Option<string?>("--page") { HelpName = "FILE.html", Description = "One page with everything in it. Default: report.html in the quilt's folder, unless --csv or --json is given." };
        var csv = new Option<string?>("--csv") { HelpName = "FILE.csv", Description = "One line a hooping, for a spreadsheet." };
        var json = new Option<bool>("--json") { Description = "Plan, states, entries and drift as JSON on standard output." };
        var command = new Command("report", "Writes down how the quilt stands: a page that prints well, a table, or JSON.") { quilt, page, csv, json };
        command.SetAction(call => Run(call.GetValue(quilt) ?? ".", call.GetValue(page), call.GetValue(csv), call.GetValue(json), terminal));
        return command;
    }

    private static int Run(string folder, string? page, string? csv, bool json, Terminal terminal)
    {
        Outcome<QuiltBook> opened = QuiltBook.Open(folder);
        if (opened.Value is not { } book)
        {
            return ErrorReport.Write(opened.Problem!, json, terminal);
        }

        using (book)
        {
            page ??= csv is null && !json ? Path.Combine(folder, "report.html") : null;
            foreach ((string? file, Func<byte[]> content) in new (string?, Func<byte[]>)[]
            {
                (page, () => QuiltPage.Bytes(book, TimeProvider.System.GetUtcNow())), (csv, () => Encoding.UTF8.GetBytes(LogCsv.Write(book))),
            })
            {
                if (file is not null && Written(file, content()) is { } problem)
                {
                    return ErrorReport.Write(problem, json, terminal);
                }
            }

            if (json)
            {
                terminal.Out.WriteLine(JsonText.Write(writer =>
                {
                    writer.WriteStartObject();
                    writer.WriteString("schema", "hoopcheck.quilt/1");
                    writer.WritePropertyName("plan");
                    writer.WriteRawValue(PlanJson.Write(book.Plan));
                    writer.WritePropertyName("log");
                    writer.WriteRawValue(LogJson.Write(book));
                    writer.WritePropertyName("drift");
                    writer.WriteRawValue(book.Drift() is { } drift ? DriftWords.Json(drift) : "null");
                    writer.WriteEndObject();
                }));
            }
            else
            {
                terminal.Out.WriteLine(string.Join(Environment.NewLine, new[] { page, csv }.OfType<string>()));
            }

            return 0;
        }
    }

    private static Problem? Written(string file, byte[] content)
    {
        try
        {
            Whole.Write(file, content);
            return null;
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return new(Problems.CannotWrite, PhotoFile.Reason(file, e));
        }
    }
}
