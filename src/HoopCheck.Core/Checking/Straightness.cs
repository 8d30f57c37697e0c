using HoopCheck.Geometry;

namespace HoopCheck.Checking;

/// <summary>
/// Bow and skew of a crosswise line as ISO 13015 and ASTM D3882 define them (formulas from memory of the standards):
/// P = 100·l/b in per cent, b the fabric's width square to its edge. Both are worked out to 0.01 % and reported to 0.1 %, as the mean of at least
/// three places. The standards set no limits; the trade usually takes skew up to 3 to 5 % and bow up to 2 to 3 % (common practice, no source).
/// </summary>
public static class Straightness
{
    /// <summary>
    /// Skew: l is the distance along the edge between where the line ends and where a square to the edge from its beginning would end.
    /// </summary>
    /// <param name="line">A crosswise line from edge to edge, from the left, mm.</param>
    /// <param name="edgeDegrees">The lengthwise direction, counter-clockwise from +y.</param>
    /// <returns>Per cent; positive when the right end is further along the edge.</returns>
    public static double SkewPercent(IReadOnlyList<HoopPoint> line, double edgeDegrees)
    {
        (HoopVector along, HoopVector across) = Edge(line, edgeDegrees);
        HoopVector whole = line[^1] - line[0];
        return Percent(whole.Dot(along), whole.Dot(across));
    }

    /// <summary>Bow: l is the largest distance, along the edge, of the line from the straight line between its ends.</summary>
    /// <param name="line">A crosswise line from edge to edge, from the left, mm.</param>
    /// <param name="edgeDegrees">The lengthwise direction, counter-clockwise from +y.</param>
    /// <returns>Per cent; positive when the line lies further along the edge than the straight one.</returns>
    public static double BowPercent(IReadOnlyList<HoopPoint> line, double edgeDegrees)
    {
        (HoopVector along, HoopVector across) = Edge(line, edgeDegrees);
        HoopVector whole = line[^1] - line[0];
        double width = whole.Dot(across), rise = whole.Dot(along), largest = 0;
        foreach (HoopPoint point in line)
        {
            HoopVector from = point - line[0];
            double away = from.Dot(along) - (rise * from.Dot(across) / width);
            largest = Math.Abs(away) > Math.Abs(largest) ? away : largest;
        }

        return Percent(largest, width);
    }

    private static (HoopVector Along, HoopVector Across) Edge(IReadOnlyList<HoopPoint> line, double degrees)
    {
        ArgumentNullException.ThrowIfNull(line);
        if (line.Count < 2)
        {
            throw new ArgumentException("A line has at least two points.", nameof(line));
        }

        double a = degrees * Math.PI / 180;
        return (new(-Math.Sin(a), Math.Cos(a)), new(Math.Cos(a), Math.Sin(a)));
    }

    private static double Percent(double length, double width) => Math.Round(100 * length / width, 2, MidpointRounding.AwayFromZero);
}
