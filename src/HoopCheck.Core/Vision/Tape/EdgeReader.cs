using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Vision.Tape;

/// <summary>
/// Reads the inner edge of a coarsely found strip: found by the tape's colour (dynamic programming along the side), measured to sub-pixel by
/// <see cref="EdgePlace"/>, smoothed no more than a hand-laid edge is smooth.
/// </summary>
internal sealed class EdgeReader
{
    /// <summary>Longest stretch without edge that is bridged, mm.</summary>
    private const double LongestBridge = 25;

    /// <summary>Window outward and inward over which the edge's place is judged by colour, mm.</summary>
    private const double Window = 3;

    /// <summary>Where the edge leaves its usual place by more for less than 30 mm it goes round something that lies on the tape, mm.</summary>
    private const double LongestExcursion = 1.4;

    /// <summary>A step in the edge larger than this is two pieces of tape, not waviness, mm.</summary>
    private const double PieceStep = 0.45;

    /// <summary>Weight of second differences in the smoothing: half of a wave of 20 mm passes (columns of 1 mm).</summary>
    private const double Stiffness = 100;

    /// <summary>What the tape's thickness, its thin shadow and the print beside it move an edge that is read well, one standard deviation, mm.</summary>
    private const double EdgeSd = 0.08;

    private readonly Unrolled band;
    private readonly float[] likeness;
    private readonly double contrast;

    private EdgeReader(Unrolled band)
    {
        this.band = band;
        likeness = new float[band.Columns * band.Rows];
        contrast = band.Strip.Contrast;
    }

    /// <summary>The edge, or null when too little of it is seen.</summary>
    public static TapeEdge? Read(LinearSampler sampler, FrameFit frame, ClothHeight height, Strip strip, FrameUncertainty unsure)
    {
        var band = new Unrolled(sampler, frame, height, strip);
        var reader = new EdgeReader(band);
        (double R, double G, double B) mean = default;
        int columns = band.Columns;

        // First with one colour for the whole tape, then with the colour it has beside each place.
        float[] tu = new float[columns], tv = new float[columns], tl = new float[columns];
        Array.Fill(tu, (float)strip.U);
        Array.Fill(tv, (float)strip.V);
        Array.Fill(tl, (float)strip.L);
        int[] path = [];
        for (int pass = 0; pass < 2; pass++)
        {
            reader.Compare(tu, tv, tl);
            path = reader.Path();
            mean = reader.TapeColour(path, tu, tv, tl);
        }

        reader.Compare(tu, tv, tl);
        path = reader.Path();
        bool[] seen = reader.Seen(path);
        double[] q = new double[columns], sd = new double[columns];
        double[] rough = reader.Smoothed([.. path.Select(p => (double)p)], [.. seen.Select(s => s ? 1.0 : 0.0)], out _);
        reader.Measure(rough, seen, q, sd);
        double[] weights = new double[columns];
        for (int c = 0; c < columns; c++)
        {
            weights[c] = seen[c] ? 1 : 0;
        }

        double[] fine = reader.Smoothed(q, weights, out double[] noise);
        reader.Measure(fine, seen, q, sd);
        for (int c = 0; c < columns; c++)
        {
            weights[c] = seen[c] ? 1 : 0;
        }

        fine = reader.Smoothed(q, weights, out noise);
        return reader.Edge(fine, noise, sd, seen, frame, height, unsure, mean);
    }

    /// <summary>How much each place looks like the tape: 1 the same colour whatever the light, 0 another.</summary>
    private void Compare(float[] tu, float[] tv, float[] tl)
    {
        float sigma = (float)Math.Clamp(0.3 * contrast, 0.06, 0.22), k = 1 / (2 * sigma * sigma), free = FlatColours.LightWeight * 0.5f;
        for (int c = 0; c < band.Columns; c++)
        {
            float u = tu[c], v = tv[c], l = tl[c];
            for (int r = 0; r < band.Rows; r++)
            {
                int i = (c * band.Rows) + r;
                if (!band.Valid[i])
                {
                    likeness[i] = 0.5f;
                    continue;
                }

                (float pu, float pv, float pl) = FlatColours.Feature(band.R[i], band.G[i], band.B[i]);
                float du = pu - u, dv = pv - v, dl = Math.Max(0, Math.Abs(pl - l) - free);
                likeness[i] = MathF.Exp(-k * ((du * du) + (dv * dv) + (dl * dl)));
            }
        }
    }

