using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Quilts;

/// <summary>How a hooping stands.</summary>
internal enum HoopingState
{
    /// <summary>Nothing was done yet.</summary>
    Open,

    /// <summary>The last photo is clear: it can be stitched.</summary>
    Clear,

    /// <summary>The last photo asks for a change first.</summary>
    Change,

    /// <summary>The last photo could not tell.</summary>
    Unsure,

    /// <summary>It is stitched.</summary>
    Stitched,

    /// <summary>It was stitched and has to be stitched again; no photo since.</summary>
    Redo,
}

/// <summary>One hooping of the plan and what the log says of it.</summary>
/// <param name="Hooping">The plan's.</param>
/// <param name="State">How it stands.</param>
/// <param name="CheckEntry">The last check that counts; null for none.</param>
/// <param name="Check">Its body.</param>
/// <param name="StitchedEntry">The entry that says it is stitched; null where it is not.</param>
/// <param name="Stitched">Its body.</param>
/// <param name="Checklist">The checklist since the hooping was last begun; null for none.</param>
/// <param name="Remarks">What was noted, the oldest first.</param>
internal sealed record HoopingStatus(
    PlannedHooping Hooping,
    HoopingState State,
    LogEntry? CheckEntry,
    CheckBody? Check,
    LogEntry? StitchedEntry,
    StitchedBody? Stitched,
    ChecklistBody? Checklist,
    IReadOnlyList<string> Remarks)
{
    /// <summary>At most six letters; empty for a hooping of which nothing is known.</summary>
    public string Label => LabelOf(State);

    /// <summary>The label of a state.</summary>
    public static string LabelOf(HoopingState state) => state switch
    {
        HoopingState.Clear => "clear",
        HoopingState.Change => "change",
        HoopingState.Unsure => "unsure",
        HoopingState.Stitched => "done",
        HoopingState.Redo => "again",
        _ => "",
    };

    /// <summary>Reads the log from its beginning to its end.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="entries">All entries, the oldest first; those withdrawn are passed over.</param>
    /// <returns>One for each hooping, in the order of stitching.</returns>
    public static IReadOnlyList<HoopingStatus> Of(QuiltPlan plan, IReadOnlyList<LogEntry> entries)
    {
        HoopingStatus[] all = [.. plan.Hoopings.Select(h => new HoopingStatus(h, HoopingState.Open, null, null, null, null, null, []))];
        foreach (LogEntry entry in Counting(entries))
        {
            if (entry.Hooping is { } number && plan.Find(number) is not null)
            {
                all[number - 1] = all[number - 1].After(entry);
            }
        }

        return [.. all.Select(h => h.WithCheck())];
    }

    /// <summary>The entries that were not withdrawn; withdrawals themselves are left out.</summary>
    public static IEnumerable<LogEntry> Counting(IReadOnlyList<LogEntry> entries)
    {
        HashSet<long> gone = [.. entries.Where(e => e.Kind == EntryKind.Withdrawn).Select(e => EntryBody.Read<WithdrawnBody>(e).Entry)];
        return entries.Where(e => e.Kind != EntryKind.Withdrawn && !gone.Contains(e.Number));
    }

    private HoopingStatus After(LogEntry entry)
    {
        switch (entry.Kind)
        {
            case EntryKind.Check:
                // A photo of a hooping that is stitched does not undo the stitching, and is not what was stitched.
                return State == HoopingState.Stitched ? this : this with { State = HoopingState.Unsure, CheckEntry = entry };
            case EntryKind.Stitched:
                StitchedBody stitched = EntryBody.Read<StitchedBody>(entry);
                return this with { State = HoopingState.Stitched, StitchedEntry = entry, Stitched = stitched, Remarks = With(stitched.Note) };
            case EntryKind.Redo:
                return this with
                {
                    State = HoopingState.Redo, CheckEntry = null, Check = null, StitchedEntry = null, Stitched = null, Checklist = null,
                    Remarks = With(EntryBody.Read<StitchedBody>(entry).Note),
                };
            case EntryKind.Note:
                return this with { Remarks = With(EntryBody.Read<NoteBody>(entry).Text) };
            case EntryKind.Checklist:
                return this with { Checklist = EntryBody.Read<ChecklistBody>(entry) };
            default:
                return this;
        }
    }

    /// <summary>Reads the check that counts; of all that came before, only that one's body is needed.</summary>
    private HoopingStatus WithCheck()
    {
        if (CheckEntry is null)
        {
            return this;
        }

        CheckBody check = EntryBody.Read<CheckBody>(CheckEntry);
        HoopingState state = check.Decision switch
        {
            _ when State == HoopingState.Stitched => State,
            "clear" => HoopingState.Clear,
            "overlap" or "tight" or "wide" => HoopingState.Change,
            // The first hooping has no neighbour: a photo without tape is what its plan expects.
            "no-tape" when Hooping.TapeSides.Count == 0 => HoopingState.Clear,
            _ => HoopingState.Unsure,
        };
        return this with { State = state, Check = check };
    }

    private IReadOnlyList<string> With(string? remark) => remark is null ? Remarks : [.. Remarks, remark];
}
