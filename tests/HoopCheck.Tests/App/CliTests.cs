using System.Diagnostics;
using System.Text.Json;
using HoopCheck.App;
using HoopCheck.Planning.Fills;
using HoopCheck.Rules;
using HoopCheck.Vision;
using OpenCvSharp;

namespace HoopCheck.Tests.App;

public sealed class CliTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Theory]
    [Trait("problem", "HC120")]
    [InlineData("")]
    [InlineData("chek a.jpg")]
    [InlineData("check")]
    [InlineData("check a.jpg --hoop HOOP")]
    [InlineData("check a.jpg --fill 200x100")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --nonsense")]
    [InlineData("check a.jpg b.jpg --hoop HOOP --fill 200x100")]
    [InlineData("check a.jpg --hoop HOOP --fill 200")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --fill-corners -1")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --fill-corners 46")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --fill-kind outline")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --thread 0.4")]
    [InlineData("check a.jpg --hoop HOOP --fill drawing.svg --fill-corners 5")]
    [InlineData("check a.jpg --hoop HOOP --fill drawing.svg --fill-kind lines")]
    [InlineData("check a.jpg --hoop HOOP --fill drawing.svg --thread 6")]
    [InlineData("fill a.svg --area 200")]
    [InlineData("fill a.svg --area 200x100 --spacing wide")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --fill-at=3")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --spacing 0")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --spacing -5")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --spacing wide")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --min-gap=-1")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --min-gap 13")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --up north")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --scale-check coin")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --tape blueish")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --tape #12345")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --applied shorten")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --max-shorten 60")]
    [InlineData("check a.jpg --hoop HOOP --fill 200x100 --max-shorten some")]
    [InlineData("check a.jpg --weave b.jpg")]
    [InlineData("--weave b.jpg --hoop HOOP")]
    public void Run_WrongCall_Is64InBothForms(string call)
    {
        (int exit, string output, string error) = Run(call);
        Assert.Equal(64, exit);
        Assert.Empty(output);
        Assert.StartsWith("HC120: ", error, StringComparison.Ordinal);
        Assert.Equal(2, error.TrimEnd('\n').Split('\n').Length);

        (exit, output, error) = Run(call + " --json");
        Assert.Equal(64, exit);
        Assert.Empty(error);
        JsonElement json = JsonDocument.Parse(output).RootElement;
        Assert.Equal(["schema", "code", "say", "do"], json.EnumerateObject().Select(p => p.Name));
        Assert.Equal("hoopcheck.error/1", json.GetProperty("schema").GetString());
        Assert.Equal("HC120", json.GetProperty("code").GetString());
    }

    [Theory]
    [Trait("problem", "HC130")]
    [Trait("problem", "HC131")]
    [InlineData("check SMALL --hoop HOOP --fill no-such-drawing.svg", "HC130")]
    [InlineData("check SMALL --hoop HOOP --fill FOLDER", "HC130")]
    [InlineData("check SMALL --hoop HOOP --fill HOOP", "HC131")]
    [InlineData("fill FOLDER/out.svg --area no-such-drawing.svg", "HC130")]
    [InlineData("fill FOLDER/no-such-folder/out.svg --area 200x100", "HC122")]
    public void Run_BadDrawing_Is65WithItsCode(string call, string code)
    {
        (int exit, string output, string error) = Run(call);
        Assert.Equal(65, exit);
        Assert.Empty(output);
        Assert.StartsWith(code + ": ", error, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("problem", "HC136")]
    public void Run_FillTooNarrow_Is64AndNothingIsWritten()
    {
        (int exit, _, string error) = Run("fill FOLDER/out.svg --area 30x30 --spacing 12.7");
        Assert.Equal(64, exit);
        Assert.StartsWith("HC136: ", error, StringComparison.Ordinal);
        Assert.False(File.Exists(Path.Combine(_folder, "out.svg")));
    }

    [Fact]
    public void Run_Fill_WritesADrawingThatCheckReads()
    {
        (int exit, string output, string error) = Run("fill FOLDER/out.svg --area 200x120 --spacing 12 --json");
        Assert.Equal((0, ""), (exit, error));
        JsonElement made = JsonDocument.Parse(output).RootElement;
        Assert.Equal("hoopcheck.fill/1", made.GetProperty("schema").GetString());

        using FileStream file = File.OpenRead(Path.Combine(_folder, "out.svg"));
        SvgFillRead read = SvgFill.Read(file).Value!;
        Assert.Equal(FillKind.Stitches, read.Shape.Kind);
        Assert.Equal(made.GetProperty("stitches").GetInt32() + 1, read.Shape.Xs.Length);

        // A grey picture has no frame, so that the answer is 3; but fill and field were taken.
        Assert.Equal(3, Run("check BLANK --hoop HOOP --fill FOLDER/out.svg").Exit);
        Assert.StartsWith("HC121: ", Run("check BLANK --hoop HOOP --fill FOLDER/out.svg --fill-at 90,0").Error, StringComparison.Ordinal);
    }

    [Theory]
    [Trait("problem", "HC121")]
    [InlineData("check no-such-photo.jpg --hoop HOOP --fill 351x100")]
    [InlineData("check no-such-photo.jpg --hoop HOOP --fill 200x100 --fill-at=-80,0")]
    [InlineData("check no-such-photo.jpg --hoop HOOP --fill 200x100 --fill-at -80,0")]
    public void Run_FillOutsideField_IsSaidBeforeThePhotoIsOpened(string call)
    {
        (int exit, _, string error) = Run(call);
        Assert.Equal(64, exit);
        Assert.StartsWith("HC121: ", error, StringComparison.Ordinal);
    }

    [Theory]
    [Trait("problem", "HC101")]
    [Trait("problem", "HC110")]
    [Trait("problem", "HC113")]
    [InlineData("check no-such-photo.jpg --hoop HOOP --fill 200x100", "HC101")]
    [InlineData("check FOLDER --hoop HOOP --fill 200x100", "HC101")]
    [InlineData("check HOOP --hoop HOOP --fill 200x100", "HC102")]
    [InlineData("check SMALL --hoop HOOP --fill 200x100", "HC105")]
    [InlineData("check SMALL --hoop no-such-hoop.toml --fill 200x100", "HC110")]
    [InlineData("check SMALL --hoop FOLDER --fill 200x100", "HC110")]
    [InlineData("check SMALL --hoop SMALL --fill 200x100", "HC111")]
    [InlineData("check SMALL --hoop HOOP --fill 200x100 --camera no-such-camera.json", "HC113")]
    [InlineData("check SMALL --hoop HOOP --fill 200x100 --camera HOOP", "HC113")]
    [InlineData("check SMALL --hoop HOOP --fill 200x100 --machine no-such-machine.toml", "HC117")]
    [InlineData("check SMALL --hoop HOOP --fill 200x100 --machine HOOP", "HC117")]
    public void Run_BadFile_Is65WithItsCode(string call, string code)
    {
        (int exit, string output, string error) = Run(call);
        Assert.Equal(65, exit);
        Assert.Empty(output);
        Assert.StartsWith(code + ": ", error, StringComparison.Ordinal);
        Assert.Equal(code, JsonDocument.Parse(Run(call + " --json").Output).RootElement.GetProperty("code").GetString());
    }

    [Theory]
    [Trait("problem", "HC122")]
    [InlineData("--out")]
    [InlineData("--trace")]
    public void Run_FolderThatCannotBe_IsSaidBeforeMeasuring(string option)
    {
        (int exit, _, string error) = Run($"check BLANK --hoop HOOP --fill 200x100 {option} HOOP/below");
        Assert.Equal(65, exit);
        Assert.StartsWith("HC122: ", error, StringComparison.Ordinal);
    }

    [Fact]
    public void Run_PhotoThatCannotBeJudged_Is3AndAFullReport()
    {
        (int exit, string output, string error) = Run("check BLANK --hoop HOOP --fill 200x100 --json");
        Assert.Equal(3, exit);
        JsonElement json = JsonDocument.Parse(output).RootElement;
        Assert.Equal("hoopcheck.check/1", json.GetProperty("schema").GetString());
        Assert.Equal("retake", json.GetProperty("decision").GetString());
        Assert.Equal(0, json.GetProperty("sides").GetArrayLength());
        JsonElement problem = json.GetProperty("quality").GetProperty("problems")[0];
        Assert.StartsWith("HC2", problem.GetProperty("code").GetString(), StringComparison.Ordinal);
        Assert.Contains(problem.GetProperty("say").GetString()!, error, StringComparison.Ordinal);

        (exit, output, error) = Run("check BLANK --hoop HOOP --fill 200x100");
        Assert.Equal(3, exit);
        Assert.StartsWith("TAKE THE PHOTO AGAIN: ", output, StringComparison.Ordinal);
        Assert.Contains("What to do: ", output, StringComparison.Ordinal);
        Assert.Empty(error);
    }

    [Theory]
    [InlineData("--weave BLANK")]
    [InlineData("check --weave BLANK")]
    public void Run_WeaveOfFabricWithoutLines_Is3AndSaysWhy(string call)
    {
        (int exit, string output, string error) = Run(call);
        Assert.Equal(3, exit);
        Assert.StartsWith("No lines were found", output, StringComparison.Ordinal);
        Assert.Empty(error);

        JsonElement json = JsonDocument.Parse(Run(call + " --json").Output).RootElement;
        Assert.Equal(["schema", "photo", "weave", "notes", "milliseconds"], json.EnumerateObject().Select(p => p.Name));
        Assert.Equal("hoopcheck.weave/1", json.GetProperty("schema").GetString());
        Assert.Equal(JsonValueKind.Null, json.GetProperty("weave").ValueKind);
    }

    [Fact]
    public void Run_WeaveOfStripes_Is0AndGivesTheirAngle()
    {
        string stripes = Path.Combine(_folder, "stripes.png");
        using (var picture = new Mat(900, 1200, MatType.CV_8UC3, Scalar.All(200)))
        {
            for (int x = 0; x < 1200; x += 60)
            {
                Cv2.Rectangle(picture, new Rect(x, 0, 20, 900), new Scalar(90, 60, 40), -1);
            }

            File.WriteAllBytes(stripes, picture.ImEncode(".png"));
        }

        (int exit, string output, _) = Run($"--weave {stripes} --json");
        Assert.Equal(0, exit);
        JsonElement weave = JsonDocument.Parse(output).RootElement.GetProperty("weave");
        Assert.InRange(weave.GetProperty("warpAngleDeg").GetDouble(), -0.05, 0.05);
        Assert.Equal(JsonValueKind.Null, weave.GetProperty("weftAngleDeg").ValueKind);
        Assert.StartsWith("The fabric is turned 0.0°", Run($"--weave {stripes}").Output, StringComparison.Ordinal);
    }

    /// <summary>Plaid turned by 4°: the drawn line's colour lies along it, and a picture of an earlier call does not outlive one that measured nothing.</summary>
    [Fact]
    public void Run_WeaveWithOut_WritesThePhotoWithItsLinesOrNone()
    {
        string plaid = Path.Combine(_folder, "plaid.png"), folder = Path.Combine(_folder, "woven"), file = Path.Combine(folder, "weave.jpg");
        Photograph photo = new Scenes.ClothPicture(4, 4, 0) { Print = Scenes.ClothPicture.Plaid(40) }.Draw(new Random(1));
        using (Mat picture = Mat.FromPixelData(photo.Pixels.Height, photo.Pixels.Width, MatType.CV_8UC3, photo.Pixels.Bgr))
        {
            File.WriteAllBytes(plaid, picture.ImEncode(".png"));
        }

        Assert.Equal(0, Run($"--weave {plaid} --out {folder}").Exit);
        using (Mat drawn = Cv2.ImRead(file))
        {
            Assert.True(drawn.Width == photo.Pixels.Width && drawn.Height > photo.Pixels.Height, $"{drawn.Width} x {drawn.Height}");

            // Okabe and Ito's reddish purple, #CC79A7: in no part of the drawn cloth. The band below is as wide as the words above are high, or less.
            int Purple(int x0, int x1) => Enumerable.Range(x0, x1 - x0).Sum(x => Enumerable.Range(0, drawn.Height).Count(y =>
            {
                Vec3b c = drawn.At<Vec3b>(y, x);
                return Math.Abs(c.Item2 - 0xCC) + Math.Abs(c.Item1 - 0x79) + Math.Abs(c.Item0 - 0xA7) < 60;
            }));
            Assert.True(Purple(0, drawn.Width) > drawn.Width, $"{Purple(0, drawn.Width)}");
        }

        Assert.Equal(3, Run($"--weave BLANK --out {folder}").Exit);
        Assert.False(File.Exists(file));
    }

    [Fact]
    public void Run_WeaveOfAFileThatIsNotThere_Is65() => Assert.Equal(65, Run("--weave no-such-photo.jpg").Exit);

    [Fact]
    public void Run_WithTrace_AnswersTheSame()
    {
        string plain = Untimed(Run("check BLANK --hoop HOOP --fill 200x100 --json").Output);
        (_, string traced, string error) = Run("check BLANK --hoop HOOP --fill 200x100 --json --trace FOLDER/trace");
        Assert.Equal(plain, Untimed(traced));
        Assert.Contains(Path.Combine(_folder, "trace"), error, StringComparison.Ordinal);
        Assert.True(File.Exists(Path.Combine(_folder, "trace", "times.txt")));

        static string Untimed(string report) => report[..report.IndexOf("\"milliseconds\"", StringComparison.Ordinal)];
    }

    [Fact]
    [Trait("problem", "HC901")]
    public void Run_FaultOfOurOwn_Is70WithAFileAndNoStackOnScreen()
    {
        using var error = new StringWriter { NewLine = "\n" };
        int exit = Cli.Run(Words("check BLANK --hoop HOOP --fill 200x100"), new Terminal(new BrokenWriter(), error, false));
        Assert.Equal(70, exit);
        string[] lines = error.ToString().TrimEnd('\n').Split('\n');
        Assert.Equal(2, lines.Length);
        Assert.StartsWith("HC901: ", lines[0], StringComparison.Ordinal);
        string path = lines[0][lines[0].IndexOf(Path.GetTempPath(), StringComparison.Ordinal)..];
        string kept = File.ReadAllText(path);
        File.Delete(path);
        Assert.Contains("made to fail", kept, StringComparison.Ordinal);
        Assert.Contains(nameof(BrokenWriter), kept, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("problem", "HC902")]
    public void Process_WithoutOpenCv_Is70AndSaysWhatToInstall()
    {
        // The program's managed files alone, in a folder of their own: no native library is found from there.
        string bare = Directory.CreateDirectory(Path.Combine(_folder, "bare")).FullName;
        foreach (string file in Directory.GetFiles(AppContext.BaseDirectory, "*.dll"))
        {
            File.Copy(file, Path.Combine(bare, Path.GetFileName(file)));
        }

        File.Copy(Path.Combine(AppContext.BaseDirectory, "hoopcheck.runtimeconfig.json"), Path.Combine(bare, "hoopcheck.runtimeconfig.json"));
        var start = new ProcessStartInfo("dotnet") { RedirectStandardError = true, RedirectStandardOutput = true };
        start.ArgumentList.Add(Path.Combine(bare, "hoopcheck.dll"));
        foreach (string word in Words("check BLANK --hoop HOOP --fill 200x100"))
        {
            start.ArgumentList.Add(word);
        }

        using Process process = Process.Start(start)!;
        string error = process.StandardError.ReadToEnd();
        process.WaitForExit();
        Assert.StartsWith("HC902: ", error, StringComparison.Ordinal);
        Assert.Equal(70, process.ExitCode);
    }

    [Theory]
    [InlineData("--help")]
    [InlineData("check --help")]
    [InlineData("--version")]
    public void Run_Help_Is0(string call)
    {
        (int exit, string output, string error) = Run(call);
        Assert.Equal(0, exit);
        Assert.NotEmpty(output);
        Assert.Empty(error);
    }

    [Fact]
    public void Problems_ExitCodes_AreTheContracts()
    {
        Assert.All(Problems.All, kind => Assert.True((int)kind.Exit is 3 or 64 or 65 or 70, kind.Code));
        Assert.Equal(Problems.All.Count, Problems.All.Select(kind => kind.Code).Distinct().Count());
    }

    private (int Exit, string Output, string Error) Run(string call)
    {
        using StringWriter output = new() { NewLine = "\n" }, error = new() { NewLine = "\n" };
        int exit = Cli.Run(Words(call), new Terminal(output, error, false));
        return (exit, output.ToString(), error.ToString());
    }

    /// <summary>The call's words; HOOP, SMALL, BLANK and FOLDER stand for files that are made when they are named.</summary>
    private string[] Words(string call)
    {
        string Made(string name, Action<string> make)
        {
            string path = Path.Combine(_folder, name);
            if (!File.Exists(path))
            {
                make(path);
            }

            return path;
        }

        string hoop = Made("hoop.toml", path => File.WriteAllText(path, "name = \"a\"\nopening = \"360x240mm\"\nframe-height = \"11mm\"\n"));
        string small = Made("small.png", path => WriteGrey(path, 64, 48));
        string blank = Made("blank.png", path => WriteGrey(path, 1200, 900));
        return [.. call.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(word => word
            .Replace("HOOP", hoop, StringComparison.Ordinal)
            .Replace("SMALL", small, StringComparison.Ordinal)
            .Replace("BLANK", blank, StringComparison.Ordinal)
            .Replace("FOLDER", _folder, StringComparison.Ordinal))];

        static void WriteGrey(string path, int width, int height)
        {
            using var picture = new Mat(height, width, MatType.CV_8UC3, Scalar.Gray);
            File.WriteAllBytes(path, picture.ImEncode(".png"));
        }
    }

    private sealed class BrokenWriter : StringWriter
    {
        public override void WriteLine(string? value) => throw new InvalidOperationException("made to fail");
    }
}
