using HoopCheck.Geometry;
using NetTopologySuite.Geometries;
using Area = NetTopologySuite.Geometries.Geometry;

namespace HoopCheck.Planning.Fills;

/// <summary>Lets a line go: its parts push each other and the border away, and its own stiffness rounds its turns.</summary>
internal static class Relaxation
{
    /// <summary>Reach of the push, in spacings: beyond the neighbouring line, short of the next but one.</summary>
    private const double Reach = 1.25;

    /// <summary>Parts nearer than this along the line do not push each other, in spacings: half a turn and a little.</summary>
    private const double Own = 1.9;

    /// <summary>Longest move in one round, in spacings; short enough that no part can jump over another.</summary>
    private const double Step = 0.03;

    /// <summary>The push's weight, against <see cref="Stiffness"/> that rounds the turns and <see cref="MostBuckle"/> that drives the line into empty places.</summary>
    /// <remarks>These, the reach and the rounds were tried on rectangles and free outlines, by the look and by the figures of the tests.</remarks>
    private const double Strength = 0.6, Stiffness = 0.5, MostBuckle = 0.1;

    /// <summary>Points to a spacing.</summary>
    private const int Fine = 6;

    /// <summary>The line after its rounds, points about a sixth of a spacing apart.</summary>
    public static HoopPoint[] Even(HoopPoint[] walk, Area area, double spacing, int rounds)
    {
        double wanted = area.Area / spacing, h = spacing / Fine;
        HoopPoint[] line = Resampled(Rounded(Rounded(walk)), h);
        HoopPoint[] border = Border(area, spacing, h);
        double buckle = 0;
        for (int round = 0; round < rounds; round++)
        {
            HoopVector[] push = Pushes(line, border, spacing, h);
            double cool = round < rounds * 0.8 ? 1 : (rounds - round) / (rounds * 0.2);
            var moved = new HoopPoint[line.Length];
            for (int i = 0; i < line.Length; i++)
            {
                HoopVector go = (push[i] * (Strength * spacing)) + (Bend(line, i, 1) * Stiffness) + (Bend(line, i, Fine / 2) * -buckle);
                double most = Step * spacing * cool, length = go.Length;
                moved[i] = line[i] + (length > most ? go * (most / length) : go);
            }

            line = Resampled(moved, h);

            // A line that is too short for its area is compressed, and buckles into the empty places; one that is too long is stretched.
            double missing = 1 - (line.Length * h / wanted);
            buckle = Math.Clamp(buckle + (Math.Clamp(missing, -0.1, 0.1) * 0.05), -0.1, MostBuckle);
        }

        return line;
    }

    private static HoopVector Bend(HoopPoint[] line, int i, int reach)
    {
        if (i < reach || i + reach >= line.Length)
        {
            return default;
        }

        HoopPoint a = line[i - reach], b = line[i + reach], p = line[i];
        return new(((a.X + b.X) / 2) - p.X, ((a.Y + b.Y) / 2) - p.Y);
    }

    private static HoopVector[] Pushes(HoopPoint[] line, HoopPoint[] border, double spacing, double h)
    {
        double reach = Reach * spacing;
        int own = (int)(Own * spacing / h);
        var near = new Buckets(line, border, reach);
        var push = new HoopVector[line.Length];
        Parallel.For(0, line.Length, i =>
        {
            HoopPoint p = line[i];
            double x = 0, y = 0;
            foreach (int j in near.Around(p))
            {
                if (j < line.Length && Math.Abs(i - j) < own)
                {
                    continue;
                }

                HoopVector d = p - (j < line.Length ? line[j] : border[j - line.Length]);
                double far = d.Length;
                if (far < reach && far > 1e-9)
                {
                    double w = (1 - (far / reach)) * (1 - (far / reach)) / far;
                    x += d.X * w;
                    y += d.Y * w;
                }
            }

            push[i] = new(x / Fine, y / Fine);
        });
        return push;
    }

    /// <summary>Points on a line half a spacing outside the border: the line in hand then keeps as far inside.</summary>
    private static HoopPoint[] Border(Area area, double spacing, double h)
    {
        var all = new List<HoopPoint>();
        Area around = area.Buffer(0.5 * spacing).Boundary;
        for (int i = 0; i < around.NumGeometries; i++)
        {
            Coordinate[] ring = around.GetGeometryN(i).Coordinates;
            all.AddRange(Resampled([.. ring.Select(c => new HoopPoint(c.X, c.Y))], h));
        }

        return [.. all];
    }

    /// <summary>Chaikin's corner cutting, ends kept.</summary>
    private static HoopPoint[] Rounded(HoopPoint[] line)
    {
        var cut = new List<HoopPoint>((2 * line.Length) + 2) { line[0] };
        for (int i = 1; i < line.Length; i++)
        {
            HoopVector d = line[i] - line[i - 1];
            cut.Add(line[i - 1] + (d * 0.25));
            cut.Add(line[i - 1] + (d * 0.75));
        }

        cut.Add(line[^1]);
        return [.. cut];
    }

    private static HoopPoint[] Resampled(HoopPoint[] line, double step)
    {
        double length = 0;
        for (int i = 1; i < line.Length; i++)
        {
            length += line[i].DistanceTo(line[i - 1]);
        }

        int n = Math.Max(2, (int)Math.Round(length / step));
        var even = new HoopPoint[n + 1];
        even[0] = line[0];
        double along = 0;
        for (int i = 1, k = 1; k < n; k++)
        {
            double at = length * k / n, piece;
            while (along + (piece = line[i].DistanceTo(line[i - 1])) < at && i < line.Length - 1)
            {
                along += piece;
                i++;
            }

            even[k] = line[i - 1] + ((line[i] - line[i - 1]) * (piece > 0 ? Math.Min(1, (at - along) / piece) : 0));
        }

        even[n] = line[^1];
        return even;
    }

    /// <summary>Points by square buckets as wide as the reach.</summary>
    private sealed class Buckets
    {
        private readonly double _size, _x0, _y0;
        private readonly int _nx, _ny;
        private readonly int[] _from, _points;

        public Buckets(HoopPoint[] line, HoopPoint[] border, double size)
        {
            HoopPoint[] all = [.. line, .. border];
            _size = size;
            (_x0, _y0) = (all.Min(p => p.X), all.Min(p => p.Y));
            _nx = (int)((all.Max(p => p.X) - _x0) / size) + 1;
            _ny = (int)((all.Max(p => p.Y) - _y0) / size) + 1;
            _from = new int[(_nx * _ny) + 1];
            int[] bucket = [.. all.Select(p => Of(p))];
            foreach (int b in bucket)
            {
                _from[b + 1]++;
            }

            for (int b = 1; b < _from.Length; b++)
            {
                _from[b] += _from[b - 1];
            }

            _points = new int[all.Length];
            int[] next = [.. _from];
            for (int i = 0; i < all.Length; i++)
            {
                _points[next[bucket[i]]++] = i;
            }
        }

        public IEnumerable<int> Around(HoopPoint p)
        {
            int bx = (int)((p.X - _x0) / _size), by = (int)((p.Y - _y0) / _size);
            for (int y = Math.Max(0, by - 1); y <= Math.Min(_ny - 1, by + 1); y++)
            {
                int first = (y * _nx) + Math.Max(0, bx - 1), last = (y * _nx) + Math.Min(_nx - 1, bx + 1);
                for (int i = _from[first]; i < _from[last + 1]; i++)
                {
                    yield return _points[i];
                }
            }
        }

        private int Of(HoopPoint p) => ((int)((p.Y - _y0) / _size) * _nx) + (int)((p.X - _x0) / _size);
    }
}
