using HoopCheck.Geometry;

namespace HoopCheck.Planning.Fills;

/// <summary>A fill as lines in the hoop: what is drawn, printed and filled.</summary>
public static class FillBorder
{
    /// <summary>Chords of a round corner.</summary>
    private const int CornerChords = 24;

    /// <summary>All lines of the fill, mm. A rectangle and an outline are closed: their first point stands again at the end.</summary>
    /// <param name="fill">The fill.</param>
    public static IReadOnlyList<IReadOnlyList<HoopPoint>> Lines(PlannedFill fill)
    {
        ArgumentNullException.ThrowIfNull(fill);
        if (fill.Outline is not { } shape)
        {
            return [Rectangle(fill)];
        }

        return [.. shape.Lines.Select(IReadOnlyList<HoopPoint> (range) =>
        {
            (int from, int count) = range.GetOffsetAndLength(shape.Xs.Length);
            var line = new HoopPoint[count];
            for (int i = 0; i < count; i++)
            {
                line[i] = fill.AtShape(shape.Xs[from + i], shape.Ys[from + i]);
            }

            return line;
        })];
    }

    private static List<HoopPoint> Rectangle(PlannedFill fill)
    {
        double r = fill.CornerRadius, u = 1 - (2 * r / fill.Width), v = 1 - (2 * r / fill.Height);
        var line = new List<HoopPoint>();
        int chords = r > 0 ? CornerChords : 0;

        // Clockwise from the left end of the top edge, like the corners.
        foreach ((double cu, double cv, int quarter) in new[] { (u, v, 1), (u, -v, 0), (-u, -v, -1), (-u, v, -2) })
        {
            for (int i = 0; i <= chords; i++)
            {
                double angle = (quarter - (chords > 0 ? (double)i / chords : 0)) * Math.PI / 2;
                (double sin, double cos) = Math.SinCos(angle);
                line.Add(fill.At(cu + (2 * r * cos / fill.Width), cv + (2 * r * sin / fill.Height)));
            }
        }

        line.Add(line[0]);
        return line;
    }
}
