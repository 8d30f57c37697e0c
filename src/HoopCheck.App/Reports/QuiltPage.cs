using System.Globalization;
using System.Text;
using System.Xml.Linq;
using HoopCheck.App.Pictures;
using HoopCheck.App.Quilts;
using HoopCheck.Checking.Drift;
using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>The quilt as one page that needs nothing beside it: map, hoopings with their pictures, seams, drift, checklists. For a screen of any width and for paper.</summary>
internal static class QuiltPage
{
    // No ">" in it: the page is written as XML, and a style sheet's text would be escaped.
    private const string Style =
        """
        :root { color-scheme: light; } * { box-sizing: border-box; }
        body { margin: 0 auto; max-width: 60rem; padding: 1rem; font: 16px/1.45 system-ui, "DejaVu Sans", sans-serif; color: #222; background: #fff; }
        h1 { font-size: 1.6rem; margin: 0 0 .2rem; } h2 { font-size: 1.2rem; margin: 2rem 0 .6rem; border-bottom: 2px solid #222; } h3 { font-size: 1.05rem; margin: 0 0 .3rem; }
        p { margin: .3rem 0; } .lead { font-size: 1.1rem; } .quiet { color: #555; } svg { max-width: 100%; height: auto; display: block; }
        .cards { display: grid; grid-template-columns: repeat(auto-fill, minmax(17rem, 1fr)); gap: 1rem; }
        .card { border: 1px solid #999; border-left-width: 8px; border-radius: 4px; padding: .6rem .8rem; break-inside: avoid; overflow-wrap: anywhere; }
        .card img { max-width: 100%; max-height: 26rem; height: auto; display: block; margin: .4rem 0; border: 1px solid #bbb; }
        .label { font-weight: bold; } .scroll { overflow-x: auto; } .small { font-size: .9rem; }
        table { border-collapse: collapse; width: 100%; font-size: .92rem; } th, td { text-align: left; padding: .2rem .6rem .2rem 0; border-bottom: 1px solid #ccc; vertical-align: top; white-space: nowrap; }
        td.wide { white-space: normal; } tr { break-inside: avoid; } thead { display: table-header-group; } ul { margin: .3rem 0; padding-left: 1.2rem; }
        .legend span { display: inline-block; margin-right: 1rem; } .swatch { display: inline-block; width: 1em; height: 1em; border: 1px solid #222; vertical-align: -.15em; margin-right: .3em; }
        @media print { @page { margin: 14mm; } body { font-size: 11px; max-width: none; padding: 0; } h2, h3 { break-after: avoid; } svg { break-inside: avoid; } .card img { max-height: 75mm; } .cards { grid-template-columns: repeat(3, 1fr); gap: 3mm; } .scroll { overflow: visible; }
          * { -webkit-print-color-adjust: exact; print-color-adjust: exact; } svg.map { max-height: 220mm; } }
        """;

    /// <summary>How a state is coloured; the label says it too.</summary>
    public static MapMark MarkOf(HoopingState state) => new(
        state switch
        {
            HoopingState.Clear => "#CFE3F5",
            HoopingState.Change => "#F7D9A8",
            HoopingState.Unsure => "#EEE3B0",
            HoopingState.Stitched => "#CBE6CF",
            HoopingState.Redo => "#F0C4BE",
            _ => MapMark.Plain.Colour,
        },
        HoopingStatus.LabelOf(state));

    /// <summary>The page as text.</summary>
    /// <param name="book">Folder and log.</param>
    /// <param name="today">The day it is made, for its head.</param>
    public static string Write(QuiltBook book, DateTimeOffset today)
    {
        IReadOnlyList<HoopingStatus> all = book.Hoopings();
        IReadOnlyList<LogEntry> entries = book.Log.Entries();
        QuiltDrift? drift = book.Drift(all);
        QuiltPlan plan = book.Plan;
        string name = book.Folder.Quilt.Name.Length > 0 ? book.Folder.Quilt.Name : "The quilt";
        var body = new XElement(
            "body",
            new XElement("h1", name),
            Line("lead", LogReport.Standing(all)),
            Line("quiet", string.Create(CultureInfo.InvariantCulture, $"{Both(plan.Quilt.Width)} by {Both(plan.Quilt.Height)}; {plan.Chosen.Columns} x {plan.Chosen.Rows} = {plan.Chosen.Hoopings} hoopings, the hoop {PlanJson.Of(plan.Chosen.Lies)}. {today:yyyy-MM-dd}, hoopcheck {HoopingLog.Program}.")));
        body.Add(new XElement("h2", "Map"), Legend(all));
        XElement map = QuiltMap.Element(plan, h => MarkOf(all[h.Number - 1].State));
        map.Add(new XAttribute("class", "map"));
        body.Add(map);
        AddDrift(body, plan, drift);
        AddHoopings(body, book, all, drift);
        AddPlan(body, plan, all);
        AddRemarks(body, entries);
        var html = new XElement(
            "html", new XAttribute("lang", "en"),
            new XElement(
                "head", new XElement("meta", new XAttribute("charset", "utf-8")), new XElement("meta", new XAttribute("name", "viewport"), new XAttribute("content", "width=device-width, initial-scale=1")),
                new XElement("title", $"{name}: hoopings"), new XElement("style", Style)),
            body);
        return $"<!DOCTYPE html>\n{html.ToString(SaveOptions.DisableFormatting)}\n";
    }

