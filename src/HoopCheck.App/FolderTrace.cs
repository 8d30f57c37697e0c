using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;
using HoopCheck.Vision;
using SkiaSharp;

namespace HoopCheck.App;

/// <summary>
/// Writes what the stages saw into a folder: numbered files such as <c>020-frame.json</c> and <c>020-frame.png</c>, and
/// <c>times.txt</c>, which also lists them. An older trace's files, as its own times.txt lists them, are deleted first;
/// nothing else in the folder is touched.
/// </summary>
internal sealed class FolderTrace : ITrace
{
    private const string TimesFile = "times.txt", Heading = "hoopcheck trace", Listed = "file ";

    private static readonly JsonSerializerOptions s_json = new()
    {
        WriteIndented = true,
        IncludeFields = true,
        NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        Converters = { new JsonStringEnumConverter(), new MatrixConverter() },
    };

    private readonly string _folder;

    /// <summary>Makes the folder ready.</summary>
    /// <exception cref="IOException">The folder cannot be written.</exception>
    /// <exception cref="UnauthorizedAccessException">The folder may not be written.</exception>
    public FolderTrace(string folder)
    {
        _folder = folder;
        Directory.CreateDirectory(folder);
        DeleteOlder(folder);
        File.WriteAllText(Path.Combine(folder, TimesFile), Heading + "\n");
    }

    /// <inheritdoc/>
    public bool Wanted => true;

    /// <inheritdoc/>
    public void Data(int number, string name, object record)
    {
        string path = Open(number, name, "json");
        try
        {
            File.WriteAllText(path, JsonSerializer.Serialize(record, record.GetType(), s_json));
        }
        catch (Exception e) when (e is NotSupportedException or JsonException or InvalidOperationException)
        {
            // A record that has no JSON form must not change the check's answer.
            File.WriteAllText(path, JsonSerializer.Serialize(record.ToString(), s_json));
        }
    }

    /// <inheritdoc/>
    public void Picture(int number, string name, Pixels picture)
    {
        using var bitmap = new SKBitmap(new SKImageInfo(picture.Width, picture.Height, SKColorType.Bgra8888, SKAlphaType.Opaque));
        byte[] row = new byte[picture.Width * 4];
        for (int y = 0; y < picture.Height; y++)
        {
            for (int x = 0; x < picture.Width; x++)
            {
                int from = ((y * picture.Width) + x) * 3, to = x * 4;
                (row[to], row[to + 1], row[to + 2], row[to + 3]) = (picture.Bgr[from], picture.Bgr[from + 1], picture.Bgr[from + 2], 255);
            }

            Marshal.Copy(row, 0, bitmap.GetPixels() + (nint)(y * (long)bitmap.RowBytes), row.Length);
        }

        using SKData png = bitmap.Encode(SKEncodedImageFormat.Png, 100);
        using FileStream file = File.Create(Open(number, name, "png"));
        png.SaveTo(file);
    }

    /// <summary>Writes the stages' times.</summary>
    /// <param name="milliseconds">By stage.</param>
    public void Finish(IReadOnlyDictionary<string, double> milliseconds)
    {
        var text = new StringBuilder();
        foreach ((string stage, double time) in milliseconds)
        {
            text.Append(CultureInfo.InvariantCulture, $"{stage,-8} {time,9:0.00} ms\n");
        }

        File.AppendAllText(Path.Combine(_folder, TimesFile), text.ToString());
    }

    private static void DeleteOlder(string folder)
    {
        string list = Path.Combine(folder, TimesFile);
        if (!File.Exists(list) || File.ReadAllLines(list) is not [Heading, ..] lines)
        {
            return;
        }

        foreach (string line in lines.Where(line => line.StartsWith(Listed, StringComparison.Ordinal)))
        {
            // Only plain names: a list that was tampered with reaches nothing outside the folder.
            string name = line[Listed.Length..];
            if (name == Path.GetFileName(name))
            {
                File.Delete(Path.Combine(folder, name));
            }
        }
    }

    private string Open(int number, string name, string kind)
    {
        string file = string.Create(CultureInfo.InvariantCulture, $"{number:000}-{name}.{kind}");
        File.AppendAllText(Path.Combine(_folder, TimesFile), $"{Listed}{file}\n");
        return Path.Combine(_folder, file);
    }

    /// <summary>A covariance as a list of rows, which the serializer cannot do by itself.</summary>
    private sealed class MatrixConverter : JsonConverter<double[,]>
    {
        public override double[,] Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            throw new NotSupportedException("Traces are only written.");

        public override void Write(Utf8JsonWriter writer, double[,] value, JsonSerializerOptions options)
        {
            writer.WriteStartArray();
            for (int i = 0; i < value.GetLength(0); i++)
            {
                writer.WriteStartArray();
                for (int j = 0; j < value.GetLength(1); j++)
                {
                    JsonSerializer.Serialize(writer, value[i, j], options);
                }

                writer.WriteEndArray();
            }

            writer.WriteEndArray();
        }
    }
}
