using HoopCheck.Planning.Fills;
using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.Distance;
using Area = NetTopologySuite.Geometries.Geometry;

namespace HoopCheck.Tests.Planning.Fills;

/// <summary>Checks with NetTopologySuite and with the identity of plane-filling curves: length times spacing is the area.</summary>
public class MeanderTests
{
    private static HoopPoint[] Rectangle(double w, double h) => [new(-w / 2, -h / 2), new(w / 2, -h / 2), new(w / 2, h / 2), new(-w / 2, h / 2)];

    private static HoopPoint[] Leaf() => [.. Enumerable.Range(0, 200).Select(i =>
    {
        double a = i * Math.PI / 100, r = 100 * (1 + (0.25 * Math.Sin(3 * a)) + (0.12 * Math.Cos(5 * a)));
        return new HoopPoint(r * Math.Cos(a), r * Math.Sin(a));
    })];

    private static HoopPoint[] Outline(string name) => name == "leaf" ? Leaf() : Rectangle(double.Parse(name.Split('x')[0]), double.Parse(name.Split('x')[1]));

    private static Polygon Polygon(HoopPoint[] ring) =>
        GeometryFactory.Default.CreatePolygon([.. ring.Append(ring[0]).Select(p => new Coordinate(p.X, p.Y))]);

    private static LineString Line(MeanderLine line) => GeometryFactory.Default.CreateLineString([.. line.Points.Select(p => new Coordinate(p.X, p.Y))]);

    [Theory]
    [InlineData("350x230", 12.7, 1)]
    [InlineData("200x120", 9, 2)]
    [InlineData("120x300", 19.05, 3)]
    [InlineData("leaf", 12.7, 4)]
    public void Make_Line_IsWhatAQuilterAsksFor(string name, double spacing, int seed)
    {
        HoopPoint[] outline = Outline(name);
        Polygon area = Polygon(outline);
        MeanderLine made = Meander.Make([outline], spacing, seed).Value!;
        LineString line = Line(made);

        Assert.True(line.IsSimple, "crosses itself");
        Assert.True(area.Contains(line), "leaves its outline");
        for (int i = 1; i < made.Points.Count; i++)
        {
            // All stitches are equally long, the last one too; 1e-3 mm is what the last one may lack.
            Assert.InRange(made.Points[i].DistanceTo(made.Points[i - 1]), 2, 2.5);
            Assert.Equal(made.StitchMm, made.Points[i].DistanceTo(made.Points[i - 1]), 1e-6);
        }

        Assert.InRange(line.Length * spacing / area.Area, 0.85, 1.15);

        // Distance from each stitch to the nearest part of the line that is not its own bend (half a circle of a spacing across, and as much
        // again): that is the spacing where two lines run side by side. At a dead end no line runs beside, hence the 90 of 100.
        int own = (int)Math.Ceiling(Math.PI * spacing / made.StitchMm);
        double[] beside = [.. Enumerable.Range(0, made.Points.Count).Select(i => Beside(line, i, own))];
        Array.Sort(beside);
        Assert.InRange(beside[beside.Length / 2] / spacing, 0.9, 1.1);
        Assert.True(beside[0] > 0.8 * spacing, $"two lines come as near as {beside[0]:0.0} mm");
        Assert.InRange((double)beside.Count(b => b < 1.2 * spacing) / beside.Length, 0.80, 1);

        // No empty place: every point of the area has the line within a spacing, on the average within a third.
        var random = TestRandom.For(nameof(Make_Line_IsWhatAQuilterAsksFor));
        var distance = new IndexedFacetDistance(line);
        Envelope box = area.EnvelopeInternal;
        double[] far = [.. Enumerable.Range(0, 4000)
            .Select(_ => GeometryFactory.Default.CreatePoint(new Coordinate(random.Between(box.MinX, box.MaxX), random.Between(box.MinY, box.MaxY))))
            .Where(area.Contains)
            .Select(p => distance.Distance(p))];
        Assert.InRange(far.Average() / spacing, 0.22, 0.34); // 1/4 between parallel lines
        Assert.True(far.Max() < 1.25 * spacing, $"an empty place {2 * far.Max():0.0} mm across");
    }

