using System.CommandLine;
using System.Globalization;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Checking.Drift;
using HoopCheck.Rules;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck log</c>: what was done on a quilt, and how it stands.</summary>
internal static class LogCommand
{
    /// <summary>The command with its parts.</summary>
    public static Command Create(Terminal terminal) => new("log", "What was done on a quilt: shows it, and adds to it.")
    {
        Show(terminal), Drift(terminal), Stitched(terminal), Note(terminal), CheckOff(terminal), Withdraw(terminal), TakePlan(terminal), Verify(terminal),
    };

    private static Option<bool> Json() => new("--json") { Description = "The answer as JSON on standard output." };

    private static Option<string?> NoteOption(string description) => new("--note") { HelpName = "TEXT", Description = description };

    private static Command Show(Terminal terminal)
    {
        Option<string?> quilt = PlanCommand.QuiltOption(), hooping = new("--hooping") { HelpName = "N", Description = "All entries of one hooping." };
        var entries = new Option<bool>("--entries") { Description = "Every entry, one a line." };
        Option<bool> json = Json();
        var command = new Command("show", "How the quilt stands.") { quilt, hooping, entries, json };
        command.SetAction(call => With(call.GetValue(quilt), call.GetValue(json), terminal, book =>
        {
            int? one = null;
            if (call.GetValue(hooping) is { } written)
            {
                Outcome<Counted> number = Number(written, "--hooping");
                if (number.Problem is { } wrong || book.Find((int)number.Value!.Value).Problem is { } missing && (wrong = missing) is not null)
                {
                    return wrong;
                }

                one = (int)number.Value!.Value;
            }

            if (call.GetValue(json))
            {
                terminal.Out.WriteLine(LogJson.Write(book, one));
            }
            else if (one is { } n)
            {
                LogReport.WriteHooping(book, n, terminal.Out);
            }
            else if (call.GetValue(entries))
            {
                LogReport.WriteEntries(book.Log.Entries(), terminal.Out);
            }
            else
            {
                LogReport.Write(book, terminal.Out);
            }

            return null;
        }));
        return command;
    }

    private static Command Drift(Terminal terminal)
    {
        Option<string?> quilt = PlanCommand.QuiltOption();
        Option<bool> json = Json();
        var command = new Command("drift", "Where the fills lie against the plan, the seams' gaps, and what to do for the rest.") { quilt, json };
        command.SetAction(call => With(call.GetValue(quilt), call.GetValue(json), terminal, book =>
        {
            QuiltDrift? drift = book.Drift();
            if (call.GetValue(json))
            {
                terminal.Out.WriteLine(drift is null ? "null" : DriftWords.Json(drift));
            }
            else if (drift is null)
            {
                terminal.Out.WriteLine("Nothing is stitched yet.");
            }
            else
            {
                DriftWords.Write(book.Plan, drift, terminal.Out);
            }

            return null;
        }));
        return command;
    }

    private static Command Stitched(Terminal terminal)
    {
        var hooping = new Argument<string>("N") { Description = "The hooping." };
        Option<string?> quilt = PlanCommand.QuiltOption(), note = NoteOption("A remark.");
        var applied = new Option<string?>("--applied") { HelpName = "CHANGES", Description = "All changes made on the machine, from the planned fill. Default: as in the last check." };
        var redo = new Option<bool>("--redo") { Description = "It has to be unpicked and stitched again." };
        Option<bool> json = Json();
        var command = new Command("stitched", "Notes that a hooping is stitched.") { hooping, quilt, applied, note, redo, json };
        command.SetAction(call => Add(call.GetValue(quilt), call.GetValue(json), terminal, book => Number(call.GetRequiredValue(hooping), "N")
            .Then(n => book.Stitched((int)n.Value, call.GetValue(applied), call.GetValue(note), call.GetValue(redo)))));
        return command;
    }

    private static Command Note(Terminal terminal)
    {
        var text = new Argument<string>("TEXT") { Description = "The remark." };
        Option<string?> quilt = PlanCommand.QuiltOption(), hooping = new("--hooping") { HelpName = "N", Description = "The hooping it is about. Default: the whole quilt." };
        Option<bool> json = Json();
        var command = new Command("note", "Adds a remark.") { text, quilt, hooping, json };
        command.SetAction(call => Add(call.GetValue(quilt), call.GetValue(json), terminal, book => call.GetValue(hooping) is { } written
            ? Number(written, "--hooping").Then(n => book.Note((int)n.Value, call.GetRequiredValue(text)))
            : book.Note(null, call.GetRequiredValue(text))));
        return command;
    }

