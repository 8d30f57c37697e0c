using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Tests.Checking;

public class ClearanceCheckTests
{
    // 200 x 100 mm about (10, -5): x from -90 to 110, y from -55 to 45.
    private static readonly PlannedFill s_fill = new(new(10, -5), 200, 100);

    private static TapeEdge Tape(Side side, Func<double, double> q, double from = -120, double to = 120, Func<double, bool>? seen = null, double u = 0.1)
    {
        var samples = new List<TapeSample>();
        for (double s = from; s <= to + 1e-9; s += 2)
        {
            samples.Add(new(s, q(s), u, seen?.Invoke(s) ?? true));
        }

        return new(side, samples, 0, "blue", "#2F7FC1");
    }

    private static ClearanceFound Measure(params TapeEdge[] tapes) => ClearanceCheck.Measure(tapes, s_fill, 1.6, 12.7);

    [Theory]
    [InlineData(Side.Right, 110)]
    [InlineData(Side.Left, 90)]
    [InlineData(Side.Top, 45)]
    [InlineData(Side.Bottom, 55)]
    public void Measure_StraightTape_IsTapeMinusFacingEdge(Side side, double edge)
    {
        SideClearance found = Assert.Single(Measure(Tape(side, _ => edge + 3.25)).Sides);
        Assert.Equal(3.25, found.MinMm, 9);
        Assert.Equal(3.25, found.MaxMm, 9);
        Assert.Equal(3.25, found.MeanMm, 9);
        Assert.Equal(0.2, found.UncertaintyMm, 9);
        Assert.Equal(1, found.SeenShare, 9);
        Assert.Equal(Decision.Clear, found.Decision);
        Assert.Null(found.NearestReading);
    }

    [Fact]
    public void Measure_SlantedTape_IsCutAtTheFillsEnds()
    {
        // Rises 0.02 per mm; between the samples at y = -56 and -54 the fill begins at -55.
        SideClearance found = Assert.Single(Measure(Tape(Side.Right, s => 115 + (0.02 * s))).Sides);
        Assert.Equal(5 - 1.1, found.MinMm, 9);
        Assert.Equal(5 + 0.9, found.MaxMm, 9);
        Assert.Equal(5 - 0.1, found.MeanMm, 9);
        Assert.Equal(113.9, found.MinAt.X, 9);
        Assert.Equal(-55, found.MinAt.Y, 9);
        Assert.Equal(-55, found.Profile[0].T, 9);
        Assert.Equal(45, found.Profile[^1].T, 9);
    }

    [Fact]
    public void Measure_OutsideTheFacingStretch_TapeMayRunOver()
    {
        Assert.Equal(Decision.Clear, Measure(Tape(Side.Right, s => s > 46 ? 90 : 115)).Decision);
    }

    [Fact]
    public void Measure_FillMovedTowardsTape_GapShrinksByAsMuch()
    {
        TapeEdge tape = Tape(Side.Top, s => 50 + Math.Sin(s / 20));
        double before = ClearanceCheck.Measure([tape], s_fill, 1.6, 12.7).Sides[0].MinMm;
        double after = ClearanceCheck.Measure([tape], s_fill with { Centre = new(10, -4) }, 1.6, 12.7).Sides[0].MinMm;
        Assert.Equal(before - 1, after, 9);
    }

    /// <summary>A tape laid along the turned fill's edge, 3 mm off it to the right, is 3 mm off everywhere, though both slant.</summary>
    [Fact]
    public void Measure_TurnedFill_IsMeasuredFromItsSlantedEdge()
    {
        PlannedFill turned = s_fill with { TurnDegrees = 2 };
        double tan = Math.Tan(2 * Math.PI / 180), middle = 10 + (100 / Math.Cos(2 * Math.PI / 180));
        TapeEdge along = Tape(Side.Right, s => middle - ((s + 5) * tan) + 3);
        SideClearance found = Assert.Single(ClearanceCheck.Measure([along], turned, 1.6, 12.7).Sides);
        Assert.Equal(3, found.MinMm, 9);
        Assert.Equal(3, found.MaxMm, 9);
        Assert.All(found.Profile, p => Assert.Equal(3, p.ClearanceMm, 9));

        // Against a straight tape the bottom right corner, 50 sin 2° further out, is the narrowest place.
        found = Assert.Single(ClearanceCheck.Measure([Tape(Side.Right, _ => 115)], turned, 1.6, 12.7).Sides);
        Assert.Equal(115 - (10 + (100 * Math.Cos(2 * Math.PI / 180)) + (50 * Math.Sin(2 * Math.PI / 180))), found.MinMm, 9);
        Assert.Equal(turned.FacingStretch(Side.Right).From, found.MinAt.Y, 9);
    }

