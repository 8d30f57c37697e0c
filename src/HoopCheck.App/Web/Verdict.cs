using HoopCheck.Rules;

namespace HoopCheck.App.Web;

/// <summary>A check's answer as the page says it: a sign, a word, a sentence. Sign and word both tell it; colour only repeats them.</summary>
/// <param name="Tone">good, bad or open: how it is coloured.</param>
/// <param name="Sign">One character that stands for it.</param>
/// <param name="Word">One word or two.</param>
/// <param name="Sentence">What it rests on.</param>
internal sealed record Verdict(string Tone, string Sign, string Word, string Sentence)
{
    /// <summary>Of a report.</summary>
    /// <param name="report">The report.</param>
    /// <param name="expectsTape">Whether the plan expects tape: without it no tape is as it should be.</param>
    /// <param name="spacingMm">Widest gap that does not show.</param>
    /// <param name="minGapMm">Smallest gap allowed.</param>
    /// <param name="wishes">The unit.</param>
    public static Verdict Of(ReportView report, bool expectsTape, double spacingMm, double minGapMm, Wishes wishes)
    {
        ReportView.SideOf[] worst = [.. report.Sides.Where(s => s.Decision == report.Decision)];
        string on = worst.Length == 0 ? "" : $" on the {string.Join(" and ", worst.Select(s => s.Side))}";
        double least = worst.Select(s => s.MinMm ?? double.NaN).DefaultIfEmpty(double.NaN).Min(), most = worst.Select(s => s.MaxMm ?? double.NaN).DefaultIfEmpty(double.NaN).Max();
        return report.Decision switch
        {
            "clear" => new("good", "✓", "Clear", $"The gap{on} is {wishes.Say(least)} to {wishes.Say(most)}."),
            "overlap" => new("bad", "✕", "Overlap", $"The fill runs {wishes.Say(-least)} over the tape{on}."),
            "tight" when least < 0 => new("bad", "✕", "Too tight", $"The fill just touches the tape{on}; a gap of {wishes.Say(minGapMm)} is needed."),
            "tight" => new("bad", "✕", "Too tight", $"The gap{on} is only {wishes.Say(least)}; {wishes.Say(minGapMm)} is needed."),
            "wide" => new("bad", "↔", "Too wide", $"The gap{on} opens to {wishes.Say(most)}; up to {wishes.Say(spacingMm)} does not show."),
            "no-tape" when !expectsTape => new("good", "✓", "Nothing to clear", "It is the first hooping: there is no stitching beside it to keep clear of."),
            "no-tape" => new("open", "?", "No tape found", Do("HC301", "There is nothing in the hoop to check the fill against.")),
            "retake" => new("open", "↻", "Take it again", report.Quality.Problems is [var first, ..] ? Do(first.Code, first.Say) : "The photo could not be measured."),
            _ when Reading(report, worst) is { } reading => new("open", "?", "Cannot tell", reading),
            _ when double.IsNaN(least) => new("open", "?", "Cannot tell", $"Too little of the tape{on} is seen."),
            _ => new("open", "?", "Cannot tell", $"It is too near a limit{on} for this photo."),
        };
    }

    /// <summary>What an undecided side most likely is; it stands among the notes, after the side's name.</summary>
    private static string? Reading(ReportView report, ReportView.SideOf[] worst) => worst
        .SelectMany(s => report.Notes.Where(n => n.StartsWith($"{s.Side}: ", StringComparison.Ordinal)).Select(n => $"On the {s.Side}: {n[(s.Side.Length + 2)..]}."))
        .FirstOrDefault();

    private static string Do(string code, string say) => Problems.All.FirstOrDefault(p => p.Code == code) is { } kind
        ? $"{say} {(code == Problems.NoTape.Code ? "Lay tape along the edge of the earlier stitching, or set the tape's colour in the settings." : kind.Do)}"
        : say;
}
