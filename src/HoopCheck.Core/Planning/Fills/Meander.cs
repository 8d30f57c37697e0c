using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Rules;
using MathNet.Numerics.Random;
using NetTopologySuite.Algorithm.Locate;
using NetTopologySuite.Geometries;
using NetTopologySuite.Geometries.Utilities;
using Area = NetTopologySuite.Geometries.Geometry;

namespace HoopCheck.Planning.Fills;

/// <summary>One wandering line of stitches.</summary>
/// <param name="Points">Where the needle goes, in order; mm.</param>
/// <param name="StitchMm">Length of each stitch, the last one included, mm.</param>
public sealed record MeanderLine(IReadOnlyList<HoopPoint> Points, double StitchMm)
{
    /// <summary>Stitches, one fewer than points.</summary>
    public int Stitches => Points.Count - 1;

    /// <summary>Length of the whole line, mm.</summary>
    public double LengthMm => Stitches * StitchMm;

    /// <summary>Share of the area that has no line within a spacing: tips and necks too narrow for it, 0 to 1.</summary>
    public double EmptyShare { get; init; }
}

/// <summary>
/// Lays one wandering line evenly into an outline, never across itself: a walk around a random tree on a grid whose cells are two spacings wide
/// passes every place once and comes back; then the line is let go, and its parts push each other away until they lie evenly in round curves.
/// </summary>
/// <remarks>
/// The walk visits one point of each square of a spacing by a spacing, so that length times spacing is the area: the identity the result
/// is tested by. It keeps half a spacing from the outline, so that two fills that abut are as far apart as two lines of one of them.
/// </remarks>
public static class Meander
{
    /// <summary>Narrowest and widest spacing, mm.</summary>
    /// <remarks>A turn is half a spacing round; made of stitches of 2 mm it needs 2.5 mm to stay round.</remarks>
    public const double SmallestSpacingMm = 5, LargestSpacingMm = 60;

    /// <summary>Shortest and longest stitch, mm. Common practice, no source.</summary>
    public const double ShortestStitchMm = 2, LongestStitchMm = 2.5;

    /// <summary>Spacing of the walk over the spacing asked for: the lines end up farther apart than they are laid, because turns draw back.</summary>
    private const double Laid = 0.89;

    /// <summary>Share of the area that may have no line within a spacing.</summary>
    private const double MostEmpty = 0.1;

    private const int Attempts = 6, Rounds = 300;

    /// <summary>Lays the line.</summary>
    /// <param name="outline">Closed lines, mm; one within another is a hole (even-odd).</param>
    /// <param name="spacingMm">Distance between neighbouring lines, mm.</param>
    /// <param name="seed">The same seed gives the same line.</param>
    /// <returns>The line, or HC136.</returns>
    public static Outcome<MeanderLine> Make(IReadOnlyList<IReadOnlyList<HoopPoint>> outline, double spacingMm, int seed)
    {
        ArgumentNullException.ThrowIfNull(outline);
        if (!(spacingMm is >= SmallestSpacingMm and <= LargestSpacingMm))
        {
            return Impossible(string.Create(CultureInfo.InvariantCulture, $"Lines {spacingMm:0.##} mm apart are not made; {SmallestSpacingMm:0} to {LargestSpacingMm:0} mm is possible."));
        }

        Area area = AreaOf(outline);
        double most = 2.0 * spacingMm * spacingMm * Tolerances.Default.LargestFillPoints * ShortestStitchMm / (2 * spacingMm);
        if (area.IsEmpty || area.Area < 16 * spacingMm * spacingMm)
        {
            return Impossible("The outline holds less than four lines across.");
        }

        if (area.Area > most)
        {
            return Impossible("It would have too many stitches.");
        }

        for (int attempt = 0; attempt < Attempts; attempt++)
        {
            // Not .NET's own generator, whose numbers may change with its version.
            var random = new MersenneTwister(unchecked((seed * Attempts) + attempt), threadSafe: false);
            if (Walk.Around(area, Laid * spacingMm, random) is not { } walk)
            {
                // The grid is the same for every seed.
                break;
            }

            HoopPoint[] loose = Relaxation.Even(walk, area, Laid * spacingMm, Rounds);
            if (Stitched(loose) is { } line && Sound(line, area))
            {
                double empty = Empty(line, area, spacingMm);
                if (empty > MostEmpty)
                {
                    break;
                }

                return line with { EmptyShare = empty };
            }
        }

        return Impossible("It is too narrow somewhere for lines so far apart.");
    }

