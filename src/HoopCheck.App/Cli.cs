using System.CommandLine;
using System.CommandLine.Parsing;
using System.Data.Common;
using HoopCheck.App.Commands;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Rules;

namespace HoopCheck.App;

/// <summary>The program: reads the call, runs the command, and sees to it that every end has its exit code.</summary>
internal static class Cli
{
    /// <summary>Runs one call.</summary>
    /// <param name="args">The call's words, without the program's name.</param>
    /// <param name="terminal">Where words go.</param>
    /// <returns>The exit code: 0, 2, 3, 64, 65 or 70; never 1.</returns>
    public static int Run(string[] args, Terminal terminal)
    {
        // Known before the call is understood, so that a mistake in it is answered in the form asked for.
        bool json = args.Contains("--json");
        try
        {
            var root = new RootCommand("Checks from a photo of a hooped quilt whether the planned fill clears the earlier stitching.")
            {
                CheckCommand.Create(terminal),
                FillCommand.Create(terminal),
                QuiltCommand.Create(terminal),
                PlanCommand.Create(terminal),
                PrintCommand.Create(terminal),
                LogCommand.Create(terminal),
                ReportCommand.Create(terminal),
                ServeCommand.Create(terminal),
                CameraCommand.Create(terminal),
                HoopCommand.Create(terminal),
            };
            // A photo may be called @something; no word of a call is a file of further words.
            // "hoopcheck --weave FILE" is short for "hoopcheck check --weave FILE".
            ParseResult call = root.Parse(args is [['-', ..], ..] && args.Any(a => a == "--weave" || a.StartsWith("--weave=", StringComparison.Ordinal)) ? ["check", .. args] : args, new ParserConfiguration { ResponseFileTokenReplacer = null });
            if (call.Errors.Count > 0)
            {
                string wrong = string.Join(" ", call.Errors.Select(Sentence).Distinct().Take(3));
                return ErrorReport.Write(new(Problems.BadCall, wrong), json, terminal);
            }

            return call.Invoke(new InvocationConfiguration
            {
                EnableDefaultExceptionHandler = false,
                Output = terminal.Out,
                Error = terminal.Error,
            });
        }
        catch (Exception broken) when (broken is LogBrokenException or DbException)
        {
            return ErrorReport.Write(new(Problems.LogDamaged, broken is LogBrokenException ? broken.Message : "The database cannot be read to its end."), json, terminal);
        }
        catch (Exception fault)
        {
            return FaultFile.Report(fault, args, json, terminal);
        }
    }

    private static string Sentence(ParseError error)
    {
        string line = error.Message.ReplaceLineEndings(" ").Trim();
        return line.EndsWith('.') || line.EndsWith('?') ? line : line + ".";
    }
}
