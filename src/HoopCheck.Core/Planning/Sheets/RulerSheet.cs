using System.Globalization;

namespace HoopCheck.Planning.Sheets;

/// <summary>A paper ruler: millimetres along its left edge, inches in sixteenths along its right edge; zero at its top end.</summary>
public static class RulerSheet
{
    /// <summary>Breadth of the strip, mm.</summary>
    public const double Breadth = 30;

    /// <summary>Possible lengths, mm.</summary>
    public const double Shortest = 20, Longest = 1000;

    /// <summary>Paper above zero and below the end, mm.</summary>
    private const double Ends = 5;

    /// <summary>Draws a ruler.</summary>
    /// <param name="lengthMm">Its length, mm, within the limits.</param>
    public static SheetDrawing Draw(double lengthMm)
    {
        var marks = new List<Mark> { new LineMark([new(0, 0), new(Breadth, 0), new(Breadth, lengthMm + (2 * Ends)), new(0, lengthMm + (2 * Ends))], 0.15, Closed: true) };
        for (int mm = 0; mm <= lengthMm + 1e-9; mm++)
        {
            double y = Ends + mm, tick = mm % 10 == 0 ? 7 : mm % 5 == 0 ? 5 : 3;
            marks.Add(new LineMark([new(0, y), new(tick, y)], 0.15));
            if (mm % 10 == 0)
            {
                marks.Add(new WordMark(mm.ToString(CultureInfo.InvariantCulture), new(8, y + 0.9), 2.6));
            }
        }

        for (int n = 0; n * 25.4 / 16 <= lengthMm + 1e-9; n++)
        {
            double y = Ends + (n * 25.4 / 16), tick = n % 16 == 0 ? 8 : n % 8 == 0 ? 6 : n % 4 == 0 ? 4.5 : n % 2 == 0 ? 3.2 : 2;
            marks.Add(new LineMark([new(Breadth, y), new(Breadth - tick, y)], 0.15));
            if (n % 16 == 0)
            {
                marks.Add(new WordMark((n / 16).ToString(CultureInfo.InvariantCulture), new(Breadth - 11.5, y + 1.1), 3.2));
            }
        }

        marks.Add(new WordMark("mm", new(8, Ends + 5.5), 2.6));
        marks.Add(new WordMark("in", new(Breadth - 11.5, Ends + 5.5), 2.6));
        string length = string.Create(CultureInfo.InvariantCulture, $"{lengthMm:0.#}");
        return new($"Ruler, {length} mm.", Breadth, lengthMm + (2 * Ends), marks);
    }
}