    private static Problem Impossible(string detail) => new(Problems.MeanderImpossible, detail);

    private static Area AreaOf(IReadOnlyList<IReadOnlyList<HoopPoint>> outline)
    {
        GeometryFactory make = GeometryFactory.Default;
        Area area = make.CreatePolygon();
        foreach (IReadOnlyList<HoopPoint> line in outline.Where(line => line.Count > 2))
        {
            Coordinate[] ring = [.. line.Select(p => new Coordinate(p.X, p.Y))];
            if (!ring[0].Equals2D(ring[^1]))
            {
                ring = [.. ring, ring[0].Copy()];
            }

            if (ring.Length > 3)
            {
                area = area.SymmetricDifference(GeometryFixer.Fix(make.CreatePolygon(ring)));
            }
        }

        return area;
    }

    /// <summary>
    /// Points on the curve whose chords are all equally long, the last one too: the chord's length is sought, between the shortest and the
    /// longest stitch, that ends on the curve's end.
    /// </summary>
    private static MeanderLine? Stitched(HoopPoint[] curve)
    {
        const double Middle = (ShortestStitchMm + LongestStitchMm) / 2;
        (_, double rest0) = Stepped(curve, Middle, null);
        int wanted = Stepped(curve, Middle, null).Count + (rest0 > Middle / 2 ? 1 : 0);

        // Longer chords, fewer of them: what is left over falls with the chord's length. Bisection.
        double low = ShortestStitchMm, high = LongestStitchMm;
        for (int i = 0; i < 60; i++)
        {
            double chord = (low + high) / 2;
            (int count, _) = Stepped(curve, chord, null);
            (low, high) = count >= wanted ? (chord, high) : (low, chord);
        }

        var points = new List<HoopPoint>();
        (int stitches, double rest) = Stepped(curve, low, points);
        if (stitches != wanted || rest > 1e-3 || low - ShortestStitchMm < 1e-6 || LongestStitchMm - low < 1e-6)
        {
            return null;
        }

        return new(points, low);
    }

    /// <summary>Steps along a curve in chords of one length; how many, and how far the last point is from the curve's end.</summary>
    private static (int Count, double Left) Stepped(HoopPoint[] curve, double chord, List<HoopPoint>? points)
    {
        HoopPoint at = curve[0];
        points?.Add(at);
        int count = 0, k = 1;
        double t = 0;
        while (true)
        {
            // The first place on the curve, from where we are, that is a chord away.
            while (k < curve.Length && curve[k].DistanceTo(at) < chord)
            {
                k++;
                t = 0;
            }

            if (k == curve.Length)
            {
                return (count, at.DistanceTo(curve[^1]));
            }

            HoopPoint a = curve[k - 1], b = curve[k];
            HoopVector d = b - a, f = a - at;
            double qa = d.Dot(d), qb = 2 * f.Dot(d), qc = f.Dot(f) - (chord * chord);
            t = Math.Max(t, (-qb + Math.Sqrt(Math.Max(0, (qb * qb) - (4 * qa * qc)))) / (2 * qa));
            at = a + (d * t);
            points?.Add(at);
            count++;
        }
    }

    private static double Empty(MeanderLine line, Area area, double spacing)
    {
        Area reached = GeometryFactory.Default.CreateLineString([.. line.Points.Select(p => new Coordinate(p.X, p.Y))]).Buffer(spacing);
        return area.Difference(reached).Area / area.Area;
    }

    private static bool Sound(MeanderLine line, Area area)
    {
        var inside = new IndexedPointInAreaLocator(area);
        Coordinate[] points = [.. line.Points.Select(p => new Coordinate(p.X, p.Y))];
        if (points.Any(p => inside.Locate(p) != Location.Interior))
        {
            return false;
        }

        return !Crosses(points) && area.Covers(GeometryFactory.Default.CreateLineString(points));
    }

    private static bool Crosses(Coordinate[] points) =>
        !NetTopologySuite.Operation.Valid.IsSimpleOp.IsSimple(GeometryFactory.Default.CreateLineString(points));
}
