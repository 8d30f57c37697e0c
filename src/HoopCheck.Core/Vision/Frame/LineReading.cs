using System.Numerics.Tensors;
using HoopCheck.Geometry;

namespace HoopCheck.Vision.Frame;

/// <summary>A possible reading of a line.</summary>
/// <param name="Strip">Where it was read.</param>
/// <param name="Points">Its edge points.</param>
/// <param name="Offsets">Its distance from the prediction at -0.4, 0 and 0.4 of the length, mm outward.</param>
/// <param name="Support">Share of the line that shows an edge, weighted by strength, 0 to 1.</param>
/// <param name="Identity">Whether the ring's material begins here: 1 ring outside and cloth inside, 0 the same on both sides.</param>
/// <param name="Contrast">Its edges' strength over that of places that are no edges.</param>
internal sealed record LineReading(RingStrip Strip, List<EdgePoint> Points, double[] Offsets, double Support, double Identity, double Contrast)
{
    /// <summary>The different readings that a strip allows, most likely first.</summary>
    /// <param name="strip">The unrolled line.</param>
    /// <param name="slack">How far a point may lie from a straight line, mm.</param>
    public static List<LineReading> All(RingStrip strip, double slack) =>
        Distinct([.. Candidates(strip).Select(c => Follow(strip, c.Shift, c.Tilt, slack)).OfType<LineReading>()]);

    private static List<LineReading> Distinct(List<LineReading> lines)
    {
        var kept = new List<LineReading>();
        foreach (LineReading line in lines)
        {
            if (kept.All(k => k.Offsets.Zip(line.Offsets, (a, b) => Math.Abs(a - b)).Max() > 0.15))
            {
                kept.Add(line);
            }
        }

        return [.. kept.Take(14).Select(l => l.Strip.Kind is RingLine.Foot or RingLine.Silhouette ? l with { Identity = IdentityOf(l.Strip, l.Offsets) } : l)];
    }

    /// <summary>Shifts and tilts (steps) at which most stations have an edge.</summary>
    private static List<(double Shift, double Tilt)> Candidates(RingStrip strip)
    {
        int stations = strip.S.Length, n = strip.Count, reach = (int)Math.Round(strip.Reach / strip.Step);
        float cap = strip.Cap;
        int widen = Math.Max(1, (int)Math.Round(0.15 / strip.Step));

        // A station's say is limited, or one bright print would outvote a faint line seen everywhere.
        int stride = Math.Max(1, stations / 50);
        float[] wide = new float[stations * n];
        for (int j = 0; j < stations; j += stride)
        {
            for (int i = 0; i < n; i++)
            {
                float best = 0;
                for (int k = Math.Max(0, i - widen); k <= Math.Min(n - 1, i + widen); k++)
                {
                    best = Math.Max(best, strip.Energy[(j * n) + k]);
                }

                wide[(j * n) + i] = strip.Inside[j] ? Math.Min(cap, best) : 0;
            }
        }

        int tilts = Math.Max(2, (int)Math.Round(Math.Min(1.5, 0.7 * strip.Reach) / strip.Step)), tiltStep = Math.Max(1, widen);
        var sums = new List<(double Sum, int Shift, int Tilt)>();
        double tiltSd = 1.0 / strip.Step;
        for (int k = -reach; k <= reach; k++)
        {
            for (int t = -tilts; t <= tilts; t += tiltStep)
            {
                double sum = 0;
                for (int j = 0; j < stations; j += stride)
                {
                    int i = strip.Half + k + (int)Math.Round(t * (((j + 0.5) / stations) - 0.5) * 2);
                    sum += i >= 0 && i < n ? wide[(j * n) + i] : 0;
                }

                sums.Add((sum * Math.Exp(-0.5 * t * t / (tiltSd * tiltSd)), k, t));
            }
        }

        var found = new List<(double, double)>();
        int apart = Math.Max(2, (int)Math.Round(0.35 / strip.Step));
        int most = strip.Kind is RingLine.Top or RingLine.Outer ? 3 : 24;
        double top = sums.Max(x => x.Sum);
        foreach ((double sum, int k, int t) in sums.OrderByDescending(x => x.Sum))
        {
            if (found.Count >= most || sum < 0.2 * top)
            {
                break;
            }

            if (found.All(f => Math.Abs(f.Item1 - k) >= apart || Math.Abs(f.Item2 - t) >= 1.5 * apart))
            {
                found.Add((k, t));
            }
        }

        return found;
    }

