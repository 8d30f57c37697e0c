using System.CommandLine;
using System.Globalization;
using System.Text;
using HoopCheck.App.Prints;
using HoopCheck.App.Reports;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck hoop</c>: asks for a hoop's measures, checks them against a photo and writes the hoop file.</summary>
internal static class HoopCommand
{
    /// <summary>What is asked, in this order: the file's entry, the question, whether it must be answered, and what an answer looks like.</summary>
    private static readonly (string Entry, string Question, bool Needed, string Like)[] s_questions =
    [
        ("name", "A name for the hoop", true, "large hoop"),
        ("opening", "A and B: the opening at the fabric, width by height", true, "360x240mm"),
        ("frame-height", "C: the ring's top above the fabric", true, "11mm"),
        ("corner-radius", "D: radius of the opening's corners, or Enter to leave it out", false, "20mm"),
        ("frame-width", "E: breadth of the ring seen from above, or Enter to leave it out", false, "20mm"),
        ("sewing-field", "The largest field your machine sews in this hoop (its manual says), or Enter for the opening less 5 mm all round", false, "350x230mm"),
    ];

    /// <summary>The command with its options.</summary>
    public static Command Create(Terminal terminal)
    {
        var file = new Argument<string>("FILE.toml") { Description = "The hoop file to write." };
        Option<string?>[] answers = [.. s_questions.Select(q => Text($"--{q.Entry}", q.Like.Replace(' ', '-'), $"Answers: {q.Question}."))];
        Option<string?> photo = Text("--photo", "PHOTO", "A photo of the hoop from above, empty or with fabric in it, to check the measures against.");
        Option<string?> up = Text("--up", "SIDE", "Where the hoop's top points in the photo: auto, top, right, bottom or left. Default: auto.");
        Option<string?> camera = Text("--camera", "CAMERA.json", "The camera's profile. Default: the one learnt of the photo's camera, if there is one.");
        Option<string?> output = Text("--out", "FOLDER", "Draws there where to measure (hoop.svg and hoop.png).");
        var replace = new Option<bool>("--replace") { Description = "Writes over a file that is there." };
        var json = new Option<bool>("--json") { Description = "What the photo says as JSON on standard output; nothing is asked." };
        var command = new Command("hoop", "Helps to measure a hoop and writes its hoop file.") { file, photo, up, camera, output, replace, json };
        foreach (Option<string?> answer in answers)
        {
            command.Add(answer);
        }

        command.SetAction(call => Run(
            new(call.GetRequiredValue(file), [.. answers.Select(call.GetValue)], call.GetValue(photo), call.GetValue(up), call.GetValue(camera), call.GetValue(output), call.GetValue(replace), call.GetValue(json)),
            terminal));
        return command;
    }

    private sealed record Call(string File, string?[] Answers, string? Photo, string? Up, string? Camera, string? Out, bool Replace, bool Json);

    private static Option<string?> Text(string name, string value, string description) => new(name) { HelpName = value, Description = description };

    private static int Run(Call call, Terminal terminal)
    {
        int Stop(Problem problem) => ErrorReport.Write(problem, call.Json, terminal);

        if (File.Exists(call.File) && !call.Replace)
        {
            return Stop(new(Problems.CannotWrite, $"{call.File} is there already; --replace writes over it."));
        }

        if (!Directions.TryParse(call.Up ?? "auto", out PhotoDirection? up))
        {
            return Stop(new(Problems.BadCall, $"--up: \"{call.Up}\" is not auto, top, right, bottom or left."));
        }

        try
        {
            if (call.Out is { } folder)
            {
                Directory.CreateDirectory(folder);
                Whole.Write(Path.Combine(folder, "hoop.svg"), HoopDrawing.Svg());
                Whole.Write(Path.Combine(folder, "hoop.png"), HoopDrawing.Png());
            }
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return Stop(new(Problems.CannotWrite, PhotoFile.Reason(call.Out!, e)));
        }

        if (Ask(call, terminal) is { } unanswered)
        {
            return Stop(unanswered);
        }

        string text = Toml(call.Answers);
        Outcome<HoopSpec> read = HoopFile.Parse(text);
        if (read.Value is not { } hoop)
        {
            return Stop(read.Problem!);
        }

        // All that can be wrong is said before anything is written.
        Outcome<RulerSaid>? said = null;
        if (call.Photo is { } file)
        {
            Outcome<Photograph> taken = PhotoFile.Read(file);
            if (taken.Value is not { } photo)
            {
                return Stop(taken.Problem!);
            }

            CameraIntrinsics? lens = terminal.Cameras.For(photo.Header, out _);
            if (call.Camera is { } profile)
            {
                Outcome<CameraIntrinsics> known = PhotoFile.ReadText(profile, Problems.CameraFileBroken).Then(CameraFile.Parse);
                if (known.Problem is { } broken)
                {
                    return Stop(broken);
                }

                lens = known.Value;
            }

            said = RulerCheck.Compare(photo, hoop, up, lens);
        }

        try
        {
            Whole.Write(call.File, Encoding.UTF8.GetBytes(text));
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return Stop(new(Problems.CannotWrite, PhotoFile.Reason(call.File, e)));
        }

        return HoopReport.Write(call.File, hoop, said, call.Json, terminal);
    }