    private static double Beside(LineString line, int at, int own)
    {
        double least = double.PositiveInfinity;
        Coordinate p = line.GetCoordinateN(at);
        for (int k = 1; k < line.NumPoints; k++)
        {
            if (k <= at - own || k - 1 >= at + own)
            {
                least = Math.Min(least, NetTopologySuite.Algorithm.DistanceComputer.PointToSegment(p, line.GetCoordinateN(k - 1), line.GetCoordinateN(k)));
            }
        }

        return least;
    }

    [Fact]
    public void Make_SameSeed_IsTheSameLine()
    {
        HoopPoint[] outline = Rectangle(150, 100);
        IReadOnlyList<HoopPoint> a = Meander.Make([outline], 12.7, 7).Value!.Points, b = Meander.Make([outline], 12.7, 7).Value!.Points, c = Meander.Make([outline], 12.7, 8).Value!.Points;
        Assert.Equal(a, b);
        Assert.NotEqual(a, c);
    }

    [Fact]
    public void Make_Hole_IsLeftFree()
    {
        HoopPoint[] outline = Rectangle(200, 160), hole = Rectangle(70, 50);
        LineString line = Line(Meander.Make([outline, hole], 10, 1).Value!);
        Assert.True(line.IsSimple);
        Assert.True(line.Disjoint(Polygon(hole)));
    }

    [Theory]
    [Trait("problem", "HC136")]
    [InlineData(200, 100, 4.9)]
    [InlineData(200, 100, 61)]
    [InlineData(200, 100, double.NaN)]
    [InlineData(40, 40, 12.7)]
    [InlineData(400, 8, 12.7)]
    [InlineData(580, 16, 12.7)]
    public void Make_WhatCannotBe_IsSaid(double width, double height, double spacing) =>
        Assert.Same(HoopCheck.Rules.Problems.MeanderImpossible, Meander.Make([Rectangle(width, height)], spacing, 1).Problem!.Kind);

    /// <summary>Half a ring, long and narrow: it holds a few cells of the grid here and there. Neither a line in one corner of it nor a long wait.</summary>
    [Theory]
    [Trait("problem", "HC136")]
    [InlineData(13)]
    [InlineData(20)]
    [InlineData(30)]
    public void Make_NarrowBentStrip_IsRefusedAtOnce(double width)
    {
        HoopPoint At(double r, int i) => new(r * Math.Cos(i * Math.PI / 60), r * Math.Sin(i * Math.PI / 60));
        HoopPoint[] strip = [.. Enumerable.Range(0, 61).Select(i => At(220 + (width / 2), i)), .. Enumerable.Range(0, 61).Select(i => At(220 - (width / 2), 60 - i))];
        var watch = System.Diagnostics.Stopwatch.StartNew();
        Assert.Same(HoopCheck.Rules.Problems.MeanderImpossible, Meander.Make([strip], 12.7, 1).Problem!.Kind);
        Assert.True(watch.Elapsed.TotalSeconds < 5, $"{watch.Elapsed}");
    }

    [Fact]
    public void Make_PointedStar_SaysHowMuchStaysEmpty()
    {
        HoopPoint[] star = [.. Enumerable.Range(0, 20).Select(i =>
        {
            double a = i * Math.PI / 10, r = i % 2 == 0 ? 110 : 60;
            return new HoopPoint(r * Math.Cos(a), r * Math.Sin(a));
        })];
        MeanderLine made = Meander.Make([star], 8, 1).Value!;
        Area drawn = Line(made).Buffer(8), area = Polygon(star);
        Assert.Equal(1 - (area.Intersection(drawn).Area / area.Area), made.EmptyShare, 1e-6);
        Assert.InRange(made.EmptyShare, 0.01, 0.1);
    }
}
