using System.Globalization;
using System.Text;
using HoopCheck.App.Pictures;
using HoopCheck.App.Reports;
using HoopCheck.Checking;
using HoopCheck.Checking.Drift;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Quilts;

/// <summary>A check that was filed.</summary>
/// <param name="Entry">The log's entry.</param>
/// <param name="Hooping">The plan's.</param>
/// <param name="Questions">What does not agree with the plan or the log, one sentence each.</param>
internal sealed record Filed(LogEntry Entry, PlannedHooping Hooping, IReadOnlyList<string> Questions);

/// <summary>
/// A quilt's folder and log together: what the command line and a page work with. Reads the plan and how each hooping stands, and adds entries.
/// One process may keep it open; it is not for several threads at once.
/// </summary>
internal sealed class QuiltBook : IDisposable
{
    private QuiltBook(QuiltFolder folder, HoopingLog log) => (Folder, Log) = (folder, log);

    /// <summary>Plan, hoop and fill.</summary>
    public QuiltFolder Folder { get; }

    /// <summary>The entries.</summary>
    public HoopingLog Log { get; }

    /// <summary>The plan.</summary>
    public QuiltPlan Plan => Folder.Plan;

    /// <summary>Opens folder and log.</summary>
    /// <returns>Both, or why not: HC151 to HC155, or what is wrong with hoop file or drawing.</returns>
    public static Outcome<QuiltBook> Open(string folder, TimeProvider? clock = null) =>
        QuiltFolder.Open(folder).Then(quilt => HoopingLog.Open(folder, clock).Then<QuiltBook>(log => new QuiltBook(quilt, log)));

    /// <inheritdoc/>
    public void Dispose() => Log.Dispose();

    /// <summary>How each hooping stands, in the order of stitching.</summary>
    public IReadOnlyList<HoopingStatus> Hoopings() => HoopingStatus.Of(Plan, Log.Entries());

    /// <summary>The first hooping that is not stitched; null when all are.</summary>
    public PlannedHooping? Next() => Hoopings().FirstOrDefault(h => h.State != HoopingState.Stitched)?.Hooping;

    /// <summary>How the stitching lies against the plan, from all stitched hoopings with a photo; null where nothing is stitched.</summary>
    /// <param name="hoopings">How each stands; null: read anew.</param>
    public QuiltDrift? Drift(IReadOnlyList<HoopingStatus>? hoopings = null)
    {
        HoopingStatus[] stitched = [.. (hoopings ?? Hoopings()).Where(h => h.State == HoopingState.Stitched)];
        var when = stitched.ToDictionary(h => h.Hooping.Number, h => h.StitchedEntry!.Number);
        var fills = new List<StitchedFill>();
        var readings = new List<SeamReading>();
        foreach (HoopingStatus h in stitched)
        {
            PlannedFill fill = h.Stitched!.Fill is { } f ? new(new(f.X, f.Y), f.Width, f.Height) { TurnDegrees = f.TurnDegrees } : Folder.FillOf(h.Hooping);
            bool turned = fill.QuarterTurns % 2 != 0, sideways = h.Hooping.Lies == HoopLies.Sideways;
            fills.Add(turned == sideways ? new(h.Hooping.Number, fill.Width, fill.Height) : new(h.Hooping.Number, fill.Height, fill.Width));
            foreach (SideSeen side in h.Check?.Sides ?? [])
            {
                // Tape along a neighbour that was not stitched yet marks something else.
                if (side is { MinMm: not null, Tape: { } tape } && SideExtensions.Parse(side.Side) is { } of
                    && Plan.Neighbour(h.Hooping, QuiltPlanner.QuiltSide(of, h.Hooping.Lies)) is { } beside && when.TryGetValue(beside.Number, out long before) && before < h.CheckEntry!.Number)
                {
                    readings.Add(SeamReading.Of(h.Hooping, fill, of, tape.FromMm, tape.ToMm, tape.MiddleMm, tape.Slope, tape.StandardUncertaintyMm));
                }
            }
        }

        return DriftFinder.Find(Plan, fills, readings);
    }

    /// <summary>The hooping of a number.</summary>
    /// <returns>It, or HC158.</returns>
    public Outcome<PlannedHooping> Find(int number) => Plan.Find(number) is { } hooping
        ? hooping
        : new Problem(Problems.NoSuchHooping, string.Create(CultureInfo.InvariantCulture, $"The plan has hoopings 1 to {Plan.Hoopings.Count}, not {number}."));

