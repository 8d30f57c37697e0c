using HoopCheck.Geometry;
using MathNet.Numerics.Random;
using NetTopologySuite.Algorithm.Locate;
using NetTopologySuite.Geometries;
using Area = NetTopologySuite.Geometries.Geometry;

namespace HoopCheck.Planning.Fills;

/// <summary>A closed walk over a grid of points one spacing apart, each of them once: around a random spanning tree of the cells of two by two.</summary>
internal static class Walk
{
    /// <summary>How far the points stay inside the area, in spacings.</summary>
    private const double Inset = 0.3;

    /// <summary>Share of the area that the walk must stand for.</summary>
    private const double LeastReached = 0.7;

    /// <summary>The walk, opened at the border; null when the area holds too little of the grid.</summary>
    public static HoopPoint[]? Around(Area area, double spacing, RandomSource random)
    {
        Grid? best = null;
        var inner = new IndexedPointInAreaLocator(area.Buffer(-Inset * spacing));
        foreach ((double px, double py, double ox, double oy) in Grids(area.EnvelopeInternal, spacing))
        {
            var grid = new Grid(area.EnvelopeInternal, px, py, ox, oy, spacing);
            grid.Occupy(inner);
            if (best is null || grid.Covered > best.Covered * 1.0001)
            {
                best = grid;
            }
        }

        if (best is null || best.Covered < 0.5 * area.Area)
        {
            return null;
        }

        best.GrowTree(random);
        best.Link();
        best.TakeInStragglers(random);
        HoopPoint[] walked = best.Walked();

        // Narrow places hold no whole cell and part the grid: what the walk cannot reach would stay empty.
        return walked.Length * best.Square < LeastReached * area.Area ? null : walked;
    }

    /// <summary>A grid that fits the box, and the same shifted.</summary>
    private static IEnumerable<(double Px, double Py, double Ox, double Oy)> Grids(Envelope box, double spacing)
    {
        double cellsX = box.Width / (2 * spacing), cellsY = box.Height / (2 * spacing);
        (double px, double py) = (
            from nx in new[] { Math.Floor(cellsX), Math.Ceiling(cellsX) }
            from ny in new[] { Math.Floor(cellsY), Math.Ceiling(cellsY) }
            where nx > 0 && ny > 0
            let x = box.Width / (2 * nx)
            let y = box.Height / (2 * ny)
            orderby Math.Abs(Math.Log(x * y / (spacing * spacing))) + Math.Abs(Math.Log(x / y))
            select (x, y)).First();
        yield return (px, py, 0, 0);
        for (int i = 0; i < 16; i++)
        {
            yield return (spacing, spacing, -(i % 4) / 2.0 * spacing, -(i / 4) / 2.0 * spacing);
        }
    }

    /// <summary>Points (i, j), two by two in cells (i/2, j/2).</summary>
    private sealed class Grid
    {
        private readonly double _px, _py, _x0, _y0;
        private readonly int _nx, _ny;
        private readonly bool[] _inside;
        private readonly bool[] _cell;
        private readonly bool[] _east, _north;
        private readonly int[] _a, _b;
        private int _points;

        public Grid(Envelope box, double px, double py, double ox, double oy, double spacing)
        {
            (_px, _py, _x0, _y0) = (px, py, box.MinX + ox, box.MinY + oy);
            _nx = Math.Max(1, (int)Math.Ceiling(((box.MaxX - _x0) / (2 * px)) - 1e-9));
            _ny = Math.Max(1, (int)Math.Ceiling(((box.MaxY - _y0) / (2 * py)) - 1e-9));
            _inside = new bool[4 * _nx * _ny];
            (_cell, _east, _north) = (new bool[_nx * _ny], new bool[_nx * _ny], new bool[_nx * _ny]);
            (_a, _b) = (new int[_inside.Length], new int[_inside.Length]);
            Array.Fill(_a, -1);
            Array.Fill(_b, -1);
        }

        /// <summary>Area that the walk stands for, mm².</summary>
        public double Covered => _points * Square;

        /// <summary>Area that one point stands for, mm².</summary>
        public double Square => _px * _py;

        private int Across => 2 * _nx;

        private HoopPoint At(int p) => new(_x0 + ((p % Across) + 0.5) * _px, _y0 + ((p / Across) + 0.5) * _py);

        /// <summary>Which points are inside, and the largest connected part of whole cells.</summary>
        public void Occupy(IndexedPointInAreaLocator inner)
        {
            for (int p = 0; p < _inside.Length; p++)
            {
                HoopPoint at = At(p);
                _inside[p] = inner.Locate(new(at.X, at.Y)) != Location.Exterior;
            }

            var part = new int[_cell.Length];
            int parts = 0, largest = 0, most = 0;
            for (int start = 0; start < part.Length; start++)
            {
                if (part[start] != 0 || !Whole(start))
                {
                    continue;
                }

                int size = 0;
                var open = new Stack<int>([start]);
                part[start] = ++parts;
                while (open.TryPop(out int c))
                {
                    size++;
                    foreach (int d in Beside(c))
                    {
                        if (part[d] == 0 && Whole(d))
                        {
                            part[d] = parts;
                            open.Push(d);
                        }
                    }
                }

                (largest, most) = size > most ? (parts, size) : (largest, most);
            }

            for (int c = 0; c < part.Length; c++)
            {
                _cell[c] = part[c] == largest && largest > 0;
            }

            // Single points at the border are taken in later, mostly.
            _points = most == 0 ? 0 : _inside.Count(inside => inside);
        }