    /// <summary>Asks for what the call does not say, when something needed is missing; an answer that is not understood is asked for again.</summary>
    private static Problem? Ask(Call call, Terminal terminal)
    {
        string?[] answers = call.Answers;
        for (int i = 0; i < answers.Length; i++)
        {
            if (answers[i] is { } given && Wrong(i, given) is { } why)
            {
                return new(Problems.BadCall, $"--{s_questions[i].Entry}: {why}.");
            }
        }

        if (s_questions.Select((q, i) => q.Needed && answers[i] is null).All(missing => !missing))
        {
            return null;
        }

        if (!call.Json)
        {
            terminal.Error.WriteLine("Take the hoop off the machine, lay it flat with fabric in it, the bar at the left, and measure with a steel rule, to half a millimetre.");
            terminal.Error.WriteLine(HoopDrawing.Text);
        }

        for (int i = 0; i < answers.Length; i++)
        {
            (string entry, string question, bool needed, string like) = s_questions[i];
            while (answers[i] is null)
            {
                if (!call.Json)
                {
                    terminal.Error.Write($"{question} (such as {like}): ");
                }

                string? line = call.Json ? null : terminal.In.ReadLine()?.Trim();
                if (line is null or "" && !needed)
                {
                    break;
                }

                if (line is null)
                {
                    return new(Problems.BadCall, $"--{entry}: it is missing, and there is nobody to ask.");
                }

                if ((line.Length == 0 ? "an answer is needed" : Wrong(i, line)) is { } why)
                {
                    terminal.Error.WriteLine($"  {why}.");
                    continue;
                }

                answers[i] = line;
            }
        }

        return null;
    }

    /// <summary>Why an answer cannot be understood, as a piece of a sentence; null when it can.</summary>
    private static string? Wrong(int question, string answer)
    {
        string why;
        return s_questions[question].Entry switch
        {
            "name" => answer.Trim().Length == 0 ? "it must not be empty" : null,
            "opening" or "sewing-field" => Length.TryParseSize(answer, out _, out _, out why) ? null : why,
            _ => Length.TryParse(answer, out _, out why) ? null : why,
        };
    }

    private static string Toml(string?[] answers)
    {
        var text = new StringBuilder("# Measured with a ruler; the bar at the left, width (x) by height (y).\n");
        for (int i = 0; i < answers.Length; i++)
        {
            if (answers[i] is { } answer)
            {
                text.Append(CultureInfo.InvariantCulture, $"{s_questions[i].Entry} = \"{Escaped(answer.Trim())}\"\n");
            }
        }

        return text.Append("attachment = \"left\"\n").ToString();
    }

    /// <summary>For a TOML basic string.</summary>
    private static string Escaped(string text)
    {
        var escaped = new StringBuilder();
        foreach (char c in text)
        {
            escaped.Append(c switch
            {
                '"' => "\\\"",
                '\\' => @"\\",
                < ' ' or '\u007f' => string.Create(CultureInfo.InvariantCulture, $"\\u{(int)c:X4}"),
                _ => c.ToString(),
            });
        }

        return escaped.ToString();
    }
}
