using System.Globalization;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;

namespace HoopCheck.App.Commands;

/// <summary>The hooping of a quilt that a check belongs to.</summary>
internal sealed class QuiltTarget : IDisposable
{
    private QuiltTarget(QuiltBook book, PlannedHooping hooping) => (Book, Hooping) = (book, hooping);

    /// <summary>Folder and log.</summary>
    public QuiltBook Book { get; }

    /// <summary>The plan's hooping.</summary>
    public PlannedHooping Hooping { get; }

    /// <summary>What the quilt file says.</summary>
    public QuiltSpec Quilt => Book.Folder.Quilt;

    /// <summary>Whether a call of check belongs to a quilt: it says so, or it is made in a quilt's folder and names no hoop.</summary>
    public static bool IsMeant(string? quilt, string? hooping, string hoop) =>
        quilt is not null || hooping is not null || (hoop.Length == 0 && QuiltFolder.Is("."));

    /// <summary>Opens the quilt and finds the hooping; the next one to be stitched where none is named.</summary>
    public static Outcome<QuiltTarget> Open(string? quilt, string? hooping)
    {
        int? number = null;
        if (hooping is not null)
        {
            if (!int.TryParse(hooping, NumberStyles.None, CultureInfo.InvariantCulture, out int given))
            {
                return new Problem(Problems.BadCall, $"--hooping: \"{hooping}\" is not a hooping's number.");
            }

            number = given;
        }

        Outcome<QuiltBook> opened = QuiltBook.Open(quilt ?? ".");
        if (opened.Value is not { } book)
        {
            return opened.Problem!;
        }

        Outcome<PlannedHooping> found = number is { } n ? book.Find(n)
            : book.Next() is { } next ? next
            : new Problem(Problems.BadCall, "--hooping: all hoopings are stitched; say which one the photo shows.");
        if (found.Value is { } hoop)
        {
            return new QuiltTarget(book, hoop);
        }

        book.Dispose();
        return found.Problem!;
    }

    /// <summary>The planned fill, where the call gives none; it may still say where it lies.</summary>
    public Outcome<FillGiven> Fill(FillCall call)
    {
        HoopPoint centre = default;
        if (call.At is { } at && !Length.TryParsePlace(at, out centre, out string why))
        {
            return new Problem(Problems.BadCall, $"--fill-at: {why}.");
        }

        string? alone = call.Corners is not null ? "--fill-corners" : call.Kind is not null ? "--fill-kind" : call.Thread is not null ? "--thread" : null;
        return alone is not null
            ? new Problem(Problems.BadCall, $"{alone}: it goes with --fill.")
            : new FillGiven(Book.Folder.FillOf(Hooping) with { Centre = centre }, []);
    }

    /// <summary>The answer with what does not agree with plan and log among its notes.</summary>
    public CheckResult Asked(CheckResult result)
    {
        string[] more = [.. Book.Questions(Hooping, result)];
        if (Hooping.TapeSides.Count == 0 && result.Decision == Decision.NoTape)
        {
            more = [.. more, "It is the first hooping: there is no stitching beside it to keep clear of."];
        }

        if (PlanReport.Bobbin(Book.Plan, Hooping) is { } bobbin)
        {
            more = [.. more, bobbin];
        }

        return more.Length == 0 ? result : result with { Notes = [.. result.Notes, .. more] };
    }

    /// <inheritdoc/>
    public void Dispose() => Book.Dispose();
}
