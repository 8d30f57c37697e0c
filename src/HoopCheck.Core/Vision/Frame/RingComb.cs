using HoopCheck.Geometry;

namespace HoopCheck.Vision.Frame;

/// <summary>An edge of the ring seen in the photo, and the direction across it.</summary>
/// <param name="Side">Side of the hoop.</param>
/// <param name="Line">Which line of the ring.</param>
/// <param name="S">Place along the side, mm.</param>
/// <param name="X">Full-size upright px.</param>
/// <param name="Y">Full-size upright px.</param>
/// <param name="Nx">Unit vector across the line in the photo.</param>
/// <param name="Ny">Unit vector across the line in the photo.</param>
/// <param name="Sigma">Standard deviation across the line, px.</param>
internal readonly record struct EdgePoint(Side Side, RingLine Line, double S, double X, double Y, double Nx, double Ny, double Sigma);

/// <summary>
/// Compares a supposed ring with the picture: the sides are unrolled into strips, averaged along short stretches with sign (so that
/// the ring's own lines stay and prints cancel), and the ring's known comb of lines - outer edge, top inner edge, foot of the
/// wall - is shifted across until it fits best.
/// </summary>
internal sealed class RingComb(LabPicture picture, RingModel model)
{
    /// <summary>How finely and how far to look.</summary>
    /// <param name="Segments">Stretches per side.</param>
    /// <param name="Stations">Profiles averaged in a stretch.</param>
    /// <param name="Range">Largest shift of a side, mm.</param>
    /// <param name="Step">Sampling across the side, mm.</param>
    /// <param name="Slack">How far each line may lie from the comb's shift, mm.</param>
    public readonly record struct Look(int Segments, int Stations, double Range, double Step, double Slack);

    /// <summary>What was seen: how well the ring is supported (0 to 1), and its edges.</summary>
    public sealed record Seen(double Score, double MeanShift, List<EdgePoint> Edges, double OutOfPicture);

    public Seen Compare(double[] p, Look look)
    {
        CameraPose camera = model.Camera(p);
        (double X, double Y, double Z) eye = camera.Centre;
        var edges = new List<EdgePoint>();
        double total = 0, shifts = 0, missing = 0;
        int segments = 0;
        double rw = p[RingModel.FrameWidth], h = p[RingModel.Height];
        double dt = look.Step;
        int half = Math.Max(1, (int)Math.Round(0.9 / dt));
        foreach (Stretch stretch in Stretches(p, look))
        {
            segments++;
            double wall = stretch.Wall(p, eye);
            bool wallSeen = wall > 1.4;
            double t0 = -Math.Max(wall, 0) - look.Range - 3, t1 = rw + look.Range + 3;
            int n = (int)Math.Ceiling((t1 - t0) / dt) + 1;
            float[] strip = new float[stretch.Stations.Length * n * 3], presence = new float[n];
            int used = 0;
            foreach ((HoopPoint foot, HoopVector normal) in stretch.Stations)
            {
                if (Profile(camera, foot + (normal * (p[RingModel.TopOffset] + t0)), normal * dt, n, h, strip.AsSpan(used * n * 3, n * 3)))
                {
                    used++;
                }
            }

            if (used < Math.Max(2, stretch.Stations.Length / 2))
            {
                missing++;
                continue;
            }

            Presence(strip, used, n, half, presence);
            var evenness = new Evenness(strip, used, n, t0, dt);
            double best = -1, bestU = 0;
            int ranges = (int)(look.Range / dt);
            for (int k = -ranges; k <= ranges; k++)
            {
                double u = k * dt;
                double c = Peak(presence, n, t0, dt, u - 0.3, u + 1.2) + (0.7 * Peak(presence, n, t0, dt, u + rw - 0.7, u + rw + 0.7));
                double weight = 1.7;
                if (wallSeen)
                {
                    c += 0.8 * Peak(presence, n, t0, dt, u - wall - 0.5, u - wall + 0.5);
                    weight += 0.8;
                }

                c = (c + (1.3 * evenness.Between(u + 2, u + rw - 2.5))) / (weight + 1.3);
                c -= 0.002 * Math.Abs(u);
                if (c > best)
                {
                    best = c;
                    bestU = u;
                }
            }

            total += best;
            shifts += Math.Abs(bestU);
            if (stretch.Side is not { } side)
            {
                continue;
            }

            double sMid = stretch.S;
            double mid = RingModel.HalfExtent(p, side) + RingModel.BowAt(p, side, sMid) + p[RingModel.TopOffset];
            const double sd = 0.35;
            Add(wallSeen ? RingLine.Top : RingLine.Silhouette, bestU + 0.4, wallSeen ? 1.0 : 0.8);
            Add(RingLine.Outer, bestU + rw, look.Slack + 0.4);
            if (wallSeen)
            {
                Add(RingLine.Foot, bestU - wall, look.Slack + 0.3);
            }

            void Add(RingLine line, double at, double slack)
            {
                (double t, float e) = BestPeak(presence, n, t0, dt, at - slack, at + slack);
                if (e < 0.25f)
                {
                    return;
                }

                HoopPoint here = side.At(mid + t, sMid), next = side.At(mid + t + 1, sMid);
                if (camera.Project(here, h) is { } a && camera.Project(next, h) is { } b)
                {
                    double pxPerMm = a.DistanceTo(b);
                    double nx = (b.X - a.X) / pxPerMm, ny = (b.Y - a.Y) / pxPerMm;
                    double uncertain = (line == RingLine.Outer ? 2 * sd : sd) / Math.Max(0.3, e);
                    edges.Add(new(side, line, sMid, a.X, a.Y, nx, ny, uncertain * pxPerMm));
                }
            }
        }

        return new(total / segments, shifts / Math.Max(1, segments), edges, missing / segments);
    }

