using System.CommandLine;
using System.CommandLine.Parsing;
using System.Diagnostics;
using System.Globalization;
using HoopCheck.App.Pictures;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck check</c>: reads the call, runs the check, reports. Holds no decisions.</summary>
internal static class CheckCommand
{
    /// <summary>The command with its options.</summary>
    public static Command Create(Terminal terminal)
    {
        var photo = new Argument<string>("PHOTO") { Description = "The photo as the phone saved it: JPEG, PNG, WebP or HEIC.", Arity = ArgumentArity.ZeroOrOne };
        Option<string?> hoop = Text("--hoop", "HOOP.toml", "The hoop's measures; needed, except with --quilt.");
        Option<string?> fill = Text("--fill", "WxH|FILE.svg", "The fill's size: 350x230, 350x230mm, 13 3/4x9in; or its drawing in real units, an SVG file; needed, except with --quilt.");
        Option<string?> corners = Text("--fill-corners", "LEN", "Radius of the fill's corners, with --fill WxH. Default: 0, square.");
        Option<string?> kind = Text("--fill-kind", "KIND", "What a drawing's lines are: auto, outline or stitches. Default: auto, open lines are stitches.");
        Option<string?> thread = Text("--thread", "LEN", "Width of the thread; half of it counts on either side of a drawn stitch. Default: 0.4mm.");
        Option<string?> fillAt = Text("--fill-at", "X,Y", "The fill's centre, x right and y up from the middle of the hoop. Default: 0,0.");
        Option<string?> spacing = Text("--spacing", "LEN", "Distance between the fill's lines, the widest gap that does not show. Default: 12.7mm (1/2in).");
        Option<string?> minGap = Text("--min-gap", "LEN", "Smallest gap allowed. Default: 1.6mm (1/16in).");
        Option<string?> up = Text("--up", "SIDE", "Where the hoop's top points in the photo: auto, top, right, bottom or left. Default: auto.");
        Option<string?> tape = Text("--tape", "COLOUR", "The tape's colour: any, a name such as blue, or #RRGGBB. Default: any.");
        Option<string?> camera = Text("--camera", "CAMERA.json", "The camera's calibration, if there is one.");
        Option<string?> scale = Text("--scale-check", "card", "Checks the hoop file's scale by a bank card lying on the fabric.");
        Option<string?> machine = Text("--machine", "MACHINE.toml", "The machine's steps. Default: the hoop file's [machine], or the usual ones.");
        Option<string?> maxShorten = Text("--max-shorten", "PERCENT", "How far a correction may shorten or lengthen the fill. Default: 5.");
        Option<string?> applied = Text("--applied", "CHANGES", "Changes already made on the machine: \"shorten y 4mm, nudge y -2mm\".");
        Option<string?> output = Text("--out", "FOLDER", "Writes the marked-up photo and the flat view there; with --weave the photo with the fabric's lines.");
        Option<string?> trace = Text("--trace", "FOLDER", "Writes what each stage saw there.");
        Option<string?> quilt = Text("--quilt", "FOLDER", "Files the photo in this quilt's log; hoop, fill, spacing, gap and tape then come from the quilt.");
        Option<string?> hooping = Text("--hooping", "N", "The hooping that the photo shows. Default: the next one to be stitched.");
        Option<string?> weave = Text("--weave", "FILE", "Instead of a check: how straight the fabric lies in a photo of it without a hoop.");
        var json = new Option<bool>("--json") { Description = "The report as JSON on standard output." };

        var command = new Command("check", "Checks one photo.")
        {
            photo, hoop, fill, corners, kind, thread, fillAt, spacing, minGap, up, tape, camera, scale, machine, maxShorten, applied, quilt, hooping, output, trace, weave, json,
        };
        command.SetAction(call => call.GetValue(weave) is { } cloth
            ? Weave(cloth, call.CommandResult.Children.Any(given => !Belongs(given)), call.GetValue(output), call.GetValue(trace), call.GetValue(json), terminal)
            : Run(
            new(
                call.GetValue(photo) ?? "", call.GetValue(hoop) ?? "",
                new(call.GetValue(fill) ?? "", call.GetValue(corners), call.GetValue(kind), call.GetValue(thread), call.GetValue(fillAt)),
                call.GetValue(spacing), call.GetValue(minGap), call.GetValue(up), call.GetValue(tape), call.GetValue(camera), call.GetValue(scale),
                call.GetValue(machine), call.GetValue(maxShorten), call.GetValue(applied),
                call.GetValue(output), call.GetValue(trace), call.GetValue(json), call.GetValue(quilt), call.GetValue(hooping)),
            terminal));
        return command;

        bool Belongs(SymbolResult given) => given switch
        {
            OptionResult option => option.Implicit || option.Option == weave || option.Option == output || option.Option == trace || option.Option == json,
            _ => given.Tokens.Count == 0,
        };
    }