    /// <summary>The row of the edge in each column: what lies outward looks like tape and what lies inward does not.</summary>
    private int[] Path()
    {
        int n = band.Columns, m = band.Rows, w = Math.Max(2, (int)(Window / band.StepQ));
        float[] gain = new float[n * m];
        float[] sum = new float[m + 1];
        for (int c = 0; c < n; c++)
        {
            // A little averaging along the side evens out the crepe.
            int a = Math.Max(0, c - 1), b = Math.Min(n - 1, c + 1);
            for (int r = 0; r < m; r++)
            {
                float t = 0;
                for (int k = a; k <= b; k++)
                {
                    t += likeness[(k * m) + r];
                }

                sum[r + 1] = sum[r] + (t / (b - a + 1)) - 0.5f;
            }

            for (int r = 0; r < m; r++)
            {
                int hi = Math.Min(m, r + w), lo = Math.Max(0, r - w);
                gain[(c * m) + r] = (float)band.StepQ * (sum[hi] - (2 * sum[r]) + sum[lo]);
            }
        }

        // A jump costs in proportion, up to what a step between pieces costs.
        int reach = Math.Max(3, (int)(4 / band.StepQ));
        float[] cost = new float[reach + 1];
        for (int d = 0; d <= reach; d++)
        {
            cost[d] = (float)Math.Min(1.5 * d * band.StepQ, 2.5 + (0.3 * d * band.StepQ));
        }

        float[] best = new float[m], next = new float[m];
        short[] back = new short[n * m];
        Array.Copy(gain, best, m);
        for (int c = 1; c < n; c++)
        {
            for (int r = 0; r < m; r++)
            {
                float top = best[r];
                int from = r;
                int lo = Math.Max(0, r - reach), hi = Math.Min(m - 1, r + reach);
                for (int p = lo; p <= hi; p++)
                {
                    float v = best[p] - cost[Math.Abs(p - r)];
                    if (v > top)
                    {
                        (top, from) = (v, p);
                    }
                }

                next[r] = top + gain[(c * m) + r];
                back[(c * m) + r] = (short)from;
            }

            (best, next) = (next, best);
        }

        int at = 0;
        for (int r = 1; r < m; r++)
        {
            at = best[r] > best[at] ? r : at;
        }

        int[] path = new int[n];
        for (int c = n - 1; c >= 0; c--)
        {
            path[c] = at;
            at = back[(c * m) + at];
        }

        return path;
    }

    /// <summary>The tape's own colour beside each place of the edge (running median, so that a shadow's border is followed), and its mean.</summary>
    private (double R, double G, double B) TapeColour(int[] path, float[] tu, float[] tv, float[] tl)
    {
        int n = band.Columns, m = band.Rows;
        float[] cu = new float[n], cv = new float[n], cl = new float[n];
        int near = (int)(0.8 / band.StepQ) + 1, far = (int)(4 / band.StepQ);
        double sr = 0, sg = 0, sb = 0;
        int count = 0;
        for (int c = 0; c < n; c++)
        {
            double u = 0, v = 0, l = 0, weight = 0;
            for (int r = path[c] + near; r <= Math.Min(m - 1, path[c] + far); r++)
            {
                int i = (c * m) + r;
                if (!band.Valid[i] || likeness[i] < 0.3f)
                {
                    continue;
                }

                (float pu, float pv, float pl) = FlatColours.Feature(band.R[i], band.G[i], band.B[i]);
                u += pu;
                v += pv;
                l += pl;
                weight++;
                sr += band.R[i];
                sg += band.G[i];
                sb += band.B[i];
                count++;
            }

            bool enough = weight > 0.3 * (far - near);
            (cu[c], cv[c], cl[c]) = enough ? ((float)(u / weight), (float)(v / weight), (float)(l / weight)) : (float.NaN, float.NaN, float.NaN);
        }

        RunningMedian(cu, tu);
        RunningMedian(cv, tv);
        RunningMedian(cl, tl);
        return count == 0 ? default : (sr / count, sg / count, sb / count);
    }

    /// <summary>Replaces values by the median of what is known within 10 mm; keeps the old value where nothing is.</summary>
    private static void RunningMedian(float[] values, float[] into)
    {
        const int half = 10;
        float[] window = new float[(2 * half) + 1];
        for (int c = 0; c < values.Length; c++)
        {
            int k = 0;
            for (int i = Math.Max(0, c - half); i <= Math.Min(values.Length - 1, c + half); i++)
            {
                if (!float.IsNaN(values[i]))
                {
                    window[k++] = values[i];
                }
            }

            if (k >= 3)
            {
                Array.Sort(window, 0, k);
                into[c] = window[k / 2];
            }
        }
    }

