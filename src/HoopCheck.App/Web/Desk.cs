using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using System.Text;
using HoopCheck.App.Pictures;
using HoopCheck.App.Quilts;
using HoopCheck.Planning;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Web;

/// <summary>A check just made.</summary>
/// <param name="Filed">Where it was filed.</param>
/// <param name="Result">Its answer.</param>
internal sealed record Checked(Filed Filed, CheckResult Result);

/// <summary>A filed check, as the log holds it.</summary>
/// <param name="Entry">The entry.</param>
/// <param name="Hooping">The plan's.</param>
/// <param name="Body">The check, short.</param>
/// <param name="Report">The report.</param>
/// <param name="Status">How its hooping stands now.</param>
/// <param name="Quilt">What the quilt file says.</param>
internal sealed record FiledCheck(LogEntry Entry, PlannedHooping Hooping, CheckBody Body, ReportView Report, HoopingStatus Status, QuiltSpec Quilt);

/// <summary>
/// The quilt as several phones use it at once: the folder and its log one at a time, the measuring one photo at a time with a short queue before it.
/// </summary>
/// <param name="folder">The quilt's folder, from the command line; nothing a phone sends becomes part of a path.</param>
internal sealed class Desk(string folder, CameraShelf cameras) : IDisposable
{
    /// <summary>How many photos may be held at once, the one being measured included.</summary>
    public const int MostPhotos = 8;

    private const int MostFlatViews = 8;

    private readonly Lock _book = new();
    private readonly SemaphoreSlim _turn = new(1, 1);
    private readonly ConcurrentDictionary<string, bool> _busy = new(StringComparer.Ordinal);
    private readonly ConcurrentDictionary<long, Task<byte[]?>> _flat = new();
    private int _held;

    /// <summary>Whether the folder is a quilt's yet.</summary>
    public bool HasQuilt => QuiltFolder.Is(folder);

    /// <inheritdoc/>
    public void Dispose() => _turn.Dispose();

    /// <summary>Works with folder and log, alone. Both are opened anew: other programs may have written to them.</summary>
    public Outcome<T> With<T>(Func<QuiltBook, Outcome<T>> act)
        where T : class
    {
        lock (_book)
        {
            Outcome<QuiltBook> opened = QuiltBook.Open(folder);
            if (opened.Value is not { } book)
            {
                return opened.Problem!;
            }

            using (book)
            {
                return act(book);
            }
        }
    }

    /// <summary>A place for a photo: one a device, and a few in all. To be given back.</summary>
    /// <returns>The place, or HC161.</returns>
    public Outcome<IDisposable> Enter(string device)
    {
        if (!_busy.TryAdd(device, true))
        {
            return new Problem(Problems.TooManyPhotos, "One from this phone is still being measured.");
        }

        if (Interlocked.Increment(ref _held) > MostPhotos)
        {
            Leave(device);
            return new Problem(Problems.TooManyPhotos, string.Create(CultureInfo.InvariantCulture, $"{MostPhotos} are waiting already."));
        }

        return new Place(() => Leave(device));
    }

    /// <summary>Measures a photo and files it. Waits for its turn.</summary>
    /// <param name="number">The hooping.</param>
    /// <param name="name">The photo's name, for the log's text only.</param>
    /// <param name="bytes">The photo's file.</param>
    /// <param name="applied">Changes made on the machine, from the planned fill.</param>
    /// <param name="tape">A colour that replaces the quilt file's; null: the quilt file's.</param>
    public async Task<Outcome<Checked>> Check(int number, string name, byte[] bytes, IReadOnlyList<FillChange> applied, string? tape)
    {
        await _turn.WaitAsync();
        try
        {
            return await Task.Run(() => Measure(number, bytes, applied, tape).Then(m => With(book => book.File(m.Hooping, name, bytes, m.Photo, m.Result)).Then<Checked>(filed =>
            {
                Keep(filed.Entry.Number, Task.Run(() => PictureWriter.Flat(m.Photo, m.Result)));
                return new Checked(filed, m.Result);
            })));
        }
        finally
        {
            _turn.Release();
        }
    }

    /// <summary>Checks the photo of a filed check again, with its correction made.</summary>
    public Task<Outcome<Checked>> CheckChanged(long entry, string? tape)
    {
        Outcome<FiledCheck> found = Filed(entry);
        if (found.Value is not { } filed)
        {
            return Task.FromResult<Outcome<Checked>>(found.Problem!);
        }

        if (filed.Report.Correction is not { Possible: true, Steps.Count: > 0 } correction)
        {
            return Task.FromResult<Outcome<Checked>>(new Problem(Problems.BadCall, "That answer names no change to make."));
        }

        string all = string.Join(", ", new[] { filed.Body.Applied, correction.Applied }.Where(a => a.Length > 0));
        if (!FillChange.TryParseList(all, out IReadOnlyList<FillChange> changes, out string why))
        {
            throw new LogBrokenException($"The changes of entry {entry} cannot be read: {why}.");
        }

        Outcome<byte[]> photo = File(entry, LogFile.Photo);
        return photo.Value is { } bytes ? Check(filed.Hooping.Number, filed.Body.Photo, bytes, changes, tape) : Task.FromResult<Outcome<Checked>>(photo.Problem!);
    }

