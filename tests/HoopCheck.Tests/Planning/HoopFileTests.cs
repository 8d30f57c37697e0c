using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Tests.Planning;

public class HoopFileTests
{
    private const string Whole = """
        name = "the large one"
        opening = "360x240mm"
        corner-radius = "20mm"
        frame-width = "20mm"
        frame-height = "11mm"
        sewing-field = "350x230mm"
        attachment = "left"

        [machine]
        nudge-step = "0.25mm"
        """;

    [Fact]
    public void Parse_WholeFile_GivesEveryMeasure() =>
        Assert.Equal(
            new HoopSpec("the large one", 360, 240, 11, 20, 20, 350, 230) { Machine = new(NudgeStepMm: 0.25) }, HoopFile.Parse(Whole).Value);

    [Fact]
    public void Parse_ShortestFile_TakesFieldFiveMillimetresInside()
    {
        HoopSpec hoop = HoopFile.Parse("name = \"a\"\nopening = \"14x9 1/2in\"\nframe-height = 11.5").Value!;
        Assert.Equal(355.6, hoop.OpeningWidth, 9);
        Assert.Equal(241.3, hoop.OpeningHeight, 9);
        Assert.Equal(11.5, hoop.FrameHeight);
        Assert.Null(hoop.CornerRadius);
        Assert.Null(hoop.FrameWidth);
        Assert.Equal(345.6, hoop.FieldWidth, 9);
        Assert.Equal(231.3, hoop.FieldHeight, 9);
    }

    [Theory]
    [Trait("problem", "HC111")]
    [InlineData("name = ", "Line 1")]
    [InlineData("name = \"a\"\nname = \"b\"", "Line 2")]
    [InlineData("opening = \"360x240\"\nframe-height = 11", "\"name\" is missing")]
    [InlineData("name = \"a\"\nframe-height = 11", "\"opening\" is missing")]
    [InlineData("name = \"a\"\nopening = \"360x240\"", "\"frame-height\" is missing")]
    [InlineData("name = \"a\"\nopening = \"360x240\"\nframe-hight = 11", "is \"frame-height\" meant?")]
    [InlineData("name = \"a\"\nopenning = \"360x240\"", "is \"opening\" meant?")]
    [InlineData("name = \"\"\nopening = \"360x240\"\nframe-height = 11", "\"name\" must be")]
    [InlineData("name = 3\nopening = \"360x240\"\nframe-height = 11", "\"name\" must be")]
    [InlineData("name = \"a\"\nopening = 360\nframe-height = 11", "\"opening\" must be a size")]
    [InlineData("name = \"a\"\nopening = \"360\"\nframe-height = 11", "\"opening\":")]
    [InlineData("name = \"a\"\nopening = \"360x240\"\nframe-height = true", "\"frame-height\" must be")]
    [InlineData("name = \"a\"\nopening = \"360x240\"\nframe-height = nan", "\"frame-height\" must be")]
    [InlineData("name = \"a\"\nopening = \"360x240\"\nframe-height = \"11 feet\"", "\"frame-height\":")]
    [InlineData("name = \"a\"\nopening = \"360x240\"\nframe-height = 11\nattachment = \"right\"", "\"attachment\"")]
    [InlineData("name = \"a\"\nopening = \"360x240\"\nframe-height = 11\nmachine = 3", "\"machine\"")]
    [InlineData("name = \"a\"\nopening = \"360x240\"\nframe-height = 11\n[machine]\nnudge = 1", "is \"nudge-step\" meant?")]
    public void Parse_BrokenFile_NamesTheEntry(string text, string named)
    {
        Problem problem = HoopFile.Parse(text).Problem!;
        Assert.Same(Problems.HoopFileBroken, problem.Kind);
        Assert.Contains(named, problem.Say, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', problem.Say);
    }

    [Theory]
    [Trait("problem", "HC112")]
    [InlineData("opening = \"360x240\"", "opening = \"36x24\"", "\"opening\"")]
    [InlineData("opening = \"360x240\"", "opening = \"700x240\"", "\"opening\"")]
    [InlineData("frame-height = 11", "frame-height = 2.9", "\"frame-height\"")]
    [InlineData("frame-height = 11", "frame-height = 41", "\"frame-height\"")]
    [InlineData("frame-height = 11", "frame-height = -11", "\"frame-height\"")]
    [InlineData("", "corner-radius = 120", "\"corner-radius\"")]
    [InlineData("", "corner-radius = -1", "\"corner-radius\"")]
    [InlineData("", "frame-width = 4", "\"frame-width\"")]
    [InlineData("", "frame-width = \"61mm\"", "\"frame-width\"")]
    [InlineData("", "sewing-field = \"361x240\"", "\"sewing-field\"")]
    [InlineData("", "sewing-field = \"350x241\"", "\"sewing-field\"")]
    public void Parse_AbsurdMeasure_NamesTheEntry(string usual, string absurd, string named)
    {
        string text = "name = \"a\"\nopening = \"360x240\"\nframe-height = 11\n";
        text = usual.Length == 0 ? text + absurd : text.Replace(usual, absurd, StringComparison.Ordinal);
        Problem problem = HoopFile.Parse(text).Problem!;
        Assert.Same(Problems.HoopFileAbsurd, problem.Kind);
        Assert.Contains(named, problem.Say, StringComparison.Ordinal);
    }

    [Fact]
    public void Parse_FileCutAnywhere_NeverThrows()
    {
        for (int length = 0; length < Whole.Length; length++)
        {
            _ = HoopFile.Parse(Whole[..length]);
        }
    }
}
