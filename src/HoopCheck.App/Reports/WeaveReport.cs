using System.Text.Json;
using HoopCheck.Checking;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Reports;

/// <summary>The answer to <c>--weave</c>: how the fabric lies in a photo without a hoop, in words or as <c>hoopcheck.weave/1</c>.</summary>
internal static class WeaveReport
{
    /// <summary>Writes the answer to standard output.</summary>
    /// <returns>The exit code: 0 measured, 3 it cannot tell.</returns>
    public static int Write(Photograph photo, string file, WeaveFound found, IReadOnlyDictionary<string, double> milliseconds, bool json, Terminal terminal)
    {
        string[] notes = Notes(found);
        if (json)
        {
            terminal.Out.WriteLine(JsonText.Write(writer => Write(writer, photo.Header, file, found.Weave, notes, milliseconds)));
        }
        else
        {
            foreach (string note in notes)
            {
                terminal.Out.WriteLine(note);
            }
        }

        return found.Weave is null ? (int)ProblemExit.CannotTell : 0;
    }

    /// <summary>The findings in words.</summary>
    public static string[] Notes(WeaveFound found) =>
        [.. found.Weave is { } weave ? WeaveAdvice.Say(weave, inHoop: false) : [], .. found.Reason is { } reason ? [reason] : Array.Empty<string>()];

    /// <summary>The field <c>weave</c>; null where nothing was measured.</summary>
    public static void WriteMeasure(Utf8JsonWriter writer, WeaveMeasure? weave)
    {
        if (weave is null)
        {
            writer.WriteNull("weave");
            return;
        }

        writer.WriteStartObject("weave");
        writer.WriteRounded("warpAngleDeg", weave.WarpAngleDeg ?? double.NaN, 3);
        writer.WriteRounded("weftAngleDeg", weave.WeftAngleDeg ?? double.NaN, 3);
        writer.WriteRounded("turnDeg", weave.TurnDeg ?? double.NaN, 3);
        writer.WriteRounded("skewPercent", weave.SkewPercent ?? double.NaN, 2);
        writer.WriteRounded("bowPercent", weave.BowPercent ?? double.NaN, 2);
        writer.WriteRounded("uncertaintyDeg", weave.UncertaintyDeg, 3);
        writer.WriteEndObject();
    }

    private static void Write(
        Utf8JsonWriter writer, PhotoHeader photo, string file, WeaveMeasure? weave, string[] notes, IReadOnlyDictionary<string, double> milliseconds)
    {
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.weave/1");
        writer.WriteStartObject("photo");
        writer.WriteString("file", file);
        writer.WriteNumber("width", photo.Width);
        writer.WriteNumber("height", photo.Height);
        writer.WriteString("taken", photo.Taken);
        writer.WriteEndObject();
        WriteMeasure(writer, weave);
        writer.WriteStartArray("notes");
        foreach (string note in notes)
        {
            writer.WriteStringValue(note);
        }

        writer.WriteEndArray();
        writer.WriteStartObject("milliseconds");
        foreach ((string stage, double time) in milliseconds)
        {
            writer.WriteRounded(stage, time, 1);
        }

        writer.WriteEndObject();
        writer.WriteEndObject();
    }
}