    /// <summary>The page as a file's bytes.</summary>
    public static byte[] Bytes(QuiltBook book, DateTimeOffset today) => Encoding.UTF8.GetBytes(Write(book, today));

    private static XElement Legend(IReadOnlyList<HoopingStatus> all) => new(
        "p", new XAttribute("class", "legend small"),
        all.GroupBy(h => h.State).OrderBy(g => g.Key).Select(g => new XElement(
            "span", new XElement("span", new XAttribute("class", "swatch"), new XAttribute("style", $"background: {MarkOf(g.Key).Colour}; margin-right: .3em"), "\u00A0"),
            $"{Said(g.Key)}: {g.Count().ToString(CultureInfo.InvariantCulture)}")));

    private static string Said(HoopingState state) => state switch
    {
        HoopingState.Clear => "clear, to be stitched",
        HoopingState.Change => "to be changed first",
        HoopingState.Unsure => "photo unsure",
        HoopingState.Stitched => "done",
        HoopingState.Redo => "to be stitched again",
        _ => "to come",
    };

    private static void AddDrift(XElement body, QuiltPlan plan, QuiltDrift? drift)
    {
        body.Add(new XElement("h2", "Seams and drift"));
        if (drift is null)
        {
            body.Add(Line("", "Nothing is stitched yet."));
            return;
        }

        body.Add(new XElement("ul", DriftWords.Sentences(plan, drift).Select(s => new XElement("li", s))));
        if (SeamChart.Element(plan, drift) is { } chart)
        {
            body.Add(new XElement("h3", "Gaps of the seams"), chart, new XElement("h3", new XAttribute("style", "margin-top: 1rem"), "Where the fills lie"), DriftPicture.Element(plan, drift));
            body.Add(Table(
                ["hooping", "across, mm", "up, mm", "turned"],
                drift.Fills.Select(f => new[] { N(f.Number), DriftWords.Place(f.X, f.UncertaintyX), DriftWords.Place(f.Y, f.UncertaintyY), DriftWords.Turn(f) })));
        }
    }

    private static void AddHoopings(XElement body, QuiltBook book, IReadOnlyList<HoopingStatus> all, QuiltDrift? drift)
    {
        HoopingStatus[] begun = [.. all.Where(h => h.State != HoopingState.Open || h.Remarks.Count > 0 || h.Checklist is not null)];
        if (begun.Length == 0)
        {
            return;
        }

        body.Add(new XElement("h2", "Hoopings"), new XElement("div", new XAttribute("class", "cards"), begun.Select(h => Card(book, h, drift))));
    }

