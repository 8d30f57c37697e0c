using System.Globalization;
using HoopCheck.App.Quilts;
using HoopCheck.Checking.Drift;
using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>The log for a person.</summary>
internal static class LogReport
{
    /// <summary>How the quilt stands: count, map, one line a hooping that was begun, what is open.</summary>
    public static void Write(QuiltBook book, TextWriter to)
    {
        IReadOnlyList<HoopingStatus> all = book.Hoopings();
        to.WriteLine($"{(book.Folder.Quilt.Name.Length > 0 ? $"{book.Folder.Quilt.Name}: " : "")}{Standing(all)}");
        to.WriteLine();
        PlanReport.WriteMap(book.Plan, to, h => all[h.Number - 1].Label);
        HoopingStatus[] begun = [.. all.Where(h => h.State != HoopingState.Open || h.Remarks.Count > 0)];
        if (begun.Length == 0)
        {
            return;
        }

        to.WriteLine();
        to.WriteLine($"  {"no.",4}  {"state",-8}{"narrowest gap, mm",-40}{"entry",-7}{"when",-18}");
        foreach (HoopingStatus h in begun)
        {
            LogEntry? last = h.StitchedEntry ?? h.CheckEntry;
            to.WriteLine($"  {Number(h.Hooping.Number),4}  {h.Label,-8}{Gaps(h),-40}{(last is null ? "" : Number(last.Number)),-7}{(last is null ? "" : When(last)),-18}".TrimEnd());
            foreach (string remark in h.Remarks.Concat(h.State == HoopingState.Stitched ? [] : h.Check?.Questions ?? []))
            {
                to.WriteLine($"        {remark}");
            }
        }

        if (book.Drift(all) is { } drift && drift.Seams.Any(s => s.Seen))
        {
            to.WriteLine();
            foreach (string sentence in DriftWords.Sentences(book.Plan, drift))
            {
                TextReport.Paragraph(to, sentence);
            }
        }
    }

    /// <summary>"7 of 18 hoopings are stitched; the next one is 8."</summary>
    public static string Standing(IReadOnlyList<HoopingStatus> all)
    {
        int done = all.Count(h => h.State == HoopingState.Stitched);
        HoopingStatus? next = all.FirstOrDefault(h => h.State != HoopingState.Stitched);
        return string.Create(CultureInfo.InvariantCulture, $"{done} of {all.Count} hoopings are stitched{(next is null ? "." : $"; the next one is {next.Hooping.Number}.")}");
    }

    /// <summary>"left 4.2 ±0.3, top 3.9 ±0.4", or what is known instead.</summary>
    public static string Gaps(HoopingStatus h) => h.Check is not { } check ? h.State == HoopingState.Stitched ? "no photo" : ""
        : check.Sides.Count == 0 ? check.Decision
        : string.Join(", ", check.Sides.Select(s => s.MinMm is { } min
            ? string.Create(CultureInfo.InvariantCulture, $"{s.Side} {Signed(min)} ±{Words.RoundedUp(s.UncertaintyMm ?? 0):0.0}")
            : $"{s.Side} not measured"));

    /// <summary>All entries of one hooping.</summary>
    public static void WriteHooping(QuiltBook book, int number, TextWriter to)
    {
        HoopingStatus status = book.Hoopings()[number - 1];
        to.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Hooping {number}: {(status.Label.Length > 0 ? status.Label : "not begun")}."));
        to.WriteLine($"From the left edge {Both(book.Plan.FromLeft(status.Hooping.Centre))}, from the top edge {Both(book.Plan.FromTop(status.Hooping.Centre))}; "
            + string.Create(CultureInfo.InvariantCulture, $"fill {status.Hooping.FillWidth:0.0} x {status.Hooping.FillHeight:0.0} mm; tape: {PlanReport.Sides(status.Hooping)}."));
        IReadOnlyList<LogEntry> entries = book.Log.Entries(number);
        if (entries.Count > 0)
        {
            to.WriteLine();
            WriteEntries(entries, to);
        }
    }

    /// <summary>One line an entry, with its files below.</summary>
    public static void WriteEntries(IReadOnlyList<LogEntry> entries, TextWriter to)
    {
        foreach (LogEntry entry in entries)
        {
            to.WriteLine($"  {Number(entry.Number),5}  {When(entry)}  {(entry.Hooping is { } h ? $"hooping {Number(h)}: " : "")}{Said(entry)}");
            foreach (LogFile file in entry.Files)
            {
                to.WriteLine($"         {file.Role}: {QuiltFolder.PhotosName}/{file.Name}");
            }
        }
    }

