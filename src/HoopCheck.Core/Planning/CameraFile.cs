using System.Buffers;
using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using HoopCheck.Rules;

namespace HoopCheck.Planning;

/// <summary>
/// Reads and writes a camera's profile: one JSON object, all lengths in pixels of a picture of the given stored size.
/// <code>
/// { "width": 4032, "height": 3024,      picture size as the camera stores it (required)
///   "fx": 2912.4,                       focal length; "focal" is the same (one of the two required)
///   "cx": 2015.5, "cy": 1511.5,         principal point, pixel centres at integers (default: the middle)
///   "k1": -0.02, "k2": 0.003,           Brown-Conrady radial distortion (default 0)
///   "focalUncertainty": 6,              one standard deviation of the focal length (default: 0.5 % of it)
///   "centreUncertainty": 2,             of cx and cy, "k1Uncertainty" and "k2Uncertainty" of k1 and k2 (default: the usual ones)
///   "make": "…", "model": "…",          both: the photos it belongs to, as their EXIF data have it (default: none)
///   "focalMm": 5.76, "focal35Mm": 26,   their EXIF focal lengths
///   "covariance": [[…], …],             of focal length, cx, cy, k1, k2, as the calibration alone gives it; for the record
///   "photos": 12, "rmsPx": 0.15, "date": "2026-01-31", "name": "my phone" }   for the person
/// </code>
/// </summary>
public static class CameraFile
{
    private static readonly string[] s_numbers =
        ["width", "height", "fx", "focal", "cx", "cy", "k1", "k2", "focalUncertainty", "centreUncertainty", "k1Uncertainty", "k2Uncertainty", "focalMm", "focal35Mm", "photos", "rmsPx"];

    private static readonly string[] s_texts = ["name", "make", "model", "date"];

    private static readonly string[] s_entries = [.. s_numbers, .. s_texts, "covariance"];

    /// <summary>Reads and checks a camera file's text.</summary>
    /// <param name="text">The whole file.</param>
    /// <returns>The camera, or HC113 naming the entry.</returns>
    public static Outcome<CameraIntrinsics> Parse(string text) => ParseProfile(text).Then<CameraIntrinsics>(profile => profile.Intrinsics);

    /// <summary>Reads and checks a camera file's text, with what it was learnt from.</summary>
    /// <param name="text">The whole file.</param>
    /// <returns>The profile, or HC113 naming the entry.</returns>
    public static Outcome<CameraProfile> ParseProfile(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        try
        {
            using JsonDocument document = JsonDocument.Parse(text);
            return Read(document.RootElement);
        }
        catch (JsonException broken)
        {
            return Broken(string.Create(CultureInfo.InvariantCulture, $"It is no JSON: line {broken.LineNumber + 1}."));
        }
    }

    /// <summary>A profile as the text of a file.</summary>
    public static string Write(CameraProfile profile)
    {
        ArgumentNullException.ThrowIfNull(profile);
        CameraIntrinsics k = profile.Intrinsics;
        var bytes = new ArrayBufferWriter<byte>();
        using (var writer = new Utf8JsonWriter(bytes, new() { Indented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping }))
        {
            writer.WriteStartObject();
            Text("name", profile.Name);
            Text("make", profile.Lens?.Make);
            Text("model", profile.Lens?.Model);
            Number("focalMm", profile.Lens?.FocalMm, 4);
            Number("focal35Mm", profile.Lens?.Focal35Mm, 2);
            Number("width", k.Width, 0);
            Number("height", k.Height, 0);
            Number("fx", k.Focal, 3);
            Number("cx", k.Cx, 3);
            Number("cy", k.Cy, 3);
            Number("k1", k.K1, 6);
            Number("k2", k.K2, 6);
            Number("focalUncertainty", k.FocalUncertainty, 3);
            Number("centreUncertainty", k.CentreUncertainty, 3);
            Number("k1Uncertainty", k.K1Uncertainty, 6);
            Number("k2Uncertainty", k.K2Uncertainty, 6);
            if (profile.Covariance is { } covariance)
            {
                writer.WriteStartArray("covariance");
                foreach (IReadOnlyList<double> row in covariance)
                {
                    // A row on one line: five rows of five are read as a matrix.
                    writer.WriteRawValue($"\n    [{string.Join(", ", row.Select(v => v.ToString("G6", CultureInfo.InvariantCulture)))}]");
                }

                writer.WriteEndArray();
            }

            Number("photos", profile.Photos, 0);
            Number("rmsPx", profile.RmsPx, 3);
            Text("date", profile.Date);
            writer.WriteEndObject();

            void Text(string entry, string? value)
            {
                if (value is not null)
                {
                    writer.WriteString(entry, value);
                }
            }

            void Number(string entry, double? value, int decimals)
            {
                if (value is { } number)
                {
                    writer.WriteNumber(entry, Math.Round((decimal)number, decimals));
                }
            }
        }

        return Encoding.UTF8.GetString(bytes.WrittenSpan) + "\n";
    }

