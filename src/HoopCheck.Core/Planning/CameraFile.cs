using System.Globalization;
using System.Text.Json;
using HoopCheck.Rules;

namespace HoopCheck.Planning;

/// <summary>
/// Reads a camera file: one JSON object, all lengths in pixels of a picture of the given stored size.
/// <code>
/// { "width": 4032, "height": 3024,      picture size as the camera stores it (required)
///   "fx": 2912.4,                       focal length; "focal" is the same (one of the two required)
///   "cx": 2015.5, "cy": 1511.5,         principal point, pixel centres at integers (default: the middle)
///   "k1": -0.02, "k2": 0.003,           Brown-Conrady radial distortion (default 0)
///   "focalUncertainty": 6,              one standard deviation of the focal length (default: 0.5 % of it)
///   "name": "my phone" }                for the person, not read
/// </code>
/// </summary>
public static class CameraFile
{
    private static readonly string[] s_entries = ["width", "height", "fx", "focal", "cx", "cy", "k1", "k2", "focalUncertainty", "name"];

    /// <summary>Reads and checks a camera file's text.</summary>
    /// <param name="text">The whole file.</param>
    /// <returns>The camera, or HC113 naming the entry.</returns>
    public static Outcome<CameraIntrinsics> Parse(string text)
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

    private static Outcome<CameraIntrinsics> Read(JsonElement root)
    {
        if (root.ValueKind != JsonValueKind.Object)
        {
            return Broken("It must be one JSON object.");
        }

        var numbers = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (JsonProperty entry in root.EnumerateObject())
        {
            if (!s_entries.Contains(entry.Name, StringComparer.Ordinal))
            {
                return Broken($"\"{entry.Name}\" is not known; is \"{NearestWord.Of(entry.Name, s_entries)}\" meant?");
            }

            if (entry.Name == "name")
            {
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
