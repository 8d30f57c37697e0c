using HoopCheck.App.Reports;

namespace HoopCheck.App.Web.Pages;

/// <summary>The answer to a photo.</summary>
internal static class CheckPage
{
    /// <summary>Verdict, what to change, the picture, how sure, what else was seen.</summary>
    public static string Answer(FiledCheck check, Wishes wishes)
    {
        ReportView report = check.Report;
        int n = check.Hooping.Number;
        var verdict = Verdict.Of(report, check.Hooping.TapeSides.Count > 0, check.Quilt.SpacingMm, check.Quilt.MinGapMm, wishes);
        bool newest = check.Status.CheckEntry?.Number == check.Entry.Number, good = verdict.Tone == "good", measured = report.Decision != "retake";
        string alt = $"The photo with the fill, the tape's edge and the gaps drawn in. {verdict.Word}. {verdict.Sentence}";
        Markup older = Html.If(!newest, $"<p class=\"told\">This is an earlier answer{(check.Status.State == Quilts.HoopingState.Stitched ? "; the hooping is stitched" : "")}.</p>");
        return Shell.Page($"Hooping {n}: {verdict.Word}", Html.Of($"""
            {older}
            <div class="verdict {verdict.Tone}"><h1><span aria-hidden="true">{verdict.Sign}</span>{verdict.Word}</h1><p>{verdict.Sentence}</p></div>
            {Html.If(check.Body.Applied.Length > 0, $"<p>Checked with the fill {AppliedWords.Of(check.Body.Applied, wishes)}.</p>")}
            {check.Body.Questions.Select(q => Html.Of($"<p class=\"told\"><strong>{q}</strong></p>"))}
            {Change(check, wishes)}
            {Html.If(good, $"<a class=\"big\" href=\"/hooping/{n}/ready\">To the checklist</a>")}
            {Html.If(measured, $"{Picture(check.Entry.Number, alt)}")}
            {Html.If(!measured, $"<figure><img src=\"/check/{check.Entry.Number}/marked.jpg\" alt=\"The photo that could not be measured\"></figure>")}
            {Sides(report, wishes)}
            {Notes(report, check.Body.Questions)}
            <h2>{(good ? "Another photo" : "A new photo")}</h2>
            {QuiltPages.PhotoForm(n)}
            <a class="big second" href="/hooping/{n}">Hooping {n}</a>
            {Shell.Care}
            """), wishes);
    }

    private static Markup Change(FiledCheck check, Wishes wishes)
    {
        if (check.Report.Correction is not { } correction)
        {
            return Markup.None;
        }

        if (!correction.Possible)
        {
            return Html.Of($"<div class=\"change\"><h2>What to do</h2><p>No change on the machine will do.</p><p>{Capital(correction.Otherwise ?? "")}</p></div>");
        }

        string then = string.Join(", ", correction.Predicted.Select(p => $"{wishes.Say(p.MinMm ?? 0)} to {wishes.Say(p.MaxMm ?? 0)} on the {p.Side}"));
        return Html.Of($"""
            <div class="change">
            <h2>On the machine</h2>
            <ol>{correction.Steps.Select(s => Html.Of($"<li>{s.Say}</li>"))}</ol>
            <p>The gap is then {then}.</p>
            {Html.If(check.Report.Decision == "undecided", $"<p>Or leave the fill and take a photo from straight above, nearer and in even light.</p>")}
            </div>
            <form method="post" action="/check/{check.Entry.Number}/changed">
            <button class="big">I’ve made this change</button>
            {Shell.Busy("Checking the same photo again …")}
            </form>
            """);
    }

    private static Markup Picture(long entry, string alt) => Html.Of($"""
        <figure>
        <a class="switch" href="/check/{entry}/flat.jpg" data-alt="The fabric seen squarely from above, to scale, with the fill drawn in" data-words="Flat view, to scale. Tap for the photo; spread two fingers to see more."><img src="/check/{entry}/marked.jpg" alt="{alt}"></a>
        <figcaption id="caption" aria-live="polite">Tap for the flat view; spread two fingers to see more.</figcaption>
        </figure>
        """);

    private static Markup Sides(ReportView report, Wishes wishes)
    {
        if (report.Sides.Count == 0)
        {
            return Markup.None;
        }

        Markup Row(ReportView.SideOf s) => s.MinMm is { } min
            ? Html.Of($"<tr><th scope=\"row\">{s.Side}</th><td>{wishes.Say(min)}</td><td>±{wishes.Say(Words.RoundedUp(s.UncertaintyMm ?? 0))}</td><td>{wishes.Say(s.MaxMm ?? 0)}</td></tr>")
            : Html.Of($"<tr><th scope=\"row\">{s.Side}</th><td colspan=\"3\">not measured</td></tr>");
        return Html.Of($"""
            <h2>The gap, side by side</h2>
            <table><thead><tr><th scope="col">Side</th><th scope="col">Narrowest</th><th scope="col">Sure to</th><th scope="col">Widest</th></tr></thead><tbody>{report.Sides.Select(Row)}</tbody></table>
            """);
    }

    private static Markup Notes(ReportView report, IReadOnlyList<string> told)
    {
        string[] notes = [.. report.Notes.Where(n => !told.Contains(n))];
        return Html.If(notes.Length > 0, $"<details><summary>Also seen ({notes.Length})</summary><ul>{notes.Select(n => Html.Of($"<li>{Capital(n)}</li>"))}</ul></details>");
    }

    private static string Capital(string sentence) => sentence.Length == 0 ? "" : $"{char.ToUpperInvariant(sentence[0])}{sentence[1..]}";
}
