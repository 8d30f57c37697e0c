using System.Text.Json;
using HoopCheck.App;
using HoopCheck.App.Reports;
using HoopCheck.Tests.TestImages;
using HoopCheck.Vision;
using OpenCvSharp;

namespace HoopCheck.Tests.App;

public sealed class FolderTraceTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Trace_DataAndPicture_AreNumberedFiles()
    {
        var trace = new FolderTrace(_folder);
        trace.Data(20, "frame", new FrameRecord([new(1, 2)], new[,] { { 1, double.NaN }, { 3, 4 } }, PhotoDirection.Left));
        trace.Picture(30, "flat", new([1, 2, 3, 4, 5, 6], 2, 1, 1));
        trace.Finish(new Dictionary<string, double> { ["decode"] = 31.256 });

        Assert.Equal(["020-frame.json", "030-flat.png", "times.txt"], Names());
        JsonElement json = JsonDocument.Parse(File.ReadAllText(Path.Combine(_folder, "020-frame.json"))).RootElement;
        Assert.Equal(3, json.GetProperty("Covariance")[1][0].GetDouble());
        Assert.Equal("NaN", json.GetProperty("Covariance")[0][1].GetString());
        Assert.Equal("Left", json.GetProperty("Up").GetString());
        using Mat picture = Cv2.ImRead(Path.Combine(_folder, "030-flat.png"));
        Assert.Equal(new Vec3b(1, 2, 3), picture.At<Vec3b>(0, 0));
        Assert.Equal(new Vec3b(4, 5, 6), picture.At<Vec3b>(0, 1));
        Assert.Contains("decode       31.26 ms", File.ReadAllText(Path.Combine(_folder, "times.txt")), StringComparison.Ordinal);
    }

    [Fact]
    public void Trace_OlderTrace_IsDeletedAndNothingElse()
    {
        string ones = Path.Combine(_folder, "010-holiday.png");
        File.WriteAllText(ones, "not ours");
        new FolderTrace(_folder).Data(20, "frame", "old");
        new FolderTrace(_folder).Data(40, "tape", "new");
        Assert.Equal(["010-holiday.png", "040-tape.json", "times.txt"], Names());
    }

    [Fact]
    public void Trace_RecordWithoutJsonForm_IsWrittenAsText()
    {
        new FolderTrace(_folder).Data(20, "frame", new { Type = typeof(string) });
        Assert.Contains("020-frame.json", Names());
        Assert.Contains("System.String", File.ReadAllText(Path.Combine(_folder, "020-frame.json")), StringComparison.Ordinal);
    }

    /// <summary>A whole check into a folder: every picture can be opened and has something in it, and the answer is that without a trace.</summary>
    [Fact]
    public void Run_WithAFolder_WritesPicturesAndAnswersTheSame()
    {
        Answer answer = Answers.Read("measured", "plaid-blue-tape-right-270x408");
        Photograph photo = Intake.Read(Answers.Picture("measured", answer.Name)).Value!;

        CheckResult traced = CheckRun.Run(photo, answer.Request!, 0, new FolderTrace(_folder)), plain = CheckRun.Run(photo, answer.Request!, 0, NoTrace.Instance);

        Assert.Equal(Report(plain), Report(traced));
        Assert.Superset(new HashSet<string> { "020-frame-candidates.json", "030-fit.json", "040-tape.json", "040-tape.png", "times.txt" }, Names().ToHashSet());
        foreach (string file in Directory.GetFiles(_folder, "*.png"))
        {
            using Mat picture = Cv2.ImRead(file);
            Assert.False(picture.Empty(), file);
            Cv2.MeanStdDev(picture, out _, out Scalar spread);
            Assert.True(spread.Val0 > 3, $"{file} is of one colour");
        }

        // The opening of 270 x 408 mm, known to the ruler's half millimetre, at 3 px/mm.
        using Mat tape = Cv2.ImRead(Path.Combine(_folder, "040-tape.png"));
        Assert.InRange(tape.Width, 3 * (270 - 2), 3 * (270 + 2));
        Assert.InRange(tape.Height, 3 * (408 - 2), 3 * (408 + 2));

        static string Report(CheckResult result) => JsonReport.Write(result with { Milliseconds = new Dictionary<string, double>() }, "photo.jpg");
    }

    private IEnumerable<string> Names() => Directory.GetFiles(_folder).Select(path => Path.GetFileName(path)).Order(StringComparer.Ordinal);

    private sealed record FrameRecord(PhotoPoint[] Corners, double[,] Covariance, PhotoDirection Up);
}
