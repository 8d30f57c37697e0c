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
        Assert.Contains("Turn the fabric clockwise; or, if your machine does that, turn the fill 1.2° counter-clockwise and check again.", turn, StringComparison.Ordinal);
        Assert.Contains("1.2° clockwise", WeaveAdvice.Say(Weave(-1.2, 88.8, -1.2, 0, 0))[0], StringComparison.Ordinal);
        Assert.StartsWith("The fabric lies straight", WeaveAdvice.Say(Weave(0.2, 90.2, 0.2, 0, 0))[0], StringComparison.Ordinal);
    }

    // 4 % of 360 mm is 14.4 mm: 7 mm at either end.
    [Theory]
    [InlineData(4, "Ease the whole right side 7 mm down and the left side 7 mm up")]
    [InlineData(-4, "Ease the whole left side 7 mm down and the right side 7 mm up")]
    [InlineData(2.9, "as square as is usual")]
    public void Say_Skew_NamesTheSides(double skew, string words) =>
        Assert.Contains(words, WeaveAdvice.Say(Weave(0, 90, 0, skew, 0), inHoop: false)[1], StringComparison.Ordinal);

    // 2.5 % of 360 mm is 9 mm.
    [Theory]
    [InlineData(2.5, "bulge up in the middle. Ease the middle 9 mm down")]
    [InlineData(-2.5, "bulge down in the middle. Ease the middle 9 mm up")]
    [InlineData(1.9, "as straight as is usual")]
    public void Say_Bow_SaysWhereToEase(double bow, string words) =>
        Assert.Contains(words, WeaveAdvice.Say(Weave(0, 90, 0, 0, bow), inHoop: false)[2], StringComparison.Ordinal);

    [Fact]
    public void Say_UsualSkewAndBowInAHoop_AreNotWorthALine()
    {
        Assert.Single(WeaveAdvice.Say(Weave(1, 91, 1, 2.9, 1.9)));
        Assert.Equal(3, WeaveAdvice.Say(Weave(1, 91, 1, 2.96, 1.96)).Count);
    }

    // Both sides moved as told leave crosswise lines square: a line from (-180, -7.2) to (180, 7.2) becomes level.
    [Fact]
    public void Say_SkewEasedAsTold_IsGone()
    {
        double each = double.Parse(
            System.Text.RegularExpressions.Regex.Match(WeaveAdvice.Say(Weave(0, 90, 0, 4, 0))[1], "right side (\\d+) mm down").Groups[1].Value,
            System.Globalization.CultureInfo.InvariantCulture);
        Assert.InRange(100 * ((7.2 - each) - (-7.2 + each)) / 360, -0.3, 0.3);
    }

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
        string? words = WeaveAdvice.AgainstTape(Weave(0.2, 91.1, 0.6, 1.6, 0), [tape]);
        Assert.Equal(said, words is not null);
        Assert.True(words is null || words.Contains($"clockwise on the {side.Name()}", StringComparison.Ordinal), words);
    }

    [Fact]
    public void AgainstTape_LinesNotSeen_SaysNothing()
    {
        var tape = new TapeEdge(Side.Top, [new(-50, 90, 0.1, true), new(50, 90, 0.1, true)], 5, "blue", "#0000FF");
        Assert.Null(WeaveAdvice.AgainstTape(Weave(0.2, null, 0.2, null, null), [tape]));
    }
}
