using HoopCheck.Planning;
using HoopCheck.Geometry;

namespace HoopCheck.Vision.Tape;

/// <summary>
/// Finds strips of one colour that run along a side. Colours that occur often are taken one by one; for each, side and angle, the share
/// of cells of that colour is followed outward, and a plateau of a tape's width that ends in a step towards the cloth is a candidate.
/// </summary>
internal static class StripSearch
{
    /// <summary>Cells within this distance have a mode's colour (log-chromaticity, lightness weighted); more for saturated colours, whose weakest channel is nearly noise.</summary>
    private const float Near = 0.15f;

    private const float NearPerSaturation = 0.07f;

    /// <summary>Least difference from the cloth in log-chromaticity. Shadows of the ring differ by 0.04 to 0.07, cream on plaid by 0.33.</summary>
    private const double LeastContrast = 0.14;

    private const double LeastScore = 0.4;

    /// <summary>Below this contrast only a strip that is plain in every other way is taken: clipped light and shadow can differ so much.</summary>
    private const double FaintContrast = 0.3;

    private const double FaintScore = 0.8;
    /// <summary>Seen beside the ring, mm: narrower strips are its shadow, and no fill comes that near.</summary>
    private const double NarrowestMm = 9.5;

    private const double WidestMm = 64;

    /// <summary>How far inside the wall a tape's outer edge may lie, mm.</summary>
    private const double FarthestOuterEdgeMm = 54;

    /// <summary>A second tape of another colour must be beyond doubt: people use one roll.</summary>
    private const double OtherColourScore = 0.75;

    private const double OtherColourContrast = 0.5;

    /// <summary>How far from the wall an inner edge is looked for, mm.</summary>
    private const double DeepestMm = 105;

    /// <summary>Nearer to the wall its own shadow hides what is there, mm.</summary>
    private const double WallMarginMm = 2;

    /// <summary>The best strip of each side, and everything dropped on the way with its score.</summary>
    public static List<Strip> Find(FlatColours flat, RingShape ring, TapeColour? colour, List<Strip> dropped)
    {
        List<(float U, float V, float L)> modes = Modes(flat);
        byte[] mask = new byte[flat.L.Length];
        var best = new Strip?[4];
        SideCells[] sides = [.. SideExtensions.All.Select(side => new SideCells(flat, ring, side))];
        foreach ((float u, float v, float l) in modes)
        {
            if (colour is not null && !TapeNaming.CouldBe(colour, u, v))
            {
                continue;
            }

            Mark(flat, u, v, l, mask);
            foreach (SideCells cells in sides)
            {
                for (int step = -3; step <= 3; step++)
                {
                    Consider(step * 2);
                }

                void Consider(double degrees)
                {
                    foreach (Strip strip in cells.Strips(flat, mask, Math.Tan(degrees * Math.PI / 180), (u, v, l)))
                    {
                        bool sound = strip.Contrast >= LeastContrast && strip.Score >= (strip.Contrast < FaintContrast ? FaintScore : LeastScore);
                        if (!sound)
                        {
                            if (strip.Score > 0.2)
                            {
                                dropped.Add(strip);
                            }
                        }
                        else if (best[(int)cells.Side] is not { } old || strip.Score > old.Score)
                        {
                            best[(int)cells.Side] = strip;
                        }
                    }
                }
            }
        }

        var found = new List<Strip>();
        foreach (SideCells cells in sides)
        {
            if (best[(int)cells.Side] is { } strip)
            {
                Mark(flat, (float)strip.U, (float)strip.V, (float)strip.L, mask);
                found.Add(Turned(cells, flat, mask, strip));
            }
        }

        found.Sort((a, b) => b.Score.CompareTo(a.Score));
        for (int i = found.Count - 1; i > 0; i--)
        {
            Strip first = found[0], other = found[i];
            double du = other.U - first.U, dv = other.V - first.V;
            bool alike = Math.Sqrt((du * du) + (dv * dv)) < 0.25 + (0.2 * Math.Sqrt((first.U * first.U) + (first.V * first.V)));
            if (!alike && (other.Score < OtherColourScore || other.Contrast < OtherColourContrast))
            {
                dropped.Add(other);
                found.RemoveAt(i);
            }
        }

        return found;
    }

