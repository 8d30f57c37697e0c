using System.Globalization;

namespace HoopCheck.Planning.Sheets;

/// <summary>The bits of a board's markers, white border not included.</summary>
/// <param name="Cells">Cells along a marker's side, its black border included.</param>
/// <param name="Black">For each marker, row after row from its top left: whether the cell is black.</param>
public sealed record BoardMarkers(int Cells, IReadOnlyList<bool[]> Black);

/// <summary>The board for learning a lens: a chessboard with a marker in each white square, so that parts of it can be told apart.</summary>
public static class BoardSheet
{
    /// <summary>Squares across and down; as large as the smaller of A4 and US Letter takes.</summary>
    public const int Columns = 8, Rows = 11;

    /// <summary>Side of a square and of a marker, mm.</summary>
    public const double Square = 21, Marker = 15;

    /// <summary>Draws the board: the top left square is black, markers are numbered row after row through the white ones.</summary>
    /// <param name="markers">Its markers, 44 or more.</param>
    public static SheetDrawing Draw(BoardMarkers markers)
    {
        ArgumentNullException.ThrowIfNull(markers);
        var marks = new List<Mark>();
        double cell = Marker / markers.Cells, inset = (Square - Marker) / 2;
        int number = 0;
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                double x = column * Square, y = row * Square;
                if ((row + column) % 2 == 0)
                {
                    marks.Add(new BlockMark(x, y, Square, Square));
                    continue;
                }

                bool[] black = markers.Black[number++];
                for (int r = 0; r < markers.Cells; r++)
                {
                    // Runs of black cells, so that no hairline shows between them.
                    for (int c = 0; c < markers.Cells; c++)
                    {
                        int run = c;
                        while (run < markers.Cells && black[(r * markers.Cells) + run])
                        {
                            run++;
                        }

                        if (run > c)
                        {
                            marks.Add(new BlockMark(x + inset + (c * cell), y + inset + (r * cell), (run - c) * cell, cell));
                            c = run;
                        }
                    }
                }
            }
        }

        string size = string.Create(CultureInfo.InvariantCulture, $"{Columns} x {Rows} squares of {Square:0.#} mm");
        return new($"Board for learning a lens, {size}. Glue it flat on glass or thick card.", Columns * Square, Rows * Square, marks);
    }
}
