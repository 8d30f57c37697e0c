using System.Diagnostics;
using CsCheck;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.Tests.Planning.Quilts;

public class QuiltPlannerTests
{
    private const double Inch = 25.4;

    private static HoopSpec Hoop(double width = 600, double height = 600) => new("any", width, height, 11, null, null, width, height);

    private static QuiltPlan Plan(QuiltSpec quilt) => QuiltPlanner.Make(quilt, Hoop()).Value!;

    // Reference: common practice, no source. 63 x 47 1/4 in with fields of 15 3/4 x 10 1/2 in: 63/10.5 = 6, 47.25/15.75 = 3; the other way 63/15.75 = 4, 47.25/10.5 = 4.5.
    // 5 full fills of 10 1/2 in with gaps g cover 52.5 + 4g, 63 only from g = 2 5/8 in on; so the counts hold for every gap that is allowed.
    [Theory]
    [InlineData(1.6, 0)]
    [InlineData(6.35, 0)]
    [InlineData(12.7, 0)]
    [InlineData(6.35, 6.35)]
    public void Make_HandbookQuilt_LiesSidewaysInEighteen(double gap, double edge)
    {
        QuiltPlan plan = Plan(new QuiltSpec("", 63 * Inch, 47.25 * Inch, 15.75 * Inch, 10.5 * Inch, "h") { GapMm = gap, EdgeMm = edge });

        Assert.Equal(HoopLies.Sideways, plan.Chosen.Lies);
        Assert.Equal((6, 3, 18), (plan.Chosen.Columns, plan.Chosen.Rows, plan.Chosen.Hoopings));
        Assert.Equal((4, 5, 20), (plan.Other.Columns, plan.Other.Rows, plan.Other.Hoopings));
        Assert.True(plan.X.MiddleIsSeam);
        Assert.False(plan.Y.MiddleIsSeam);
    }

    // Without any gap the fields fit to the last bit: a rounding error must not add a row.
    [Fact]
    public void Fewest_LengthIsAWholeNumberOfFills_TakesNoMore()
    {
        Assert.Equal(6, AxisLayout.Fewest(63 * Inch, 10.5 * Inch, 0));
        Assert.Equal(3, AxisLayout.Fewest(47.25 * Inch, 15.75 * Inch, 0));
        Assert.Equal(4, AxisLayout.Fewest(63 * Inch, 15.75 * Inch, 0));
        Assert.Equal(5, AxisLayout.Fewest(47.25 * Inch, 10.5 * Inch, 0));
    }

    // By hand: span 1000, fills 300, gap 10: 3 fills cover 920, 4 cover 1230. Two full ones, the outer ones (1000 − 600 − 30)/2 = 185.
    // Edges at −500 −315 | −305 −5 | 5 305 | 315 500; centres −407.5, −155, 155, 407.5. Equal: (1000 − 30)/4 = 242.5.
    [Fact]
    public void Axis_FourFills_AreAsReckonedByHand()
    {
        AxisLayout full = AxisLayout.Make(1000, 300, 10, PlanLayout.Full);
        Assert.Equal([185, 300, 300, 185], full.Sizes);
        Assert.Equal([-407.5, -155, 155, 407.5], full.Centres.Select(c => Math.Round(c, 9)));
        Assert.Equal(230, full.SpareMm, 9);
        Assert.True(full.MiddleIsSeam);

        AxisLayout equal = AxisLayout.Make(1000, 300, 10, PlanLayout.Equal);
        Assert.Equal([242.5, 242.5, 242.5, 242.5], equal.Sizes);
        Assert.Equal([-378.75, -126.25, 126.25, 378.75], equal.Centres.Select(c => Math.Round(c, 9)));
    }

