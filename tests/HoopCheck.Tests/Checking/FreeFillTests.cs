using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using NetTopologySuite.Geometries;

namespace HoopCheck.Tests.Checking;

/// <summary>Drawn fills and round corners against tape; distances are checked with NetTopologySuite.</summary>
public class FreeFillTests
{
    internal static TapeEdge Tape(Side side, Func<double, double> q, double from = -200, double to = 200)
    {
        var samples = new List<TapeSample>();
        for (double s = from; s <= to + 1e-9; s += 2)
        {
            samples.Add(new(s, q(s), 0.1, true));
        }

        return new(side, samples, 0, "blue", "#2F7FC1");
    }

    private static SideClearance Measure(TapeEdge tape, PlannedFill fill) => ClearanceCheck.Measure([tape], fill, 1.6, 12.7).Sides[0];

    private static PlannedFill Fill(FillKind kind, HoopPoint centre, params HoopPoint[] line) =>
        PlannedFill.Of(FillShape.Of([line], kind, 0.4).Shape, centre);

    private static HoopPoint[] Circle(double r) => [.. Enumerable.Range(0, 721).Select(i => new HoopPoint(r * Math.Cos(i % 720 * Math.PI / 360), r * Math.Sin(i % 720 * Math.PI / 360)))];

    [Theory]
    [InlineData(Side.Left)]
    [InlineData(Side.Right)]
    [InlineData(Side.Top)]
    [InlineData(Side.Bottom)]
    public void Measure_Circle_IsTheDistanceFromItsMiddleLessItsRadius(Side side)
    {
        // Tape 53 mm from the middle of a circle of 50 mm, on a slant of 0.1: the foot of the perpendicular decides.
        SideClearance found = Measure(Tape(side, s => 53 + (0.1 * s)), Fill(FillKind.Outline, new(0, 0), Circle(50)));
        Assert.Equal((53 / Math.Sqrt(1.01)) - 50, found.MinMm, 0.02);
        Assert.Equal(found.MinMm, found.NearestMm, 1e-9);

        // Along the normal: the least of 53 + 0.1 s − sqrt(50² − s²) is 53 − 50·sqrt(1.01).
        Assert.Equal(53 - (50 * Math.Sqrt(1.01)), found.NormalMm, 0.02);
    }

    [Fact]
    public void Measure_PathOverTheTape_IsAnOverlapAsDeepAsItReaches()
    {
        // Two stitches that run 10 mm over the tape, 30 mm apart: no place of the tape's edge is far from... or inside of anything.
        PlannedFill fill = Fill(FillKind.Stitches, new(0, 0), new(-20, -20), new(20, -15), new(20, -14), new(-20, 14), new(20, 15), new(20, 20));
        SideClearance found = Measure(Tape(Side.Right, _ => 10), fill);
        Assert.Equal(Decision.Overlap, found.Decision);
        Assert.Equal(-10.2, found.MinMm, 1e-6);
        Assert.Equal(-10.2, found.NormalMm, 1e-6);
    }

    [Fact]
    public void Measure_SpikeBetweenTwoSamples_IsSeen()
    {
        PlannedFill fill = Fill(FillKind.Outline, new(0, 0), new(-40, -40), new(40, -40), new(40, 0.9), new(48, 1), new(40, 1.1), new(40, 40), new(-40, 40), new(-40, -40));
        Assert.Equal(-3, Measure(Tape(Side.Right, _ => 45 - 4), fill with { Centre = new(0, 0) }).MinMm, 1e-6);
        Assert.Equal(2, Measure(Tape(Side.Right, _ => 46), fill).MinMm, 1e-6);
    }