    /// <summary>Profiles that are averaged together: on a side, or around a rounded corner (no side).</summary>
    private sealed record Stretch(Side? Side, double S, (HoopPoint Foot, HoopVector Normal)[] Stations)
    {
        /// <summary>Apparent width of the wall in the plane of the ring's top, mm: TopOffset + (P - N)·n·h/H, N the nadir.</summary>
        public double Wall(double[] p, in (double X, double Y, double Z) eye)
        {
            (HoopPoint foot, HoopVector n) = Stations[Stations.Length / 2];
            return p[RingModel.TopOffset] + ((((foot.X - eye.X) * n.X) + ((foot.Y - eye.Y) * n.Y)) * p[RingModel.Height] / eye.Z);
        }
    }

    private IEnumerable<Stretch> Stretches(double[] p, Look look)
    {
        double r = model.CornerRadius;
        foreach (Side side in SideExtensions.All)
        {
            double straight = RingModel.Length(p, side) - (2 * r);
            for (int g = 0; g < look.Segments; g++)
            {
                var stations = new (HoopPoint, HoopVector)[look.Stations];
                for (int j = 0; j < look.Stations; j++)
                {
                    double s = straight * (((g + ((j + 0.5) / look.Stations)) / look.Segments) - 0.5);
                    stations[j] = (side.At(RingModel.HalfExtent(p, side) + RingModel.BowAt(p, side, s), s), side.Normal());
                }

                yield return new(side, straight * (((g + 0.5) / look.Segments) - 0.5), stations);
            }
        }

        double x = (p[RingModel.Width] / 2) - r, y = (p[RingModel.Depth] / 2) - r;
        foreach ((double cx, double cy, double turn) in new[] { (x, y, 0.0), (-x, y, 90.0), (-x, -y, 180.0), (x, -y, 270.0) })
        {
            var stations = new (HoopPoint, HoopVector)[look.Stations];
            for (int j = 0; j < look.Stations; j++)
            {
                double angle = (turn + 10 + (70 * (j + 0.5) / look.Stations)) * Math.PI / 180;
                HoopVector n = new(Math.Cos(angle), Math.Sin(angle));
                stations[j] = (new HoopPoint(cx, cy) + (n * r), n);
            }

            yield return new(null, 0, stations);
        }
    }

    private static double Peak(float[] e, int n, double t0, double dt, double from, double to)
    {
        int a = Math.Max(0, (int)Math.Round((from - t0) / dt)), b = Math.Min(n - 1, (int)Math.Round((to - t0) / dt));
        float best = 0;
        for (int i = a; i <= b; i++)
        {
            best = Math.Max(best, e[i]);
        }

        return best;
    }