    /// <summary>Median row of the path within 30 mm.</summary>
    private static int Usual(int[] path, int column)
    {
        int half = Math.Min(30, Math.Max(8, Math.Min(column, path.Length - 1 - column)));
        int from = Math.Max(0, column - half), to = Math.Min(path.Length - 1, column + half);
        Span<int> rows = stackalloc int[to - from + 1];
        path.AsSpan(from, rows.Length).CopyTo(rows);
        rows.Sort();
        return rows[rows.Length / 2];
    }

    /// <summary>Whether tape ends and something else begins at the edge of each column.</summary>
    private bool[] Seen(int[] path)
    {
        int n = band.Columns, m = band.Rows;
        bool[] seen = new bool[n];
        int near = (int)(0.4 / band.StepQ) + 1, far = (int)(Window / band.StepQ);
        for (int c = 0; c < n; c++)
        {
            float tape = 0, cloth = 0;
            int nt = 0, nc = 0;
            for (int d = near; d <= far; d++)
            {
                int o = path[c] + d, i = path[c] - d;
                if (o < m && band.Valid[(c * m) + o])
                {
                    tape += likeness[(c * m) + o];
                    nt++;
                }

                if (i >= 0 && band.Valid[(c * m) + i])
                {
                    cloth += likeness[(c * m) + i];
                    nc++;
                }
            }

            int least = (far - near) / 2;
            bool strays = Math.Abs(path[c] - Usual(path, c)) * band.StepQ > LongestExcursion;
            seen[c] = !strays && nt > least && nc > least && tape > 0.5 * nt && (tape / nt) - (cloth / nc) > 0.3;
        }

        // Single columns between unseen ones are chance.
        bool[] sound = new bool[n];
        for (int c = 0; c < n; c++)
        {
            int k = 0, all = 0;
            for (int i = Math.Max(0, c - 2); i <= Math.Min(n - 1, c + 2); i++)
            {
                all++;
                k += seen[i] ? 1 : 0;
            }

            sound[c] = seen[c] && k * 2 > all;
        }

        return sound;
    }

    /// <summary>Places the edge in each column, from the profile across it averaged along the edge over 5 mm.</summary>
    private void Measure(double[] guess, bool[] seen, double[] row, double[] sd)
    {
        const int half = 2;
        int n = band.Columns, m = band.Rows;
        double gap = Math.Max(0.3, 1.6 * band.PxMm), plateau = Math.Max(0.7, 2.5 * band.PxMm), step = band.StepQ;
        int reach = (int)((gap + plateau) / step) + 1, inner = (int)(gap / step) + 1, length = (2 * reach) + 1;
        double own = Math.Sqrt((EdgeSd * EdgeSd) + (0.3 * 0.3 * band.PxMm * band.PxMm));
        double[] pr = new double[length], pg = new double[length], pb = new double[length];
        var place = new EdgePlace(reach, inner);
        for (int c = 0; c < n; c++)
        {
            row[c] = guess[c];
            sd[c] = 1;
            if (!seen[c])
            {
                continue;
            }

            int used = 0;
            Array.Clear(pr);
            Array.Clear(pg);
            Array.Clear(pb);
            for (int k = Math.Max(0, c - half); k <= Math.Min(n - 1, c + half); k++)
            {
                int lo = (int)Math.Floor(guess[k]) - reach, hi = lo + length + 1;
                if (!seen[k] || lo < 0 || hi >= m || !band.Valid[(k * m) + lo] || !band.Valid[(k * m) + hi] || Math.Abs(guess[k] - guess[c]) * step > 0.4)
                {
                    continue;
                }

                double f = guess[k] - Math.Floor(guess[k]);
                used++;
                for (int j = 0, i = (k * m) + lo; j < length; j++, i++)
                {
                    pr[j] += ((1 - f) * band.R[i]) + (f * band.R[i + 1]);
                    pg[j] += ((1 - f) * band.G[i]) + (f * band.G[i + 1]);
                    pb[j] += ((1 - f) * band.B[i]) + (f * band.B[i + 1]);
                }
            }

            if (used == 0)
            {
                seen[c] = false;
                continue;
            }

            if (place.Of(pr, pg, pb, used) is { } d)
            {
                row[c] = guess[c] + d;
                sd[c] = own;
            }
            else
            {
                seen[c] = false;
            }
        }
    }