    // By hand: 3 x 3, sideways: quilt top is the hoop's right, quilt left its top, quilt bottom its left, quilt right its bottom.
    // The middle row is 2 1 3, the top row 5 4 6, the bottom row 8 7 9.
    [Fact]
    public void Make_ThreeByThreeSideways_OrdersFromTheMiddleAndNamesTheHoopsSides()
    {
        QuiltPlan plan = Plan(new QuiltSpec("", 620, 620, 200, 200, "h") { GapMm = 10, Lies = HoopLies.Sideways });
        Assert.Equal([5, 4, 6, 2, 1, 3, 8, 7, 9], Enumerable.Range(0, 9).Select(i => plan.At(i / 3, i % 3)!.Number));
        Assert.Empty(plan.Find(1)!.TapeSides);
        Assert.Equal([(Side.Bottom, 1)], plan.Find(2)!.TapeSides.Select(t => (t.Key, t.Value)));
        Assert.Equal([(Side.Left, 2), (Side.Bottom, 4)], plan.Find(5)!.TapeSides.Select(t => (t.Key, t.Value)));
        Assert.Equal([(Side.Right, 3), (Side.Top, 7)], plan.Find(9)!.TapeSides.Select(t => (t.Key, t.Value)).OrderBy(t => t.Key));

        // Square fills: a quarter-turn on every other field of the chequerboard.
        Assert.Equal([0, 90, 0, 90, 0, 90, 0, 90, 0], Enumerable.Range(0, 9).Select(i => plan.At(i / 3, i % 3)!.FillTurnDegrees));
        Assert.Equal((310, 310), (plan.FromLeft(plan.Find(1)!.Centre), plan.FromTop(plan.Find(1)!.Centre)));
        Assert.Equal((100, 100), (plan.FromLeft(plan.Find(5)!.Centre), plan.FromTop(plan.Find(5)!.Centre)));
    }

    [Fact]
    public void Make_ByColumns_EndsAColumnBeforeTheNext()
    {
        QuiltPlan plan = Plan(new QuiltSpec("", 620, 410, 200, 200, "h") { GapMm = 10, Order = StitchOrder.Columns });
        Assert.Equal([(0, 1), (1, 1), (0, 0), (1, 0), (0, 2), (1, 2)], plan.Hoopings.Select(h => (h.Row, h.Column)));
    }

    // By hand: 100 x 127 mm at 12.7 mm are 1000 mm of line: 400 stitches of 2.5 mm, at a factor of 1.4 1.4 m of thread. Six hoopings use 8.4 m:
    // of a bobbin of 5 m three take 4.2, the fourth would need 1.4 of the 0.8 left.
    [Fact]
    public void Thread_BobbinOfFiveMetres_IsChangedBeforeTheFourth()
    {
        QuiltPlan plan = Plan(new QuiltSpec("", 312.7, 260.35, 100, 127, "h") { GapMm = 6.35, Lies = HoopLies.Straight, Layout = PlanLayout.Equal, Thread = new(BobbinMetres: 5) });
        Assert.Equal(6, plan.Hoopings.Count);
        ThreadUse first = plan.Thread[0];
        Assert.Equal(100, plan.Hoopings[0].Width, 9);
        Assert.Equal(1000, first.LineMm, 6);
        Assert.Equal(400, first.Stitches);
        Assert.Equal([false, false, false, true, false, false], plan.Thread.Select(t => t.NewBobbin));
        Assert.Equal(5, plan.Thread[0].BobbinLeftMetres);
        Assert.All(plan.Thread, t => Assert.False(t.BobbinTooShort));
        Assert.All(plan.Thread, t => Assert.Equal((int)Math.Ceiling(t.LineMm / 2.5), t.Stitches));
        Assert.Equal(first.LineMm * 1.4 / 1000, first.BobbinMetres, 9);
    }

    [Fact]
    public void Thread_BobbinShorterThanAHooping_IsSaidAndNotCountedDownBelowNothing()
    {
        QuiltPlan plan = Plan(new QuiltSpec("", 600, 600, 300, 300, "h") { Thread = new(BobbinMetres: 2) });
        Assert.All(plan.Thread, t => Assert.True(t.BobbinTooShort && t.BobbinLeftMetres >= 0));
    }

