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
        float[] wide = new float[stations * n];
        for (int j = 0; j < stations; j++)
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
        int stride = Math.Max(1, stations / 50);
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
        double median = MedianPeak(strip.Energy, stations, n, half, shift, tilt, slackSteps, strip.Inside);
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
            if (strip.Place(offset, strip.S[j]) is not { } a || strip.Place(offset + 1, strip.S[j]) is not { } b)
            {
                continue;
            }

            double d = a.DistanceTo(b);
            double strength = Math.Sqrt(median / Math.Max(best, 0.3 * median));
            double sigma = (0.3 + (1.2 * noise / best)) * strip.PxPerMm * strip.Step * 2 * Math.Sqrt(1.5) * strength;
            // Neighbours share most of what they average over; one of each group says it all.
            if (j % (strip.Along + 1) == 0)
            {
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

        double RingLike(double from, double to)
        {
            double sum = 0;
            int count = 0;
            for (double t = from; t <= to; t += 0.3)
            {
                var samples = new List<(float, float, float)>();
                for (int j = 0; j < strip.S.Length; j++)
                {
                    double u = (((j + 0.5) / strip.S.Length) - 0.5) * 2;
                    int i = (int)Math.Round(strip.Half + ((middle + (lean * u) + (bow * u * u) + t) / strip.Step));
                    if (strip.Inside[j] && i >= 0 && i < strip.Count)
                    {
                        int at = ((j * strip.Count) + i) * 3;
                        samples.Add((strip.Smooth[at], strip.Smooth[at + 1], strip.Smooth[at + 2]));
                    }
                }

                if (samples.Count < 8)
                {
                    continue;
                }

                Material here = Material.Of(samples);
                double ring = Math.Min(here.From(strip.Ring), here.From(strip.Wall)), cloth = here.From(strip.Cloth);
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
            var a = MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.Dense(3, 3);
            var g = MathNet.Numerics.LinearAlgebra.Vector<double>.Build.Dense(3);
            for (int i = 0; i < points.Count; i++)
            {
                double u = points[i].U, wi = w[i], wu = wi * u, wuu = wu * u;
                a[0, 0] += wi;
                a[0, 1] += wu;
                a[0, 2] += wuu;
                a[1, 2] += wuu * u;
                a[2, 2] += wuu * u * u;
                g[0] += wi * points[i].Offset;
                g[1] += wu * points[i].Offset;
                g[2] += wuu * points[i].Offset;
            }

            a[1, 0] = a[0, 1];
            a[1, 1] = a[2, 0] = a[0, 2];
            a[2, 1] = a[1, 2];

            // A little stiffness keeps short pieces of a line from bending wildly.
            a[2, 2] += 0.02 * w.Sum();
            a[1, 1] += 1e-6;
            c = [.. a.Solve(g)];
            for (int i = 0; i < points.Count; i++)
            {
                double e = (points[i].Offset - (c[0] + (c[1] * points[i].U) + (c[2] * points[i].U * points[i].U))) / 0.15;
                w[i] = points[i].Weight / (1 + (e * e));
            }
        }

        return [c[0] - (0.8 * c[1]) + (0.64 * c[2]), c[0], c[0] + (0.8 * c[1]) + (0.64 * c[2])];
    }

    private static double MedianPeak(float[] energy, int stations, int n, int half, double shift, double tilt, int slack, bool[] inside)
    {
        var peaks = new List<double>();
        for (int j = 0; j < stations; j++)
        {
            if (!inside[j])
            {
                continue;
            }

            int c = half + (int)Math.Round(shift + (tilt * (((j + 0.5) / stations) - 0.5) * 2));
            float best = 0;
            for (int i = Math.Max(0, c - slack); i <= Math.Min(n - 1, c + slack); i++)
            {
                best = Math.Max(best, energy[(j * n) + i]);
            }

            peaks.Add(best);
        }

        peaks.Sort();
        return peaks.Count == 0 ? 0 : peaks[peaks.Count / 2];
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