    /// <summary>
    /// Robust smoothing: weighted second differences are kept small, except across a step between two pieces of tape.
    /// </summary>
    /// <param name="rows">Measured rows.</param>
    /// <param name="weights">0 where not seen.</param>
    /// <param name="noise">Local scatter of the measured about the smooth, mm (robust standard deviation over 41 columns).</param>
    private double[] Smoothed(double[] rows, double[] weights, out double[] noise)
    {
        int n = rows.Length;
        bool[] broken = Breaks(rows, weights);
        double[] w = (double[])weights.Clone(), z = (double[])rows.Clone(), r = new double[n];
        noise = new double[n];
        for (int pass = 0; pass < 4; pass++)
        {
            z = Whittaker(rows, w, broken);
            var known = new List<double>();
            for (int c = 0; c < n; c++)
            {
                r[c] = Math.Abs(rows[c] - z[c]);
                if (weights[c] > 0)
                {
                    known.Add(r[c]);
                }
            }

            if (known.Count == 0)
            {
                return z;
            }

            known.Sort();
            double scale = Math.Max(0.03 / band.StepQ, 1.4826 * known[known.Count / 2]);
            for (int c = 0; c < n; c++)
            {
                double t = r[c] / (2.5 * scale);
                w[c] = weights[c] / (1 + (t * t));
            }
        }

        for (int c = 0; c < n; c++)
        {
            var around = new List<double>();
            for (int i = Math.Max(0, c - 20); i <= Math.Min(n - 1, c + 20); i++)
            {
                if (weights[i] > 0)
                {
                    around.Add(r[i]);
                }
            }

            around.Sort();
            noise[c] = around.Count < 4 ? 0.3 : 1.4826 * around[around.Count / 2] * band.StepQ;
        }

        return z;
    }

    /// <summary>Columns before which the edge steps: straight lines through 10 mm on either side miss each other.</summary>
    private bool[] Breaks(double[] rows, double[] weights)
    {
        const int span = 9;
        int n = rows.Length;
        double[] miss = new double[n];
        for (int c = 4; c < n - 3; c++)
        {
            if (Line(rows, weights, Math.Max(0, c - span), c - 1, c - 0.5, out double a, out double ra)
                && Line(rows, weights, c, Math.Min(n - 1, c + span - 1), c - 0.5, out double b, out double rb))
            {
                double d = Math.Abs(a - b) * band.StepQ, scatter = Math.Max(ra, rb) * band.StepQ;
                miss[c] = d > PieceStep && d > 3 * scatter ? d / (0.05 + scatter) : 0;
            }
        }

        bool[] broken = new bool[n];
        for (int c = 0; c < n; c++)
        {
            bool most = miss[c] > 0;
            for (int i = Math.Max(0, c - span); most && i <= Math.Min(n - 1, c + span); i++)
            {
                most = miss[i] < miss[c] || i == c || (miss[i] == miss[c] && i > c);
            }

            broken[c] = most;
        }

        return broken;
    }

    private static bool Line(double[] y, double[] w, int from, int to, double at, out double value, out double scatter)
    {
        double s = 0, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0;
        int n = 0;
        for (int i = from; i <= to; i++)
        {
            if (w[i] <= 0)
            {
                continue;
            }

            double x = i - at;
            n++;
            s += 1;
            sx += x;
            sy += y[i];
            sxx += x * x;
            sxy += x * y[i];
            syy += y[i] * y[i];
        }

        value = scatter = 0;
        double det = (s * sxx) - (sx * sx);
        if (n < 4 || det < 1e-9)
        {
            return false;
        }

        double slope = ((s * sxy) - (sx * sy)) / det;
        value = (sy - (slope * sx)) / s;
        double rss = syy - (value * sy) - (slope * sxy);
        scatter = Math.Sqrt(Math.Max(0, rss) / Math.Max(1, n - 2));
        return true;
    }

