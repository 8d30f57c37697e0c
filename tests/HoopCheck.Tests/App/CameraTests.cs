using System.Globalization;
using System.Text.Json;
using HoopCheck.App;
using HoopCheck.Planning;
using HoopCheck.Tests.Scenes;
using OpenCvSharp;

namespace HoopCheck.Tests.App;

/// <summary>The command <c>camera</c>, and what becomes of its profiles.</summary>
public sealed class CameraTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    /// <summary>
    /// From drawn photos to a file that a check uses. Close enough: what the lens's own reader should reach, 0.2 % of the focal length, 0.003 of k1 and 3 px of the centre;
    /// these photos have little blur and noise.
    /// </summary>
    [Fact]
    public void Camera_DrawnPhotos_LearnsTheLensAndKeepsIt()
    {
        BoardScene scene = BoardScene.Usual;
        string photos = Directory.CreateDirectory(Path.Combine(_folder, "photos")).FullName, shelf = Path.Combine(_folder, "shelf"), pictures = Path.Combine(_folder, "pictures");
        for (int i = 0; i < BoardScene.TenPoses.Count; i++)
        {
            using Mat photo = scene.Photo(BoardScene.TenPoses[i]);
            File.WriteAllBytes(Path.Combine(photos, string.Create(CultureInfo.InvariantCulture, $"b{i:00}.jpg")), BoardScene.Jpeg(photo));
        }

        using (var blank = new Mat(900, 1200, MatType.CV_8UC3, new Scalar(120, 130, 125)))
        {
            File.WriteAllBytes(Path.Combine(photos, "blank.jpg"), BoardScene.Jpeg(blank));
        }

        File.WriteAllText(Path.Combine(photos, "words.jpg"), "no picture");
        (int exit, string output, string error) = Run(new([Path.Combine(_folder, "none"), shelf]), "camera", photos, "--out", pictures);

        Assert.Equal(0, exit);
        Assert.Contains("HC102", error, StringComparison.Ordinal);
        Assert.Contains("no board is seen", output, StringComparison.Ordinal);
        string file = Assert.Single(Directory.GetFiles(shelf));
        Assert.Contains(file, output, StringComparison.Ordinal);
        CameraProfile profile = CameraFile.ParseProfile(File.ReadAllText(file)).Value!;
        CameraIntrinsics k = profile.Intrinsics;
        Assert.InRange(k.Focal / scene.Focal, 0.998, 1.002);
        Assert.InRange(k.K1 - scene.K1, -0.003, 0.003);
        Assert.InRange(k.Cx - scene.Cx, -3, 3);
        Assert.InRange(k.Cy - scene.Cy, -3, 3);
        Assert.Equal(new LensKey("Example", "Phone T", 4.8, 26), profile.Lens);
        Assert.Equal(10, profile.Photos);

        using Mat drawn = Cv2.ImRead(Path.Combine(pictures, "lens.png"));
        Assert.True(drawn.Width > 1000 && drawn.Height > 300);
    }

    [Theory]
    [Trait("problem", "HC114")]
    [InlineData("FOLDER", 3, "HC114")]
    [InlineData("FOLDER --chessboard 9", 64, "HC120")]
    [InlineData("FOLDER --chessboard 2x2", 64, "HC120")]
    [InlineData("FOLDER/nothing.jpg --save FOLDER", 65, "HC101")]
    [InlineData("EMPTY --save FOLDER", 65, "HC101")]
    [InlineData("", 64, "HC120")]
    public void Camera_WhatCannotBe_IsSaidAndNothingIsKept(string words, int exit, string code)
    {
        using (var blank = new Mat(900, 1200, MatType.CV_8UC3, new Scalar(120, 130, 125)))
        {
            File.WriteAllBytes(Path.Combine(_folder, "blank.jpg"), BoardScene.Jpeg(blank));
        }

        string empty = Directory.CreateDirectory(Path.Combine(_folder, "empty")).FullName, shelf = Path.Combine(_folder, "shelf");
        string[] call = ["camera", .. words.Split(' ', StringSplitOptions.RemoveEmptyEntries)
            .Select(w => w.Replace("FOLDER", _folder, StringComparison.Ordinal).Replace("EMPTY", empty, StringComparison.Ordinal))];
        (int got, _, string error) = Run(new([shelf]), call);
        Assert.Equal(exit, got);
        Assert.Contains(code + ": ", error, StringComparison.Ordinal);
        Assert.Empty(Directory.GetFiles(_folder, "*.json", SearchOption.AllDirectories));
    }

    /// <summary>The profile whose camera and zoom are the photo's is used, at another size too; one of another lens, or one that EXIF contradicts, is not.</summary>
    [Theory]
    [InlineData(3024, 1.01, null, "taken from the camera profile")]
    [InlineData(3024, 1.2, null, "is not used. Its focal length")]
    [InlineData(2268, 1.01, null, null)]
    [InlineData(3024, 1.01, "Phone Z", null)]
    public void Check_PhotoOfAKnownCamera_TakesItsProfileByItself(int height, double focal, string? model, string? said)
    {
        const string Photo = "floral-blue-tape-top-299x165";
        string path = Repo.Path("testimages", "measured", Photo + ".jpg");
        HoopCheck.Vision.PhotoHeader header = HoopCheck.Vision.Intake.Read(File.ReadAllBytes(path)).Value!.Header;
        LensKey lens = header.Lens!;

        // The photo is 2016 px wide; the profile is of pictures twice as large.
        string profile = string.Create(
            CultureInfo.InvariantCulture,
            $"{{\"make\":\"{lens.Make}\",\"model\":\"{model ?? lens.Model}\",\"focalMm\":{lens.FocalMm},\"focal35Mm\":{lens.Focal35Mm},\"width\":4032,\"height\":{height},\"fx\":{2 * focal * header.FocalPixels!.Value:0.0},\"focalUncertainty\":12}}");
        File.WriteAllText(Path.Combine(_folder, "p.json"), profile);
        File.WriteAllText(Path.Combine(_folder, "broken.json"), "{");
        string hoop = Path.Combine(_folder, "hoop.toml");
        File.WriteAllText(hoop, "name = \"a\"\nopening = \"299x165mm\"\nframe-height = \"11mm\"\n");

        (_, string output, _) = Run(new([_folder]), "check", path, "--hoop", hoop, "--fill", "250x100", "--json");
        string[] notes = [.. JsonDocument.Parse(output).RootElement.GetProperty("notes").EnumerateArray().Select(n => n.GetString()!).Where(n => n.Contains("profile", StringComparison.Ordinal))];
        if (said is null)
        {
            Assert.Empty(notes);
        }
        else
        {
            Assert.Contains(said, Assert.Single(notes), StringComparison.Ordinal);
        }
    }

    private static (int Exit, string Output, string Error) Run(CameraShelf shelf, params string[] call)
    {
        using StringWriter output = new() { NewLine = "\n" }, error = new() { NewLine = "\n" };
        int exit = Cli.Run(call, new Terminal(output, error, false) { Cameras = shelf });
        return (exit, output.ToString(), error.ToString());
    }
}