    /// <summary>What a check of a hooping is asked, unless a person says otherwise.</summary>
    /// <param name="hooping">The plan's.</param>
    /// <param name="applied">Changes already made on the machine, from the planned fill.</param>
    public CheckRequest RequestFor(PlannedHooping hooping, IReadOnlyList<FillChange>? applied = null)
    {
        PlannedFill planned = Folder.FillOf(hooping);
        return new(
            Folder.Hoop, planned.After(applied ?? []), Folder.Quilt.SpacingMm, Folder.Quilt.MinGapMm, null,
            Folder.Quilt.Tape is { } colour ? TapeColours.Parse(colour) : null)
        {
            Planned = planned,
            Applied = applied ?? [],
        };
    }

    /// <summary>What in a check's answer does not agree with the plan or the log, one sentence each.</summary>
    public IReadOnlyList<string> Questions(PlannedHooping hooping, CheckResult result)
    {
        var questions = new List<string>();
        if (result.Decision != Decision.Retake && TapeQuestion(hooping, [.. result.Sides.Select(s => s.Side)]) is { } tape)
        {
            questions.Add(tape);
        }

        IReadOnlyList<HoopingStatus> all = Hoopings();
        if (all[hooping.Number - 1].State == HoopingState.Stitched)
        {
            questions.Add($"Hooping {hooping.Number} is stitched according to the log. If it is to be stitched again, first: hoopcheck log stitched {hooping.Number} --redo");
        }

        int[] unstitched = [.. hooping.TapeSides.Values.Where(n => all[n - 1].State != HoopingState.Stitched).Order()];
        if (unstitched.Length > 0 && all.Any(h => h.State == HoopingState.Stitched))
        {
            questions.Add($"The tape marks the stitching of hooping {string.Join(" and ", unstitched)}, but the log does not say that it is stitched. Is this hooping {hooping.Number}?");
        }

        return questions;
    }

    /// <summary>Files a check: photo, marked-up picture, report, settings. When it returns a value, all of it is on the disk.</summary>
    /// <param name="hooping">The plan's.</param>
    /// <param name="name">The photo's name as it was given.</param>
    /// <param name="bytes">The photo's file, byte for byte.</param>
    /// <param name="photo">The photo taken in.</param>
    /// <param name="result">Its check.</param>
    /// <returns>What was filed, or HC156 or HC157.</returns>
    public Outcome<Filed> File(PlannedHooping hooping, string name, byte[] bytes, Photograph photo, CheckResult result)
    {
        if (KeepPlan() is { } changed)
        {
            return changed;
        }

        IReadOnlyList<string> questions = Questions(hooping, result);
        PlannedFill fill = result.Request.Fill;
        var body = new CheckBody(
            Words.Of(result.Decision), name, result.Photo.Taken, At(fill), At(result.Request.Planned ?? fill), string.Join(", ", result.Request.Applied), [.. result.Sides.Select(Seen)], questions);
        string ending = photo.Header.Format switch
        {
            "PNG" => ".png",
            "WebP" => ".webp",
            "HEIC" => ".heic",
            _ => ".jpg",
        };
        return Log.Add(
            EntryKind.Check, hooping.Number, body,
            [new(LogFile.Photo, ending, bytes), new(LogFile.Marked, ".jpg", PictureWriter.Marked(photo, result))],
            new(JsonReport.Write(result, name), Settings(result.Request)))
            .Then<Filed>(entry => new Filed(entry, hooping, questions));
    }

    /// <summary>Files that a hooping was stitched, or that it has to be stitched again.</summary>
    /// <param name="number">The hooping.</param>
    /// <param name="applied">All changes made on the machine, from the planned fill; null: as in the last check.</param>
    /// <param name="note">A remark; null for none.</param>
    /// <param name="redo">Whether it has to be stitched again.</param>
    /// <returns>The entry, or HC120, HC156 to HC158.</returns>
    public Outcome<LogEntry> Stitched(int number, string? applied, string? note, bool redo)
    {
        Outcome<PlannedHooping> found = Find(number);
        if (found.Value is not { } hooping)
        {
            return found.Problem!;
        }

        CheckBody? check = Hoopings()[number - 1].Check;
        FillAt? fill = check?.Fill;
        if (applied is not null)
        {
            if (!FillChange.TryParseList(applied, out IReadOnlyList<FillChange> changes, out string why))
            {
                return new Problem(Problems.BadCall, $"--applied: {why}.");
            }

            fill = At((check is { Planned: { } p } ? new(new(p.X, p.Y), p.Width, p.Height) { TurnDegrees = p.TurnDegrees } : Folder.FillOf(hooping)).After(changes));
        }

        if (KeepPlan() is { } changed)
        {
            return changed;
        }

        return Log.Add(redo ? EntryKind.Redo : EntryKind.Stitched, number, new StitchedBody(applied, Trimmed(note), redo ? null : fill ?? At(Folder.FillOf(hooping))));
    }

