using System.Text.Json;
using HoopCheck.App;
using HoopCheck.Planning;
using HoopCheck.Tests.TestImages;

namespace HoopCheck.Tests.App;

/// <summary>The command <c>hoop</c>.</summary>
public sealed class HoopTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Hoop_AnswersGivenOneByOne_AreAskedAgainUntilUnderstood()
    {
        string file = Path.Combine(_folder, "my.toml");
        (int exit, string output, string error) = Run("Grandma's \"big\" one\n360 by 240\n360x240mm\neleven\n7/16in\n20mm\n\n\n", "hoop", file, "--out", _folder);

        Assert.Equal(0, exit);
        Assert.Contains("A  opening, width", error, StringComparison.Ordinal);
        Assert.Contains("\"360 by 240\" is not", error, StringComparison.Ordinal);
        Assert.Contains("opening 360 x 240 mm", output, StringComparison.Ordinal);
        HoopSpec hoop = HoopFile.Parse(File.ReadAllText(file)).Value!;
        Assert.Equal(new("Grandma's \"big\" one", 360, 240, 11.1125, 20, null, 350, 230), hoop with { FrameHeight = Math.Round(hoop.FrameHeight, 6) });
        Assert.True(File.Exists(Path.Combine(_folder, "hoop.svg")) && File.Exists(Path.Combine(_folder, "hoop.png")));
    }

    [Fact]
    public void Hoop_AnswersGivenAsOptions_AreNotAskedFor()
    {
        string file = Path.Combine(_folder, "my.toml");
        (int exit, _, string error) = Run("", "hoop", file, "--name", "a", "--opening", "200x300", "--frame-height", "9", "--json");
        Assert.Equal((0, ""), (exit, error));
        Assert.Equal(200, HoopFile.Parse(File.ReadAllText(file)).Value!.OpeningWidth);
    }

    [Theory]
    [Trait("problem", "HC112")]
    [InlineData(64, "HC120", "--name", "a", "--opening", "200x300")]
    [InlineData(64, "HC120", "--name", "a", "--opening", "200", "--frame-height", "9")]
    [InlineData(65, "HC112", "--name", "a", "--opening", "200x300", "--frame-height", "90")]
    [InlineData(65, "HC101", "--name", "a", "--opening", "200x300", "--frame-height", "9", "--photo", "no-such.jpg")]
    public void Hoop_WhatCannotBe_IsSaidAndNothingIsWritten(int exit, string code, params string[] words)
    {
        string file = Path.Combine(_folder, "my.toml");
        (int got, _, string error) = Run("", ["hoop", file, .. words]);
        Assert.Equal(exit, got);
        Assert.Contains(code + ": ", error, StringComparison.Ordinal);
        Assert.False(File.Exists(file));
    }

    [Fact]
    [Trait("problem", "HC122")]
    public void Hoop_FileThatIsThere_IsKeptUnlessToldOtherwise()
    {
        string file = Path.Combine(_folder, "my.toml");
        File.WriteAllText(file, "mine");
        string[] call = ["hoop", file, "--name", "a", "--opening", "200x300", "--frame-height", "9"];
        Assert.Equal(65, Run("", call).Exit);
        Assert.Equal("mine", File.ReadAllText(file));
        Assert.Equal(0, Run("", [.. call, "--replace"]).Exit);
        Assert.StartsWith("#", File.ReadAllText(file), StringComparison.Ordinal);
    }

    /// <summary>Against a photo with a known hoop: the right measures agree; a width 3 mm too large does not go with the height. (Not every photo can tell so much: U of the width that the floral one shows is 2.4 mm then.)</summary>
    [Theory]
    [InlineData(0, 0)]
    [InlineData(3, 2)]
    public void Hoop_PhotoOfTheHoop_FlagsProportionsThatDiffer(double widthError, int exit)
    {
        const string Photo = "gingham-yellow-tape-right-270x408";
        HoopSpec truth = Answers.Read("measured", Photo).Request!.Hoop;
        string file = Path.Combine(_folder, "my.toml");
        (int got, string output, _) = Run(
            "", "hoop", file, "--name", "a", "--opening", FormattableString.Invariant($"{truth.OpeningWidth + widthError}x{truth.OpeningHeight}"),
            "--frame-height", FormattableString.Invariant($"{truth.FrameHeight}"), "--corner-radius", FormattableString.Invariant($"{truth.CornerRadius}"),
            "--frame-width", FormattableString.Invariant($"{truth.FrameWidth}"), "--photo", Repo.Path("testimages", "measured", Photo + ".jpg"), "--up", "bottom", "--json");

        JsonElement[] measures = [.. JsonDocument.Parse(output).RootElement.GetProperty("measures").EnumerateArray()];
        Assert.True(got == exit, output);
        Assert.Equal(widthError != 0, measures[0].GetProperty("differs").GetBoolean());
        Assert.False(measures[2].GetProperty("differs").GetBoolean());

        // What the photo says is the true width, whatever the ruler said.
        Assert.InRange(measures[0].GetProperty("photoMm").GetDouble() - truth.OpeningWidth, -measures[0].GetProperty("photoUncertaintyMm").GetDouble(), measures[0].GetProperty("photoUncertaintyMm").GetDouble());
        Assert.True(File.Exists(file));
    }

    /// <summary>E_n after ISO 13528: the difference over the root of the sum of both squared expanded uncertainties.</summary>
    [Theory]
    [InlineData(11, 0.5, 13.0, 1.9, true)]
    [InlineData(11, 0.5, 9.0, 1.9, true)]
    [InlineData(11, 0.5, 12.9, 1.9, false)]
    [InlineData(11, 3.0, 14.9, 4.0, false)]
    public void Differs_BothUncertainties_AddAsSquares(double ruler, double rulerU, double photo, double photoU, bool differs) =>
        Assert.Equal(differs, new HoopCheck.Vision.RulerFinding("frame-height", ruler, rulerU, photo, photoU).Differs);

    [Fact]
    public void Hoop_PhotoWithoutAHoop_IsSaidAndTheMeasuresAreKept()
    {
        string file = Path.Combine(_folder, "my.toml");
        (int exit, _, string error) = Run(
            "", "hoop", file, "--name", "a", "--opening", "200x300", "--frame-height", "9", "--photo", Repo.Path("testimages", "must-refuse", "fabric-only.jpg"));
        Assert.Equal(3, exit);
        Assert.Contains("not checked", error, StringComparison.Ordinal);
        Assert.True(File.Exists(file));
    }

    private static (int Exit, string Output, string Error) Run(string typed, params string[] call)
    {
        using StringWriter output = new() { NewLine = "\n" }, error = new() { NewLine = "\n" };
        int exit = Cli.Run(call, new Terminal(output, error, false) { In = new StringReader(typed) });
        return (exit, output.ToString(), error.ToString());
    }
}
