using System.Globalization;
using System.Text.Json;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;
using Xunit.Abstractions;

namespace HoopCheck.Tests.TestImages;

/// <summary>
/// A tool, not a test of the suite: it applies each suggested change to the true tape edges of photos whose truth is known. It runs only when
/// HOOPCHECK_PHOTOS names a folder of NAME.jpg with NAME.json beside each; DEVELOPERS.md says how to call it and which fields it reads.
/// </summary>
public class GivenPhotos(ITestOutputHelper output)
{
    private sealed record TrueSide(Side Side, string Verdict, double[] S, double[] Q);

    [Fact]
    public void Correction_GivenPhotos_MakesEverySideTrulyClear()
    {
        if (Environment.GetEnvironmentVariable("HOOPCHECK_PHOTOS") is not { Length: > 0 } folder)
        {
            return;
        }

        var wrong = new List<string>();
        int asked = 0, good = 0, none = 0, unanswered = 0;
        foreach (string path in Directory.GetFiles(folder, "*.json").Order(StringComparer.Ordinal))
        {
            using JsonDocument document = JsonDocument.Parse(File.ReadAllText(path));
            if (!document.RootElement.TryGetProperty("planned_fill", out _))
            {
                continue;
            }

            TrueSide[] sides = [.. document.RootElement.GetProperty("tape_sides").EnumerateArray().Select(ReadSide)];
            if (!sides.Any(side => side.Verdict is "overlap" or "too_close" or "wide"))
            {
                continue;
            }

            asked++;
            string name = Path.GetFileNameWithoutExtension(path);
            CheckRequest request = Request(document.RootElement);
            Outcome<Photograph> photo = Intake.Read(File.ReadAllBytes(Path.ChangeExtension(path, ".jpg")));
            CheckResult? result = photo.Value is { } read ? CheckRun.Run(read, request, 0, NoTrace.Instance) : null;
            if (result?.Correction is not { } correction)
            {
                unanswered++;
                output.WriteLine($"{name}: no correction asked for: {result?.Decision.ToString() ?? photo.Problem!.Say} {string.Join("; ", result?.Problems.Select(p => p.Say) ?? [])}");
                continue;
            }

            string seen = string.Join(", ", sides.Select(side => Told(side, request, correction.After)));
            if (correction.IsPossible)
            {
                bool clear = sides.All(side => IsClear(side, request, correction.After)) && correction.Predicted.Select(p => p.Side).Order().SequenceEqual(sides.Select(s => s.Side).Order());
                good += clear ? 1 : 0;
                (clear ? output.WriteLine : (Action<string>)wrong.Add)($"{name}: {string.Join(", ", correction.Steps)}: truly {seen}");
                continue;
            }

            // Is there truly none? The same question with the true edges, nothing uncertain about them.
            none++;
            TapeEdge[] truth = [.. sides.Select(side => new TapeEdge(side.Side, [.. side.S.Zip(side.Q, (s, q) => new TapeSample(s, q, 0, true))], 0, "", "#000000"))];
            ClearanceFound truly = ClearanceCheck.Measure(truth, request.Fill, request.MinGapMm, request.SpacingMm);
            Correction? exists = CorrectionFinder.Find(truth, truly, new(request.Fill, request.Fill, request.Hoop, request.MachineInUse, request.MostResizePercent, request.MinGapMm, request.SpacingMm));
            output.WriteLine($"{name}: none, {correction.Obstacle!.Kind}; for the true edges {(exists is { IsPossible: true } e ? string.Join(", ", e.Steps) : "none either")}");
            if (exists is { IsPossible: true } && correction.Obstacle.Kind is not (ObstacleKind.Uncertainty or ObstacleKind.TooLittleSeen))
            {
                wrong.Add($"{name}: none said ({correction.Obstacle.Kind}), but {string.Join(", ", exists.Steps)} would do");
            }
        }

        output.WriteLine($"{asked} photos to be corrected: {good} truly clear after the change, {none} without one, {unanswered} not judged, {wrong.Count} wrong");
        Assert.True(asked > 0, $"no photo to be corrected in {folder}");
        Assert.Empty(wrong);
    }