    /// <summary>Reads a line point by point near a shift and tilt.</summary>
    private static LineReading? Follow(RingStrip strip, double shift, double tilt, double slack)
    {
        int stations = strip.S.Length, n = strip.Count, half = strip.Half;
        int slackSteps = Math.Max(2, (int)Math.Round(slack / strip.Step));
        double median = MedianPeak(strip, shift, tilt, slackSteps);
        float cap = strip.Cap, noise = strip.Noise;
        var points = new List<EdgePoint>();
        var offsets = new List<(double U, double Offset, double Weight)>();
        double support = 0;
        int inside = 0;
        for (int j = 0; j < stations; j++)
        {
            if (!strip.Inside[j])
            {
                continue;
            }

            inside++;
            double u = (((j + 0.5) / stations) - 0.5) * 2, centre = half + shift + (tilt * u);
            int from = Math.Max(6, (int)Math.Round(centre) - slackSteps), to = Math.Min(n - 7, (int)Math.Round(centre) + slackSteps);
            int at = -1;
            float best = 0;
            for (int i = from; i <= to; i++)
            {
                float e = strip.Energy[(j * n) + i];
                if (e > best && e >= strip.Energy[(j * n) + i - 1] && e >= strip.Energy[(j * n) + i + 1])
                {
                    best = e;
                    at = i;
                }
            }

            if (at < 0 || best < 0.15 * median)
            {
                continue;
            }

            support += Math.Min(1, best / cap);
            double offset = (SubPixel(strip.Luminance, strip.Energy, j * n, at) - half) * strip.Step;
            double strength = Math.Sqrt(median / Math.Max(best, 0.3 * median));

            // Neighbours share most of what they average over; one of each group says it all.
            if (j % (strip.Along + 1) == 0 && strip.Place(offset, strip.S[j]) is { } a && strip.Place(offset + 1, strip.S[j]) is { } b)
            {
                double d = a.DistanceTo(b);
                double sigma = (0.3 + (1.2 * noise / best)) * strip.PxPerMm * strip.Step * 2 * Math.Sqrt(1.5) * strength;
                points.Add(new(strip.Side, strip.Kind, strip.S[j], a.X, a.Y, (b.X - a.X) / d, (b.Y - a.Y) / d, sigma));
            }

            offsets.Add((u, offset, 1 / strength));
        }

        if (offsets.Count < Math.Max(8, stations / 5) || points.Count < 4)
        {
            return null;
        }

        double[] bend = Parabola(offsets);
        return new(strip, points, bend, support / inside, 0, median / Math.Max(noise, 1e-6f));
    }

    private static double IdentityOf(RingStrip strip, double[] offsets)
    {
        double middle = offsets[1], lean = (offsets[2] - offsets[0]) / 1.6, bow = ((offsets[0] + offsets[2]) / 2 - offsets[1]) / 0.64;
        // About as far apart as the samples of the materials compared with.
        int stride = Math.Max(1, strip.S.Length / 60);
        var samples = new (float, float, float)[strip.S.Length];

        double RingLike(double from, double to)
        {
            double sum = 0;
            int count = 0;
            for (double t = from; t <= to; t += 0.3)
            {
                int used = 0;
                for (int j = 0; j < strip.S.Length; j += stride)
                {
                    double u = (((j + 0.5) / strip.S.Length) - 0.5) * 2;
                    int i = (int)Math.Round(strip.Half + ((middle + (lean * u) + (bow * u * u) + t) / strip.Step));
                    if (strip.Inside[j] && i >= 0 && i < strip.Count)
                    {
                        int at = ((j * strip.Count) + i) * 3;
                        samples[used++] = (strip.Smooth[at], strip.Smooth[at + 1], strip.Smooth[at + 2]);
                    }
                }

                if (used < 8)
                {
                    continue;
                }

                Material here = Material.Of(samples.AsSpan(0, used));
                double ring = Math.Min(here.From(strip.Ring), here.From(strip.Wall)), cloth = strip.Cloths.Min(here.From);
                sum += ((cloth * cloth) + 0.5) / ((ring * ring) + (cloth * cloth) + 1) / (1 + (ring * ring / 9));
                count++;
            }

            return count == 0 ? 0.5 : sum / count;
        }

        return RingLike(0.35, 1.3) - RingLike(-1.3, -0.35);
    }

