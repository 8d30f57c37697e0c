using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Tests.Planning;

public class MachineFileTests
{
    [Theory]
    [InlineData("")]
    [InlineData("[machine]")]
    public void Parse_NothingSaid_IsTheUsualMachine(string text) => Assert.Equal(MachineSpec.Usual, MachineFile.Parse(text).Value);

    [Theory]
    [InlineData("")]
    [InlineData("[machine]\n")]
    public void Parse_EveryEntry_IsRead(string head) =>
        Assert.Equal(
            new MachineSpec(1.5875, 2, true, null, 90, 110),
            MachineFile.Parse(head + "nudge-step = \"1/16in\"\nresize-step = \"2%\"\nturn-step = \"none\"\nsmallest-size = \"90%\"\nlargest-size = \"110 %\"").Value);

    [Fact]
    public void Parse_NumbersWithoutUnit_AreMillimetresAndDegrees() =>
        Assert.Equal(new MachineSpec(0.1, 2, false, 0.5), MachineFile.Parse("nudge-step = 0.1\nresize-step = 2\nturn-step = 0.5").Value);

    [Theory]
    [Trait("problem", "HC117")]
    [InlineData("nudge-step = ", "Line 1")]
    [InlineData("nudge-stp = 1", "is \"nudge-step\" meant?")]
    [InlineData("nudge-step = 0", "\"nudge-step\" must be")]
    [InlineData("nudge-step = nan", "\"nudge-step\" must be")]
    [InlineData("nudge-step = \"1%\"", "\"nudge-step\" must be")]
    [InlineData("resize-step = \"0%\"", "\"resize-step\" must be")]
    [InlineData("turn-step = \"some\"", "\"turn-step\" must be")]
    [InlineData("smallest-size = 80", "\"smallest-size\" must be")]
    [InlineData("smallest-size = \"180%\"", "\"smallest-size\" must be")]
    [InlineData("largest-size = \"80%\"", "\"largest-size\" must be")]
    [InlineData("[machine]\nnudge-step = 1\n[other]\na = 1", "is not known")]
    public void Parse_BrokenFile_NamesTheEntry(string text, string named)
    {
        Problem problem = MachineFile.Parse(text).Problem!;
        Assert.Same(Problems.MachineFileBroken, problem.Kind);
        Assert.Contains(named, problem.Say, StringComparison.Ordinal);
    }

    [Fact]
    public void Resizes_Millimetres_CountFromTheSizeAsItIs() =>
        Assert.Equal([-7.0, -6, -5, -4, -3, -2, -1, 0, 1, 2, 3], Rounded(new MachineSpec().Resizes(102, 100, 5)));

    [Fact]
    public void Resizes_Percent_CountFromThePlannedSize() =>
        Assert.Equal([-6.0, -4, -2, 0, 2], Rounded(new MachineSpec(ResizeStep: 2, ResizeInPercent: true).Resizes(102, 100, 4)));

    /// <summary>A size off the grid of whole percents may stay as it is, or go onto the grid.</summary>
    [Fact]
    public void Resizes_PercentFromOffTheGrid_GoOntoIt() =>
        Assert.Equal([-2.5, -0.5, 0, 1.5], Rounded(new MachineSpec(ResizeStep: 2, ResizeInPercent: true).Resizes(100.5, 100, 2)));

    [Fact]
    public void Resizes_MachineThatGoesLessFar_Stops() =>
        Assert.Equal(
            [-1.0, 0, 1, 2],
            Rounded(new MachineSpec(SmallestPercent: 99, LargestPercent: 102).Resizes(100, 100, 5)));

    private static IEnumerable<double> Rounded(IEnumerable<double> changes) => changes.Select(mm => Math.Round(mm, 9)).Order();
}
