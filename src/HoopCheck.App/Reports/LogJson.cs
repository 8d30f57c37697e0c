using System.Globalization;
using System.Text.Json;
using HoopCheck.App.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>The log as <c>hoopcheck.log/1</c>.</summary>
internal static class LogJson
{
    /// <summary>How the quilt stands and all entries, as one line of text.</summary>
    /// <param name="book">Folder and log.</param>
    /// <param name="hooping">Only this hooping; null: all.</param>
    public static string Write(QuiltBook book, int? hooping = null) => JsonText.Write(writer =>
    {
        IReadOnlyList<HoopingStatus> all = book.Hoopings();
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.log/1");
        writer.WriteString("name", book.Folder.Quilt.Name);
        writer.WriteNumber("hoopings", all.Count);
        writer.WriteNumber("stitched", all.Count(h => h.State == HoopingState.Stitched));
        if (all.FirstOrDefault(h => h.State != HoopingState.Stitched) is { } next)
        {
            writer.WriteNumber("next", next.Hooping.Number);
        }
        else
        {
            writer.WriteNull("next");
        }

        writer.WriteStartArray("states");
        foreach (HoopingStatus status in all.Where(h => hooping is null || h.Hooping.Number == hooping))
        {
            writer.WriteStartObject();
            writer.WriteNumber("hooping", status.Hooping.Number);
            writer.WriteString("state", Of(status.State));
            WriteNumber(writer, "check", status.CheckEntry?.Number);
            WriteNumber(writer, "stitchedEntry", status.StitchedEntry?.Number);
            writer.WriteStartArray("remarks");
            foreach (string remark in status.Remarks)
            {
                writer.WriteStringValue(remark);
            }

            writer.WriteEndArray();
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("entries");
        foreach (LogEntry entry in book.Log.Entries(hooping))
        {
            writer.WriteStartObject();
            WriteEntry(writer, entry);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteEndObject();
    });

    /// <summary>open, clear, change, unsure, stitched or redo.</summary>
    public static string Of(HoopingState state) => state.ToString().ToLowerInvariant();

    /// <summary>An entry's fields.</summary>
    public static void WriteEntry(Utf8JsonWriter writer, LogEntry entry)
    {
        writer.WriteNumber("entry", entry.Number);
        writer.WriteString("kind", HoopingLog.Word(entry.Kind));
        WriteNumber(writer, "hooping", entry.Hooping);
        writer.WriteString("at", entry.At.ToString("yyyy-MM-dd'T'HH:mm:ss.fff'Z'", CultureInfo.InvariantCulture));
        writer.WriteString("program", entry.Program);
        writer.WritePropertyName("body");
        writer.WriteRawValue(entry.Body);
        writer.WriteStartArray("files");
        foreach (LogFile file in entry.Files)
        {
            writer.WriteStartObject();
            writer.WriteString("role", file.Role);
            writer.WriteString("name", file.Name);
            writer.WriteNumber("bytes", file.Bytes);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteString("hash", entry.Hash);
    }

    private static void WriteNumber(Utf8JsonWriter writer, string name, long? number)
    {
        if (number is { } value)
        {
            writer.WriteNumber(name, value);
        }
        else
        {
            writer.WriteNull(name);
        }
    }
}
