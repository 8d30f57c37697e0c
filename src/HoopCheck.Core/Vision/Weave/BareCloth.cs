using HoopCheck.Checking;
using HoopCheck.Geometry;

namespace HoopCheck.Vision.Weave;

/// <summary>Which cells show bare cloth: inside the area, not hidden by the ring, on the near side of the tapes.</summary>
internal sealed class BareCloth
{
    /// <summary>Edges of tapes are read to a tenth of a millimetre; the rest is the tape's own shadow, mm.</summary>
    private const double Clear = 1.5;

    private readonly (int From, int To)[] spans;
    private readonly int[] lowest;
    private readonly int[] highest;

    private BareCloth(int width, int height)
    {
        spans = new (int, int)[height];
        lowest = new int[width];
        highest = [.. Enumerable.Repeat(height - 1, width)];
    }

    /// <summary>First column and the one after the last that a row may show.</summary>
    public (int From, int To) Span(int row) => spans[row];

    /// <summary>Whether a cell within the row's span is on the near side of the tapes at top and bottom.</summary>
    public bool Shows(int row, int column) => row >= lowest[column] && row <= highest[column];

    /// <summary>Works the cells out.</summary>
    /// <param name="area">The area.</param>
    /// <param name="turn">The cells' own x axis, radians counter-clockwise from the area's; tapes and rings are only known at 0.</param>
    /// <param name="cells">The cells.</param>
    public static BareCloth Of(ClothArea area, double turn, FlatCloth cells)
    {
        var bare = new BareCloth(cells.Width, cells.Height);
        (double ex, double ey, double ez) = area.Camera.Centre;
        double t = area.RingHeight / ez;
        for (int row = 0; row < cells.Height; row++)
        {
            double y = cells.Y(row), from, to;
            if (turn == 0)
            {
                double half = area.HalfAt(y, area.Margin);
                (from, to) = (-half, half);

                // The line of sight passes the ring's top a share t of the way to the camera.
                double above = area.HalfAt(y + (t * (ey - y)), 1);
                from = Math.Max(from, (-above - (t * ex)) / (1 - t));
                to = Math.Min(to, (above - (t * ex)) / (1 - t));
            }
            else
            {
                (from, to) = Turned(area, turn, y);
            }

            bare.spans[row] = (Math.Max(0, (int)Math.Ceiling((from - cells.X(0)) / cells.Step)), Math.Min(cells.Width, (int)Math.Floor((to - cells.X(0)) / cells.Step) + 1));
        }

        foreach (TapeEdge tape in area.Tapes.Where(tape => tape.Samples.Count > 1))
        {
            bare.CutAt(tape, cells);
        }

        return bare;
    }

    private void CutAt(TapeEdge tape, FlatCloth cells)
    {
        bool upright = tape.Side is Side.Left or Side.Right;
        double zero = upright ? cells.X(0) : cells.Y(0);
        for (int i = 0, k = 0; i < (upright ? cells.Height : cells.Width); i++)
        {
            double s = upright ? cells.Y(i) : cells.X(i);
            IReadOnlyList<TapeSample> samples = tape.Samples;
            while (k < samples.Count - 2 && samples[k + 1].S < s)
            {
                k++;
            }

            TapeSample a = samples[k], b = samples[k + 1];
            double share = b.S > a.S ? Math.Clamp((s - a.S) / (b.S - a.S), 0, 1) : 0, q = a.Q + (share * (b.Q - a.Q)) - Clear;
            switch (tape.Side)
            {
                case Side.Right:
                    spans[i].To = Math.Min(spans[i].To, (int)Math.Floor((q - zero) / cells.Step) + 1);
                    break;
                case Side.Left:
                    spans[i].From = Math.Max(spans[i].From, (int)Math.Ceiling((-q - zero) / cells.Step));
                    break;
                case Side.Top:
                    highest[i] = Math.Min(highest[i], (int)Math.Floor((q - zero) / cells.Step));
                    break;
                default:
                    lowest[i] = Math.Max(lowest[i], (int)Math.Ceiling((-q - zero) / cells.Step));
                    break;
            }
        }
    }

    /// <summary>Where a row of turned cells lies within the area's rectangle.</summary>
    private static (double From, double To) Turned(ClothArea area, double turn, double y)
    {
        double cos = Math.Cos(turn), sin = Math.Sin(turn), from = double.NegativeInfinity, to = double.PositiveInfinity;
        Narrow(cos, -sin * y, (area.Width / 2) - area.Margin);
        Narrow(sin, cos * y, (area.Height / 2) - area.Margin);
        return (from, to);

        // |slope·x + offset| up to half.
        void Narrow(double slope, double offset, double half)
        {
            double a = (-half - offset) / slope, b = (half - offset) / slope;
            from = Math.Max(from, Math.Min(a, b));
            to = Math.Min(to, Math.Max(a, b));
        }
    }
}
