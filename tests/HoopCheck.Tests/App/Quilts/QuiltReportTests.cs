using System.Globalization;
using System.Text.Json;
using System.Xml.Linq;
using HoopCheck.App;
using HoopCheck.App.Quilts;
using HoopCheck.Planning.Quilts;
using OpenCvSharp;

namespace HoopCheck.Tests.App.Quilts;

public sealed class QuiltReportTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public QuiltReportTests()
    {
        File.WriteAllText(Path.Combine(_folder, "hoop.toml"), "name = \"h\"\nopening = \"300x220mm\"\nframe-height = \"11mm\"\n");

        // By hand: 3 x 2 fills of 280 x 200, gaps of 6: 852 x 406 mm. Order 2 1 3 / 5 4 6.
        Assert.Equal(0, Run("quilt", "new", Quilt, "--name", "Stars <& stripes>", "--size", "852x406", "--fill", "280x200", "--gap", "6", "--hoop", Path.Combine(_folder, "hoop.toml"), "--hoop-lies", "straight").Exit);
    }

    private string Quilt => Path.Combine(_folder, "quilt");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Drift_TwoPhotos_IsSeenInEveryForm()
    {
        Fill();

        // Hooping 2 has tape at its right, 8 mm off instead of 6: it lies 2 mm too far left. Hooping 3 has it at its left, its fill was shortened by 4 mm
        // after the check, so that a gap of 6 grows to 8 and it lies as planned.
        JsonElement drift = JsonDocument.Parse(Run("log", "drift", "--quilt", Quilt, "--json").Output).RootElement;
        JsonElement[] fills = [.. drift.GetProperty("fills").EnumerateArray()];
        Assert.Equal([0, -2, 0], fills.Select(f => f.GetProperty("xMm").GetDouble()));
        Assert.Equal([8, 8], drift.GetProperty("seams").EnumerateArray().Select(s => s.GetProperty("gapMm").GetDouble()));

        // 2·√(0.2² + 0.5²), tape and laying; the mark's own, a millionth, does not show.
        Assert.Equal(2 * Math.Sqrt(0.29), fills[1].GetProperty("uncertaintyXMm").GetDouble(), 0.001);

        string text = Run("log", "show", "--quilt", Quilt).Output;
        Assert.Contains("hooping 2, 2.0 mm too far left (±1.1 mm)", text, StringComparison.Ordinal);
        Assert.Contains("Hooping 4 at its planned place and size would have a gap of 6.0 mm", text, StringComparison.Ordinal);
        Assert.Contains("1–2       8.0 ±1.1", Run("log", "drift", "--quilt", Quilt).Output, StringComparison.Ordinal);
    }

    [Fact]
    public void Report_Page_IsOneFileWithEverythingInIt()
    {
        Fill();
        (int exit, string output, string error) = Run("report", "--quilt", Quilt);
        Assert.Equal((0, ""), (exit, error));
        string file = Path.Combine(Quilt, "report.html");
        Assert.Equal(file, output.Trim());
        string html = File.ReadAllText(file);
        Assert.StartsWith("<!DOCTYPE html>\n<html", html, StringComparison.Ordinal);
        XElement page = XDocument.Parse(html["<!DOCTYPE html>\n".Length..]).Root!;
        XNamespace svg = "http://www.w3.org/2000/svg";

        // Nothing leads out of it: the picture is in it, there is no script, no link and no reference but data.
        XElement image = Assert.Single(page.Descendants("img"));
        byte[] picture = Convert.FromBase64String(image.Attribute("src")!.Value["data:image/jpeg;base64,".Length..]);
        using (Mat small = Cv2.ImDecode(picture, ImreadModes.Color))
        {
            Assert.Equal((640, 480), (small.Width, small.Height));
        }

        Assert.DoesNotContain(page.Descendants(), e => e.Name.LocalName is "script" or "link" or "iframe" or "use" or "image");
        Assert.DoesNotContain(page.DescendantsAndSelf().Attributes(), a => a.Name.LocalName is "href" or "onclick" or "srcset");
        Assert.Equal("Stars <& stripes>", page.Descendants("h1").Single().Value);
        Assert.Contains("3 of 6 hoopings are stitched; the next one is 4.", page.Value, StringComparison.Ordinal);
        Assert.Equal(3, page.Descendants(svg + "svg").Count());
        Assert.Equal(["done", "done", "done"], page.Descendants(svg + "text").Select(t => t.Value).Where(v => v == "done"));
        Assert.Contains("thread broke, \"twice\"", page.Value, StringComparison.Ordinal);
        Assert.Contains("Checklist: all 6 seen to.", page.Value, StringComparison.Ordinal);

        // No empty element that HTML would leave open: only what HTML knows as void is closed at once.
        Assert.DoesNotContain(page.Descendants().Where(e => e.Name.Namespace != svg && e.IsEmpty), e => e.Name.LocalName is not ("meta" or "img"));
    }

    [Fact]
    public void Report_CsvAndJson_HaveALineForEachHooping()
    {
        Fill();
        string csv = Path.Combine(_folder, "quilt.csv");
        Assert.Equal(0, Run("report", "--quilt", Quilt, "--csv", csv).Exit);
        Assert.False(File.Exists(Path.Combine(Quilt, "report.html")));
        string[] lines = File.ReadAllText(csv).Split("\r\n");
        Assert.Equal((8, ""), (lines.Length, lines[^1]));
        string[] head = lines[0].Split(','), second = lines[2].Split(',');
        string Cell(string name) => second[Array.IndexOf(head, name)];
        Assert.Equal(("2", "stitched", "-2", "8", ""), (Cell("hooping"), Cell("state"), Cell("driftXMm"), Cell("rightMinMm"), Cell("leftMinMm")));
        Assert.EndsWith(",\"thread broke, \"\"twice\"\"\"", lines[1], StringComparison.Ordinal);

        JsonElement json = JsonDocument.Parse(Run("report", "--quilt", Quilt, "--json").Output).RootElement;
        Assert.Equal(["schema", "plan", "log", "drift"], json.EnumerateObject().Select(p => p.Name));
        Assert.Equal((6, 3), (json.GetProperty("plan").GetProperty("hoopings").GetArrayLength(), json.GetProperty("log").GetProperty("stitched").GetInt32()));
    }

    [Fact]
    public void Report_NothingDoneYet_IsAPageAllTheSame()
    {
        Assert.Equal(0, Run("report", "--quilt", Quilt).Exit);
        Assert.Contains("Nothing is stitched yet.", File.ReadAllText(Path.Combine(Quilt, "report.html")), StringComparison.Ordinal);
        Assert.Equal("Nothing is stitched yet.", Run("log", "drift", "--quilt", Quilt).Output.Trim());
        Assert.StartsWith("HC122: ", Run("report", "--quilt", Quilt, "--page", Path.Combine(_folder, "none", "page.html")).Error, StringComparison.Ordinal);
    }

    /// <summary>Hoopings 1 to 3 checked and stitched, as photos would have had it.</summary>
    private void Fill()
    {
        using QuiltBook book = QuiltBook.Open(Quilt).Value!;
        using var picture = new Mat(1200, 1600, MatType.CV_8UC3, Scalar.Gray);
        Check(book, 1, [], picture.ImEncode(".jpg"));
        Assert.NotNull(book.CheckOff(1, ["all"]).Value);
        Assert.NotNull(book.Stitched(1, null, "thread broke, \"twice\"", redo: false).Value);
        Check(book, 2, [Tape("right", 140 + 8)], null);
        Assert.NotNull(book.Stitched(2, null, null, redo: false).Value);
        Check(book, 3, [Tape("left", 140 + 6)], null);
        Assert.NotNull(book.Stitched(3, "shorten x 4mm", null, redo: false).Value);
    }

    private static SideSeen Tape(string side, double q) => new(side, "clear", q - 140, q - 140, q - 140, 0.4, "blue", new(-90, 90, q, 0, 0.2));

    private static void Check(QuiltBook book, int number, IReadOnlyList<SideSeen> sides, byte[]? marked)
    {
        PlannedHooping hooping = book.Plan.Find(number)!;
        var fill = new FillAt(0, 0, hooping.FillWidth, hooping.FillHeight, hooping.FillTurnDegrees);
        var body = new CheckBody(sides.Count == 0 ? "no-tape" : "clear", string.Create(CultureInfo.InvariantCulture, $"{number}.jpg"), null, fill, fill, "", sides, []);
        Assert.NotNull(book.Log.Add(EntryKind.Check, number, body, marked is null ? [] : [new(LogFile.Marked, ".jpg", marked)]).Value);
    }

    private static (int Exit, string Output, string Error) Run(params string[] words)
    {
        using var output = new StringWriter { NewLine = "\n" };
        using var error = new StringWriter { NewLine = "\n" };
        int exit = Cli.Run(words, new Terminal(output, error, false));
        return (exit, output.ToString(), error.ToString());
    }
}