    private static double[] Gaps(TrueSide side, PlannedFill fill)
    {
        // The facing edge between its two corners, turned with the fill.
        (double sin, double cos) = Math.SinCos(fill.TurnDegrees * Math.PI / 180);
        HoopVector n = side.Side.Normal(), t = side.Side.Along();
        (double, double)[] corners =
        [
            .. from u in (double[])[-0.5, 0.5]
               from v in (double[])[-0.5, 0.5]
               let x = fill.Centre.X + (u * fill.Width * cos) - (v * fill.Height * sin)
               let y = fill.Centre.Y + (u * fill.Width * sin) + (v * fill.Height * cos)
               let q = (x * n.X) + (y * n.Y)
               orderby q descending
               select (q, (x * t.X) + (y * t.Y)),
        ];
        ((double q0, double s0), (double q1, double s1)) = (corners[0], corners[1]);
        (double from, double to) = (Math.Min(s0, s1), Math.Max(s0, s1));
        return [.. side.S.Zip(side.Q).Where(p => p.First >= from && p.First <= to).Select(p => p.Second - q0 - ((q1 - q0) * (p.First - s0) / (s1 - s0)))];
    }

    private static bool IsClear(TrueSide side, CheckRequest request, PlannedFill fill) =>
        Gaps(side, fill) is { Length: > 0 } gaps && gaps.Min() >= request.MinGapMm && gaps.Max() <= request.SpacingMm;

    private static string Told(TrueSide side, CheckRequest request, PlannedFill fill)
    {
        double[] before = Gaps(side, request.Fill), after = Gaps(side, fill);
        return string.Create(CultureInfo.InvariantCulture, $"{side.Side} {before.Min():0.00} to {before.Max():0.00} becomes {after.Min():0.00} to {after.Max():0.00}");
    }

    private static TrueSide ReadSide(JsonElement side)
    {
        Side name = SideExtensions.Parse(side.GetProperty("side").GetString()!)!.Value;
        HoopVector n = name.Normal(), t = name.Along();
        double[][] edge = [.. side.GetProperty("inner_edge").GetProperty("hoop_xyz_mm").EnumerateArray().Where(p => p.ValueKind == JsonValueKind.Array)
            .Select(p => new[] { p[0].GetDouble(), p[1].GetDouble() }).OrderBy(p => (p[0] * t.X) + (p[1] * t.Y))];
        return new(name, side.GetProperty("verdict").GetString()!, [.. edge.Select(p => (p[0] * t.X) + (p[1] * t.Y))], [.. edge.Select(p => (p[0] * n.X) + (p[1] * n.Y))]);
    }

    private static CheckRequest Request(JsonElement truth)
    {
        JsonElement hoop = truth.GetProperty("hoop_spec"), fill = truth.GetProperty("planned_fill");
        double Of(JsonElement of, string name) => of.GetProperty(name).GetDouble();
        (double w, double h) = (Of(fill, "w"), Of(fill, "h"));
        HoopSpec spec = new(
            "given", Of(hoop, "opening_w"), Of(hoop, "opening_h"), Math.Round(Of(hoop, "ring_height"), 1), Math.Round(Of(hoop, "corner_radius")), Math.Round(Of(hoop, "ring_width")),
            Of(hoop, "opening_w"), Of(hoop, "opening_h"));

        // The stored picture's direction, turned clockwise as its EXIF orientation says.
        string[] around = ["up", "right", "down", "left"];
        int turns = truth.GetProperty("image").GetProperty("exif_orientation") is { ValueKind: JsonValueKind.Number } o ? o.GetInt32() switch { 6 => 1, 3 => 2, 8 => 3, _ => 0 } : 0;
        int up = (Array.IndexOf(around, truth.GetProperty("hoop_up_in_stored_image").GetProperty("nearest").GetString()) + turns) % 4;
        return new(
            spec, new(new(Of(fill, "x") + (w / 2), Of(fill, "y") + (h / 2)), w, h), Of(fill, "spacing_mm"), Of(fill, "min_gap_mm"),
            new[] { PhotoDirection.Top, PhotoDirection.Right, PhotoDirection.Bottom, PhotoDirection.Left }[up]);
    }
}