    private static Command CheckOff(Terminal terminal)
    {
        var hooping = new Argument<string>("N") { Description = "The hooping." };
        Option<string?> quilt = PlanCommand.QuiltOption();
        var done = new Option<string?>("--done") { HelpName = "KEYS", Description = "The points seen to, such as back,roll; or all. Without it the list is shown." };
        Option<bool> json = Json();
        var command = new Command("checklist", "What to see to before stitching.") { hooping, quilt, done, json };
        command.SetAction(call =>
        {
            if (call.GetValue(done) is { } keys)
            {
                return Add(call.GetValue(quilt), call.GetValue(json), terminal, book => Number(call.GetRequiredValue(hooping), "N")
                    .Then(n => book.CheckOff((int)n.Value, keys.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))));
            }

            return With(call.GetValue(quilt), call.GetValue(json), terminal, book =>
            {
                Outcome<Counted> number = Number(call.GetRequiredValue(hooping), "N");
                if (number.Problem is { } wrong)
                {
                    return wrong;
                }

                int n = (int)number.Value!.Value;
                if (book.Find(n).Problem is { } missing)
                {
                    return missing;
                }

                LogReport.WriteChecklist(book.Plan, book.Hoopings()[n - 1], call.GetValue(json), terminal.Out);
                return null;
            });
        });
        return command;
    }

    private static Command Withdraw(Terminal terminal)
    {
        var entry = new Argument<string>("ENTRY") { Description = "The entry's number." };
        Option<string?> quilt = PlanCommand.QuiltOption(), note = NoteOption("Why it counts no more; needed.");
        Option<bool> json = Json();
        var command = new Command("withdraw", "Notes that an entry counts no more; it stays in the log.") { entry, quilt, note, json };
        command.SetAction(call => Add(call.GetValue(quilt), call.GetValue(json), terminal, book => Number(call.GetRequiredValue(entry), "ENTRY")
            .Then(n => book.Withdraw(n.Value, call.GetValue(note) ?? ""))));
        return command;
    }

    private static Command TakePlan(Terminal terminal)
    {
        Option<string?> quilt = PlanCommand.QuiltOption();
        Option<bool> json = Json();
        var command = new Command("plan", "Takes a changed quilt.toml into the log, where hoopings keep their numbers.") { quilt, json };
        command.SetAction(call => Add(call.GetValue(quilt), call.GetValue(json), terminal, book => book.TakePlan()));
        return command;
    }

    private static Command Verify(Terminal terminal)
    {
        Option<string?> quilt = PlanCommand.QuiltOption();
        Option<bool> json = Json();
        var command = new Command("verify", "Re-hashes every entry and every photo.") { quilt, json };
        command.SetAction(call => With(call.GetValue(quilt), call.GetValue(json), terminal, book =>
        {
            LogVerified found = book.Log.Verify();
            if (found.Damage.Count > 0)
            {
                return new Problem(Problems.LogDamaged, string.Join(" ", found.Damage.Take(5)) + (found.Damage.Count > 5 ? string.Create(CultureInfo.InvariantCulture, $" And {found.Damage.Count - 5} more.") : ""));
            }

            LogReport.WriteVerified(found, call.GetValue(json), terminal.Out);
            return null;
        }));
        return command;
    }

    /// <summary>A number as a reference, so that it can be an outcome.</summary>
    private sealed record Counted(long Value);

    private static Outcome<Counted> Number(string text, string what) => int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int number)
        ? new Counted(number)
        : new Problem(Problems.BadCall, $"{what}: \"{text}\" is not a number.");

    private static int Add(string? folder, bool json, Terminal terminal, Func<QuiltBook, Outcome<LogEntry>> add) => With(folder, json, terminal, book =>
    {
        Outcome<LogEntry> added = add(book);
        if (added.Value is { } entry)
        {
            LogReport.WriteAdded(entry, json, terminal.Out);
        }

        return added.Problem;
    });

    private static int With(string? folder, bool json, Terminal terminal, Func<QuiltBook, Problem?> act)
    {
        Outcome<QuiltBook> opened = QuiltBook.Open(folder ?? ".");
        if (opened.Value is not { } book)
        {
            return ErrorReport.Write(opened.Problem!, json, terminal);
        }

        using (book)
        {
            return act(book) is { } problem ? ErrorReport.Write(problem, json, terminal) : 0;
        }
    }
}
