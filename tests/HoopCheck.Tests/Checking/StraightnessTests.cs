using HoopCheck.Checking;

namespace HoopCheck.Tests.Checking;

/// <summary>Worked by hand after P = 100·l/b (ISO 13015, ASTM D3882; from memory of the standards).</summary>
public class StraightnessTests
{
    // A line over 1500 mm of fabric that ends 45 mm too far along the edge: 45/1500 = 3 %.
    [Theory]
    [InlineData(1500, 45, 3)]
    [InlineData(1500, -45, -3)]
    [InlineData(1120, 28, 2.5)]
    [InlineData(360, 0, 0)]
    [InlineData(300, 1, 0.33)]
    public void SkewPercent_LineThatEndsTooFar_IsItsShareOfTheWidth(double width, double end, double percent) =>
        Assert.Equal(percent, Straightness.SkewPercent([new(0, 0), new(width, end)], 0));

    // A line whose middle lies 30 mm from the straight one over 1500 mm: 2 %. With a skewed chord the bow is counted from the chord.
    [Theory]
    [InlineData(1500, 30, 0, 2)]
    [InlineData(1500, -30, 0, -2)]
    [InlineData(1500, 30, 60, 2)]
    [InlineData(360, 9, -10, 2.5)]
    public void BowPercent_CurvedLine_IsItsLargestDistanceFromTheChord(double width, double middle, double end, double percent)
    {
        HoopPoint[] line = [.. Enumerable.Range(0, 21).Select(i => i / 20.0).Select(t => new HoopPoint(t * width, (t * end) + (4 * middle * t * (1 - t))))];
        Assert.Equal(percent, Straightness.BowPercent(line, 0));
        Assert.Equal(Math.Round(100 * end / width, 2), Straightness.SkewPercent(line, 0));
    }

    // A hooked or S-shaped line bows by its larger half.
    [Fact]
    public void BowPercent_LineWithTwoBows_TakesTheLarger() =>
        Assert.Equal(-1.5, Straightness.BowPercent([new(0, 0), new(250, 5), new(500, 0), new(750, -15), new(1000, 0)], 0));

    // Turned with its fabric by 30° a line keeps its skew and bow: 20 mm and 10 mm over 400 mm.
    [Fact]
    public void Percents_FabricTurned_StayTheSame()
    {
        double cos = Math.Cos(Math.PI / 6), sin = Math.Sin(Math.PI / 6);
        HoopPoint[] line = [.. new (double X, double Y)[] { (0, 0), (200, 20), (400, 20) }.Select(p => new HoopPoint((cos * p.X) - (sin * p.Y), (sin * p.X) + (cos * p.Y)))];
        Assert.Equal(5, Straightness.SkewPercent(line, 30));
        Assert.Equal(2.5, Straightness.BowPercent(line, 30));
    }

    [Fact]
    public void SkewPercent_OnePoint_IsAnArgumentError() =>
        Assert.Throws<ArgumentException>(() => Straightness.SkewPercent([new(0, 0)], 0));
}
