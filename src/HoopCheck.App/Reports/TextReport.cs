using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Rules;

namespace HoopCheck.App.Reports;

/// <summary>The answer for a person: verdict first, then how sure, side by side, and what to do.</summary>
internal static class TextReport
{
    private const string Caution =
        "Before you stitch: run your machine's own trace of the design's edge, and keep\n" +
        "your hands clear of needle and frame. The machine's manual has the last word.";

    /// <summary>Writes the answer to standard output.</summary>
    public static void Write(CheckResult result, Terminal terminal)
    {
        TextWriter to = terminal.Out;
        to.WriteLine($"{Painted(Verdict(result.Decision), result.Decision, terminal.Colour)}{Headline(result)}");
        if (result.Sides.Count > 0)
        {
            WriteTable(result, terminal);
        }

        to.WriteLine();
        foreach (string step in Steps(result))
        {
            Paragraph(to, step.StartsWith("or ", StringComparison.Ordinal) ? "Or:" : "What to do:", step.StartsWith("or ", StringComparison.Ordinal) ? step[3..] : step);
        }

        if (result.Correction is { IsPossible: true } made)
        {
            Paragraph(to, "Then:", $"check the same photo with --applied \"{string.Join(", ", result.Request.Applied.Concat(made.Steps))}\"");
        }

        foreach (string note in result.Notes)
        {
            Paragraph(to, "Note:", note);
        }

        if (result.Decision is not (Decision.Retake or Decision.NoTape))
        {
            to.WriteLine();
            to.WriteLine(Caution);
        }
    }

    /// <summary>A paragraph without a head, broken between words.</summary>
    internal static void Paragraph(TextWriter to, string text)
    {
        var line = new System.Text.StringBuilder();
        foreach (string word in text.Split(' '))
        {
            if (line.Length + 1 + word.Length > 80 && line.Length > 0)
            {
                to.WriteLine(line);
                line.Clear();
            }

            line.Append(line.Length > 0 ? " " : "").Append(word);
        }

        to.WriteLine(line);
    }

    /// <summary>A line broken between words so that a narrow window shows it whole; what follows a line break in it begins a new line.</summary>
    private static void Paragraph(TextWriter to, string head, string text)
    {
        const int Width = 80, Indent = 12;
        string line = head.PadRight(Indent - 1);
        foreach (string part in text.Split('\n'))
        {
            foreach (string word in part.Split(' '))
            {
                if (line.Length + 1 + word.Length > Width && line.Trim().Length > 0)
                {
                    to.WriteLine(line.TrimEnd());
                    line = new string(' ', Indent - 1);
                }

                line += $" {word}";
            }

            to.WriteLine(line);
            line = new string(' ', Indent - 1);
        }
    }

    private static string Verdict(Decision decision) => decision switch
    {
        Decision.Clear => "CLEAR",
        Decision.Overlap => "OVERLAP",
        Decision.Tight => "TOO TIGHT",
        Decision.Wide => "TOO WIDE",
        Decision.NoTape => "NO TAPE FOUND",
        Decision.Retake => "TAKE THE PHOTO AGAIN",
        _ => "CANNOT TELL",
    };

    private static string Painted(string word, Decision decision, bool colour)
    {
        string paint = decision switch
        {
            Decision.Clear => "32",
            Decision.Overlap or Decision.Tight => "31",
            _ => "33",
        };
        return colour ? $"\e[1;{paint}m{word}\e[0m" : word;
    }

