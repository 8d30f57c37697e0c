using System.CommandLine;
using System.Globalization;
using System.Text;
using HoopCheck.App.Pictures;
using HoopCheck.App.Reports;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;
using HoopCheck.Vision.Lens;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck camera</c>: learns a phone's lens from photos of a printed board and keeps it as a profile.</summary>
internal static class CameraCommand
{
    private static readonly string[] s_endings = [".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif"];

    /// <summary>The command with its options.</summary>
    public static Command Create(Terminal terminal)
    {
        var photos = new Argument<string[]>("PHOTOS") { Description = "8 to 20 photos of the board, or a folder of them.", Arity = ArgumentArity.OneOrMore };
        Option<string?> save = Text("--save", "FOLDER|FILE.json", "Where the profile goes. Default: your own folder, where check finds it.");
        Option<string?> board = Text("--chessboard", "COLUMNSxROWS", "A plain chessboard with so many inner corners, in place of the printed board.");
        Option<string?> output = Text("--out", "FOLDER", "Draws there which parts of the picture were covered and how far the corners miss.");
        var json = new Option<bool>("--json") { Description = "The report as JSON on standard output." };
        var command = new Command("camera", "Learns a phone's lens from photos of the board of \"print board\".") { photos, save, board, output, json };
        command.SetAction(call => Run(new(call.GetRequiredValue(photos), call.GetValue(save), call.GetValue(board), call.GetValue(output), call.GetValue(json)), terminal));
        return command;
    }

    private sealed record Call(string[] Photos, string? Save, string? Board, string? Out, bool Json);

    private static Option<string?> Text(string name, string value, string description) => new(name) { HelpName = value, Description = description };

    private static int Run(Call call, Terminal terminal)
    {
        int Stop(Problem problem) => ErrorReport.Write(problem, call.Json, terminal);

        BoardKind kind = BoardKind.Printed;
        if (call.Board is { } corners && !TryCorners(corners, out kind))
        {
            return Stop(new(Problems.BadCall, $"--chessboard: \"{corners}\" is not a count of inner corners such as 9x6, 3 to 30 each way."));
        }

        if (call.Save is null && terminal.Cameras.Folders.Count == 0)
        {
            return Stop(new(Problems.BadCall, "--save: it is missing, and there is no folder for profiles."));
        }

        Outcome<List<string>> listed = Files(call.Photos);
        if (listed.Value is not { } files)
        {
            return Stop(listed.Problem!);
        }

        var photos = new List<LensPhoto>();
        var unread = new List<(string File, Problem Problem)>();
        foreach (string file in files)
        {
            // One at a time: the pixels of twenty photos would fill the memory.
            Outcome<Photograph> taken = PhotoFile.Read(file);
            if (taken.Value is not { } photo)
            {
                if (taken.Problem!.Kind.Exit == ProblemExit.OwnFault)
                {
                    return Stop(taken.Problem);
                }

                unread.Add((file, taken.Problem));
                continue;
            }

            photos.Add(new(Path.GetFileName(file), photo.Header, BoardReader.Read(photo, kind)));
        }

        if (photos.Count == 0)
        {
            return Stop(unread[0].Problem);
        }

        string today = TimeProvider.System.GetLocalNow().ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        IReadOnlyList<LensLearnt> lenses = LensRun.Learn(photos, today);
        try
        {
            List<string?> saved = [.. lenses.Select(lens => lens.Profile is { } profile ? Save(profile, call.Save, lenses.Count(l => l.Profile is not null), terminal.Cameras) : null)];
            if (call.Out is { } folder)
            {
                Directory.CreateDirectory(folder);
                for (int i = 0; i < lenses.Count; i++)
                {
                    string name = lenses.Count == 1 ? "lens.png" : string.Create(CultureInfo.InvariantCulture, $"lens-{i + 1}.png");
                    Whole.Write(Path.Combine(folder, name), LensPicture.Draw(lenses[i]));
                }
            }

            CameraReport.Write(lenses, saved, unread, call.Json, terminal);
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return Stop(new(Problems.CannotWrite, PhotoFile.Reason(call.Save ?? call.Out ?? terminal.Cameras.Folders[^1], e)));
        }

        // Photos of a second lens may be too few; one lens learnt is what was asked for.
        return lenses.Any(l => l.Profile is not null) ? 0 : (int)lenses[0].Problem!.Kind.Exit;
    }

    private static bool TryCorners(string text, out BoardKind kind)
    {
        string[] parts = text.Split('x');
        kind = BoardKind.Printed;
        if (parts.Length != 2 || !int.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out int columns)
            || !int.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out int rows) || columns is < 3 or > 30 || rows is < 3 or > 30)
        {
            return false;
        }

        kind = new(columns, rows);
        return true;
    }

    private static Outcome<List<string>> Files(string[] words)
    {
        var files = new List<string>();
        foreach (string word in words)
        {
            if (!Directory.Exists(word))
            {
                files.Add(word);
                continue;
            }

            try
            {
                files.AddRange(Directory.GetFiles(word).Where(f => s_endings.Contains(Path.GetExtension(f).ToLowerInvariant())).Order(StringComparer.Ordinal));
            }
            catch (Exception e) when (PhotoFile.IsFileTrouble(e))
            {
                return new Problem(Problems.PhotoUnreadable, PhotoFile.Reason(word, e));
            }
        }

        return files.Count == 0 ? new Problem(Problems.PhotoUnreadable, $"There are no photos in {words[0]}.") : files;
    }

    private static string Save(CameraProfile profile, string? where, int count, CameraShelf shelf)
    {
        string file;
        if (where is not null && where.EndsWith(".json", StringComparison.OrdinalIgnoreCase) && count == 1)
        {
            file = where;
        }
        else
        {
            string folder = where is null ? shelf.Folders[^1] : where.EndsWith(".json", StringComparison.OrdinalIgnoreCase) ? Path.GetDirectoryName(where)! : where;
            Directory.CreateDirectory(folder);
            file = Path.Combine(folder, FileName(profile));
        }

        Whole.Write(file, Encoding.UTF8.GetBytes(CameraFile.Write(profile)));
        return file;
    }

    /// <summary>After what it is: make, model, focal length and the picture's proportions.</summary>
    private static string FileName(CameraProfile profile)
    {
        string text = profile.Lens is { } lens
            ? string.Create(CultureInfo.InvariantCulture, $"{lens.Make} {lens.Model} {lens.FocalMm:0.##}mm {lens.Focal35Mm:0}mm {profile.Intrinsics.Width}x{profile.Intrinsics.Height}")
            : string.Create(CultureInfo.InvariantCulture, $"camera {profile.Intrinsics.Width}x{profile.Intrinsics.Height}");
        var name = new StringBuilder();
        foreach (char c in text.ToLowerInvariant())
        {
            if (char.IsAsciiLetterOrDigit(c) || c == '.')
            {
                name.Append(c);
            }
            else if (name.Length > 0 && name[^1] != '-')
            {
                name.Append('-');
            }
        }

        return $"{name.ToString().Trim('-', '.')}.json";
    }
}
