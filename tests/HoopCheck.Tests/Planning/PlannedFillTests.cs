using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;

namespace HoopCheck.Tests.Planning;

public class PlannedFillTests
{
    // 200 x 100 mm about (10, -5).
    private static readonly PlannedFill s_fill = new(new(10, -5), 200, 100);

    [Theory]
    [InlineData(Side.Left, 90, -55, 45)]
    [InlineData(Side.Right, 110, -55, 45)]
    [InlineData(Side.Top, 45, -90, 110)]
    [InlineData(Side.Bottom, 55, -90, 110)]
    public void Facing_NotTurned_IsTheRectanglesEdge(Side side, double edge, double from, double to)
    {
        Assert.Equal(edge, s_fill.FacingEdge(side), 12);
        Assert.Equal(edge, s_fill.FacingEdgeAt(side, 7), 12);
        Assert.Equal((from, to), s_fill.FacingStretch(side));
    }

    /// <summary>Expected from a hand-made rotation matrix: corner (±100, ±50) about (10, −5) turned by 30 degrees.</summary>
    [Fact]
    public void Facing_TurnedByThirtyDegrees_SlantsWithTheEdge()
    {
        PlannedFill turned = s_fill with { TurnDegrees = 30 };
        double c = Math.Sqrt(3) / 2;
        HoopPoint bottomRight = new(10 + (100 * c) + 25, -5 + 50 - (50 * c)), topRight = new(10 + (100 * c) - 25, -5 + 50 + (50 * c));
        Assert.Equal(bottomRight.X, turned.FacingEdge(Side.Right), 9);
        Assert.Equal(bottomRight.X, turned.Right, 9);
        (double from, double to) = turned.FacingStretch(Side.Right);
        Assert.Equal(bottomRight.Y, from, 9);
        Assert.Equal(topRight.Y, to, 9);
        Assert.Equal(topRight.X, turned.FacingEdgeAt(Side.Right, to), 9);
        Assert.Equal((bottomRight.X + topRight.X) / 2, turned.FacingEdgeAt(Side.Right, (from + to) / 2), 9);
        Assert.Equal(topRight.Y, turned.Top, 9);
    }

    [Theory]
    [InlineData(90)]
    [InlineData(-90)]
    [InlineData(270)]
    [InlineData(450)]
    public void Facing_TurnedByAQuarter_HasWidthAndHeightExchanged(double degrees)
    {
        PlannedFill turned = s_fill with { TurnDegrees = degrees };
        Assert.Equal(60, turned.FacingEdge(Side.Right), 9);
        Assert.Equal(95, turned.FacingEdge(Side.Top), 9);
        Assert.Equal(-40, turned.FacingStretch(Side.Top).From, 9);
    }

    /// <summary>The example of the trade: shortened by 4 mm about the centre, moved down by 2, the bottom edge stays and the top comes down by 4.</summary>
    [Fact]
    public void After_ShortenAndNudge_KeepsTheFarEdge()
    {
        PlannedFill after = s_fill.After([FillChange.Resize(FillAxis.Y, -4), FillChange.Nudge(FillAxis.Y, -2)]);
        Assert.Equal((s_fill.Bottom, s_fill.Top - 4, s_fill.Left), (after.Bottom, after.Top, after.Left));
    }

    [Fact]
    public void After_Turn_LeavesTheCentre()
    {
        PlannedFill after = s_fill.After([FillChange.Turn(1), FillChange.Turn(-3), FillChange.Nudge(FillAxis.X, 0.5), FillChange.Resize(FillAxis.X, 2)]);
        Assert.Equal((-2, new HoopPoint(10.5, -5), 202), (after.TurnDegrees, after.Centre, after.Width));
    }

    [Fact]
    public void At_TurnedFill_PutsUAlongItsOwnWidth()
    {
        HoopPoint end = (s_fill with { TurnDegrees = 90 }).At(1, 0);
        Assert.Equal(10, end.X, 12);
        Assert.Equal(95, end.Y, 12);
    }

    [Fact]
    public void TryParseList_WordsOfTheReport_AreRead()
    {
        Assert.True(FillChange.TryParseList("shorten y 4mm, nudge y -1/8in; lengthen x 2, turn -1.5", out IReadOnlyList<FillChange> changes, out _));
        Assert.Equal(
            [FillChange.Resize(FillAxis.Y, -4), FillChange.Nudge(FillAxis.Y, -3.175), FillChange.Resize(FillAxis.X, 2), FillChange.Turn(-1.5)], changes);
    }

    [Fact]
    public void TryParseList_WhatAChangeSaysOfItself_IsThatChange()
    {
        FillChange[] all = [FillChange.Resize(FillAxis.Y, -4), FillChange.Resize(FillAxis.X, 1.25), FillChange.Nudge(FillAxis.Y, -2.5), FillChange.Nudge(FillAxis.X, 3), FillChange.Turn(-1.5)];
        Assert.True(FillChange.TryParseList(string.Join(", ", all.AsEnumerable()), out IReadOnlyList<FillChange> read, out string why), why);
        Assert.Equal(all, read);
        Assert.True(FillChange.TryParseList("down 2.5mm, right 3", out IReadOnlyList<FillChange> moves, out _));
        Assert.Equal(all[2..4], moves);
    }

    [Theory]
    [InlineData("")]
    [InlineData("shorten y")]
    [InlineData("shorten y -4")]
    [InlineData("shorten z 4")]
    [InlineData("nudge 4")]
    [InlineData("turn left")]
    [InlineData("turn NaN")]
    [InlineData("turn 1e3")]
    [InlineData("move x 4")]
    [InlineData("nudge x 4,")]
    [InlineData("nudge x 1/2")]
    public void TryParseList_OtherWords_AreNot(string text)
    {
        Assert.False(FillChange.TryParseList(text, out IReadOnlyList<FillChange> changes, out string why));
        Assert.Empty(changes);
        Assert.NotEmpty(why);
    }

    /// <summary>A drawing 0.2 mm wide, shortened below its thread's 0.4: it must not come out mirrored.</summary>
    [Fact]
    public void AtShape_NarrowerThanItsThread_KeepsItsSides()
    {
        PlannedFill fill = PlannedFill.Of(FillShape.Of([[new(0, 0), new(0.2, 30), new(0, 60)]], FillKind.Stitches, 0.4).Shape, new(0, 0));
        PlannedFill narrow = fill with { Width = 0.3 };
        Assert.True(fill.AtShape(0.1, 0).X > fill.AtShape(-0.1, 0).X);
        Assert.True(narrow.AtShape(0.1, 0).X >= narrow.AtShape(-0.1, 0).X);
    }
}
