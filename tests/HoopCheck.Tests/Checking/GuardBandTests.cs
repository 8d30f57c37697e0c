using HoopCheck.Checking;

namespace HoopCheck.Tests.Checking;

public class GuardBandTests
{
    // Worked by hand after ISO 14253-1: proof of conformity only inside the limit by U, of non-conformity only outside by U.
    // Limits 1.6 and 12.7 mm.
    [Theory]
    [InlineData(-0.31, 2, 0.3, Decision.Overlap)]
    [InlineData(-0.3, 2, 0.3, Decision.Tight)] // −0.3 + 0.3 = 0 is not below 0
    [InlineData(0, 2, 0.3, Decision.Tight)]
    [InlineData(1.29, 2, 0.3, Decision.Tight)]
    [InlineData(1.31, 2, 0.3, Decision.Undecided)]
    [InlineData(1.6, 2, 0.3, Decision.Undecided)]
    [InlineData(1.89, 2, 0.3, Decision.Undecided)]
    [InlineData(1.91, 2, 0.3, Decision.Clear)]
    [InlineData(1.6, 12.7, 0, Decision.Clear)]
    [InlineData(3, 12.39, 0.3, Decision.Clear)]
    [InlineData(3, 12.41, 0.3, Decision.Undecided)]
    [InlineData(3, 12.99, 0.3, Decision.Undecided)]
    [InlineData(3, 13.01, 0.3, Decision.Wide)]
    [InlineData(1.5, 20, 0.3, Decision.Undecided)] // too wide at one end, but the narrow end is not proven
    [InlineData(-2, 20, 0.3, Decision.Overlap)]
    [InlineData(double.NaN, 2, 0.3, Decision.Undecided)]
    [InlineData(3, 4, double.NaN, Decision.Undecided)]
    [InlineData(3, 4, double.PositiveInfinity, Decision.Undecided)]
    public void Decide_Figures_AreGuarded(double min, double max, double u, Decision expected) =>
        Assert.Equal(expected, GuardBand.Decide(min, max, u, 1.6, 12.7));

    [Fact]
    public void Decide_LargerUncertainty_NeverTurnsToClear()
    {
        for (double min = -3; min < 5; min += 0.1)
        {
            for (double u = 0; u < 3; u += 0.1)
            {
                if (GuardBand.Decide(min, 8, u, 1.6, 12.7) == Decision.Clear)
                {
                    Assert.Equal(Decision.Clear, GuardBand.Decide(min, 8, u / 2, 1.6, 12.7));
                    Assert.True(min >= 1.6);
                }
            }
        }
    }

    [Theory]
    [InlineData(new[] { Decision.Clear, Decision.Wide }, Decision.Wide)]
    [InlineData(new[] { Decision.Undecided, Decision.Wide }, Decision.Undecided)]
    [InlineData(new[] { Decision.Undecided, Decision.Tight, Decision.Clear }, Decision.Tight)]
    [InlineData(new[] { Decision.Tight, Decision.Overlap, Decision.Undecided }, Decision.Overlap)]
    [InlineData(new[] { Decision.Clear, Decision.Clear }, Decision.Clear)]
    [InlineData(new Decision[0], Decision.NoTape)]
    public void Worst_Sides_FollowTheContractsOrder(Decision[] sides, Decision expected) =>
        Assert.Equal(expected, GuardBand.Worst(sides));

    [Fact]
    public void NearestReading_FiguresNearALimit_SaysWhichSideOfIt()
    {
        Assert.Contains("over the tape", GuardBand.NearestReading(-0.2, 3, 1.6, 12.7), StringComparison.Ordinal);
        Assert.Contains("too tight: 1.5 mm", GuardBand.NearestReading(1.5, 3, 1.6, 12.7), StringComparison.Ordinal);
        Assert.Contains("clear: 1.7 mm", GuardBand.NearestReading(1.7, 3, 1.6, 12.7), StringComparison.Ordinal);
        Assert.Contains("too wide: 12.8 mm", GuardBand.NearestReading(1.7, 12.8, 1.6, 12.7), StringComparison.Ordinal);
    }
}