        /// <summary>
        /// Kruskal's algorithm over edges in random order. A cell with three or four neighbours in the tree
        /// leaves a wide empty place in the walk: such are put off to the end, when there is no other way.
        /// </summary>
        public void GrowTree(RandomSource random)
        {
            var edges = new List<(int Cell, bool East)>();
            for (int c = 0; c < _cell.Length; c++)
            {
                if (_cell[c] && c % _nx + 1 < _nx && _cell[c + 1])
                {
                    edges.Add((c, true));
                }

                if (_cell[c] && c + _nx < _cell.Length && _cell[c + _nx])
                {
                    edges.Add((c, false));
                }
            }

            for (int i = edges.Count - 1; i > 0; i--)
            {
                int j = random.Next(i + 1);
                (edges[i], edges[j]) = (edges[j], edges[i]);
            }

            int[] root = [.. Enumerable.Range(0, _cell.Length)], degree = new int[_cell.Length];
            foreach (int limit in new[] { 2, 3, 4 })
            {
                foreach ((int c, bool east) in edges)
                {
                    int d = c + (east ? 1 : _nx), rc = Root(c), rd = Root(d);
                    if (rc == rd || degree[c] >= limit || degree[d] >= limit)
                    {
                        continue;
                    }

                    root[rc] = rd;
                    degree[c]++;
                    degree[d]++;
                    (east ? _east : _north)[c] = true;
                }
            }

            int Root(int c)
            {
                while (root[c] != c)
                {
                    c = root[c] = root[root[c]];
                }

                return c;
            }
        }

        /// <summary>Joins the points around the tree.</summary>
        public void Link()
        {
            for (int c = 0; c < _cell.Length; c++)
            {
                if (!_cell[c])
                {
                    continue;
                }

                int sw = (2 * (c / _nx) * Across) + (2 * (c % _nx)), se = sw + 1, nw = sw + Across, ne = nw + 1;
                bool west = c % _nx > 0 && _east[c - 1], south = c >= _nx && _north[c - _nx];
                Join(_east[c], (se, se + 1), (ne, ne + 1), (se, ne));
                Join(_north[c], (nw, nw + Across), (ne, ne + Across), (nw, ne));
                if (!west)
                {
                    Tie(sw, nw);
                }

                if (!south)
                {
                    Tie(sw, se);
                }
            }

            void Join(bool through, (int, int) first, (int, int) second, (int, int) shut)
            {
                if (through)
                {
                    Tie(first.Item1, first.Item2);
                    Tie(second.Item1, second.Item2);
                }
                else
                {
                    Tie(shut.Item1, shut.Item2);
                }
            }
        }

        /// <summary>Pairs of points that no whole cell holds: the walk makes a detour over them where it passes beside them.</summary>
        public void TakeInStragglers(RandomSource random)
        {
            bool more = true;
            while (more)
            {
                more = false;
                for (int u = 0; u < _inside.Length; u++)
                {
                    foreach (int step in random.Next(2) == 0 ? new[] { 1, Across } : [Across, 1])
                    {
                        int v = u + step;
                        if (!Free(u) || (step == 1 && u % Across == Across - 1) || v >= _inside.Length || !Free(v))
                        {
                            continue;
                        }

                        foreach (int side in step == 1 ? new[] { Across, -Across } : [1, -1])
                        {
                            int a = u + side, b = v + side;
                            bool onGrid = a >= 0 && b >= 0 && a < _inside.Length && b < _inside.Length && (Math.Abs(side) != 1 || a / Across == u / Across);
                            if (onGrid && (_a[a] == b || _b[a] == b))
                            {
                                Replace(a, b, u);
                                Replace(b, a, v);
                                (_a[u], _b[u], _a[v], _b[v]) = (a, v, u, b);
                                more = true;
                                break;
                            }
                        }
                    }
                }
            }
        }

        /// <summary>The points in the order of the walk, from the lowest, leftmost one.</summary>
        public HoopPoint[] Walked()
        {
            int start = Array.FindIndex(_a, n => n >= 0), before = start, at = start;
            var walked = new List<HoopPoint>();
            do
            {
                walked.Add(At(at));
                int next = _a[at] == before && walked.Count > 1 ? _b[at] : _a[at];
                (before, at) = (at, next);
            }
            while (at != start);
            return [.. walked];
        }

        private bool Free(int p) => _inside[p] && _a[p] < 0;

        private bool Whole(int c)
        {
            int sw = (2 * (c / _nx) * Across) + (2 * (c % _nx));
            return _inside[sw] && _inside[sw + 1] && _inside[sw + Across] && _inside[sw + Across + 1];
        }

        private IEnumerable<int> Beside(int c)
        {
            if (c % _nx > 0)
            {
                yield return c - 1;
            }

            if (c % _nx + 1 < _nx)
            {
                yield return c + 1;
            }

            if (c >= _nx)
            {
                yield return c - _nx;
            }

            if (c + _nx < _cell.Length)
            {
                yield return c + _nx;
            }
        }

        private void Tie(int p, int q)
        {
            Put(p, q);
            Put(q, p);

            void Put(int from, int to)
            {
                if (_a[from] < 0)
                {
                    _a[from] = to;
                }
                else
                {
                    _b[from] = to;
                }
            }
        }

        private void Replace(int at, int old, int now)
        {
            if (_a[at] == old)
            {
                _a[at] = now;
            }
            else
            {
                _b[at] = now;
            }
        }
    }
}
