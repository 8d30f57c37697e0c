using System.Globalization;

namespace HoopCheck.Planning.Sheets;

/// <summary>
/// Puts a drawing on paper at its true size: on one sheet where it fits, otherwise on several that overlap. Every sheet carries bars to be measured.
/// </summary>
public static class SheetLayout
{
    /// <summary>White border that every printer leaves, mm (common practice, no source: office printers leave 3 to 6 mm).</summary>
    public const double Border = 8;

    /// <summary>How far two neighbouring sheets show the same, mm; they are joined along its middle.</summary>
    public const double Overlap = 12;

    /// <summary>Length of the bars, mm: 100 mm and 4 in.</summary>
    public const double MetricBar = 100, InchBar = 101.6;

    /// <summary>Room at the foot of each sheet and at its left side for bars and words, mm.</summary>
    private const double Foot = 27, Side = 7;

    /// <summary>Least width of a sheet's window, mm, so that the words at its foot fit.</summary>
    private const double LeastWidth = 160;

    /// <summary>Thickness of a bar, mm.</summary>
    private const double BarHeight = 2;

    /// <summary>The sheets to print, in rows from the top left.</summary>
    /// <param name="drawing">The drawing.</param>
    /// <param name="paper">The paper, upright; it is turned where that saves sheets.</param>
    /// <param name="scale">What the printer makes of 100 mm; the sheets are drawn so that it comes out true.</param>
    public static IReadOnlyList<SheetPage> Pages(SheetDrawing drawing, Paper paper, PrinterScale scale)
    {
        ArgumentNullException.ThrowIfNull(drawing);
        ArgumentNullException.ThrowIfNull(paper);
        ArgumentNullException.ThrowIfNull(scale);
        (int columns, int rows) = Count(paper);
        (int across, int down) = Count(paper.Turned);
        if (across * down < columns * rows)
        {
            (paper, columns, rows) = (paper.Turned, across, down);
        }

        // Laid out on paper as it would be if the printer scaled it to the real one.
        double kx = scale.Across / MetricBar, ky = scale.Down / MetricBar;
        double width = paper.Width * kx, height = paper.Height * ky;
        double stepX = (width - Side - (2 * Border)) - Overlap, stepY = (height - Foot - (2 * Border)) - Overlap;
        var pages = new List<SheetPage>();
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                (double Left, double Top, double Width, double Height) window = (Border + Side, Border, stepX + Overlap, stepY + Overlap);

                // One sheet: in the middle. Several: the drawing's middle in the middle of all.
                double allX = (columns * stepX) + Overlap, allY = (rows * stepY) + Overlap;
                double dx = window.Left - (column * stepX) + ((allX - drawing.Width) / 2), dy = window.Top - (row * stepY) + ((allY - drawing.Height) / 2);
                List<Mark> around = [.. Footer(drawing, paper, scale, window, height, columns * rows == 1 ? "" : Say(row, rows, column, columns)),
                    .. Cuts(window, row, rows, column, columns)];
                pages.Add(Scaled(new(width, height, window, [.. drawing.Marks.Select(m => Moved(m, dx, dy, 1, 1))], around), 1 / kx, 1 / ky));
            }
        }

        return pages;

        (int Columns, int Rows) Count(Paper p) => (
            Needed(drawing.Width, (p.Width * scale.Across / MetricBar) - Side - (2 * Border)),
            Needed(drawing.Height, (p.Height * scale.Down / MetricBar) - Foot - (2 * Border)));
    }

    /// <summary>The whole drawing on one sheet as large as it takes.</summary>
    /// <param name="drawing">The drawing.</param>
    /// <param name="scale">As in <see cref="Pages"/>.</param>
    public static SheetPage Whole(SheetDrawing drawing, PrinterScale scale)
    {
        ArgumentNullException.ThrowIfNull(drawing);
        double width = Math.Max(drawing.Width, LeastWidth) + Side + (2 * Border), height = Math.Max(drawing.Height, InchBar + 10) + Foot + (2 * Border);
        return Pages(drawing, new("as large as needed", width, height), scale)[0];
    }

    private static int Needed(double length, double room) => Math.Max(1, (int)Math.Ceiling((length - Overlap - 1e-6) / (room - Overlap)));

    private static string Say(int row, int rows, int column, int columns) =>
        string.Create(CultureInfo.InvariantCulture, $"Sheet {(row * columns) + column + 1} of {rows * columns}: row {row + 1} of {rows}, column {column + 1} of {columns}.");

    /// <summary>Title, what to do, and the bars: two along the foot, one up the side.</summary>
    private static IEnumerable<Mark> Footer(
        SheetDrawing drawing, Paper paper, PrinterScale scale, (double Left, double Top, double Width, double Height) window, double height, string which)
    {
        double left = window.Left, y = height - Border - Foot;
        string corrected = scale == PrinterScale.True ? "" : string.Create(
            CultureInfo.InvariantCulture, $" Corrected for a printer that makes {scale.Across:0.##} mm x {scale.Down:0.##} mm of 100 mm.");
        yield return new WordMark($"{drawing.Title} {which}", new(left, y + 4.5), 3.2);
        yield return new WordMark($"Print at 100 % (actual size, not fitted to the page) on {paper.Name}, then measure the bars.{corrected}", new(left, y + 8.6), 2.6);
        yield return new WordMark("Not 100 mm? Print again with --measured and what you read, such as --measured 99.2mm.", new(left, y + 12.2), 2.6);
        foreach ((double length, int parts, double top, string words) in new[] { (MetricBar, 10, y + 15.5, "100 mm"), (InchBar, 4, y + 21.5, "4 in") })
        {
            // Every second part is filled, so that the bar has edges to lay a ruler against.
            for (int i = 0; i < parts; i += 2)
            {
                yield return new BlockMark(left + (length * i / parts), top, length / parts, BarHeight);
            }

            yield return new LineMark([new(left, top), new(left + length, top)], 0.1);
            yield return new LineMark([new(left, top + BarHeight), new(left + length, top + BarHeight)], 0.1);
            foreach (double end in new[] { left, left + length })
            {
                yield return new LineMark([new(end, top - 0.8), new(end, top + BarHeight + 0.8)], 0.1);
            }

            yield return new WordMark(words, new(left + length + 2, top + BarHeight), 2.6);
        }

        double x = left - 4;
        yield return new LineMark([new(x, window.Top), new(x, window.Top + MetricBar)], 0.25);
        foreach (double end in new[] { window.Top, window.Top + MetricBar })
        {
            yield return new LineMark([new(x - 1.5, end), new(x + 1.5, end)], 0.1);
        }

        yield return new WordMark("100 mm", new(x - 1, window.Top + (MetricBar / 2)), 2.6, Middle: true, Upwards: true);
    }

    /// <summary>Lines to cut or lay together along, with crosses on them that must meet.</summary>
    private static IEnumerable<Mark> Cuts((double Left, double Top, double Width, double Height) window, int row, int rows, int column, int columns)
    {
        double right = window.Left + window.Width, bottom = window.Top + window.Height;
        foreach ((bool there, double x) in new[] { (column > 0, window.Left + (Overlap / 2)), (column < columns - 1, right - (Overlap / 2)) })
        {
            if (there)
            {
                yield return new LineMark([new(x, window.Top), new(x, bottom)], 0.15, 2);
                foreach (double y in Places(window.Top, window.Height))
                {
                    yield return new LineMark([new(x - 4, y), new(x + 4, y)], 0.15);
                }
            }
        }

        foreach ((bool there, double y) in new[] { (row > 0, window.Top + (Overlap / 2)), (row < rows - 1, bottom - (Overlap / 2)) })
        {
            if (there)
            {
                yield return new LineMark([new(window.Left, y), new(right, y)], 0.15, 2);
                foreach (double x in Places(window.Left, window.Width))
                {
                    yield return new LineMark([new(x, y - 4), new(x, y + 4)], 0.15);
                }
            }
        }

        if (rows * columns > 1)
        {
            yield return new WordMark(
                "Cut one of two neighbours along the dashed line and lay it on the other's, cross on cross.", new(window.Left, window.Top - 1.5), 2.6);
        }

        // The same places on both neighbours: the middle and a quarter to either side of it.
        static IEnumerable<double> Places(double from, double length) => [from + (length / 4), from + (length / 2), from + (length * 3 / 4)];
    }

    private static SheetPage Scaled(SheetPage page, double kx, double ky) => new(
        page.Width * kx, page.Height * ky,
        (page.Room.Left * kx, page.Room.Top * ky, page.Room.Width * kx, page.Room.Height * ky),
        [.. page.Drawn.Select(m => Moved(m, 0, 0, kx, ky))],
        [.. page.Around.Select(m => Moved(m, 0, 0, kx, ky))]);

    private static Mark Moved(Mark mark, double dx, double dy, double kx, double ky)
    {
        double k = Math.Sqrt(kx * ky);
        SheetPoint To(SheetPoint p) => new((p.X + dx) * kx, (p.Y + dy) * ky);
        return mark switch
        {
            LineMark line => line with { Points = [.. line.Points.Select(To)], Width = line.Width * k, Dash = line.Dash * k },
            BlockMark b => new BlockMark((b.Left + dx) * kx, (b.Top + dy) * ky, b.Width * kx, b.Height * ky),
            WordMark words => words with { At = To(words.At), Size = words.Size * k },
            _ => throw new ArgumentException("An unknown mark.", nameof(mark)),
        };
    }
}
