using System.Text.Json;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Vision;

namespace HoopCheck.Tests.TestImages;

/// <summary>An answer that lies beside a test picture as NAME.expected.json; testimages/README.md explains the format.</summary>
public sealed record Answer(
    string Name,
    CheckRequest? Request,
    string? Problem,
    int Width,
    int Height,
    IReadOnlyList<PhotoPoint> Corners,
    double CornerTolerancePx,
    IReadOnlyList<SideAnswer> Sides,
    IReadOnlyList<string> Decisions);

/// <summary>What is true of one taped side.</summary>
public sealed record SideAnswer(Side Side, double SmallestMm, double LargestMm, double ToleranceMm, IReadOnlyList<string> Decisions);

/// <summary>Reads pictures and answers.</summary>
public static class Answers
{
    private const string Ending = ".expected.json";

    /// <summary>Names, without ending, of all pictures and all answers of a folder: "measured" or "must-refuse".</summary>
    public static (IReadOnlyList<string> Pictures, IReadOnlyList<string> Answers) Names(string folder)
    {
        List<string> files = [.. Directory.GetFiles(Repo.Path("testimages", folder)).Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal)];
        return (
            [.. files.Where(f => !f.EndsWith(Ending, StringComparison.Ordinal)).Select(f => Path.GetFileNameWithoutExtension(f))],
            [.. files.Where(f => f.EndsWith(Ending, StringComparison.Ordinal)).Select(f => f[..^Ending.Length])]);
    }

    public static byte[] Picture(string folder, string name) => File.ReadAllBytes(Directory.GetFiles(Repo.Path("testimages", folder), name + ".*").Single(f => !f.EndsWith(Ending, StringComparison.Ordinal)));

    public static Answer Read(string folder, string name)
    {
        using JsonDocument document = JsonDocument.Parse(File.ReadAllText(Repo.Path("testimages", folder, name + Ending)));
        JsonElement root = document.RootElement;
        bool measured = !root.TryGetProperty("problem", out JsonElement problem);
        return new(
            name,
            root.TryGetProperty("hoop", out _) ? Request(root) : null,
            measured ? null : problem.GetString(),
            measured ? (int)Numbers(root, "photo-px")[0] : 0,
            measured ? (int)Numbers(root, "photo-px")[1] : 0,
            measured ? [.. root.GetProperty("corners-px").EnumerateArray().Select(c => new PhotoPoint(c[0].GetDouble(), c[1].GetDouble()))] : [],
            measured ? root.GetProperty("corner-tolerance-px").GetDouble() : 0,
            measured ? [.. root.GetProperty("sides").EnumerateArray().Select(ReadSide)] : [],
            measured ? Words(root, "decisions") : []);
    }

    private static CheckRequest Request(JsonElement root)
    {
        JsonElement hoop = root.GetProperty("hoop"), fill = root.GetProperty("fill");
        double[] opening = Numbers(hoop, "opening-mm"), field = Numbers(hoop, "sewing-field-mm"), size = Numbers(fill, "size-mm"), centre = Numbers(fill, "centre-mm");
        HoopSpec spec = new(
            "test", opening[0], opening[1], hoop.GetProperty("frame-height-mm").GetDouble(), hoop.GetProperty("corner-radius-mm").GetDouble(),
            hoop.GetProperty("frame-width-mm").GetDouble(), field[0], field[1]);
        return new(
            spec,
            new(new(centre[0], centre[1]), size[0], size[1]),
            root.GetProperty("spacing-mm").GetDouble(),
            root.GetProperty("min-gap-mm").GetDouble(),
            Enum.Parse<PhotoDirection>(root.GetProperty("up").GetString()!, true));
    }

    private static SideAnswer ReadSide(JsonElement side) => new(
        SideExtensions.Parse(side.GetProperty("side").GetString()!)!.Value,
        side.GetProperty("smallest-mm").GetDouble(),
        side.GetProperty("largest-mm").GetDouble(),
        side.GetProperty("tolerance-mm").GetDouble(),
        Words(side, "decisions"));

    private static double[] Numbers(JsonElement element, string name) => [.. element.GetProperty(name).EnumerateArray().Select(n => n.GetDouble())];

    private static string[] Words(JsonElement element, string name) => [.. element.GetProperty(name).EnumerateArray().Select(n => n.GetString()!)];
}
