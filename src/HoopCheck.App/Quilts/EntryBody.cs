using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace HoopCheck.App.Quilts;

/// <summary>The fill in the hoop's coordinates, mm and degrees.</summary>
internal sealed record FillAt(double X, double Y, double Width, double Height, double TurnDegrees);

/// <summary>A tape's inner edge as a straight line: q(s) = MiddleMm + Slope·(s − (FromMm + ToMm)/2), in the coordinates of its side, mm.</summary>
/// <param name="FromMm">Where along the side it was read.</param>
/// <param name="ToMm">Where along the side it was read.</param>
/// <param name="MiddleMm">Distance from the hoop's centre in the middle of that stretch.</param>
/// <param name="Slope">Rise of q along s.</param>
/// <param name="StandardUncertaintyMm">Of the distance.</param>
internal sealed record TapeLine(double FromMm, double ToMm, double MiddleMm, double Slope, double StandardUncertaintyMm);

/// <summary>One side of a check; lengths in mm, null where nothing was measured.</summary>
internal sealed record SideSeen(
    string Side, string Decision, double? MinMm, double? MaxMm, double? MeanMm, double? UncertaintyMm, string? Colour, TapeLine? Tape);

/// <summary>A check, short; the whole report stands in the entry's papers.</summary>
/// <param name="Decision">As in the report.</param>
/// <param name="Photo">The photo's name as it was given.</param>
/// <param name="Taken">When it was taken, from the photo; null when not said.</param>
/// <param name="Fill">The fill as checked.</param>
/// <param name="Planned">The fill before any change on the machine.</param>
/// <param name="Applied">The changes that led to it from the planned one, as <c>--applied</c> reads them; empty for none.</param>
/// <param name="Sides">The sides with tape.</param>
/// <param name="Questions">What does not agree with the plan or the log.</param>
internal sealed record CheckBody(
    string Decision, string Photo, string? Taken, FillAt Fill, FillAt Planned, string Applied, IReadOnlyList<SideSeen> Sides, IReadOnlyList<string> Questions);

/// <summary>What was stitched, or is to be stitched again.</summary>
/// <param name="Applied">All changes from the planned fill; null: as in the last check.</param>
/// <param name="Note">A remark; null for none.</param>
/// <param name="Fill">The fill as stitched.</param>
internal sealed record StitchedBody(string? Applied, string? Note, FillAt? Fill);

/// <summary>A remark.</summary>
internal sealed record NoteBody(string Text);

/// <summary>Points of the checklist that were seen to, by key.</summary>
internal sealed record ChecklistBody(IReadOnlyList<string> Done, IReadOnlyList<string> Open);

/// <summary>Which entry counts no more, and why.</summary>
internal sealed record WithdrawnBody(long Entry, string Why);

/// <summary>The files that the plan follows from.</summary>
/// <param name="Mark">SHA-256 of the plan's places and sizes.</param>
/// <param name="Quilt">Text of the quilt file.</param>
/// <param name="Hoop">Text of the hoop file.</param>
internal sealed record PlanBody(string Mark, string Quilt, string Hoop);

/// <summary>The log holds something that this program never writes: it was changed by hand or is damaged.</summary>
internal sealed class LogBrokenException(string message) : Exception(message);

/// <summary>Writes and reads the bodies of entries.</summary>
internal static class EntryBody
{
    private static readonly JsonSerializerOptions s_options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    /// <summary>A body as JSON.</summary>
    public static string Write(object body) => JsonSerializer.Serialize(body, body.GetType(), s_options);

    /// <summary>An entry's body.</summary>
    /// <exception cref="LogBrokenException">The entry's body is not of that kind: the log was changed by hand.</exception>
    public static T Read<T>(LogEntry entry)
        where T : class
    {
        try
        {
            return JsonSerializer.Deserialize<T>(entry.Body, s_options) ?? throw new LogBrokenException($"Entry {entry.Number} is empty.");
        }
        catch (JsonException)
        {
            throw new LogBrokenException($"Entry {entry.Number} cannot be read.");
        }
    }
}
