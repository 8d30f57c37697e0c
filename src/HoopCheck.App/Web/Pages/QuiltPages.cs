using System.Globalization;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Web.Pages;

/// <summary>The quilt's map, what to do for a hooping, the checklist, the log.</summary>
internal static class QuiltPages
{
    /// <summary>The map with the next hooping.</summary>
    /// <param name="book">The quilt.</param>
    /// <param name="wishes">The phone's.</param>
    /// <param name="told">What was just done: the last entry; null for none.</param>
    public static string Map(QuiltBook book, Wishes wishes, LogEntry? told)
    {
        IReadOnlyList<HoopingStatus> all = book.Hoopings();
        HoopingStatus? next = all.FirstOrDefault(h => h.State != HoopingState.Stitched);
        string name = book.Folder.Quilt.Name is { Length: > 0 } given ? given : "The quilt";
        Markup go = next is null
            ? Html.Of($"<p><strong>All hoopings are stitched.</strong></p>")
            : Html.Of($"""<a class="big" href="/hooping/{next.Hooping.Number}">Next: hooping {next.Hooping.Number}</a>""");
        string[] signs = [.. all.Select(h => h.State).Where(s => PhoneMap.Sign(s).Length > 0).Distinct().Order().Select(s => $"{PhoneMap.Sign(s)} {PhoneMap.Words(s)}")];
        return Shell.Page(name, Html.Of($"""
            <h1>{name}</h1>
            {Told(told)}
            <p>{LogReport.Standing(all)}</p>
            {go}
            {PhoneMap.Draw(book.Plan, all, next?.Hooping.Number)}
            {Html.If(signs.Length > 0, $"<p>{string.Join(" · ", signs)}</p>")}
            """), wishes);
    }

    /// <summary>What to do for a hooping, the photo, and what was done.</summary>
    public static string Hooping(QuiltBook book, PlannedHooping hooping, Wishes wishes)
    {
        int n = hooping.Number;
        IReadOnlyList<HoopingStatus> all = book.Hoopings();
        HoopingStatus status = all[n - 1];
        IReadOnlyList<LogEntry> entries = [.. HoopingStatus.Counting(book.Log.Entries(n))];
        LogEntry[] checks = [.. entries.Where(e => e.Kind == EntryKind.Check)];
        bool first = hooping.TapeSides.Count == 0, stitched = status.State == HoopingState.Stitched;
        return Shell.Page($"Hooping {n}", Html.Of($"""
            <h1>Hooping {n}: {PhoneMap.Words(status.State)}</h1>
            <div class="small">{PhoneMap.Draw(book.Plan, all, n)}</div>
            {Facts(book.Plan, hooping, wishes)}
            {Html.If(!stitched, $"{PhotoForm(n)}")}
            {Html.If(!stitched, $"<a class=\"big second\" href=\"/hooping/{n}/ready\">{(first ? "No photo needed: to the checklist" : status.State == HoopingState.Clear ? "To the checklist" : "Without a photo: to the checklist")}</a>")}
            {Html.If(stitched, $"<form method=\"post\" action=\"/hooping/{n}/again\"><button class=\"big second\">It has to be stitched again</button></form>")}
            {Pictures(checks, wishes)}
            <h2>Remarks</h2>
            {Html.If(status.Remarks.Count > 0, $"<ul>{status.Remarks.Select(r => Html.Of($"<li>{r}</li>"))}</ul>")}
            <form method="post" action="/hooping/{n}/note">
            <div class="field"><label for="note">A remark</label><textarea id="note" name="note" rows="2" maxlength="2000" required></textarea></div>
            <button class="big second">Keep the remark</button>
            </form>
            """), wishes);
    }