    [Fact]
    public void Measure_UncertaintyIsTakenAtTheNarrowestPlace()
    {
        TapeEdge tape = Tape(Side.Right, s => s == 10 ? 112 : 114);
        TapeSample[] samples = [.. tape.Samples.Select(s => s with { StandardUncertainty = s.S == 10 ? 0.35 : 0.1 })];
        SideClearance found = Measure(tape with { Samples = samples }).Sides[0];
        Assert.Equal(0.7, found.UncertaintyMm, 9);
        Assert.Equal(Decision.Undecided, found.Decision);
        Assert.NotNull(found.NearestReading);
    }

    [Fact]
    public void Measure_ProfileOverAHole_IsFiveMillimetresOrCloser()
    {
        TapeEdge tape = Tape(Side.Right, s => 115);
        TapeEdge holed = tape with { Samples = [.. tape.Samples.Where(s => s.S is < -10 or > 13)] };
        SideClearance found = Measure(holed).Sides[0];
        Assert.All(found.Profile.Zip(found.Profile.Skip(1)), pair => Assert.InRange(pair.Second.T - pair.First.T, 1e-9, 5));
        Assert.Equal(0.74, found.SeenShare, 9); // 100 mm less the hole from -12 to 14
        Assert.Equal(Decision.Clear, found.Decision);
    }

    [Fact]
    public void Measure_BridgedAtTheEnd_IsNotMeasured()
    {
        // Unread from y = 30 on, where the bridge runs wild.
        SideClearance found = Measure(Tape(Side.Right, s => s > 30 ? 90 : 115, seen: s => s <= 30)).Sides[0];
        Assert.Equal(5, found.MinMm, 9);
        Assert.Equal(Decision.Clear, found.Decision);
    }

    [Fact]
    public void Measure_BridgedBetween_CountsForTheSmallest()
    {
        SideClearance found = Measure(Tape(Side.Right, s => s == 10 ? 112 : 115, seen: s => s != 10)).Sides[0];
        Assert.Equal(2, found.MinMm, 9);
    }

    [Theory]
    [Trait("problem", "HC302")]
    [InlineData(115, Decision.Undecided)]
    [InlineData(125, Decision.Undecided)]
    [InlineData(111, Decision.Tight)]
    [InlineData(105, Decision.Overlap)]
    public void Measure_HalfSeen_IsNeverClearButMayBeProvenBad(double q, Decision expected)
    {
        ClearanceFound found = Measure(Tape(Side.Right, _ => q, to: -5));
        Assert.Equal(expected, found.Decision);
        Assert.Equal(0.49, found.Sides[0].SeenShare, 9); // samples end at y = -6
        Problem problem = Assert.Single(found.Problems);
        Assert.Same(Problems.TapeTooLittle, problem.Kind);
        Assert.Contains("right 49 %", problem.Say, StringComparison.Ordinal);
    }

    [Theory]
    [Trait("problem", "HC302")]
    [InlineData(-120, -44)] // 11 of 100 mm
    [InlineData(60, 120)] // none
    public void Measure_ScrapOfTape_IsNotMeasured(double from, double to)
    {
        ClearanceFound found = Measure(Tape(Side.Right, _ => 105, from, to));
        SideClearance side = Assert.Single(found.Sides);
        Assert.Equal(Decision.Undecided, found.Decision);
        Assert.True(double.IsNaN(side.MinMm));
        Assert.Empty(side.Profile);
        Assert.NotNull(side.NearestReading);
        Assert.Same(Problems.TapeTooLittle, Assert.Single(found.Problems).Kind);
    }

    [Fact]
    public void Measure_ShortFill_NeedsTenMillimetres()
    {
        var small = new PlannedFill(new(0, 0), 9, 9);
        Assert.True(double.IsNaN(ClearanceCheck.Measure([Tape(Side.Right, _ => 10)], small, 1.6, 12.7).Sides[0].MinMm));
    }

    [Fact]
    [Trait("problem", "HC301")]
    public void Measure_NoTape_SaysSo()
    {
        ClearanceFound found = Measure();
        Assert.Equal(Decision.NoTape, found.Decision);
        Assert.Same(Problems.NoTape, Assert.Single(found.Problems).Kind);
    }

    [Fact]
    public void Measure_SeveralSides_WorstDecidesAndOrderIsFixed()
    {
        ClearanceFound found = Measure(Tape(Side.Bottom, _ => 60), Tape(Side.Left, _ => 89));
        Assert.Equal(Decision.Overlap, found.Decision);
        Assert.Equal([Side.Left, Side.Bottom], found.Sides.Select(side => side.Side));
        Assert.Equal([Decision.Overlap, Decision.Clear], found.Sides.Select(side => side.Decision));
    }

    [Fact]
    public void Measure_SamplesThatAreNoNumbers_AreLeftOut()
    {
        TapeEdge tape = Tape(Side.Right, s => s == 10 ? double.NaN : 115);
        Assert.Equal(5, Measure(tape).Sides[0].MinMm, 9);
    }
}