    /// <summary>Minimises Σ w(y − z)² + λ Σ (Δ²z)² (Whittaker 1923) by the banded Cholesky factor.</summary>
    private static double[] Whittaker(double[] y, double[] w, bool[] broken)
    {
        int n = y.Length;
        double[] d0 = new double[n], d1 = new double[n], d2 = new double[n], z = new double[n];
        for (int i = 0; i < n; i++)
        {
            d0[i] = w[i] + 1e-6;
            z[i] = d0[i] * y[i];
        }

        for (int i = 1; i < n - 1; i++)
        {
            double k = broken[i] || broken[i + 1] ? 0 : Stiffness;
            d0[i - 1] += k;
            d0[i] += 4 * k;
            d0[i + 1] += k;
            d1[i - 1] -= 2 * k;
            d1[i] -= 2 * k;
            d2[i - 1] += k;
        }

        // LDLᵀ of a band of width 2.
        for (int i = 0; i < n; i++)
        {
            if (i + 1 < n)
            {
                double l1 = d1[i] / d0[i], l2 = i + 2 < n ? d2[i] / d0[i] : 0;
                d0[i + 1] -= l1 * d1[i];
                z[i + 1] -= l1 * z[i];
                if (i + 2 < n)
                {
                    d1[i + 1] -= l1 * d2[i];
                    d0[i + 2] -= l2 * d2[i];
                    z[i + 2] -= l2 * z[i];
                }
            }
        }

        for (int i = n - 1; i >= 0; i--)
        {
            double v = z[i];
            if (i + 1 < n)
            {
                v -= d1[i] * z[i + 1];
            }

            if (i + 2 < n)
            {
                v -= d2[i] * z[i + 2];
            }

            z[i] = v / d0[i];
        }

        return z;
    }

    /// <summary>The samples: what was read, bridges over short gaps, nothing beyond the ends.</summary>
    private TapeEdge? Edge(
        double[] rows, double[] noise, double[] sd, bool[] seen, FrameFit frame, ClothHeight height, FrameUncertainty unsure, (double R, double G, double B) mean)
    {
        int n = band.Columns, first = Array.IndexOf(seen, true), last = Array.LastIndexOf(seen, true);
        if (first < 0 || seen.Count(s => s) * Unrolled.StepS < 0.25 * 2 * band.Half)
        {
            return null;
        }

        // Isolated bits far from the rest are not the tape.
        (first, last) = LongestRun(seen, first, last);
        Side side = band.Strip.Side;
        HoopVector normal = side.Normal();
        (double X, double Y, double Z) eye = frame.Camera.Centre;
        double nadir = (eye.X * normal.X) + (eye.Y * normal.Y);
        var samples = new List<TapeSample>();
        double s0 = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
        for (int c = first, before = first; c <= last; c++)
        {
            double q, own;
            if (seen[c])
            {
                before = c;
                q = band.Q(c, rows[c]);
                own = Math.Sqrt((sd[c] * sd[c]) + (0.3 * noise[c] * noise[c]));
                s0++;
                sx += band.S[c];
                sy += q;
                sxx += band.S[c] * band.S[c];
                sxy += band.S[c] * q;
            }
            else
            {
                int after = c;
                while (!seen[after])
                {
                    after++;
                }

                double part = (c - before) / (double)(after - before);
                double a = band.Q(before, rows[before]), b = band.Q(after, rows[after]);
                q = a + (part * (b - a));
                own = 0.1 + (0.012 * (after - before) * Unrolled.StepS);
            }

            HoopPoint at = side.At(q, band.S[c]);
            double lean = (q - nadir) / Math.Max(1, eye.Z), puff = height.StandardUncertaintyAt(at) * lean;
            double fit = unsure.StandardUncertaintyAcross(side, at);
            samples.Add(new(band.S[c], q, Math.Sqrt((own * own) + (puff * puff) + (fit * fit)), seen[c]));
        }

        double slope = ((s0 * sxy) - (sx * sy)) / Math.Max(1e-9, (s0 * sxx) - (sx * sx));

        // Seen from outside, q grows to the left of s on two sides and to its right on the others.
        HoopVector along = side.Along();
        double turn = (along.X * normal.Y) - (along.Y * normal.X);
        return new(
            side, samples, Math.Atan(slope) * turn * 180 / Math.PI,
            TapeNaming.Name(mean.R, mean.G, mean.B), TapeNaming.Hex(mean.R, mean.G, mean.B));
    }

    /// <summary>The stretch with most edge in which no hole is longer than what may be bridged.</summary>
    private static (int First, int Last) LongestRun(bool[] seen, int first, int last)
    {
        int bestFrom = first, bestTo = first, bestCount = 0;
        int from = first, previous = first, count = 0;
        for (int c = first; c <= last; c++)
        {
            if (!seen[c])
            {
                continue;
            }

            if ((c - previous) * Unrolled.StepS > LongestBridge)
            {
                (from, count) = (c, 0);
            }

            previous = c;
            if (++count > bestCount)
            {
                (bestCount, bestFrom, bestTo) = (count, from, c);
            }
        }

        return (bestFrom, bestTo);
    }
}