    private static readonly Gen<QuiltSpec> AnyQuilt =
        from width in Gen.Double[150, 3500]
        from height in Gen.Double[150, 3500]
        from fillWidth in Gen.Double[90, 580]
        from fillHeight in Gen.Double[90, 580]
        from gap in Gen.Double[1.6, 12.7]
        from edge in Gen.Double[0, 40]
        from equal in Gen.Bool
        from columns in Gen.Bool
        select new QuiltSpec("", width, height, fillWidth, fillHeight, "h")
        {
            GapMm = gap,
            EdgeMm = edge,
            Layout = equal ? PlanLayout.Equal : PlanLayout.Full,
            Order = columns ? StitchOrder.Columns : StitchOrder.Rows,
        };

    [Fact]
    public void Make_AnyQuilt_CoversItOnceWithTheGapBetween() => AnyQuilt.Sample(
        quilt =>
        {
            QuiltPlan plan = Plan(quilt);
            foreach ((AxisLayout axis, double length) in new[] { (plan.X, quilt.Width), (plan.Y, quilt.Height) })
            {
                double at = -(length / 2) + quilt.EdgeMm;
                for (int i = 0; i < axis.Count; i++)
                {
                    // Each fill begins where the last one ended, one gap on: nothing overlaps, nothing is left out.
                    Assert.Equal(at, axis.Centres[i] - (axis.Sizes[i] / 2), 1e-5);
                    at = axis.Centres[i] + (axis.Sizes[i] / 2) + quilt.GapMm;
                }

                Assert.Equal((length / 2) - quilt.EdgeMm, at - quilt.GapMm, 1e-5);
                Assert.Equal(axis.Sizes.Reverse(), axis.Sizes);
            }

            Assert.All(plan.Hoopings, h => Assert.True(h.FillWidth <= quilt.FillWidth + 1e-6 && h.FillHeight <= quilt.FillHeight + 1e-6 && h.Width > 0 && h.Height > 0));
            Assert.Equal(plan.X.Count * plan.Y.Count, plan.Hoopings.Select(h => (h.Row, h.Column)).Distinct().Count());
            Assert.Equal(Enumerable.Range(1, plan.Hoopings.Count), plan.Hoopings.Select(h => h.Number));
        },
        iter: 2000,
        seed: "0000KNrd2WT1");

    [Fact]
    public void Make_AnyQuilt_NeedsNoMoreThanTheOtherWayNorThanOneFewerWouldCover() => AnyQuilt.Sample(
        quilt =>
        {
            QuiltPlan plan = Plan(quilt);
            Assert.True(plan.Chosen.Hoopings <= plan.Other.Hoopings);
            Assert.True(plan.Chosen.Hoopings < plan.Other.Hoopings || plan.Chosen.OddSized <= plan.Other.OddSized);
            (double across, double down) = plan.Chosen.Lies == HoopLies.Straight ? (quilt.FillWidth, quilt.FillHeight) : (quilt.FillHeight, quilt.FillWidth);
            foreach ((AxisLayout axis, double full, double length) in new[] { (plan.X, across, quilt.Width), (plan.Y, down, quilt.Height) })
            {
                double fewer = ((axis.Count - 1) * full) + ((axis.Count - 2) * quilt.GapMm);
                Assert.True(axis.Count == 1 || fewer < length - (2 * quilt.EdgeMm));

                // No slivers: beside its gap an outer fill has at least half of what a full one has.
                Assert.True(axis.Count == 1 || axis.Sizes[0] + quilt.GapMm >= ((full + quilt.GapMm) / 2) - 1e-6);
            }
        },
        iter: 2000,
        seed: "0000KNrd2WT1");