    private static Option<string?> Text(string name, string value, string description) =>
        new(name) { HelpName = value, Description = description };

    private static int Weave(string file, bool beside, string? output, string? trace, bool json, Terminal terminal)
    {
        if (beside)
        {
            return ErrorReport.Write(new(Problems.BadCall, "--weave: it goes with --json, --out and --trace only, not with a check of a hoop."), json, terminal);
        }

        FolderTrace? folder = null;
        return Prepare(output, trace, ref folder) is { } unwritable
            ? ErrorReport.Write(unwritable, json, terminal)
            : WeaveCall.Run(file, output, folder, json, terminal);
    }

    private sealed record Call(
        string Photo, string Hoop, FillCall Fill, string? Spacing, string? MinGap, string? Up, string? Tape,
        string? Camera, string? ScaleCheck, string? Machine, string? MaxShorten, string? Applied, string? Out, string? Trace, bool Json, string? Quilt, string? Hooping);

    private static int Run(Call call, Terminal terminal)
    {
        int Stop(Problem problem) => ErrorReport.Write(problem, call.Json, terminal);

        // All that can be wrong without the photo is said before the photo is opened.
        QuiltTarget? target = null;
        if (QuiltTarget.IsMeant(call.Quilt, call.Hooping, call.Hoop))
        {
            Outcome<QuiltTarget> opened = QuiltTarget.Open(call.Quilt, call.Hooping);
            if (opened.Problem is { } unopened)
            {
                return Stop(unopened);
            }

            target = opened.Value!;
        }

        using QuiltTarget? open = target;
        Outcome<CheckRequest> asked = Ask(call, target);
        if (asked.Value is not { } request)
        {
            return Stop(asked.Problem!);
        }

        FolderTrace? folder = null;
        if (Prepare(call.Out, call.Trace, ref folder) is { } unwritable)
        {
            return Stop(unwritable);
        }

        if (folder is not null)
        {
            terminal.Error.WriteLine($"Trace: {call.Trace}");
        }

        long start = Stopwatch.GetTimestamp();
        byte[] bytes = [];
        Outcome<Photograph> taken = target is null ? PhotoFile.Read(call.Photo) : PhotoFile.Read(call.Photo, out bytes);
        if (taken.Value is not { } photo)
        {
            return Stop(taken.Problem!);
        }

        request = terminal.Cameras.Known(request, photo.Header);
        CheckResult result = CheckRun.Run(photo, request, Stopwatch.GetElapsedTime(start).TotalMilliseconds, (ITrace?)folder ?? NoTrace.Instance);
        folder?.Finish(result.Milliseconds);
        result = target?.Asked(result) ?? result;
        Problem? unwritten = call.Out is null ? null : PictureWriter.Write(call.Out, photo, result);
        if (unwritten is not null && call.Json)
        {
            return Stop(unwritten);
        }

        Outcome<Filed>? filed = target?.Book.File(target.Hooping, Path.GetFileName(call.Photo), bytes, photo, result);
        unwritten ??= filed?.Problem;
        if (filed?.Problem is { } unfiled && call.Json)
        {
            return Stop(unfiled);
        }

        Report(result, call, filed?.Value, terminal);
        return unwritten is null ? Words.ExitCode(result.Decision) : Stop(unwritten);
    }

    private static void Report(CheckResult result, Call call, Filed? filed, Terminal terminal)
    {
        if (!call.Json)
        {
            TextReport.Write(result, terminal);
            if (filed is not null)
            {
                terminal.Out.WriteLine();
                terminal.Out.WriteLine($"Filed: hooping {filed.Hooping.Number}, entry {filed.Entry.Number}. When it is stitched: hoopcheck log stitched {filed.Hooping.Number}");
            }

            return;
        }

        terminal.Out.WriteLine(JsonReport.Write(result, call.Photo, filed));
        foreach (Problem problem in result.Problems)
        {
            ErrorReport.Say(problem, terminal);
        }
    }

    private static Problem? Prepare(string? outFolder, string? traceFolder, ref FolderTrace? trace)
    {
        string folder = "";
        try
        {
            if (outFolder is { } output)
            {
                folder = output;
                Directory.CreateDirectory(folder);
            }

            if (traceFolder is { } traced)
            {
                folder = traced;
                trace = new FolderTrace(folder);
            }

            return null;
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return new(Problems.CannotWrite, PhotoFile.Reason(folder, e));
        }
    }