    private static Outcome<CameraProfile> Read(JsonElement root)
    {
        if (root.ValueKind != JsonValueKind.Object)
        {
            return Broken("It must be one JSON object.");
        }

        var numbers = new Dictionary<string, double>(StringComparer.Ordinal);
        var texts = new Dictionary<string, string>(StringComparer.Ordinal);
        double[][]? covariance = null;
        foreach (JsonProperty entry in root.EnumerateObject())
        {
            if (!s_entries.Contains(entry.Name, StringComparer.Ordinal))
            {
                return Broken($"\"{entry.Name}\" is not known; is \"{NearestWord.Of(entry.Name, s_entries)}\" meant?");
            }

            if (s_texts.Contains(entry.Name, StringComparer.Ordinal))
            {
                if (entry.Value.ValueKind != JsonValueKind.String)
                {
                    return Broken($"\"{entry.Name}\" must be a text in quotes.");
                }

                texts[entry.Name] = entry.Value.GetString()!.Trim();
                continue;
            }

            if (entry.Name == "covariance")
            {
                if ((covariance = Matrix(entry.Value)) is null)
                {
                    return Broken("\"covariance\" must be five rows of five numbers.");
                }

                continue;
            }

            if (entry.Value.ValueKind != JsonValueKind.Number || !entry.Value.TryGetDouble(out double number) || !double.IsFinite(number))
            {
                return Broken($"\"{entry.Name}\" must be a number.");
            }

            if (!numbers.TryAdd(entry.Name, number))
            {
                return Broken($"\"{entry.Name}\" is there twice.");
            }
        }

        foreach (string name in (string[])["centreUncertainty", "k1Uncertainty", "k2Uncertainty", "focalMm", "focal35Mm", "photos"])
        {
            if (numbers.TryGetValue(name, out double size) && size <= 0)
            {
                return Broken($"\"{name}\" must be above 0.");
            }
        }

        if (texts.ContainsKey("make") != texts.ContainsKey("model"))
        {
            return Broken("\"make\" and \"model\" go together: give both or neither.");
        }

        return ReadLens(numbers).Then<CameraProfile>(lens => new CameraProfile(lens with
        {
            CentreUncertainty = Given("centreUncertainty"),
            K1Uncertainty = Given("k1Uncertainty"),
            K2Uncertainty = Given("k2Uncertainty"),
        })
        {
            Name = texts.GetValueOrDefault("name"),
            Lens = texts.TryGetValue("make", out string? make) ? new(make, texts["model"], Given("focalMm"), Given("focal35Mm")) : null,
            Photos = (int?)Given("photos"),
            RmsPx = Given("rmsPx"),
            Date = texts.GetValueOrDefault("date"),
            Covariance = covariance,
        });

        double? Given(string name) => numbers.TryGetValue(name, out double value) ? value : null;
    }

    private static double[][]? Matrix(JsonElement rows)
    {
        const int Size = 5;
        return rows.ValueKind == JsonValueKind.Array && rows.GetArrayLength() == Size
            && rows.EnumerateArray().All(r => r.ValueKind == JsonValueKind.Array && r.GetArrayLength() == Size && r.EnumerateArray().All(v => v.ValueKind == JsonValueKind.Number))
            ? [.. rows.EnumerateArray().Select(r => r.EnumerateArray().Select(v => v.GetDouble()).ToArray())]
            : null;
    }

    private static Outcome<CameraIntrinsics> ReadLens(Dictionary<string, double> numbers)
    {
        foreach (string side in (string[])["width", "height"])
        {
            if (!numbers.TryGetValue(side, out double px))
            {
                return Broken($"\"{side}\" is missing.");
            }

            if (px is < 100 or > 100_000 || px != Math.Floor(px))
            {
                return Broken($"\"{side}\" must be a whole number of pixels, 100 to 100000.");
            }
        }

        if (numbers.ContainsKey("fx") == numbers.ContainsKey("focal"))
        {
            return Broken(numbers.ContainsKey("fx") ? "\"fx\" and \"focal\" are the same: give one." : "\"fx\" is missing.");
        }

        double width = numbers["width"], height = numbers["height"], longSide = Math.Max(width, height);
        string focalName = numbers.ContainsKey("fx") ? "fx" : "focal";
        double focal = numbers[focalName];

        // 0.3 is a view of 118 degrees, 10 one of 6: no phone is outside.
        if (focal < 0.3 * longSide || focal > 10 * longSide)
        {
            return Broken($"\"{focalName}\" must be in pixels, 0.3 to 10 times the long side.");
        }

        double cx = numbers.GetValueOrDefault("cx", (width - 1) / 2), cy = numbers.GetValueOrDefault("cy", (height - 1) / 2);
        if (cx < 0.25 * width || cx > 0.75 * width)
        {
            return Broken("\"cx\" must lie in the middle half of the picture.");
        }

        if (cy < 0.25 * height || cy > 0.75 * height)
        {
            return Broken("\"cy\" must lie in the middle half of the picture.");
        }

        double k1 = numbers.GetValueOrDefault("k1"), k2 = numbers.GetValueOrDefault("k2");
        if (Math.Abs(k1) > 1 || Math.Abs(k2) > 2)
        {
            return Broken($"\"{(Math.Abs(k1) > 1 ? "k1" : "k2")}\" is too large for a phone's lens.");
        }

        double uncertainty = numbers.GetValueOrDefault("focalUncertainty", 0.005 * focal);
        return uncertainty > 0 && uncertainty <= 0.2 * focal
            ? new CameraIntrinsics((int)width, (int)height, focal, cx, cy, k1, k2, uncertainty)
            : Broken("\"focalUncertainty\" must be above 0 and at most a fifth of the focal length.");
    }

    private static Problem Broken(string detail) => new(Problems.CameraFileBroken, detail);
}