    /// <summary>The same strip at finer angles.</summary>
    private static Strip Turned(SideCells cells, FlatColours flat, byte[] mask, Strip strip)
    {
        Strip best = strip;
        for (int i = -4; i <= 4; i++)
        {
            double slope = strip.Slope + (i * 0.5 * Math.PI / 180);
            foreach (Strip other in cells.Strips(flat, mask, slope, ((float)strip.U, (float)strip.V, (float)strip.L)))
            {
                if (other.Score > best.Score && Math.Abs(other.Q0 - strip.Q0) < 12)
                {
                    best = other;
                }
            }
        }

        return best;
    }

    private static float Reach(float u, float v) => Near + (NearPerSaturation * MathF.Sqrt((u * u) + (v * v)));

    private static void Mark(FlatColours flat, float u, float v, float l, byte[] mask)
    {
        float limit = Reach(u, v);
        limit *= limit;
        float[] fu = flat.U, fv = flat.V, fl = flat.L;
        for (int i = 0; i < mask.Length; i++)
        {
            float du = fu[i] - u, dv = fv[i] - v, dl = fl[i] - l;
            mask[i] = (du * du) + (dv * dv) + (dl * dl) < limit ? (byte)1 : (byte)0;
        }
    }

    /// <summary>The colours that occur most, taken greedily from a histogram.</summary>
    private static List<(float U, float V, float L)> Modes(FlatColours flat)
    {
        const int nu = 70, nv = 70, nl = 20;
        const float bin = 0.1f;
        int[] index = new int[flat.L.Length];
        int[] histogram = new int[nu * nv * nl];
        int total = 0;
        for (int i = 0; i < index.Length; i++)
        {
            if (float.IsNaN(flat.L[i]))
            {
                index[i] = -1;
                continue;
            }

            int a = Math.Clamp((int)((flat.U[i] + 3.5f) / bin), 1, nu - 2), b = Math.Clamp((int)((flat.V[i] + 3.5f) / bin), 1, nv - 2);
            int c = Math.Clamp((int)((flat.L[i] + 1.5f) / bin), 1, nl - 2);
            index[i] = (((a * nv) + b) * nl) + c;
            histogram[index[i]]++;
            total++;
        }

        var modes = new List<(float, float, float)>();
        for (int round = 0; round < 24; round++)
        {
            int peak = 0, most = 0;
            for (int i = 0; i < histogram.Length; i++)
            {
                if (histogram[i] == 0)
                {
                    continue;
                }

                int sum = 0;
                for (int a = -1; a <= 1; a++)
                {
                    for (int b = -1; b <= 1; b++)
                    {
                        int at = i + (((a * nv) + b) * nl);
                        sum += histogram[at - 1] + histogram[at] + histogram[at + 1];
                    }
                }

                if (sum > most)
                {
                    (most, peak) = (sum, i);
                }
            }

            if (most < 0.005 * total)
            {
                break;
            }

            int pa = peak / (nv * nl), pb = peak / nl % nv, pc = peak % nl;
            double su = 0, sv = 0, sl = 0;
            int n = 0;
            for (int i = 0; i < index.Length; i++)
            {
                int k = index[i];
                if (k >= 0 && Math.Abs((k / (nv * nl)) - pa) <= 1 && Math.Abs((k / nl % nv) - pb) <= 1 && Math.Abs((k % nl) - pc) <= 1)
                {
                    su += flat.U[i];
                    sv += flat.V[i];
                    sl += flat.L[i];
                    n++;
                }
            }

            if (n == 0)
            {
                break;
            }

            // What has this colour is spoken for: the next mode is another colour.
            (float U, float V, float L) mode = ((float)(su / n), (float)(sv / n), (float)(sl / n));
            float limit = 0.7f * Reach(mode.U, mode.V);
            limit *= limit;
            for (int i = 0; i < index.Length; i++)
            {
                int k = index[i];
                if (k < 0)
                {
                    continue;
                }

                float du = flat.U[i] - mode.U, dv = flat.V[i] - mode.V, dl = flat.L[i] - mode.L;
                bool inPeak = Math.Abs((k / (nv * nl)) - pa) <= 1 && Math.Abs((k / nl % nv) - pb) <= 1 && Math.Abs((k % nl) - pc) <= 1;
                if (inPeak || (du * du) + (dv * dv) + (dl * dl) < limit)
                {
                    histogram[k]--;
                    index[i] = -1;
                }
            }

            modes.Add(mode);
        }

        return modes;
    }

