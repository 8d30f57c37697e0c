using HoopCheck.Checking;
using HoopCheck.Geometry;

namespace HoopCheck.Tests.Checking;

public class WeaveAdviceTests
{
    private static WeaveMeasure Weave(double? warp, double? weft, double? turn, double? skew, double? bow) =>
        new(warp, weft, turn, skew, bow, 0.12, 360, 240, []);

    // 360 mm · tan 1.2° = 7.5 mm.
    [Fact]
    public void Say_TurnedFabric_SaysWhichWayAndHowFar()
    {
        string turn = WeaveAdvice.Say(Weave(1.2, 91.2, 1.2, 0, 0))[0];
        Assert.Contains("turned 1.2° counter-clockwise in the hoop (sure to ±0.2°): 8 mm over its length", turn, StringComparison.Ordinal);
        Assert.Contains("Turn the fabric clockwise, or turn the fill 1.2° counter-clockwise", turn, StringComparison.Ordinal);
        Assert.Contains("1.2° clockwise", WeaveAdvice.Say(Weave(-1.2, 88.8, -1.2, 0, 0))[0], StringComparison.Ordinal);
        Assert.StartsWith("The fabric lies straight", WeaveAdvice.Say(Weave(0.2, 90.2, 0.2, 0, 0))[0], StringComparison.Ordinal);
    }

    // 4 % of 360 mm is 14.4 mm: 7 mm at either end.
    [Theory]
    [InlineData(4, "Ease the top right corner 7 mm down and the bottom left corner 7 mm up")]
    [InlineData(-4, "Ease the top left corner 7 mm down and the bottom right corner 7 mm up")]
    [InlineData(2.9, "as square as is usual")]
    public void Say_Skew_NamesTheCorners(double skew, string words) =>
        Assert.Contains(words, WeaveAdvice.Say(Weave(0, 90, 0, skew, 0))[1], StringComparison.Ordinal);

    // 2.5 % of 360 mm is 9 mm.
    [Theory]
    [InlineData(2.5, "bulge up in the middle. Ease the middle 9 mm down")]
    [InlineData(-2.5, "bulge down in the middle. Ease the middle 9 mm up")]
    [InlineData(1.9, "as straight as is usual")]
    public void Say_Bow_SaysWhereToEase(double bow, string words) =>
        Assert.Contains(words, WeaveAdvice.Say(Weave(0, 90, 0, 0, bow))[2], StringComparison.Ordinal);

    [Fact]
    public void Say_WhatWasNotMeasured_IsNotSaid() => Assert.Single(WeaveAdvice.Say(Weave(1, null, 1, null, null)));

    [Theory]
    [InlineData(Side.Top, 2.0, true)]
    [InlineData(Side.Top, 1.4, false)]
    [InlineData(Side.Right, 0.4, false)]
    [InlineData(Side.Right, -0.8, true)]
    [InlineData(Side.Left, 1.0, true)]
    public void AgainstTape_TapeAcrossTheLines_IsSaid(Side side, double tapeAngle, bool said)
    {
        var tape = new TapeEdge(side, [new(-50, 90, 0.1, true), new(50, 90, 0.1, true)], tapeAngle, "blue", "#0000FF");
        string[] words = [.. WeaveAdvice.AgainstTape(Weave(0.2, 91.1, 0.6, 1.6, 0), [tape])];
        Assert.Equal(said, words.Length == 1);
        Assert.All(words, line => Assert.Contains($"The tape on the {side.Name()}", line, StringComparison.Ordinal));
    }

    [Fact]
    public void AgainstTape_LinesNotSeen_SaysNothing()
    {
        var tape = new TapeEdge(Side.Top, [new(-50, 90, 0.1, true), new(50, 90, 0.1, true)], 5, "blue", "#0000FF");
        Assert.Empty(WeaveAdvice.AgainstTape(Weave(0.2, null, 0.2, null, null), [tape]));
    }
}
