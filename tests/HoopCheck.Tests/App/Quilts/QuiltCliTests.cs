using System.Text.Json;
using System.Xml.Linq;
using HoopCheck.App;

namespace HoopCheck.Tests.App.Quilts;

public sealed class QuiltCliTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public QuiltCliTests() => File.WriteAllText(Path.Combine(_folder, "hoop.toml"), "name = \"h\"\nopening = \"420x280mm\"\nframe-height = \"11mm\"\n");

    private string Quilt => Path.Combine(_folder, "quilt");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void New_WithAllThatIsNeeded_CanBePlannedAndMoved()
    {
        (int exit, string output, string error) = Run("quilt", "new", Quilt, "--size", "63x47 1/4in", "--fill", "15 3/4x10 1/2in", "--hoop", Path.Combine(_folder, "hoop.toml"));
        Assert.Equal((0, ""), (exit, error));
        Assert.Contains("hoopcheck plan", output, StringComparison.Ordinal);
        Assert.True(Directory.Exists(Path.Combine(Quilt, "photos")));

        File.Delete(Path.Combine(_folder, "hoop.toml"));
        Directory.Move(Quilt, Quilt + " moved");
        (exit, output, _) = Run("plan", "--quilt", Quilt + " moved", "--json");
        Assert.Equal(0, exit);
        JsonElement plan = JsonDocument.Parse(output).RootElement;
        Assert.Equal("hoopcheck.plan/1", plan.GetProperty("schema").GetString());
        Assert.Equal((18, 20), (plan.GetProperty("chosen").GetProperty("hoopings").GetInt32(), plan.GetProperty("other").GetProperty("hoopings").GetInt32()));
        Assert.Equal(18, plan.GetProperty("hoopings").GetArrayLength());
    }

    [Fact]
    public void Plan_Text_HasCountMapAndThread()
    {
        Make();
        (int exit, string output, _) = Run("plan", "--quilt", Quilt);
        Assert.Equal(0, exit);
        Assert.StartsWith("18 hoopings, 6 across and 3 down, the hoop sideways.", output, StringComparison.Ordinal);
        Assert.Contains("The hoop straight would take 4 x 5 = 20.", output, StringComparison.Ordinal);
        Assert.Contains("│  3 │  2 │  1 │  4 │  5 │  6 │", output, StringComparison.Ordinal);
        Assert.Contains("stitches", output, StringComparison.Ordinal);
        Assert.All(output.Split('\n'), line => Assert.True(line.Length <= 110, line));
    }

    [Fact]
    public void Plan_Map_ShowsEveryHoopingToScale()
    {
        Make();
        string map = Path.Combine(_folder, "map.svg");
        Assert.Equal(0, Run("plan", "--quilt", Quilt, "--map", map).Exit);
        XElement svg = XDocument.Load(map).Root!;
        XNamespace ns = svg.Name.Namespace;
        Assert.Equal(Enumerable.Range(1, 18).Select(n => $"{n}"), svg.Elements(ns + "g").Select(g => g.Elements(ns + "text").First().Value));
        // By hand: full fills are 10 1/2 in wide when the hoop lies sideways, 266.7 mm; 1 unit is 1 mm.
        Assert.Equal("266.7", svg.Elements(ns + "g").First().Element(ns + "rect")!.Attribute("width")!.Value);
    }

    [Fact]
    public void New_NothingGiven_SaysWhatToFillIn()
    {
        (int exit, string output, _) = Run("quilt", "new", Quilt);
        Assert.Equal(0, exit);
        Assert.Contains("size, fill", output, StringComparison.Ordinal);
        Assert.StartsWith("HC152: ", Run("plan", "--quilt", Quilt).Error, StringComparison.Ordinal);
    }

    [Fact]
    public void New_FillFromADrawing_GoesWithTheFolder()
    {
        string drawing = Path.Combine(_folder, "mine.svg");
        File.WriteAllText(drawing, """<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200"><path d="M0 0H300V200H0Z" fill="#000"/></svg>""");
        Assert.Equal(0, Run("quilt", "new", Quilt, "--size", "630x430", "--fill", drawing, "--hoop", Path.Combine(_folder, "hoop.toml"), "--hoop-lies", "straight").Exit);
        File.Delete(drawing);
        JsonElement plan = JsonDocument.Parse(Run("plan", "--quilt", Quilt, "--json").Output).RootElement;

        // By hand: (630 + 6.35)/(300 + 6.35) = 2.08, so three across, (430 + 6.35)/(200 + 6.35) = 2.11, so three down; the outer ones (630 − 300 − 12.7)/2 = 158.65.
        Assert.Equal((3, 3), (plan.GetProperty("chosen").GetProperty("columns").GetInt32(), plan.GetProperty("chosen").GetProperty("rows").GetInt32()));
        using HoopCheck.App.Quilts.QuiltBook book = HoopCheck.App.Quilts.QuiltBook.Open(Quilt).Value!;
        HoopCheck.Planning.PlannedFill fill = book.Folder.FillOf(book.Plan.Find(2)!);
        Assert.NotNull(fill.Outline);
        Assert.Equal((158.65, 200, 180), (Math.Round(fill.Width, 6), Math.Round(fill.Height, 6), fill.TurnDegrees));
    }

    [Fact]
    public void New_Json_NamesWhatIsMissing()
    {
        JsonElement made = JsonDocument.Parse(Run("quilt", "new", Quilt, "--size", "900x900", "--json").Output).RootElement;
        Assert.Equal(["fill", "hoop"], made.GetProperty("missing").EnumerateArray().Select(m => m.GetString()));
    }

    // By hand: area/12.7·1.4: hoopings 1, 2, 4 and 5 (400.05 x 266.7) take 11.76 m each, 3 and 6 (400.05 x 250.8) 11.06 m: 58.1 m of 60 before the sixth.
    [Fact]
    public void Checklist_WhereTheBobbinWouldRunOut_SaysSo()
    {
        Make("--bobbin-metres", "60");
        Assert.DoesNotContain("full bobbin", Run("log", "checklist", "5", "--quilt", Quilt).Output, StringComparison.Ordinal);
        Assert.Contains("Put a full bobbin in before hooping 6: it takes about 11.1 m, and about 1.9 m are left.", Run("log", "checklist", "6", "--quilt", Quilt).Output, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("problem", "HC154")]
    public void New_FolderInUse_IsLeftAlone()
    {
        Directory.CreateDirectory(Quilt);
        File.WriteAllText(Path.Combine(Quilt, "mine.txt"), "mine");
        (int exit, _, string error) = Run("quilt", "new", Quilt);
        Assert.Equal(64, exit);
        Assert.StartsWith("HC154: ", error, StringComparison.Ordinal);
        Assert.Equal(["mine.txt"], Directory.GetFileSystemEntries(Quilt).Select(Path.GetFileName));
    }

    [Theory]
    [Trait("problem", "HC151")]
    [InlineData("HC120", 64, "quilt")]
    [InlineData("HC120", 64, "plan", "--size", "3")]
    [InlineData("HC151", 65, "plan", "--quilt", "no-such-folder")]
    [InlineData("HC152", 65, "quilt", "new", "QUILT", "--size", "63", "--fill", "300x200", "--hoop", "HOOP")]
    [InlineData("HC121", 64, "quilt", "new", "QUILT", "--size", "63x47in", "--fill", "500x200", "--hoop", "HOOP")]
    [InlineData("HC110", 65, "quilt", "new", "QUILT", "--hoop", "no-such-hoop.toml")]
    [InlineData("HC130", 65, "quilt", "new", "QUILT", "--fill", "no-such-fill.svg")]
    [InlineData("HC122", 65, "quilt", "new", "HOOP/below")]
    public void Run_WrongCall_HasItsCodeAndLeavesNothing(string code, int expected, params string[] words)
    {
        (int exit, string output, string error) = Run([.. words.Select(w => w.Replace("QUILT", Quilt, StringComparison.Ordinal).Replace("HOOP", Path.Combine(_folder, "hoop.toml"), StringComparison.Ordinal))]);
        Assert.Equal((expected, ""), (exit, output));
        Assert.StartsWith($"{code}: ", error, StringComparison.Ordinal);
        Assert.Equal(2, error.TrimEnd('\n').Split('\n').Length);
        Assert.Equal(["hoop.toml"], Directory.GetFileSystemEntries(_folder).Select(Path.GetFileName));
    }

    private void Make(params string[] more) =>
        Assert.Equal(0, Run(["quilt", "new", Quilt, "--size", "63x47 1/4in", "--fill", "15 3/4x10 1/2in", "--hoop", Path.Combine(_folder, "hoop.toml"), .. more]).Exit);

    private static (int Exit, string Output, string Error) Run(params string[] words)
    {
        using var output = new StringWriter { NewLine = "\n" };
        using var error = new StringWriter { NewLine = "\n" };
        int exit = Cli.Run(words, new Terminal(output, error, false));
        return (exit, output.ToString(), error.ToString());
    }
}