    /// <summary>A filed check.</summary>
    /// <returns>It, or HC158 where the entry is none.</returns>
    public Outcome<FiledCheck> Filed(long number) => With<FiledCheck>(book =>
    {
        if (book.Log.Entries().FirstOrDefault(e => e.Number == number && e.Kind == EntryKind.Check) is not { Hooping: { } n } entry
            || book.Plan.Find(n) is not { } hooping || book.Log.Papers(number) is not { } papers)
        {
            return new Problem(Problems.NoSuchHooping, string.Create(CultureInfo.InvariantCulture, $"Entry {number} is no check."));
        }

        return new FiledCheck(entry, hooping, EntryBody.Read<CheckBody>(entry), ReportView.Parse(papers.Report), book.Hoopings()[n - 1], book.Folder.Quilt);
    });

    /// <summary>A file of an entry.</summary>
    /// <param name="number">The entry.</param>
    /// <param name="role">photo or marked.</param>
    public Outcome<byte[]> File(long number, string role)
    {
        Outcome<string> path = With<string>(book => book.Log.Entries().FirstOrDefault(e => e.Number == number)?.Files.FirstOrDefault(f => f.Role == role) is { } file
            ? book.Log.PathOf(file)
            : new Problem(Problems.NoSuchHooping, string.Create(CultureInfo.InvariantCulture, $"Entry {number} has no such picture.")));
        try
        {
            return path.Value is { } known ? System.IO.File.ReadAllBytes(known) : path.Problem!;
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return new Problem(Problems.LogDamaged, "A photo is missing.");
        }
    }

    /// <summary>The flat view of a filed check as JPEG. It is not filed: where it is no longer at hand, the photo is measured again.</summary>
    public async Task<Outcome<byte[]>> Flat(long number)
    {
        if (!_flat.TryGetValue(number, out Task<byte[]?>? drawn))
        {
            Outcome<FiledCheck> found = Filed(number);
            Outcome<byte[]> photo = found.Then(_ => File(number, LogFile.Photo));
            if (photo.Value is not { } bytes)
            {
                return photo.Problem!;
            }

            FiledCheck filed = found.Value!;
            _ = FillChange.TryParseList(filed.Body.Applied, out IReadOnlyList<FillChange> applied, out _);
            await _turn.WaitAsync();
            try
            {
                drawn = Task.Run(() => Measure(filed.Hooping.Number, bytes, applied, null).Value is { } m ? PictureWriter.Flat(m.Photo, m.Result) : null);
                Keep(number, drawn);
                await drawn;
            }
            finally
            {
                _turn.Release();
            }
        }

        return await drawn is { } jpeg ? jpeg : new Problem(Problems.NoSuchHooping, "Without a frame there is no flat view.");
    }

    /// <summary>Makes the quilt's folder.</summary>
    /// <param name="given">Entries of quilt.toml as a person wrote them.</param>
    /// <param name="hoop">The text of the hoop file.</param>
    public Problem? Create(IReadOnlyDictionary<string, string> given, string hoop)
    {
        string file = Path.Combine(Path.GetTempPath(), $"hoopcheck-{Guid.NewGuid():N}.toml");
        lock (_book)
        {
            try
            {
                System.IO.File.WriteAllText(file, hoop, new UTF8Encoding(false));
                return QuiltFolder.Create(folder, given, file, null);
            }
            catch (Exception e) when (PhotoFile.IsFileTrouble(e))
            {
                return new(Problems.CannotWrite, "");
            }
            finally
            {
                System.IO.File.Delete(file);
            }
        }
    }

    private Outcome<Measured> Measure(int number, byte[] bytes, IReadOnlyList<FillChange> applied, string? tape)
    {
        Outcome<Asked> asked = With<Asked>(book => book.Find(number).Then<Asked>(hooping => new Asked(hooping, book.RequestFor(hooping, applied))));
        if (asked.Value is not { } ask)
        {
            return asked.Problem!;
        }

        CheckRequest request = tape is null ? ask.Request : ask.Request with { TapeColour = TapeColours.Parse(tape) };
        if (!(request.Fill.Width > 0 && request.Fill.Height > 0))
        {
            return new Problem(Problems.BadCall, "Nothing is left of the fill.");
        }

        if (SewingField.Check(request.Hoop, request.Fill) is { } outside)
        {
            return outside;
        }

        long start = Stopwatch.GetTimestamp();
        return Intake.Read(bytes).Then<Measured>(photo =>
            new Measured(ask.Hooping, photo, CheckRun.Run(photo, cameras.Known(request, photo.Header), Stopwatch.GetElapsedTime(start).TotalMilliseconds, NoTrace.Instance)));
    }

    private void Keep(long entry, Task<byte[]?> flat)
    {
        _flat[entry] = flat;
        foreach (long old in _flat.Keys.Order().SkipLast(MostFlatViews))
        {
            _flat.TryRemove(old, out _);
        }
    }

    private void Leave(string device)
    {
        Interlocked.Decrement(ref _held);
        _busy.TryRemove(device, out _);
    }

    private sealed record Asked(PlannedHooping Hooping, CheckRequest Request);

    private sealed record Measured(PlannedHooping Hooping, Photograph Photo, CheckResult Result);

    private sealed class Place(Action leave) : IDisposable
    {
        private Action? _leave = leave;

        public void Dispose() => Interlocked.Exchange(ref _leave, null)?.Invoke();
    }
}
