using System.Numerics;

namespace HoopCheck.Vision.Weave;

/// <summary>The coarse search for a family's slope and curve: where the strips' sum, moved along them, has most energy.</summary>
internal static class LineSearch
{
    /// <summary>Each group of strips in all directions, the answers joined into one slope and one curve.</summary>
    public static (double Slope, double Curve, double Local) Directions(LineStrips strips, double half)
    {
        const double Step = 1, Most = LineFamily.ReachDegrees + 8;
        const int Count = (int)((2 * Most / Step) + 1);
        int n = strips.Strips.Length, size = Math.Clamp(n / 5, 4, 8);
        var middles = new List<double>();
        var energies = new List<double[]>();
        float[] sum = new float[LineStrips.Rows * strips.Length];
        double contrast = 0, weight = 0;
        for (int first = 0; first + 4 <= n; first += size)
        {
            int last = Math.Min(n, first + size);
            double middle = (strips.U[first] + strips.U[last - 1]) / 2;
            double[] energy = new double[Count];
            for (int k = 0; k < Count; k++)
            {
                double tan = Math.Tan(((k * Step) - Most) * Math.PI / 180);
                Array.Clear(sum);
                for (int i = first; i < last; i++)
                {
                    LineStrips.AddMoved(sum, strips.Strips[i], strips.Length, (int)Math.Round((strips.U[i] - middle) * tan / strips.Step));
                }

                energy[k] = Energy(sum, strips.Length);
            }

            // Only what stands out over the directions counts.
            double floor = energy.Order().ElementAt(Count / 4), top = energy.Max();
            contrast += top;
            weight += floor;
            middles.Add(middle);
            energies.Add([.. energy.Select(e => e - floor)]);
        }

        (double Energy, double Slope, double Curve) best = (double.NegativeInfinity, 0, 0);
        for (double degrees = -LineFamily.ReachDegrees; degrees <= LineFamily.ReachDegrees; degrees += 0.5)
        {
            double tan = Math.Tan(degrees * Math.PI / 180);
            for (double sag = -0.04; sag < 0.045; sag += 0.01)
            {
                // A sagitta of sag times the length: v = -4·sag/length·u², slope -8·sag/length·u.
                double c = -4 * sag / (2 * half), total = 0;
                for (int g = 0; g < middles.Count; g++)
                {
                    double at = Math.Clamp(((Math.Atan(tan + (2 * c * middles[g])) * 180 / Math.PI) + Most) / Step, 0, Count - 1.001);
                    int k = (int)at;
                    total += energies[g][k] + ((at - k) * (energies[g][k + 1] - energies[g][k]));
                }

                total *= 1 - (0.5 * Math.Abs(sag));
                if (total > best.Energy)
                {
                    best = (total, tan, c);
                }
            }
        }

        return (best.Slope, best.Curve, weight > 0 ? contrast / weight : 0);
    }

    /// <summary>
    /// Around a first answer: the middle half of the strips first, then all, so that the ends never move by more than half a line of a
    /// 3 mm repeat between two tries.
    /// </summary>
    public static (double Slope, double Curve) Sharpen(LineStrips strips, double slope, double curve, double half)
    {
        float[] sum = new float[LineStrips.Rows * strips.Length];
        foreach ((double reach, double da, int a, int c) in new[] { (0.5 * half, 0.005, 5, 0), (half, 0.0025, 3, 3) })
        {
            (double Energy, double Slope, double Curve) best = (double.NegativeInfinity, slope, curve);
            for (int i = -a; i <= a; i++)
            {
                for (int j = -c; j <= c; j++)
                {
                    double s = slope + (i * da), k = curve + (j * da / half);
                    Array.Clear(sum);
                    for (int m = 0; m < strips.U.Length; m++)
                    {
                        double u = strips.U[m];
                        if (Math.Abs(u) <= reach)
                        {
                            LineStrips.AddMoved(sum, strips.Strips[m], strips.Length, (int)Math.Round(LineFamily.Rise(s, k, u) / strips.Step));
                        }
                    }

                    double energy = Energy(sum, strips.Length);
                    if (energy > best.Energy)
                    {
                        best = (energy, s, k);
                    }
                }
            }

            (slope, curve) = (best.Slope, best.Curve);
        }

        return (slope, curve);
    }

    /// <summary>Σ over signals and cells of (sum)² / number, where at least three strips show cloth.</summary>
    private static double Energy(float[] sum, int length)
    {
        double energy = 0;
        ReadOnlySpan<float> seen = sum.AsSpan(LineStrips.Seen * length, length);
        ReadOnlySpan<float> a = sum.AsSpan(0, length), b = sum.AsSpan(length, length), c = sum.AsSpan(2 * length, length), d = sum.AsSpan(3 * length, length);
        int i = 0;
        var three = new Vector<float>(2.5f);
        Vector<float> total = Vector<float>.Zero;
        for (; i <= length - Vector<float>.Count; i += Vector<float>.Count)
        {
            Vector<float> n = new(seen[i..]), va = new(a[i..]), vb = new(b[i..]), vc = new(c[i..]), vd = new(d[i..]);
            Vector<float> e = ((va * va) + (vb * vb) + (vc * vc) + (vd * vd)) / Vector.Max(n, Vector<float>.One);
            total += Vector.ConditionalSelect(Vector.GreaterThan(n, three), e, Vector<float>.Zero);
        }

        energy += Vector.Sum(total);
        for (; i < length; i++)
        {
            if (seen[i] > 2.5f)
            {
                energy += ((a[i] * a[i]) + (b[i] * b[i]) + (c[i] * c[i]) + (d[i] * d[i])) / seen[i];
            }
        }

        return energy;
    }
}
