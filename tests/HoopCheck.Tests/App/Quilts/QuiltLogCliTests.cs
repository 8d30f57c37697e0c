using System.Text.Json;
using HoopCheck.App;
using OpenCvSharp;

namespace HoopCheck.Tests.App.Quilts;

public sealed class QuiltLogCliTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public QuiltLogCliTests()
    {
        File.Copy(Repo.Path("testimages", "hoops", "200x300.toml"), Path.Combine(_folder, "hoop.toml"));

        // By hand: 2 x 1 fills of 180 x 280 straight (200 x 300 hoop): 366.35 x 280 mm.
        Assert.Equal(0, Run("quilt", "new", Quilt, "--size", "366.35x280", "--fill", "180x280", "--hoop", Path.Combine(_folder, "hoop.toml"), "--hoop-lies", "straight").Exit);
        using var picture = new Mat(900, 1200, MatType.CV_8UC3, Scalar.Gray);
        File.WriteAllBytes(Photo, picture.ImEncode(".png"));
    }

    private string Quilt => Path.Combine(_folder, "quilt");

    private string Photo => Path.Combine(_folder, "grey photo.png");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Check_InAQuilt_FilesPhotoPictureAndReport()
    {
        (int exit, string output, _) = Run("check", Photo, "--quilt", Quilt, "--hooping", "2", "--applied", "left 2mm", "--json");
        Assert.Equal(3, exit);
        JsonElement filed = JsonDocument.Parse(output).RootElement.GetProperty("filed");
        Assert.Equal((2, 2), (filed.GetProperty("hooping").GetInt32(), filed.GetProperty("entry").GetInt32()));

        JsonElement log = Json("log", "show");
        JsonElement entry = log.GetProperty("entries")[1];
        Assert.Equal(("plan", "check"), (log.GetProperty("entries")[0].GetProperty("kind").GetString(), entry.GetProperty("kind").GetString()));
        JsonElement body = entry.GetProperty("body");
        Assert.Equal(("retake", "grey photo.png", "nudge x -2mm"), (body.GetProperty("decision").GetString(), body.GetProperty("photo").GetString(), body.GetProperty("applied").GetString()));
        Assert.Equal((-2, 180, 280), (body.GetProperty("fill").GetProperty("x").GetDouble(), body.GetProperty("fill").GetProperty("width").GetDouble(), body.GetProperty("fill").GetProperty("height").GetDouble()));
        Assert.Equal(["photo", "marked"], entry.GetProperty("files").EnumerateArray().Select(f => f.GetProperty("role").GetString()));
        string kept = Path.Combine(Quilt, "photos", entry.GetProperty("files")[0].GetProperty("name").GetString()!);
        Assert.Equal(File.ReadAllBytes(Photo), File.ReadAllBytes(kept));
        Assert.Equal(("unsure", 1), (log.GetProperty("states")[1].GetProperty("state").GetString(), log.GetProperty("next").GetInt32()));
        Assert.Equal(0, Run("log", "verify", "--quilt", Quilt).Exit);
    }

    [Fact]
    public void Check_WithoutANumber_IsOfTheNextHooping()
    {
        Assert.Contains("Filed: hooping 1, entry 2.", Run("check", Photo, "--quilt", Quilt).Output, StringComparison.Ordinal);
        Run("log", "stitched", "1", "--quilt", Quilt);
        Assert.Contains("Filed: hooping 2, entry 4.", Run("check", Photo, "--quilt", Quilt).Output, StringComparison.Ordinal);
    }

    [Fact]
    public void Check_RealPhotoWithTapeElsewhere_RaisesAQuestion()
    {
        string photo = Repo.Path("testimages", "measured", "plaid-two-blue-tapes-turned-exif-200x300.jpg");
        (int exit, string output, _) = Run("check", photo, "--quilt", Quilt, "--hooping", "2", "--fill", "114.8x250.1", "--fill-at=34.7,-4.8", "--json");
        Assert.Equal(2, exit);
        string question = Assert.Single(JsonDocument.Parse(output).RootElement.GetProperty("filed").GetProperty("questions").EnumerateArray()).GetString()!;
        Assert.Equal("The plan expects tape at the left; the photo shows it at the left and bottom. Is this hooping 2?", question);
        Assert.Contains(question, JsonDocument.Parse(output).RootElement.GetProperty("notes").EnumerateArray().Select(n => n.GetString()));

        // The tape line is the one that the report's profile was taken from: gap in the middle = line less fill's edge.
        JsonElement left = Json("log", "show").GetProperty("entries")[1].GetProperty("body").GetProperty("sides")[0];
        JsonElement tape = left.GetProperty("tape");
        double middle = (tape.GetProperty("fromMm").GetDouble() + tape.GetProperty("toMm").GetDouble()) / 2;
        double gap = tape.GetProperty("middleMm").GetDouble() + (tape.GetProperty("slope").GetDouble() * (-4.8 - middle)) - ((114.8 / 2) - 34.7);
        Assert.Equal("left", left.GetProperty("side").GetString());
        Assert.Equal(left.GetProperty("meanMm").GetDouble(), gap, 0.6);
    }

    [Fact]
    public void Log_StitchedRedoWithdrawn_EachIsANewEntryAndTheLastCounts()
    {
        Run("log", "stitched", "1", "--quilt", Quilt, "--note", "thread broke");
        Assert.Equal("stitched", State(1));
        Run("log", "stitched", "1", "--quilt", Quilt, "--redo", "--note", "unpicked");
        Assert.Equal("redo", State(1));
        Run("log", "stitched", "1", "--quilt", Quilt, "--applied", "shorten y 4mm");
        Assert.Equal("stitched", State(1));
        Assert.Equal(0, Run("log", "withdraw", "4", "--quilt", Quilt, "--note", "it was hooping 2").Exit);
        Assert.Equal("redo", State(1));
        Assert.Equal(0, Run("log", "note", "new needle", "--quilt", Quilt).Exit);
        Assert.Equal(0, Run("log", "note", "much lint", "--hooping", "1", "--quilt", Quilt).Exit);

        JsonElement log = Json("log", "show");
        Assert.Equal(["plan", "stitched", "redo", "stitched", "withdrawn", "note", "note"], log.GetProperty("entries").EnumerateArray().Select(e => e.GetProperty("kind").GetString()));
        Assert.Equal(276, log.GetProperty("entries")[3].GetProperty("body").GetProperty("fill").GetProperty("height").GetDouble());
        Assert.Equal(["thread broke", "unpicked", "much lint"], log.GetProperty("states")[0].GetProperty("remarks").EnumerateArray().Select(r => r.GetString()));
        string text = Run("log", "show", "--quilt", Quilt).Output;
        Assert.StartsWith("0 of 2 hoopings are stitched; the next one is 1.", text, StringComparison.Ordinal);
        Assert.Contains("again", text, StringComparison.Ordinal);
        Assert.Contains("counts no more: it was hooping 2", Run("log", "show", "--entries", "--quilt", Quilt).Output, StringComparison.Ordinal);
    }

    [Fact]
    public void Log_Checklist_IsShownAndKept()
    {
        string list = Run("log", "checklist", "1", "--quilt", Quilt).Output;
        Assert.Equal(6, list.Split('\n').Count(l => l.StartsWith("  [ ] ", StringComparison.Ordinal)));
        Assert.Equal(0, Run("log", "checklist", "1", "--quilt", Quilt, "--done", "back, roll").Exit);
        Assert.Equal(2, Run("log", "checklist", "1", "--quilt", Quilt).Output.Split('\n').Count(l => l.StartsWith("  [x] ", StringComparison.Ordinal)));
        Assert.Equal(["weight", "under", "field", "bobbin"], Json("log", "show").GetProperty("entries")[0].GetProperty("body").GetProperty("open").EnumerateArray().Select(k => k.GetString()));
    }

    [Fact]
    [Trait("problem", "HC157")]
    public void Log_PlanChangedAfterFiling_StopsUntilItIsTaken()
    {
        Run("log", "stitched", "1", "--quilt", Quilt);
        string file = Path.Combine(Quilt, "quilt.toml"), text = File.ReadAllText(file);
        File.WriteAllText(file, text.Replace("gap = \"1/4in\"", "gap = \"12mm\"", StringComparison.Ordinal));
        Assert.StartsWith("HC157: ", Run("check", Photo, "--quilt", Quilt).Error, StringComparison.Ordinal);
        Assert.StartsWith("HC157: ", Run("log", "stitched", "2", "--quilt", Quilt).Error, StringComparison.Ordinal);
        Assert.Equal(0, Run("log", "plan", "--quilt", Quilt).Exit);
        Assert.Equal(0, Run("log", "stitched", "2", "--quilt", Quilt).Exit);

        // Another count of hoopings is another quilt.
        File.WriteAllText(file, text.Replace("366.35x280", "600x280", StringComparison.Ordinal));
        Assert.StartsWith("HC157: ", Run("log", "plan", "--quilt", Quilt).Error, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("problem", "HC159")]
    public void Log_VerifyAfterDamage_Is65AndNamesTheFile()
    {
        Run("check", Photo, "--quilt", Quilt);
        string photo = Directory.GetFiles(Path.Combine(Quilt, "photos"), "*.png").Single();
        File.AppendAllText(photo, "x");
        (int exit, _, string error) = Run("log", "verify", "--quilt", Quilt);
        Assert.Equal(65, exit);
        Assert.StartsWith("HC159: ", error, StringComparison.Ordinal);
        Assert.Contains(Path.GetFileName(photo), error, StringComparison.Ordinal);
    }

    [Theory]
    [Trait("problem", "HC158")]
    [InlineData("HC158", "check", "PHOTO", "--hooping", "3")]
    [InlineData("HC158", "log", "stitched", "3")]
    [InlineData("HC158", "log", "show", "--hooping", "0")]
    [InlineData("HC158", "log", "checklist", "3")]
    [InlineData("HC158", "log", "withdraw", "9", "--note", "x")]
    [InlineData("HC158", "log", "note", "text", "--hooping", "3")]
    [InlineData("HC120", "check", "PHOTO", "--hooping", "two")]
    [InlineData("HC120", "check", "PHOTO", "--hooping", "1", "--thread", "0.4")]
    [InlineData("HC120", "log", "stitched", "one")]
    [InlineData("HC120", "log", "stitched", "1", "--applied", "shorten")]
    [InlineData("HC120", "log", "checklist", "1", "--done", "front")]
    [InlineData("HC120", "log", "note", " ")]
    [InlineData("HC120", "log")]
    public void Run_WrongCall_Is64AndAddsNothing(string code, params string[] words)
    {
        (int exit, _, string error) = Run([.. words.Select(w => w.Replace("PHOTO", Photo, StringComparison.Ordinal)), .. words.Length > 1 ? new[] { "--quilt", Quilt } : []]);
        Assert.Equal(64, exit);
        Assert.StartsWith($"{code}: ", error, StringComparison.Ordinal);
        Assert.DoesNotContain(Json("log", "show").GetProperty("entries").EnumerateArray(), e => e.GetProperty("kind").GetString() != "plan");
    }

    private string? State(int hooping) => Json("log", "show").GetProperty("states")[hooping - 1].GetProperty("state").GetString();

    private JsonElement Json(params string[] words)
    {
        (int exit, string output, string error) = Run([.. words, "--quilt", Quilt, "--json"]);
        Assert.Equal((0, ""), (exit, error));
        return JsonDocument.Parse(output).RootElement;
    }

    private static (int Exit, string Output, string Error) Run(params string[] words)
    {
        using var output = new StringWriter { NewLine = "\n" };
        using var error = new StringWriter { NewLine = "\n" };
        int exit = Cli.Run(words, new Terminal(output, error, false));
        return (exit, output.ToString(), error.ToString());
    }
}