    /// <summary>An entry in one sentence, without its number and time.</summary>
    public static string Said(LogEntry entry)
    {
        switch (entry.Kind)
        {
            case EntryKind.Plan:
                return "the plan.";
            case EntryKind.Check:
                CheckBody check = EntryBody.Read<CheckBody>(entry);
                string sides = string.Join(", ", check.Sides.Select(s => s.MinMm is { } min ? $"{s.Side} {Signed(min)} mm" : $"{s.Side} not measured"));
                return $"{check.Photo}: {check.Decision}{(sides.Length > 0 ? $" ({sides})" : "")}{(check.Applied.Length > 0 ? $", with {check.Applied}" : "")}.{string.Concat(check.Questions.Select(q => $" {q}"))}";
            case EntryKind.Stitched:
            case EntryKind.Redo:
                StitchedBody stitched = EntryBody.Read<StitchedBody>(entry);
                return $"{(entry.Kind == EntryKind.Stitched ? "stitched" : "to be stitched again")}{(stitched.Applied is { } applied ? $", with {applied}" : "")}.{(stitched.Note is { } note ? $" {note}" : "")}";
            case EntryKind.Note:
                return EntryBody.Read<NoteBody>(entry).Text;
            case EntryKind.Checklist:
                ChecklistBody list = EntryBody.Read<ChecklistBody>(entry);
                return list.Open.Count == 0 ? "checklist: all seen to." : $"checklist: {(list.Done.Count > 0 ? string.Join(", ", list.Done) : "nothing")} seen to; open: {string.Join(", ", list.Open)}.";
            default:
                WithdrawnBody gone = EntryBody.Read<WithdrawnBody>(entry);
                return $"entry {Number(gone.Entry)} counts no more: {gone.Why}";
        }
    }

    /// <summary>The checklist with what was seen to.</summary>
    public static void WriteChecklist(QuiltPlan plan, HoopingStatus status, bool json, TextWriter to)
    {
        if (json)
        {
            to.WriteLine(JsonText.Write(writer =>
            {
                writer.WriteStartObject();
                writer.WriteString("schema", "hoopcheck.checklist/1");
                writer.WriteNumber("hooping", status.Hooping.Number);
                writer.WriteStartArray("points");
                foreach ((string key, string words) in Checklist.Points)
                {
                    writer.WriteStartObject();
                    writer.WriteString("key", key);
                    writer.WriteString("say", words);
                    writer.WriteBoolean("done", status.Checklist?.Done.Contains(key) ?? false);
                    writer.WriteEndObject();
                }

                writer.WriteEndArray();
                writer.WriteEndObject();
            }));
            return;
        }

        to.WriteLine($"Before stitching hooping {Number(status.Hooping.Number)}:");
        foreach ((string key, string words) in Checklist.Points)
        {
            to.WriteLine($"  [{(status.Checklist?.Done.Contains(key) ?? false ? "x" : " ")}] {key,-8} {words}");
        }

        if (PlanReport.Bobbin(plan, status.Hooping) is { } bobbin)
        {
            to.WriteLine(bobbin);
        }

        to.WriteLine("Then: hoopcheck log checklist " + Number(status.Hooping.Number) + " --done all. The machine's manual has the last word.");
    }

    /// <summary>What was just added.</summary>
    public static void WriteAdded(LogEntry entry, bool json, TextWriter to)
    {
        if (json)
        {
            to.WriteLine(JsonText.Write(writer =>
            {
                writer.WriteStartObject();
                writer.WriteString("schema", "hoopcheck.entry/1");
                LogJson.WriteEntry(writer, entry);
                writer.WriteEndObject();
            }));
            return;
        }

        to.WriteLine($"Entry {Number(entry.Number)}: {(entry.Hooping is { } h ? $"hooping {Number(h)}: " : "")}{Said(entry)}");
    }

    /// <summary>That all is well.</summary>
    public static void WriteVerified(LogVerified found, bool json, TextWriter to)
    {
        if (json)
        {
            to.WriteLine(JsonText.Write(writer =>
            {
                writer.WriteStartObject();
                writer.WriteString("schema", "hoopcheck.verified/1");
                writer.WriteNumber("entries", found.Entries);
                writer.WriteNumber("files", found.Files);
                writer.WriteNumber("bytes", found.Bytes);
                writer.WriteStartArray("unnamed");
                foreach (string file in found.Unnamed)
                {
                    writer.WriteStringValue(file);
                }

                writer.WriteEndArray();
                writer.WriteEndObject();
            }));
            return;
        }

        to.WriteLine(string.Create(CultureInfo.InvariantCulture, $"All is as it was written: {found.Entries} entries, {found.Files} files, {found.Bytes / 1e6:0.0} MB."));
        foreach (string file in found.Unnamed)
        {
            to.WriteLine($"{QuiltFolder.PhotosName}/{file} belongs to no entry: it was left by a call that was broken off, and may be removed.");
        }
    }

    private static string When(LogEntry entry) => entry.At.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + "Z";

    private static string Number(long number) => number.ToString(CultureInfo.InvariantCulture);

    private static string Signed(double mm) => Length.Millimetres(mm)[..^3];

    private static string Both(double mm) => $"{Length.Millimetres(mm)} ({Length.Inches(mm)})";
}