    /// <summary>Robust parabola through (u, offset): its values at u = -0.8, 0 and 0.8.</summary>
    private static double[] Parabola(List<(double U, double Offset, double Weight)> points)
    {
        double[] w = [.. points.Select(x => x.Weight)];
        double[] c = [0, 0, 0];
        for (int round = 0; round < 4; round++)
        {
            double s0 = 0, s1 = 0, s2 = 0, s3 = 0, s4 = 0, t0 = 0, t1 = 0, t2 = 0;
            for (int i = 0; i < points.Count; i++)
            {
                double u = points[i].U, wi = w[i], wu = wi * u, wuu = wu * u, y = points[i].Offset;
                s0 += wi;
                s1 += wu;
                s2 += wuu;
                s3 += wuu * u;
                s4 += wuu * u * u;
                t0 += wi * y;
                t1 += wu * y;
                t2 += wuu * y;
            }

            // A little stiffness keeps short pieces of a line from bending wildly. Solved by Cramer's rule.
            double bent = s4 + (0.02 * s0), leant = s2 + 1e-6;
            double c00 = (leant * bent) - (s3 * s3), c01 = (s2 * s3) - (s1 * bent), c02 = (s1 * s3) - (leant * s2);
            double c11 = (s0 * bent) - (s2 * s2), c12 = (s1 * s2) - (s0 * s3), c22 = (s0 * leant) - (s1 * s1);
            double determinant = (s0 * c00) + (s1 * c01) + (s2 * c02);
            c = [((c00 * t0) + (c01 * t1) + (c02 * t2)) / determinant, ((c01 * t0) + (c11 * t1) + (c12 * t2)) / determinant, ((c02 * t0) + (c12 * t1) + (c22 * t2)) / determinant];
            for (int i = 0; i < points.Count; i++)
            {
                double e = (points[i].Offset - (c[0] + (c[1] * points[i].U) + (c[2] * points[i].U * points[i].U))) / 0.15;
                w[i] = points[i].Weight / (1 + (e * e));
            }
        }

        return [c[0] - (0.8 * c[1]) + (0.64 * c[2]), c[0], c[0] + (0.8 * c[1]) + (0.64 * c[2])];
    }

    private static double MedianPeak(RingStrip strip, double shift, double tilt, int slack)
    {
        int stations = strip.S.Length, n = strip.Count, count = 0;
        float[] peaks = new float[stations];
        for (int j = 0; j < stations; j++)
        {
            if (strip.Inside[j])
            {
                int c = strip.Half + (int)Math.Round(shift + (tilt * (((j + 0.5) / stations) - 0.5) * 2));
                int from = Math.Max(0, c - slack), to = Math.Min(n - 1, c + slack);
                peaks[count++] = from > to ? 0 : TensorPrimitives.Max(strip.Energy.AsSpan((j * n) + from, to - from + 1));
            }
        }

        Array.Sort(peaks, 0, count);
        return count == 0 ? 0 : peaks[count / 2];
    }

    /// <summary>Peak of the luminance gradient next to an energy peak; where luminance has none there, of the energy.</summary>
    private static double SubPixel(float[] luminance, float[] energy, int row, int at)
    {
        int best = at;
        for (int i = at - 2; i <= at + 2; i++)
        {
            if (Math.Abs(luminance[row + i]) > Math.Abs(luminance[row + best]))
            {
                best = i;
            }
        }

        bool own = Math.Abs(best - at) < 2;
        float[] f = own ? luminance : energy;
        int c = own ? best : at;
        double l = Math.Abs(f[row + c - 1]), m = Math.Abs(f[row + c]), r = Math.Abs(f[row + c + 1]), bend = l - (2 * m) + r;
        return c + (bend < -1e-12 ? Math.Clamp(0.5 * (l - r) / bend, -0.7, 0.7) : 0);
    }
}