    /// <summary>Files a remark about a hooping, or about the whole quilt.</summary>
    public Outcome<LogEntry> Note(int? number, string text)
    {
        if (number is { } hooping && Find(hooping).Problem is { } problem)
        {
            return problem;
        }

        return Trimmed(text) is { } words ? Log.Add(EntryKind.Note, number, new NoteBody(words)) : new Problem(Problems.BadCall, "A note must say something.");
    }

    /// <summary>Files which points of <see cref="Checklist"/> were seen to before a hooping.</summary>
    /// <param name="number">The hooping.</param>
    /// <param name="done">Keys of the points, or "all".</param>
    public Outcome<LogEntry> CheckOff(int number, IReadOnlyList<string> done)
    {
        if (Find(number).Problem is { } problem)
        {
            return problem;
        }

        string[] keys = [.. Checklist.Points.Select(p => p.Key)];
        if (done.FirstOrDefault(d => d != "all" && !keys.Contains(d)) is { } unknown)
        {
            return new Problem(Problems.BadCall, $"The checklist has no \"{unknown}\", but {string.Join(", ", keys)}.");
        }

        string[] seen = [.. keys.Where(k => done.Contains("all") || done.Contains(k))];
        return Log.Add(EntryKind.Checklist, number, new ChecklistBody(seen, [.. keys.Except(seen)]));
    }

    /// <summary>Files that an earlier entry counts no more; it stays where it is.</summary>
    public Outcome<LogEntry> Withdraw(long number, string why)
    {
        IReadOnlyList<LogEntry> entries = Log.Entries();
        if (entries.FirstOrDefault(e => e.Number == number) is not { } entry)
        {
            return new Problem(Problems.NoSuchHooping, string.Create(CultureInfo.InvariantCulture, $"The log has entries 1 to {entries.Count}, not {number}."));
        }

        if (entry.Kind is EntryKind.Withdrawn or EntryKind.Plan)
        {
            return new Problem(Problems.BadCall, string.Create(CultureInfo.InvariantCulture, $"Entry {number} is no check, stitching or remark: it stays."));
        }

        return Trimmed(why) is { } words
            ? Log.Add(EntryKind.Withdrawn, entry.Hooping, new WithdrawnBody(number, words))
            : new Problem(Problems.BadCall, "Say with --note why the entry counts no more.");
    }

    /// <summary>Takes a changed plan into the log, where the hoopings kept their numbers: the same rows, columns and order.</summary>
    public Outcome<LogEntry> TakePlan()
    {
        if (LastPlan() is { } last && SameNumbers(last) is false)
        {
            return new Problem(Problems.PlanChanged, "Numbers would change their meaning: rows, columns, the way the hoop lies and the order must stay.");
        }

        return Log.Add(EntryKind.Plan, null, new PlanBody(Mark(Plan), Folder.QuiltText, Folder.HoopText));
    }

    /// <summary>The first filing keeps the plan; later ones see that it is still the same.</summary>
    private Problem? KeepPlan()
    {
        if (LastPlan() is not { } last)
        {
            return TakePlan().Problem;
        }

        return last.Mark == Mark(Plan) ? null : new(Problems.PlanChanged, "");
    }

    private PlanBody? LastPlan() => Log.Entries().LastOrDefault(e => e.Kind == EntryKind.Plan) is { } entry ? EntryBody.Read<PlanBody>(entry) : null;

    /// <summary>Whether an earlier plan numbered the same places; a plan that cannot be made any more counts as another.</summary>
    private bool SameNumbers(PlanBody before)
    {
        QuiltPlan? old = QuiltFile.Parse(before.Quilt)
            .Then<QuiltPlan>(quilt => HoopFile.Parse(before.Hoop).Then(hoop => QuiltPlanner.Make(quilt.FillFile is null ? quilt : quilt with { FillWidth = Folder.Quilt.FillWidth, FillHeight = Folder.Quilt.FillHeight }, hoop)))
            .Value;
        return old is not null && old.Chosen.Lies == Plan.Chosen.Lies
            && old.Hoopings.Select(h => (h.Row, h.Column)).SequenceEqual(Plan.Hoopings.Select(h => (h.Row, h.Column)));
    }

    /// <summary>Changes with every place, size and turn, and with nothing else.</summary>
    private static string Mark(QuiltPlan plan)
    {
        var text = new StringBuilder();
        foreach (PlannedHooping h in plan.Hoopings)
        {
            text.Append(CultureInfo.InvariantCulture, $"{h.Row},{h.Column},{h.Centre.X:0.000},{h.Centre.Y:0.000},{h.Width:0.000},{h.Height:0.000},{h.Lies},{h.FillTurnDegrees}\n");
        }

        return PhotoStore.Hash(Encoding.UTF8.GetBytes(text.ToString()));
    }

