using System.Runtime.CompilerServices;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using NetTopologySuite.Geometries;
using NetTopologySuite.Simplify;

namespace HoopCheck.App.Pictures;

/// <summary>A fill's lines for drawing: all of them where a picture is magnified, and few enough points where the whole is shown.</summary>
internal sealed class FillLines
{
    /// <summary>Most points drawn of a whole fill; more would be a solid patch anyway.</summary>
    private const int Most = 15_000;

    /// <summary>Longest piece of a drawn line, mm, so that the lens's bending shows.</summary>
    private const double PieceMm = 3;

    private static readonly ConditionalWeakTable<PlannedFill, FillLines> s_known = [];
    private readonly IReadOnlyList<IReadOnlyList<HoopPoint>> _all;

    private FillLines(PlannedFill fill)
    {
        _all = FillBorder.Lines(fill);
        IReadOnlyList<IReadOnlyList<HoopPoint>> few = _all;
        for (double tolerance = 0.1; few.Sum(line => line.Count) > Most && tolerance < 4; tolerance *= 2)
        {
            few = [.. few.Select(line => Simplified(line, tolerance))];
        }

        Whole = [.. few.Select(Pieces)];
    }

    /// <summary>The whole fill, simplified where it has very many points.</summary>
    public IReadOnlyList<IReadOnlyList<HoopPoint>> Whole { get; }

    /// <summary>The lines of a fill; worked out once.</summary>
    public static FillLines Of(PlannedFill fill) => s_known.GetValue(fill, f => new(f));

    /// <summary>The parts of the lines within a square about a place, exact.</summary>
    public IEnumerable<IReadOnlyList<HoopPoint>> Near(HoopPoint place, double halfMm)
    {
        foreach (IReadOnlyList<HoopPoint> line in _all)
        {
            List<HoopPoint>? part = null;
            for (int i = 1; i < line.Count; i++)
            {
                HoopPoint a = line[i - 1], b = line[i];
                bool meets = Math.Min(a.X, b.X) < place.X + halfMm && Math.Max(a.X, b.X) > place.X - halfMm
                    && Math.Min(a.Y, b.Y) < place.Y + halfMm && Math.Max(a.Y, b.Y) > place.Y - halfMm;
                if (meets)
                {
                    (part ??= [a]).Add(b);
                }

                if (part is not null && (!meets || i == line.Count - 1))
                {
                    yield return Pieces(part);
                    part = null;
                }
            }
        }
    }

    /// <summary>The fill's nearest point to a place.</summary>
    public HoopPoint Closest(HoopPoint place)
    {
        (HoopPoint best, double least) = (place, double.PositiveInfinity);
        foreach (IReadOnlyList<HoopPoint> line in _all)
        {
            for (int i = 1; i < line.Count; i++)
            {
                HoopVector d = line[i] - line[i - 1], to = place - line[i - 1];
                double length2 = d.Dot(d);
                HoopPoint on = line[i - 1] + (d * (length2 > 0 ? Math.Clamp(to.Dot(d) / length2, 0, 1) : 0));
                HoopVector off = place - on;
                if (off.Dot(off) < least)
                {
                    (best, least) = (on, off.Dot(off));
                }
            }
        }

        return best;
    }

    /// <summary>Douglas and Peucker's simplification, in pieces: over a long line of zigzags its time would grow with the square.</summary>
    private static List<HoopPoint> Simplified(IReadOnlyList<HoopPoint> line, double tolerance)
    {
        const int Piece = 256;
        var kept = new List<HoopPoint> { line[0] };
        for (int from = 0; from < line.Count - 1; from += Piece)
        {
            var piece = new Coordinate[Math.Min(Piece, line.Count - 1 - from) + 1];
            for (int k = 0; k < piece.Length; k++)
            {
                piece[k] = new(line[from + k].X, line[from + k].Y);
            }

            kept.AddRange(DouglasPeuckerLineSimplifier.Simplify(piece, tolerance).Skip(1).Select(c => new HoopPoint(c.X, c.Y)));
        }

        return kept;
    }

    private static List<HoopPoint> Pieces(IReadOnlyList<HoopPoint> line)
    {
        var pieces = new List<HoopPoint>(line.Count) { line[0] };
        for (int i = 1; i < line.Count; i++)
        {
            HoopVector d = line[i] - line[i - 1];
            int n = Math.Max(1, (int)Math.Ceiling(d.Length / PieceMm));
            for (int k = 1; k <= n; k++)
            {
                pieces.Add(k == n ? line[i] : line[i - 1] + (d * ((double)k / n)));
            }
        }

        return pieces;
    }
}
