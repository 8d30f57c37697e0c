using System.Text.Json;
using HoopCheck.App;
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

    private IEnumerable<string> Names() => Directory.GetFiles(_folder).Select(path => Path.GetFileName(path)).Order(StringComparer.Ordinal);

    private sealed record FrameRecord(PhotoPoint[] Corners, double[,] Covariance, PhotoDirection Up);
}
