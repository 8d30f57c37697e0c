using System.CommandLine;
using System.Text;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Rules;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck plan</c>: how many hoopings, where, in which order.</summary>
internal static class PlanCommand
{
    /// <summary>The option that names the quilt's folder, alike for all commands of a quilt.</summary>
    public static Option<string?> QuiltOption() => new("--quilt") { HelpName = "FOLDER", Description = "The quilt's folder. Default: the current one." };

    /// <summary>The command with its options.</summary>
    public static Command Create(Terminal terminal)
    {
        Option<string?> quilt = QuiltOption();
        var map = new Option<string?>("--map") { HelpName = "FILE.svg", Description = "Writes the map as a drawing." };
        var json = new Option<bool>("--json") { Description = "The plan as JSON on standard output." };
        var command = new Command("plan", "Plans the hoopings of a quilt.") { quilt, map, json };
        command.SetAction(call => Run(call.GetValue(quilt) ?? ".", call.GetValue(map), call.GetValue(json), terminal));
        return command;
    }

    private static int Run(string folder, string? map, bool json, Terminal terminal)
    {
        Outcome<QuiltFolder> opened = QuiltFolder.Open(folder);
        if (opened.Value is not { } quilt)
        {
            return ErrorReport.Write(opened.Problem!, json, terminal);
        }

        if (map is not null)
        {
            try
            {
                Whole.Write(map, Encoding.UTF8.GetBytes(QuiltMap.Svg(quilt.Plan)));
            }
            catch (Exception e) when (PhotoFile.IsFileTrouble(e))
            {
                return ErrorReport.Write(new(Problems.CannotWrite, PhotoFile.Reason(map, e)), json, terminal);
            }
        }

        if (json)
        {
            terminal.Out.WriteLine(PlanJson.Write(quilt.Plan));
        }
        else
        {
            PlanReport.Write(quilt.Plan, quilt.Hoop, terminal.Out);
        }

        return 0;
    }
}