    private static string? TapeQuestion(PlannedHooping hooping, HashSet<Side> seen)
    {
        HashSet<Side> expected = [.. hooping.TapeSides.Keys];
        if (seen.SetEquals(expected))
        {
            return null;
        }

        static string Names(IEnumerable<Side> sides) => string.Join(" and ", sides.Order().Select(s => s.Name())) is { Length: > 0 } names ? $"at the {names}" : "nowhere";
        string plain = $"The plan expects tape {Names(expected)}; the photo shows it {Names(seen)}.";
        return seen.Count > 0 && seen.SetEquals(expected.Select(Opposite))
            ? $"{plain} Is the quilt turned round in the hoop, or is this another hooping than {hooping.Number}?"
            : seen.IsSubsetOf(expected)
                ? $"{plain} Is a strip missing or not seen?"
                : $"{plain} Is this hooping {hooping.Number}?";
    }

    private static Side Opposite(Side side) => side switch
    {
        Side.Left => Side.Right,
        Side.Right => Side.Left,
        Side.Top => Side.Bottom,
        _ => Side.Top,
    };

    private static FillAt At(PlannedFill fill) => new(fill.Centre.X, fill.Centre.Y, fill.Width, fill.Height, fill.TurnDegrees);

    private static SideSeen Seen(SideClearance side)
    {
        static double? Known(double mm) => double.IsFinite(mm) ? Math.Round(mm, 4) : null;
        return new(
            side.Side.Name(), Words.Of(side.Decision), Known(side.MinMm), Known(side.MaxMm), Known(side.MeanMm), Known(side.UncertaintyMm), side.Tape.Colour, Straight(side.Tape));
    }

    /// <summary>The line through the samples that were read, each weighing alike.</summary>
    private static TapeLine? Straight(TapeEdge tape)
    {
        TapeSample[] read = [.. tape.Samples.Where(s => s.Seen && double.IsFinite(s.Q))];
        if (read.Length < 3)
        {
            return null;
        }

        double from = read.Min(s => s.S), to = read.Max(s => s.S), middle = (from + to) / 2;
        double[,] design = new double[read.Length, 2];
        for (int i = 0; i < read.Length; i++)
        {
            (design[i, 0], design[i, 1]) = (1, read[i].S - middle);
        }

        // The samples' errors are mostly the camera's and common to all: their mean uncertainty is the line's.
        return LeastSquares.Solve(design, [.. read.Select(s => s.Q)]) is { } line
            ? new(from, to, Math.Round(line.Solution[0], 4), Math.Round(line.Solution[1], 6), Math.Round(read.Average(s => s.StandardUncertainty), 4))
            : null;
    }

    private static string Settings(CheckRequest request)
    {
        MachineSpec machine = request.MachineInUse;
        return JsonText.Write(writer =>
        {
            writer.WriteStartObject();
            writer.WriteStartObject("hoop");
            writer.WriteString("name", request.Hoop.Name);
            writer.WriteRounded("openingWidthMm", request.Hoop.OpeningWidth, 4);
            writer.WriteRounded("openingHeightMm", request.Hoop.OpeningHeight, 4);
            writer.WriteRounded("frameHeightMm", request.Hoop.FrameHeight, 4);
            writer.WriteRounded("cornerRadiusMm", request.Hoop.CornerRadius ?? double.NaN, 4);
            writer.WriteRounded("frameWidthMm", request.Hoop.FrameWidth ?? double.NaN, 4);
            writer.WriteRounded("fieldWidthMm", request.Hoop.FieldWidth, 4);
            writer.WriteRounded("fieldHeightMm", request.Hoop.FieldHeight, 4);
            writer.WriteEndObject();
            writer.WriteStartObject("machine");
            writer.WriteRounded("nudgeStepMm", machine.NudgeStepMm, 4);
            writer.WriteRounded("resizeStep", machine.ResizeStep, 4);
            writer.WriteBoolean("resizeInPercent", machine.ResizeInPercent);
            writer.WriteRounded("turnStepDeg", machine.TurnStepDegrees ?? double.NaN, 4);
            writer.WriteRounded("smallestPercent", machine.SmallestPercent, 4);
            writer.WriteRounded("largestPercent", machine.LargestPercent, 4);
            writer.WriteEndObject();
            writer.WriteRounded("spacingMm", request.SpacingMm, 4);
            writer.WriteRounded("minGapMm", request.MinGapMm, 4);
            writer.WriteRounded("mostResizePercent", request.MostResizePercent, 4);
            writer.WriteString("tape", request.TapeColour?.Name);
            writer.WriteEndObject();
        });
    }

    private static string? Trimmed(string? text) => text?.Trim() is { Length: > 0 } words ? words : null;
}