    private static (double T, float E) BestPeak(float[] e, int n, double t0, double dt, double from, double to)
    {
        int a = Math.Max(1, (int)Math.Round((from - t0) / dt)), b = Math.Min(n - 2, (int)Math.Round((to - t0) / dt));
        float best = 0;
        int at = a;
        for (int i = a; i <= b; i++)
        {
            if (e[i] > best)
            {
                best = e[i];
                at = i;
            }
        }

        double shift = 0;
        float l = e[at - 1], c = e[at], r = e[at + 1], bend = l - (2 * c) + r;
        if (bend < -1e-6)
        {
            shift = Math.Clamp(0.5 * (l - r) / bend, -0.5, 0.5);
        }

        return (t0 + ((at + shift) * dt), best);
    }

    /// <summary>How even the colour is between two places across the ring, over all profiles of a stretch: 1 even, 0 not at all.</summary>
    private sealed class Evenness
    {
        private readonly double[] sums;
        private readonly int n;
        private readonly int used;
        private readonly double t0;
        private readonly double dt;

        public Evenness(float[] strip, int used, int n, double t0, double dt)
        {
            (this.n, this.used, this.t0, this.dt) = (n, used, t0, dt);
            sums = new double[(n + 1) * 6];
            for (int i = 0; i < n; i++)
            {
                for (int j = 0; j < used; j++)
                {
                    for (int c = 0; c < 3; c++)
                    {
                        float v = strip[(((j * n) + i) * 3) + c];
                        sums[((i + 1) * 6) + c] += v;
                        sums[((i + 1) * 6) + 3 + c] += v * v;
                    }
                }

                for (int c = 0; c < 6; c++)
                {
                    sums[((i + 1) * 6) + c] += sums[(i * 6) + c];
                }
            }
        }

        public double Between(double from, double to)
        {
            int a = Math.Max(0, (int)Math.Ceiling((from - t0) / dt)), b = Math.Min(n - 1, (int)((to - t0) / dt));
            if (b - a < 2)
            {
                return 0;
            }

            double count = (double)(b - a + 1) * used, v = 0;
            for (int c = 0; c < 3; c++)
            {
                double mean = (sums[((b + 1) * 6) + c] - sums[(a * 6) + c]) / count;
                double square = (sums[((b + 1) * 6) + 3 + c] - sums[(a * 6) + 3 + c]) / count;
                v += (c == 0 ? 0.15 : 1) * Math.Max(0, square - (mean * mean));
            }

            return 9 / (9 + v);
        }
    }

    private static void Presence(float[] strip, int used, int n, int half, float[] presence)
    {
        for (int i = 0; i < n; i++)
        {
            int lo = i - half, hi = i + half;
            if (lo < 0 || hi >= n)
            {
                presence[i] = 0;
                continue;
            }

            float gl = 0, ga = 0, gb = 0, q = 0;
            for (int j = 0; j < used; j++)
            {
                int a = ((j * n) + lo) * 3, b = ((j * n) + hi) * 3;
                float l = strip[b] - strip[a], x = strip[b + 1] - strip[a + 1], y = strip[b + 2] - strip[a + 2];
                gl += l;
                ga += x;
                gb += y;
                q += (l * l) + (x * x) + (y * y);
            }

            gl /= used;
            ga /= used;
            gb /= used;
            float g2 = (gl * gl) + (ga * ga) + (gb * gb);
            float variance = Math.Max(0, (q / used) - g2);
            presence[i] = g2 / (g2 + (3 * variance / used) + 6f);
        }
    }

    private bool Profile(CameraPose c, HoopPoint a, HoopVector step, int n, double z, Span<float> into)
    {
        double[] r = c.R, t = c.T;
        double xc = (r[0] * a.X) + (r[1] * a.Y) + (r[2] * z) + t[0], yc = (r[3] * a.X) + (r[4] * a.Y) + (r[5] * z) + t[1], zc = (r[6] * a.X) + (r[7] * a.Y) + (r[8] * z) + t[2];
        double dx = (r[0] * step.X) + (r[1] * step.Y), dy = (r[3] * step.X) + (r[4] * step.Y), dz = (r[6] * step.X) + (r[7] * step.Y);
        int outside = 0;
        for (int i = 0; i < n; i++)
        {
            double inv = 1 / Math.Max(zc, 1), x = xc * inv, y = yc * inv, r2 = (x * x) + (y * y), d = c.Focal * (1 + (r2 * (c.K1 + (c.K2 * r2))));
            if (!picture.Sample((x * d) + c.Cx, (y * d) + c.Cy, out into[3 * i], out into[(3 * i) + 1], out into[(3 * i) + 2]))
            {
                outside++;
            }

            xc += dx;
            yc += dy;
            zc += dz;
        }

        return outside < n / 5;
    }
}