    /// <summary>The cells near one side, in that side's coordinates.</summary>
    private sealed class SideCells
    {
        private readonly int[] cell;
        private readonly float[] q;
        private readonly float[] s;
        private readonly int[] columnStart;
        private readonly double wall;
        private readonly double length;
        private readonly double step;
        private readonly int[] hits;
        private readonly int[] seen;

        public SideCells(FlatColours flat, RingShape ring, Side side)
        {
            Side = side;
            bool upright = side is Side.Left or Side.Right;
            wall = (upright ? ring.OpeningWidth : ring.OpeningHeight) / 2;
            length = upright ? ring.OpeningHeight : ring.OpeningWidth;
            step = flat.Step;
            int along = upright ? flat.Height : flat.Width, across = upright ? flat.Width : flat.Height;
            var cells = new List<int>();
            var qs = new List<float>();
            var ss = new List<float>();
            var starts = new List<int>();
            for (int i = 0; i < along; i++)
            {
                starts.Add(cells.Count);
                for (int j = 0; j < across; j++)
                {
                    int row = upright ? i : j, column = upright ? j : i, at = (row * flat.Width) + column;
                    double qq = side switch { Side.Left => -flat.X(column), Side.Right => flat.X(column), Side.Top => flat.Y(row), _ => -flat.Y(row) };
                    double sq = upright ? flat.Y(row) : flat.X(column);
                    if (!float.IsNaN(flat.L[at]) && Math.Abs(qq) < wall - WallMarginMm && Math.Abs(sq) < (length / 2) - WallMarginMm)
                    {
                        cells.Add(at);
                        qs.Add((float)qq);
                        ss.Add((float)sq);
                    }
                }
            }

            starts.Add(cells.Count);
            (cell, q, s, columnStart) = ([.. cells], [.. qs], [.. ss], [.. starts]);
            int bins = (int)((2 * wall) / step) + 40;
            hits = new int[bins];
            seen = new int[bins];
        }

        public Side Side { get; }

        /// <summary>Candidates of one colour at one slope.</summary>
        public List<Strip> Strips(FlatColours flat, byte[] mask, double slope, (float U, float V, float L) colour)
        {
            Array.Clear(hits);
            Array.Clear(seen);
            int bins = hits.Length, zero = bins / 2;
            float inverse = (float)(1 / step), t = (float)slope;
            for (int i = 0; i < cell.Length; i++)
            {
                int bin = (int)(((q[i] - (t * s[i])) * inverse) + zero + 0.5f);
                if ((uint)bin < (uint)bins)
                {
                    seen[bin]++;
                    hits[bin] += mask[cell[i]];
                }
            }

            int deepest = zero + (int)(Math.Max(wall - DeepestMm, 15 - wall) / step), outermost = zero + (int)((wall - WallMarginMm) / step);
            double enough = 0.4;
            var found = new List<Strip>();
            int least = Math.Max(4, (int)(0.3 * length / step));
            double Share(int bin) => seen[bin] < least ? double.NaN : hits[bin] / (double)seen[bin];
            int b = outermost + 12;
            b = Math.Min(b, bins - 1);
            while (b >= deepest)
            {
                if (!(Share(b) > enough))
                {
                    b--;
                    continue;
                }

                int top = b;
                int gap = 0, bottom = b;
                double peak = 0;
                for (; b >= deepest - 2 && b >= 0 && gap <= 2; b--)
                {
                    double share = Share(b);
                    if (share > Math.Max(enough, 0.5 * peak))
                    {
                        (bottom, gap) = (b, 0);
                        peak = Math.Max(peak, share);
                    }
                    else
                    {
                        gap++;
                    }
                }

                double q0 = (bottom - zero - 0.5) * step, q1 = (top - zero + 0.5) * step;
                bool underRing = q1 > wall - WallMarginMm - (3 * step) - (Math.Abs(slope) * length / 2);
                if ((underRing ? wall : q1) - q0 >= NarrowestMm && q1 - q0 <= WidestMm && bottom > deepest
                    && q1 > wall - FarthestOuterEdgeMm && q0 + q1 > 0
                    && Judge(flat, mask, slope, q0, underRing ? wall : q1, peak, colour) is { } strip)
                {
                    found.Add(strip);
                }
            }

            return found;
        }

