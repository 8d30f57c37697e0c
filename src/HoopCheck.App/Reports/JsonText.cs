using System.Buffers;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace HoopCheck.App.Reports;

/// <summary>One JSON document as a line of text.</summary>
internal static class JsonText
{
    // Not for HTML: ± and − stay readable.
    private static readonly JsonWriterOptions s_options = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>Collects what is written.</summary>
    public static string Write(Action<Utf8JsonWriter> body)
    {
        var bytes = new ArrayBufferWriter<byte>(4096);
        using (var writer = new Utf8JsonWriter(bytes, s_options))
        {
            body(writer);
        }

        return Encoding.UTF8.GetString(bytes.WrittenSpan);
    }

    /// <summary>A number with so many decimals; null for what is no number.</summary>
    public static void WriteRounded(this Utf8JsonWriter writer, double value, int decimals)
    {
        if (!double.IsFinite(value))
        {
            writer.WriteNullValue();
            return;
        }

        // Adding zero turns -0 into 0.
        writer.WriteNumberValue(Math.Round(value, decimals) + 0.0);
    }

    /// <summary>A named number with so many decimals; null for what is no number.</summary>
    public static void WriteRounded(this Utf8JsonWriter writer, string name, double value, int decimals)
    {
        writer.WritePropertyName(name);
        writer.WriteRounded(value, decimals);
    }
}