    [Fact]
    public void Measure_RandomPaths_AgreeWithNetTopologySuite()
    {
        var random = TestRandom.For(nameof(Measure_RandomPaths_AgreeWithNetTopologySuite));
        for (int round = 0; round < 40; round++)
        {
            double x = 0, y = 0;
            HoopPoint[] path = [.. Enumerable.Range(0, 400).Select(_ => new HoopPoint(
                x = Math.Clamp(x + random.Between(-6, 6), -60, 60), y = Math.Clamp(y + random.Between(-6, 6), -60, 60)))];
            PlannedFill fill = Fill(FillKind.Stitches, new(random.Between(-5, 5), random.Between(-5, 5)), path);
            fill = fill with { TurnDegrees = random.Between(-4, 4), Width = fill.Width * random.Between(0.95, 1.05), Height = fill.Height * random.Between(0.95, 1.05) };
            double gap = random.Between(-4, 8), slant = random.Between(-0.05, 0.05);
            foreach (Side side in SideExtensions.All)
            {
                double edge = fill.FacingEdge(side);
                TapeEdge tape = Tape(side, s => edge + gap + (slant * s) + (0.3 * Math.Sin(s / 9)));
                SideClearance found = Measure(tape, fill);

                LineString drawn = GeometryFactory.Default.CreateLineString([.. FillBorder.Lines(fill)[0].Select(p => new Coordinate(p.X, p.Y))]);
                (double from, double to) = fill.FacingStretch(side);
                TapeSample[] facing = [End(from), .. tape.Samples.Where(s => s.S > from && s.S < to), End(to)];

                TapeSample End(double s)
                {
                    TapeSample a = tape.Samples.Last(x => x.S <= s), b = tape.Samples.First(x => x.S > s);
                    return a with { S = s, Q = a.Q + ((s - a.S) / (b.S - a.S) * (b.Q - a.Q)) };
                }

                var edgeLine = GeometryFactory.Default.CreateLineString([.. facing.Select(s => side.At(s.Q, s.S)).Select(p => new Coordinate(p.X, p.Y))]);
                double nearest = edgeLine.Distance(drawn) - 0.2;
                if (found.NormalMm > 0)
                {
                    // The stretch ends on samples here and between them there: a hundredth.
                    Assert.True(Math.Abs(nearest - found.NearestMm) < 0.02, $"seed {random.Seed}, round {round}, {side}: {nearest} and {found.NearestMm}");
                }
                else
                {
                    // Half a thread may lie nearer beside a stitch than along the normal; never more than that.
                    Assert.InRange(found.MinMm, Math.Min(found.NormalMm, -0.2) - 1e-9, found.NormalMm + 1e-9);
                }

                double normal = double.PositiveInfinity;
                foreach (Coordinate c in drawn.Coordinates)
                {
                    HoopPoint p = new(c.X, c.Y);
                    double q = ((p.X * side.Normal().X) + (p.Y * side.Normal().Y)), s = (p.X * side.Along().X) + (p.Y * side.Along().Y);
                    normal = Math.Min(normal, edge + gap + (slant * s) + (0.3 * Math.Sin(s / 9)) - q - 0.2);
                }

                Assert.Equal(normal, found.NormalMm, 0.03);
            }
        }
    }

    [Fact]
    public void Measure_RoundCorners_CountTheStraightPartAndWhereTapeSlants()
    {
        PlannedFill square = new(new(0, 0), 200, 100), round = square with { CornerRadius = 20 };
        SideClearance flat = Measure(Tape(Side.Right, _ => 103), round);
        Assert.Equal((3.0, 3.0), (Math.Round(flat.MinMm, 9), Math.Round(flat.MaxMm, 9)));
        Assert.Equal((-30.0, 30.0), (flat.Profile[0].T, flat.Profile[^1].T));

        // Tape that leans in by 0.5: with the perpendicular foot on the corner, at 100 - 20 + 20·sqrt(1.25) outward.
        TapeEdge slanted = Tape(Side.Right, s => 120 - (0.5 * s));
        double expected = 120 - (0.5 * 30) - 80 - (20 * Math.Sqrt(1.25));
        Assert.Equal(expected, Measure(slanted, round).MinMm, 0.03);
        Assert.True(Measure(slanted, square).MinMm < -4);
    }

    [Fact]
    public void FacingEdge_TurnedShape_IsItsFarthestPoint()
    {
        PlannedFill fill = Fill(FillKind.Stitches, new(3, 4), new(-30, 0), new(10, 22), new(30, -5)) with { TurnDegrees = 20 };
        foreach (Side side in SideExtensions.All)
        {
            double far = FillBorder.Lines(fill)[0].Max(p => (p.X * side.Normal().X) + (p.Y * side.Normal().Y));
            Assert.Equal(far + 0.2, fill.FacingEdge(side), 1e-9);
        }
    }
}