    private static XElement Card(QuiltBook book, HoopingStatus h, QuiltDrift? drift)
    {
        var card = new XElement(
            "div", new XAttribute("class", "card"), new XAttribute("style", $"border-left-color: {MarkOf(h.State).Colour}"),
            new XElement("h3", $"{N(h.Hooping.Number)} ", new XElement("span", new XAttribute("class", "label"), $"{Said(h.State)}")));
        if (h.CheckEntry?.Files.FirstOrDefault(f => f.Role == LogFile.Marked) is { } marked && Thumbnail.Of(book.Log.PathOf(marked)) is { } small)
        {
            card.Add(new XElement("img", new XAttribute("alt", $"Checked photo of hooping {N(h.Hooping.Number)}"), new XAttribute("src", $"data:image/jpeg;base64,{Convert.ToBase64String(small)}")));
        }

        if (h.Check is { } check)
        {
            card.Add(Line("small", $"Photo: {check.Decision}{(check.Applied.Length > 0 ? $", with {check.Applied}" : "")}."));
            foreach (SideSeen side in check.Sides)
            {
                card.Add(Line("small", side.MinMm is { } min
                    ? string.Create(CultureInfo.InvariantCulture, $"{side.Side}: {Length.Millimetres(min)} to {Length.Millimetres(side.MaxMm ?? min)} (±{Words.RoundedUp(side.UncertaintyMm ?? 0):0.0} mm), {side.Decision}; {side.Colour} tape")
                    : $"{side.Side}: not measured"));
            }
        }

        if ((h.Stitched?.Fill ?? h.Check?.Fill) is { } fill)
        {
            card.Add(Line("small", string.Create(CultureInfo.InvariantCulture, $"Fill {(h.Stitched is null ? "as checked" : "as stitched")}: {fill.Width:0.0} x {fill.Height:0.0} mm at {fill.X:0.0}, {fill.Y:0.0} in the hoop{(fill.TurnDegrees != 0 ? $", turned {fill.TurnDegrees:0.#}°" : "")}.")));
        }

        if (h.Stitched?.Applied is { } applied)
        {
            card.Add(Line("small", $"Changed on the machine: {applied}."));
        }

        if (drift?.Fills.FirstOrDefault(f => f.Number == h.Hooping.Number) is { } lies && lies.Number != 1)
        {
            card.Add(Line("small", $"Against the plan: across {DriftWords.Place(lies.X, lies.UncertaintyX)}, up {DriftWords.Place(lies.Y, lies.UncertaintyY)} (mm), turned {DriftWords.Turn(lies)}."));
        }

        if (h.Checklist is { } list)
        {
            card.Add(Line("small", list.Open.Count == 0 ? $"Checklist: all {N(list.Done.Count)} seen to." : $"Checklist: open: {string.Join(", ", list.Open)}."));
        }

        card.Add(h.Remarks.Concat(h.State == HoopingState.Stitched ? [] : h.Check?.Questions ?? []).Select(r => Line("small", r)));
        if ((h.StitchedEntry ?? h.CheckEntry) is { } entry)
        {
            card.Add(Line("small quiet", string.Create(CultureInfo.InvariantCulture, $"entry {entry.Number}, {entry.At:yyyy-MM-dd HH:mm}Z")));
        }

        return card;
    }

    private static void AddPlan(XElement body, QuiltPlan plan, IReadOnlyList<HoopingStatus> all)
    {
        body.Add(new XElement("h2", "Plan"), Line("small", "Middles of the fills, measured from the quilt's marked left and top edges."));
        body.Add(Table(
            ["hooping", "state", "from the left", "from the top", "fill in the hoop, mm", "turned", "tape (along hooping)"],
            all.Select(h => new[]
            {
                N(h.Hooping.Number), h.Label, Both(plan.FromLeft(h.Hooping.Centre)), Both(plan.FromTop(h.Hooping.Centre)),
                string.Create(CultureInfo.InvariantCulture, $"{h.Hooping.FillWidth:0.0} x {h.Hooping.FillHeight:0.0}"),
                h.Hooping.FillTurnDegrees == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $"{h.Hooping.FillTurnDegrees:0}°"), PlanReport.Sides(h.Hooping),
            })));
        body.Add(PlanReport.Thread(plan).Select(line => Line("small", line)));
    }

    private static void AddRemarks(XElement body, IReadOnlyList<LogEntry> entries)
    {
        LogEntry[] told = [.. entries.Where(e => e.Kind is not (EntryKind.Plan or EntryKind.Check))];
        if (told.Length > 0)
        {
            body.Add(new XElement("h2", "Log"), Table(
                ["entry", "when", "hooping", "what"],
                told.Select(e => new[] { e.Number.ToString(CultureInfo.InvariantCulture), e.At.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + "Z", e.Hooping is { } h ? N(h) : "", LogReport.Said(e) })));
        }
    }

    private static XElement Table(string[] head, IEnumerable<string[]> rows) => new(
        "div", new XAttribute("class", "scroll"),
        new XElement(
            "table",
            new XElement("thead", new XElement("tr", head.Select(h => new XElement("th", h)))),
            new XElement("tbody", rows.Select(row => new XElement("tr", row.Select((cell, i) => new XElement("td", i == row.Length - 1 ? new XAttribute("class", "wide") : null, cell)))))));

    private static XElement Line(string style, string text) => new("p", style.Length > 0 ? new XAttribute("class", style) : null, text);

    private static string Both(double mm) => $"{Length.Millimetres(mm)} ({Length.Inches(mm)})";

    private static string N(int number) => number.ToString(CultureInfo.InvariantCulture);
}