    /// <summary>The checklist, and after it the word that the hooping is stitched.</summary>
    public static string Ready(QuiltBook book, PlannedHooping hooping, Wishes wishes)
    {
        int n = hooping.Number;
        HoopingStatus status = book.Hoopings()[n - 1];
        bool Done(string key) => status.Checklist?.Done.Contains(key) ?? false;
        bool all = Checklist.Points.All(p => Done(p.Key));
        Markup list = Html.Of($"""
            <form method="post" action="/hooping/{n}/ready">
            {Checklist.Points.Select(p => Html.Of($"<label class=\"check\"><input type=\"checkbox\" name=\"{p.Key}\"{Html.If(Done(p.Key), $" checked")}><span>{p.Words}</span></label>"))}
            <button class="big{(all ? " second" : "")}">Keep what is seen to</button>
            </form>
            """);
        string fill = status.Check is { Applied.Length: > 0 } check ? $"The fill as last checked: {AppliedWords.Of(check.Applied, wishes)}." : "The fill as planned.";
        return Shell.Page($"Before stitching {n}", Html.Of($"""
            <h1>{(all ? $"Hooping {n}: stitch now" : $"Before stitching hooping {n}")}</h1>
            {Html.If(status.State is HoopingState.Change or HoopingState.Unsure, $"<p class=\"told\"><strong>The last photo says: {PhoneMap.Words(status.State)}.</strong></p>")}
            {Html.If(!all, $"{list}")}
            <form method="post" action="/hooping/{n}/stitched">
            <p>{fill}</p>
            <div class="field"><label for="note">Remark, if any</label><input type="text" id="note" name="note" maxlength="2000"></div>
            <button class="big{(all ? "" : " second")}">Stitched</button>
            </form>
            {Html.If(all, $"<details><summary>Checklist: all seen to</summary>{list}</details>")}
            {Shell.Care}
            """), wishes);
    }

    /// <summary>All entries, the newest first.</summary>
    public static string Log(QuiltBook book, Wishes wishes)
    {
        IReadOnlyList<LogEntry> entries = book.Log.Entries();
        HashSet<long> counting = [.. HoopingStatus.Counting(entries).Select(e => e.Number)];
        Markup Entry(LogEntry e)
        {
            bool counts = counting.Contains(e.Number), undo = counts && e.Kind is not (EntryKind.Plan or EntryKind.Withdrawn);
            return Html.Of($"""
                <li><time datetime="{e.At.ToString("O", CultureInfo.InvariantCulture)}">{e.At.ToLocalTime().ToString("d MMM yyyy, HH:mm", CultureInfo.InvariantCulture)} · entry {e.Number}</time><br>
                <span{Html.If(!counts && e.Kind != EntryKind.Withdrawn, $" class=\"gone\"")}>{(e.Hooping is { } h ? $"Hooping {h.ToString(CultureInfo.InvariantCulture)}: " : "")}{LogReport.Said(e)}</span>{Html.If(!counts && e.Kind != EntryKind.Withdrawn, $" (counts no more)")}<br>
                {Html.If(e.Kind == EntryKind.Check, $"<a href=\"/check/{e.Number}\">See it<span class=\"long\"> (entry {e.Number})</span></a>")}
                {Html.If(undo, $"<a href=\"/undo/{e.Number}\">Undo entry {e.Number}</a>")}</li>
                """);
        }

        return Shell.Page("Log", Html.Of($"""
            <h1>Log</h1>
            <p>{LogReport.Standing(book.Hoopings())} Nothing is ever removed: undoing adds an entry.</p>
            <ul class="entries">{entries.Reverse().Select(Entry)}</ul>
            """), wishes);
    }

    /// <summary>Asks why an entry is to count no more.</summary>
    public static string Undo(LogEntry entry, Wishes wishes) => Shell.Page($"Undo entry {entry.Number}", Html.Of($"""
        <h1>Undo entry {entry.Number}?</h1>
        <p>{(entry.Hooping is { } h ? $"Hooping {h.ToString(CultureInfo.InvariantCulture)}: " : "")}{LogReport.Said(entry)}</p>
        <p>It stays in the log and counts no more.</p>
        <form method="post" action="/undo/{entry.Number}">
        <div class="field"><label for="why">Why</label><input type="text" id="why" name="why" value="pressed by mistake" maxlength="500" required></div>
        <button class="big">Undo it</button>
        </form>
        <a class="big second" href="/log">Leave it</a>
        """), wishes);

