using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Planning.Fills;

namespace HoopCheck.Planning.Sheets;

/// <summary>
/// A template to print on something see-through and lay into the hoop: opening, sewing field, centre lines, the top marked, and the fill.
/// </summary>
public static class TemplateSheet
{
    /// <summary>Paper around the opening, mm.</summary>
    private const double Margin = 6;

    /// <summary>Chords of a quarter circle.</summary>
    private const int Chords = 32;

    /// <summary>Draws the template.</summary>
    /// <param name="hoop">The hoop.</param>
    /// <param name="fill">The fill, or null for the hoop alone.</param>
    public static SheetDrawing Draw(HoopSpec hoop, PlannedFill? fill)
    {
        ArgumentNullException.ThrowIfNull(hoop);
        double width = hoop.OpeningWidth + (2 * Margin), height = hoop.OpeningHeight + (2 * Margin);
        SheetPoint On(HoopPoint p) => new((width / 2) + p.X, (height / 2) - p.Y);
        LineMark Line(IEnumerable<HoopPoint> points, double stroke, double dash = 0, bool closed = false) => new([.. points.Select(On)], stroke, dash, closed);

        double w = hoop.OpeningWidth / 2, h = hoop.OpeningHeight / 2;
        var marks = new List<Mark>
        {
            Line(Rounded(w, h, hoop.CornerRadius ?? 0), 0.35, closed: true),
            Line(Rounded(hoop.FieldWidth / 2, hoop.FieldHeight / 2, 0), 0.2, 1.5, closed: true),
            Line([new(-w, 0), new(w, 0)], 0.2),
            Line([new(0, -h), new(0, h)], 0.2),
        };

        // Ticks every 10 mm along the centre lines, every fifth longer.
        foreach (Side side in SideExtensions.All)
        {
            double reach = side is Side.Left or Side.Right ? w : h;
            for (int n = 1; n * 10 < reach; n++)
            {
                double tick = n % 5 == 0 ? 2.5 : 1.2;
                marks.Add(Line([side.At(n * 10, -tick), side.At(n * 10, tick)], 0.15));
            }
        }

        double arrow = Math.Min(10, h / 6), top = h - 3;
        marks.Add(Line([new(-arrow / 2, top - arrow), new(0, top), new(arrow / 2, top - arrow)], 0.5));
        marks.Add(new WordMark("TOP", On(new(arrow, top - arrow)), Math.Min(6, arrow)));
        marks.Add(new WordMark("bar", On(new(-w + 5, 3)), Math.Min(4, arrow)));
        if (fill is not null)
        {
            bool stitches = fill.Outline?.Kind == FillKind.Stitches;
            marks.AddRange(FillBorder.Lines(fill).Where(l => l.Count > 1).Select(l => Line(l, stitches ? 0.25 : 0.4)));
        }

        string size = string.Create(CultureInfo.InvariantCulture, $"opening {hoop.OpeningWidth:0.#} x {hoop.OpeningHeight:0.#} mm");
        string filled = fill is null ? "" : string.Create(CultureInfo.InvariantCulture, $", fill {fill.Width:0.#} x {fill.Height:0.#} mm");
        string name = hoop.Name.Length <= 40 ? hoop.Name : hoop.Name[..40] + "…";
        return new($"Template: {name}, {size}{filled}.", width, height, marks);
    }

    /// <summary>A rectangle about the middle with round corners, counter-clockwise from the right.</summary>
    private static List<HoopPoint> Rounded(double halfWidth, double halfHeight, double radius)
    {
        var line = new List<HoopPoint>();
        foreach ((int sx, int sy, int quarter) in new[] { (1, 1, 0), (-1, 1, 1), (-1, -1, 2), (1, -1, 3) })
        {
            for (int i = 0; i <= (radius > 0 ? Chords : 0); i++)
            {
                (double sin, double cos) = Math.SinCos((quarter + ((double)i / Chords)) * Math.PI / 2);
                line.Add(new((sx * (halfWidth - radius)) + (radius * cos), (sy * (halfHeight - radius)) + (radius * sin)));
            }
        }

        return line;
    }
}
