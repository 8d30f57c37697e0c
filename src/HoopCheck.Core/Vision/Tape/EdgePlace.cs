namespace HoopCheck.Vision.Tape;

/// <summary>
/// Where between cloth and tape the edge stands in a profile across it, to a fraction of a row.
/// Three readings are made and their median is taken, because each is led astray by something else: (1) half-way in linear luminance, by the
/// thin shadow that the tape's thickness throws on the cloth (up to 0.4 mm under a low lamp) and by a print that is as light as the tape; (2) half
/// of the tape's share, when each colour is taken as a sum of some tape and some cloth, however dark that cloth is (this
/// sees through shadow), by the half-size colour planes of a JPEG where one side is much the lighter; (3) the same on values coded like the photo (a square root is near enough), by
/// the opposite of that.
/// </summary>
/// <param name="reach">Rows from the middle of a profile to its ends.</param>
/// <param name="inner">Rows from the middle to where cloth and tape are pure.</param>
internal sealed class EdgePlace(int reach, int inner)
{
    /// <summary>Sine of the least angle between the colours of tape and cloth (as vectors of linear light) at which shares mean something.</summary>
    private const double LeastAngle = 0.12;

    private readonly double[] light = new double[(2 * reach) + 1];
    private readonly double[] share = new double[(2 * reach) + 1];
    private readonly double[] codedShare = new double[(2 * reach) + 1];

    /// <summary>The edge's place in rows from the middle, outward; null when there is none.</summary>
    /// <param name="r">Red, linear light, from cloth to tape; sums over <paramref name="count"/> columns.</param>
    /// <param name="g">Green.</param>
    /// <param name="b">Blue.</param>
    /// <param name="count">Number of columns summed.</param>
    public double? Of(double[] r, double[] g, double[] b, int count)
    {
        double cy = 0, ty = 0;
        for (int j = 0; j < light.Length; j++)
        {
            light[j] = (0.2126 * r[j]) + (0.7152 * g[j]) + (0.0722 * b[j]);
        }

        int k = reach - inner + 1;
        for (int j = 0; j < k; j++)
        {
            cy += light[j];
            ty += light[^(j + 1)];
        }

        double? byLight = Math.Abs(ty - cy) > 0.1 * (ty + cy) ? Crossing(light, cy / k, ty / k) : null;
        double? byShare = Share(share, r, g, b, x => x / count), byCoded = Share(codedShare, r, g, b, x => Math.Sqrt(x / count));
        return (byLight, byShare, byCoded) switch
        {
            ({ } x, { } y, { } z) => Math.Max(Math.Min(x, y), Math.Min(Math.Max(x, y), z)),
            (null, { } y, { } z) => (y + z) / 2,
            ({ } x, _, _) => x,
            _ => byShare ?? byCoded ?? Crossing(light, cy / k, ty / k),
        };
    }

    /// <summary>Where the tape's share crosses one half; null where the colours are too alike to tell shares.</summary>
    private double? Share(double[] into, double[] r, double[] g, double[] b, Func<double, double> coded)
    {
        double cr = 0, cg = 0, cb = 0, tr = 0, tg = 0, tb = 0;
        int k = reach - inner + 1;
        for (int j = 0; j < k; j++)
        {
            int i = into.Length - 1 - j;
            cr += coded(r[j]);
            cg += coded(g[j]);
            cb += coded(b[j]);
            tr += coded(r[i]);
            tg += coded(g[i]);
            tb += coded(b[i]);
        }

        double cc = (cr * cr) + (cg * cg) + (cb * cb), tt = (tr * tr) + (tg * tg) + (tb * tb), ct = (cr * tr) + (cg * tg) + (cb * tb);
        double det = (cc * tt) - (ct * ct);
        if (det < LeastAngle * LeastAngle * cc * tt)
        {
            return null;
        }

        for (int j = 0; j < into.Length; j++)
        {
            double x = coded(r[j]), y = coded(g[j]), z = coded(b[j]);
            double pc = (x * cr) + (y * cg) + (z * cb), pt = (x * tr) + (y * tg) + (z * tb);
            into[j] = k * ((cc * pt) - (ct * pc)) / det;
        }

        return Crossing(into, 0, 1);
    }

    /// <summary>Where a profile crosses half-way from one level to another, in rows from its middle; the crossing nearest the middle in the right direction.</summary>
    private double? Crossing(double[] profile, double from, double to)
    {
        double sign = Math.Sign(to - from), mean = (from + to) / 2, best = double.MaxValue;
        int limit = Math.Max(inner, reach - 2);
        for (int j = reach - limit; j < reach + limit; j++)
        {
            double a = sign * (profile[j] - mean), b = sign * (profile[j + 1] - mean);
            if (a < 0 && b >= 0)
            {
                double at = j - (a / (b - a)) - reach;
                if (Math.Abs(at) < Math.Abs(best))
                {
                    best = at;
                }
            }
        }

        return best == double.MaxValue ? null : best;
    }
}