        /// <summary>
        /// Least difference in log-chromaticity of a colour from the cloth in any light from a sixth of its own upward: near black, and in
        /// strongly coloured cloth, a shadow changes log-chromaticity too. A channel that is clipped in the cloth may be anything brighter.
        /// </summary>
        private static double UnlikeShadow((float U, float V, float L) colour, float r, float g, float b)
        {
            float least = float.MaxValue;
            for (float light = 1; light > 0.16f; light *= 0.7f)
            {
                (float u, float v, float _) = FlatColours.Feature(light * r, light * g, light * b);
                float du = u - colour.U, dv = v - colour.V;
                least = Math.Min(least, (du * du) + (dv * dv));
            }

            double clipped = Math.Max(r, Math.Max(g, b)) > 0.93 ? 0.25 : 0;
            return Math.Max(0, Math.Sqrt(least) - clipped);
        }

        private Strip? Judge(FlatColours flat, byte[] mask, double slope, double q0, double q1, double peak, (float U, float V, float L) colour)
        {
            int columns = columnStart.Length - 1;
            double[] covered = new double[columns], inward = new double[columns], ease = new double[columns], contrastAt = new double[columns];
            bool[] known = new bool[columns];
            for (int c = 0; c < columns; c++)
            {
                int n = 0, k = 0, m = 0, j = 0, nn = 0, nk = 0;
                float red = 0, green = 0, blue = 0;
                for (int i = columnStart[c]; i < columnStart[c + 1]; i++)
                {
                    double d = q[i] - (slope * s[i]);
                    int hit = mask[cell[i]];
                    if (d > q0 + step && d < q1 - step)
                    {
                        n++;
                        k += hit;
                    }
                    else if (d < q0 - 2)
                    {
                        m++;
                        j += hit;
                        if (d > q0 - 8)
                        {
                            red += flat.Rgb[3 * cell[i]];
                            green += flat.Rgb[(3 * cell[i]) + 1];
                            blue += flat.Rgb[(3 * cell[i]) + 2];
                            nn++;
                            nk += hit;
                        }
                    }
                }

                if (n > 0 && m > 0 && nn > 0)
                {
                    known[c] = true;
                    covered[c] = k / (double)n;
                    inward[c] = j / (double)m;
                    contrastAt[c] = UnlikeShadow(colour, red / nn, green / nn, blue / nn);
                    ease[c] = nk / (double)nn;
                }
            }

            // The stretch with tape: the largest sum of (coverage − 0.35), so that a ruler across it does not end it.
            double run = 0, bestRun = 0;
            int start = 0, from = 0, to = -1, knownCount = 0;
            for (int c = 0; c < columns; c++)
            {
                if (!known[c])
                {
                    continue;
                }

                knownCount++;
                run += covered[c] - 0.35;
                if (run <= 0)
                {
                    (run, start) = (0, c + 1);
                }
                else if (run > bestRun)
                {
                    (bestRun, from, to) = (run, start, c);
                }
            }

            if (to - from < 4)
            {
                return null;
            }

            var shares = new List<double>();
            var contrasts = new List<double>();
            double sum = 0, stepped = 0;
            int count = 0;
            for (int c = from; c <= to; c++)
            {
                if (known[c])
                {
                    count++;
                    sum += covered[c];
                    stepped += Math.Clamp(covered[c] - ease[c], 0, 1);
                    shares.Add(inward[c]);
                    contrasts.Add(contrastAt[c]);
                }
            }

            shares.Sort();
            contrasts.Sort();
            double coverage = sum / count, elsewhere = shares[shares.Count / 2], spans = count / (double)knownCount;
            double contrast = contrasts[contrasts.Count / 2];
            double sharp = stepped / count;

            // A tape reaches at least one wall; a patch in the middle does not.
            double first = S(from), last = S(to), low = Math.Min(first, last), high = Math.Max(first, last);
            double ends = Math.Min(low + (length / 2), (length / 2) - high);
            double score = sharp * coverage * Math.Sqrt(Math.Min(1, spans / 0.9)) * Math.Max(0, 1 - (1.5 * elsewhere));
            if (ends > 18 || spans < 0.42)
            {
                score *= 0.4;
            }

            return new(Side, q0, q1, slope, low, high, colour.U, colour.V, colour.L, coverage, contrast, elsewhere, score);

            double S(int column)
            {
                int i = columnStart[column];
                return i < s.Length ? s[i] : s[^1];
            }
        }
    }
}