    private static Outcome<CheckRequest> Ask(Call call, QuiltTarget? target)
    {
        Problem Wrong(string option, string why) => new(Problems.BadCall, $"{option}: {why}.");

        foreach ((string name, string text) in new[] { ("PHOTO", call.Photo), ("--hoop", call.Hoop), ("--fill", call.Fill.Fill) })
        {
            if (text.Length == 0 && (target is null || name == "PHOTO"))
            {
                return Wrong(name, "it is missing");
            }
        }

        Outcome<FillGiven> drawn = target is not null && call.Fill.Fill.Length == 0 ? target.Fill(call.Fill) : FillCall.Read(call.Fill);
        if (drawn.Value is not { } given)
        {
            return drawn.Problem!;
        }

        string why;
        double spacing = target?.Quilt.SpacingMm ?? Tolerances.UsualSpacingMm, minGap = target?.Quilt.MinGapMm ?? Tolerances.UsualMinGapMm;
        if (call.Spacing is { } lines && !Positive(lines, out spacing, out why))
        {
            return Wrong("--spacing", why);
        }

        if (call.MinGap is { } least && !(Length.TryParse(least, out minGap, out why) && minGap >= 0))
        {
            return Wrong("--min-gap", why.Length > 0 ? why : "it must not be negative");
        }

        if (minGap >= spacing)
        {
            return Wrong("--min-gap", "it must be smaller than --spacing, or no gap would do");
        }

        if (!Directions.TryParse(call.Up ?? "auto", out PhotoDirection? up))
        {
            return Wrong("--up", $"\"{call.Up}\" is not auto, top, right, bottom or left");
        }

        TapeColour? tape = null;
        if ((call.Tape ?? target?.Quilt.Tape) is { } colour && colour != "any" && (tape = TapeColours.Parse(colour)) is null)
        {
            return Wrong("--tape", $"\"{colour}\" is not any, #RRGGBB or one of {string.Join(", ", TapeColours.Named.Select(known => known.Name))}");
        }

        Outcome<HoopSpec> hoop = target is not null && call.Hoop.Length == 0 ? target.Book.Folder.Hoop : PhotoFile.ReadText(call.Hoop, Problems.HoopFileUnreadable).Then(text => HoopFile.Parse(text));
        if (hoop.Value is not { } spec)
        {
            return hoop.Problem!;
        }

        if (call.ScaleCheck is not (null or "card"))
        {
            return Wrong("--scale-check", $"\"{call.ScaleCheck}\" is not card");
        }

        CameraIntrinsics? camera = null;
        if (call.Camera is { } profile)
        {
            Outcome<CameraIntrinsics> read = PhotoFile.ReadText(profile, Problems.CameraFileBroken).Then(CameraFile.Parse);
            if (read.Problem is { } broken)
            {
                return broken;
            }

            camera = read.Value;
        }

        MachineSpec? machine = null;
        if (call.Machine is { } steps)
        {
            Outcome<MachineSpec> read = PhotoFile.ReadText(steps, Problems.MachineFileBroken).Then(MachineFile.Parse);
            if (read.Problem is { } broken)
            {
                return broken;
            }

            machine = read.Value;
        }

        double most = Tolerances.UsualMostResizePercent;
        if (call.MaxShorten is { } shorten
            && !(double.TryParse(shorten.TrimEnd('%'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out most) && most <= 50))
        {
            return Wrong("--max-shorten", $"\"{shorten}\" is not a percentage from 0 to 50");
        }

        PlannedFill planned = given.Fill;
        IReadOnlyList<FillChange> changes = [];
        if (call.Applied is { } done && !FillChange.TryParseList(done, out changes, out why))
        {
            return Wrong("--applied", why);
        }

        PlannedFill fill = planned.After(changes);
        if (!(fill.Width > 0 && fill.Height > 0))
        {
            return Wrong("--applied", "nothing is left of the fill");
        }

        if (!fill.HasStraightSides(FillCall.StraightMm))
        {
            return Wrong("--applied", "it leaves no straight edge between the fill's round corners");
        }

        return SewingField.Check(spec, fill) is { } outside
            ? outside
            : new CheckRequest(spec, fill, spacing, minGap, up, tape, camera) { Notes = given.Notes, Planned = planned, Applied = changes, Machine = machine, MostResizePercent = most, ScaleByCard = call.ScaleCheck is not null };
    }

    private static bool Positive(string text, out double length, out string why)
    {
        if (Length.TryParse(text, out length, out why) && length <= 0)
        {
            why = "it must be larger than 0";
        }

        return why.Length == 0;
    }
}