    [Fact]
    public void Make_AnyQuilt_HasTapeAlongEveryStitchedNeighbourAndNeverOnOppositeSides() => AnyQuilt.Sample(
        quilt =>
        {
            QuiltPlan plan = Plan(quilt);
            foreach (PlannedHooping h in plan.Hoopings)
            {
                var expected = plan.Hoopings
                    .Where(o => o.Number < h.Number && Math.Abs(o.Row - h.Row) + Math.Abs(o.Column - h.Column) == 1)
                    .Select(o => (Side: o.Row < h.Row ? Side.Top : o.Row > h.Row ? Side.Bottom : o.Column < h.Column ? Side.Left : Side.Right, o.Number))
                    .OrderBy(t => t.Side);
                Assert.Equal(expected, h.TapeSides.Select(t => (Side: QuiltPlanner.QuiltSide(t.Key, h.Lies), t.Value)).OrderBy(t => t.Side));
                Assert.Equal(h.Number == 1, h.TapeSides.Count == 0);
                Assert.False(h.TapeSides.ContainsKey(Side.Left) && h.TapeSides.ContainsKey(Side.Right));
                Assert.False(h.TapeSides.ContainsKey(Side.Top) && h.TapeSides.ContainsKey(Side.Bottom));
            }
        },
        iter: 300,
        seed: "0000KNrd2WT1");

    [Fact]
    public void HoopSide_BackAndForth_IsTheSameSide()
    {
        foreach (HoopLies lies in Enum.GetValues<HoopLies>())
        {
            Assert.Equal(SideExtensions.All, SideExtensions.All.Select(side => QuiltPlanner.QuiltSide(QuiltPlanner.HoopSide(side, lies), lies)));
        }

        // A quarter-turn counter-clockwise takes the hoop's outward normal to the quilt's: (x, y) -> (−y, x).
        Assert.All(SideExtensions.All, hoop =>
        {
            HoopVector of = hoop.Normal(), on = QuiltPlanner.QuiltSide(hoop, HoopLies.Sideways).Normal();
            Assert.Equal((-of.Y, of.X), (on.X, on.Y));
        });
    }

    [Fact]
    public void Make_LargestPlan_TakesUnderATenthOfASecond()
    {
        // 2500 hoopings, more than any bed has; the first call is left out because it loads the code.
        var quilt = new QuiltSpec("", 9999, 9999, 200, 200, "h");
        Plan(quilt);
        QuiltPlan plan = Plan(quilt);
        Assert.True(plan.Hoopings.Count > 2300);
        double best = Enumerable.Range(0, 5).Min(_ =>
        {
            var watch = Stopwatch.StartNew();
            Plan(quilt);
            return watch.Elapsed.TotalMilliseconds;
        });
        Assert.True(best < 100, $"{best:0} ms for {plan.Hoopings.Count} hoopings");
    }

    [Theory]
    [Trait("problem", "HC153")]
    [InlineData(0, 6, "\"gap\"")]
    [InlineData(13, 6, "\"gap\"")]
    [InlineData(6, 299, "\"edge\"")]
    public void Make_MeasuresThatCannotBe_NamesTheEntry(double gap, double edge, string entry)
    {
        HoopCheck.Rules.Problem problem = QuiltPlanner.Make(new QuiltSpec("", 600, 900, 200, 200, "h") { GapMm = gap, EdgeMm = edge }, Hoop()).Problem!;
        Assert.Equal("HC153", problem.Kind.Code);
        Assert.StartsWith(entry, problem.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Make_TooManyHoopings_IsNotPlanned() =>
        Assert.Equal("HC153", QuiltPlanner.Make(new QuiltSpec("", 9999, 9999, 20, 20, "h"), Hoop()).Problem!.Kind.Code);

    [Fact]
    public void Make_FillLargerThanTheField_IsStopped() =>
        Assert.Equal("HC121", QuiltPlanner.Make(new QuiltSpec("", 999, 999, 220, 200, "h"), Hoop(210, 210)).Problem!.Kind.Code);
}