    /// <summary>The way to a photo: the camera, or one that is on the phone.</summary>
    public static Markup PhotoForm(int hooping) => Html.Of($"""
        <form class="photo" method="post" action="/hooping/{hooping}/photo" enctype="multipart/form-data">
        <label class="big">Take the photo<input type="file" name="photo" accept="image/*" capture="environment"></label>
        <label class="big second">Use a photo from this phone<input type="file" name="photo" accept="image/*"></label>
        <button class="big plain">Send the photo</button>
        {Shell.Busy("Sending the photo …")}
        </form>
        """);

    private static Markup Facts(QuiltPlan plan, PlannedHooping h, Wishes wishes)
    {
        string lies = h.Lies == HoopLies.Straight
            ? "Hoop straight: its bar towards the quilt's left edge"
            : "Hoop sideways: its bar towards the quilt's bottom edge";
        string tape = h.TapeSides.Count == 0
            ? "None: it is the first hooping"
            : string.Join(", ", h.TapeSides.Select(t => $"{t.Key.Name()} side of the hoop, along hooping {t.Value.ToString(CultureInfo.InvariantCulture)}"));
        return Html.Of($"""
            <dl class="facts">
            <dt>Middle of the fill on the quilt</dt>
            <dd>{wishes.Say(plan.FromLeft(h.Centre))} from the left edge,<br>{wishes.Say(plan.FromTop(h.Centre))} from the top edge</dd>
            <dt>How the hoop lies</dt><dd>{lies}</dd>
            <dt>Tape</dt><dd>{Capital(tape)}</dd>
            <dt>Fill in the hoop, width × height</dt>
            <dd>{wishes.Say(h.FillWidth, h.FillHeight)}{(h.FillTurnDegrees == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $", turned by {h.FillTurnDegrees:0}°"))}
            <small>Width runs away from the bar, which is at the hoop's left.</small></dd>
            </dl>
            """);
    }

    private static Markup Pictures(LogEntry[] checks, Wishes wishes)
    {
        Markup Picture(LogEntry e, string which)
        {
            CheckBody body = EntryBody.Read<CheckBody>(e);
            string made = body.Applied.Length > 0 ? $", {AppliedWords.Of(body.Applied, wishes)}" : "";
            return Html.Of($"""<figure><a href="/check/{e.Number}"><img loading="lazy" src="/check/{e.Number}/marked.jpg" alt="{which} photo with the fill drawn in: {body.Decision}"></a><figcaption>{which}: {body.Decision}{made}</figcaption></figure>""");
        }

        return checks.Length switch
        {
            0 => Markup.None,
            1 => Html.Of($"<h2>Photo</h2>{Picture(checks[0], "Last")}"),
            _ => Html.Of($"<h2>Before and after</h2><div class=\"pair\">{Picture(checks[0], "First")}{Picture(checks[^1], "Last")}</div>{Html.If(checks.Length > 2, $"<p>{checks.Length} checks in all; the rest stand in the log.</p>")}"),
        };
    }

    private static Markup Told(LogEntry? entry) => entry is not { Hooping: { } h } || entry.Kind is EntryKind.Plan ? Markup.None : Html.Of($"""
        <p class="told" role="status">Noted for hooping {h}: {LogReport.Said(entry)}{Html.If(entry.Kind != EntryKind.Withdrawn, $" <a href=\"/undo/{entry.Number}\">Undo</a>")}</p>
        """);

    private static string Capital(string sentence) => $"{char.ToUpperInvariant(sentence[0])}{sentence[1..]}";
}