    private static string Headline(CheckResult result)
    {
        SideClearance[] worst = [.. result.Sides.Where(side => side.Decision == result.Decision)];
        string on = worst.Length == 0 ? "" : $" on the {Listed(worst.Select(side => side.Side.Name()))}";
        switch (result.Decision)
        {
            case Decision.Clear:
                return $"{on}: the gap is {Both(worst.Min(side => side.MinMm))} at the narrowest, {Both(worst.Max(side => side.MaxMm))} at the widest.";
            case Decision.Overlap:
                return $"{on}: the fill runs {Both(-worst.Min(side => side.MinMm))} over the tape.";
            case Decision.Tight when worst.Min(side => side.MinMm) < 0:
                return $"{on}: the fill just touches the tape; {Both(result.Request.MinGapMm)} of gap is needed.";
            case Decision.Tight:
                return $"{on}: only {Apart(worst.Min(side => side.MinMm), result.Request.MinGapMm, out string needed)} of gap; {needed} is needed.";
            case Decision.Wide:
                return $"{on}: the gap opens to {Apart(worst.Max(side => side.MaxMm), result.Request.SpacingMm, out string most)}; up to {most} does not show.";
            case Decision.NoTape:
                return ": there is nothing in the hoop to check the fill against.";
            case Decision.Retake:
                return result.Problems.Count > 0 ? $": {Uncapitalised(result.Problems[0].Say)}" : ".";
            default:
                return worst.Length == 0 ? "." : $"{on}: {worst[0].NearestReading}.";
        }
    }

    private static void WriteTable(CheckResult result, Terminal terminal)
    {
        terminal.Out.WriteLine();
        Row("side", "narrowest gap", "sure to", "widest gap", "verdict");
        foreach (SideClearance side in result.Sides)
        {
            bool measured = double.IsFinite(side.MinMm);
            Row(
                side.Side.Name(),
                measured ? Both(side.MinMm) : "not measured",
                measured ? $"±{Length.Millimetres(Words.RoundedUp(side.UncertaintyMm))}" : "",
                measured ? Both(side.MaxMm) : "",
                Verdict(side.Decision).ToLowerInvariant());
        }

        void Row(string side, string narrowest, string sure, string widest, string verdict) =>
            terminal.Out.WriteLine($"  {side,-8}{narrowest,-24}{sure,-10}{widest,-24}{verdict}");
    }

    private static IEnumerable<string> Steps(CheckResult result)
    {
        if (result.Decision is Decision.Retake or Decision.NoTape)
        {
            yield return result.Problems.Count > 0 ? Uncapitalised(result.Problems[0].Kind.Do) : "take the photo again.";
            yield break;
        }

        if (result.Correction is { IsPossible: true } correction)
        {
            yield return $"{ChangeWords.Sentence(correction.Steps, result.Request)}\nThe gap is then {string.Join(", ", correction.Predicted.Select(Then))}.";
            if (result.Decision == Decision.Undecided)
            {
                yield return "or leave the fill and take a photo from straight above, nearer and in even light.";
            }

            yield break;
        }

        if (result.Correction is { } none)
        {
            yield return $"no change on the machine will do.\n{Capitalised(ChangeWords.Otherwise(none)!)}";
            yield break;
        }

        foreach (SideClearance side in result.Sides.Where(side => side.Decision == Decision.Undecided))
        {
            yield return !double.IsFinite(side.MinMm) || side.SeenShare < Tolerances.Default.EnoughSeenShare
                ? $"on the {side.Side.Name()}: {Uncapitalised(Problems.TapeTooLittle.Do)}"
                : $"it is too near a limit on the {side.Side.Name()} for this photo. Take one from straight above, nearer and in even light.";
        }

        if (result.Decision == Decision.Clear)
        {
            yield return "nothing; the fill can stay where it is.";
        }
    }

    private static string Then(SideClearance side) =>
        $"{Length.Millimetres(side.MinMm)} to {Length.Millimetres(side.MaxMm)} on the {side.Side.Name()}";

    private static string Apart(double mm, double limit, out string needed)
    {
        (string length, needed) = Length.Apart(mm, limit);
        needed += $" ({Length.Inches(limit)})";
        return $"{length} ({Length.Inches(mm)})";
    }

    private static string Capitalised(string sentence) => $"{char.ToUpperInvariant(sentence[0])}{sentence[1..]}";

    private static string Both(double millimetres) => $"{Length.Millimetres(millimetres)} ({Length.Inches(millimetres)})";

    private static string Listed(IEnumerable<string> names)
    {
        string[] all = [.. names];
        return all.Length == 1 ? all[0] : $"{string.Join(", ", all[..^1])} and {all[^1]}";
    }

    private static string Uncapitalised(string sentence) =>
        sentence.Length == 0 ? sentence : char.ToLowerInvariant(sentence[0]) + sentence[1..];
}
