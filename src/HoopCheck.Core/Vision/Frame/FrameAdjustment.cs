using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.Vision.Frame;

/// <summary>A fitted ring with everything the later stages need.</summary>
internal sealed record FineFrame(RingModel Model, double[] Values, double[,] Covariance, List<EdgePoint> Edges, double ResidualPx, double Support, double Cost, double Score);

/// <summary>
/// From a rough ring to a fit of all its inner edges at once. Along every visible line of the ring, edge points are read to sub-pixel
/// in linear light. On cloth there are always other lines beside the right one (the ring's shadow, a stripe, the tape), each as
/// sharp; so several candidates are kept for every line of the ring, and that combination is taken which one rigid ring of the
/// hoop's size explains best. Then camera and ring are fitted to the points of the chosen lines, and the reading is repeated from the
/// better prediction.
/// </summary>
internal static class FrameAdjustment
{
    /// <summary>Weight of the whole ring's support (0 to 1) beside the squared standard deviations of its inner lines.</summary>
    private const double WholeRing = 400;

    /// <summary>How much dearer a reading must be for its likelihood to fall to 1/e of the cheapest's. Costs are no exact likelihoods: 2 would be right if they were.</summary>
    private const double DoubtCost = 8;

    /// <summary>How many different combinations of the first reading are followed to the end.</summary>
    private const int Hypotheses = 4;

    /// <summary>Outward bow of a stiff frame's sides, mm: mean and standard deviation.</summary>
    private const double StiffBow = 0.03, StiffBowSd = 0.08;

    private static readonly (double Reach, double Slack)[] Passes = [(3.0, 0.5), (1.5, 0.4), (0.7, 0.3)];

    public static FineFrame? Fit(LinearSampler photo, LabPicture medium, RoughFrame rough, HoopSpec hoop, double focal, double focalSd, CameraIntrinsics? known, double diagonal)
    {
        RingModel model = rough.Model;
        double[] p = (double[])rough.Values.Clone();
        double[] prior = model.Start(model.Camera(p), hoop);
        prior[RingModel.LogFocal] = Math.Log(focal);
        prior[RingModel.Cx] = prior[RingModel.Cy] = prior[RingModel.K1] = prior[RingModel.K2] = 0;
        double[] sd = RingFit.PriorSd(focalSd, true, diagonal);
        for (int i = 0; i < 4; i++)
        {
            // A frame under tension bows outward.
            prior[RingModel.Bow + i] = 0.2;
        }

        if (known is not null)
        {
            prior[RingModel.K1] = known.K1;
            prior[RingModel.K2] = known.K2;
            prior[RingModel.Cx] = known.Cx - model.BaseCx;
            prior[RingModel.Cy] = known.Cy - model.BaseCy;
            sd[RingModel.K1] = sd[RingModel.K2] = 0.003;
            sd[RingModel.Cx] = sd[RingModel.Cy] = 0.0005 * diagonal;
        }

        sd[RingModel.FrameWidth] = 0.4;
        p[RingModel.FrameWidth] = prior[RingModel.FrameWidth];
        p[RingModel.TopOffset] = prior[RingModel.TopOffset];
        var all = new List<FineFrame>();
        foreach (FineFrame first in Pass(photo, model, p, prior, sd, Passes[0], Hypotheses))
        {
            FineFrame? fine = first;
            foreach ((double, double) pass in Passes[1..])
            {
                fine = fine is null ? null : Pass(photo, model, fine.Values, prior, sd, pass, 1).FirstOrDefault();
            }

            if (fine is null)
            {
                continue;
            }

            // The inner lines may agree on a wrong place; then the rest of the ring does not show where it should.
            double whole = new RingComb(medium, model).Compare(fine.Values, FrameSearch.Verify).Score;
            all.Add(fine with { Cost = fine.Cost + (WholeRing * (1 - whole)), Score = whole });
        }

        return all.Count == 0 ? null : InDoubt([.. all.OrderBy(f => f.Cost)]);
    }

    /// <summary>
    /// The cheapest frame, its covariance widened by what the others say that are hardly dearer: the variance of a mixture is that of
    /// its parts plus that between them.
    /// </summary>
    private static FineFrame InDoubt(List<FineFrame> frames)
    {
        FineFrame best = frames[0];
        double[,] covariance = (double[,])best.Covariance.Clone();
        foreach (FineFrame other in frames.Skip(1))
        {
            double weight = 0.5 * Math.Exp(-(other.Cost - best.Cost) / DoubtCost);
            for (int i = 0; i < RingModel.Count; i++)
            {
                for (int j = 0; j < RingModel.Count; j++)
                {
                    covariance[i, j] += weight * (other.Values[i] - best.Values[i]) * (other.Values[j] - best.Values[j]);
                }
            }
        }

        return best with { Covariance = covariance };
    }

    /// <summary>Reads all lines near a prediction and fits the cheapest combinations of readings, cheapest first.</summary>
    private static IEnumerable<FineFrame> Pass(
        LinearSampler photo, RingModel model, double[] p, double[] prior, double[] priorSd, (double Reach, double Slack) pass, int most)
    {
        List<Strip> strips = [.. Strips(photo, model, p, pass.Reach)];
        double[] sd = (double[])priorSd.Clone();
        foreach (Strip strip in strips.Where(s => s.Kind is RingLine.Top or RingLine.Silhouette))
        {
            // A lit top edge is read somewhere on its rounding, or on a highlight beside it; the rounding's outline against cloth is sharp.
            sd[RingModel.RimShift + (int)strip.Side] = strip.Kind == RingLine.Top ? 0.6 : 0.12;
        }

        foreach ((List<Line> lines, double cost) in Choose(model, p, prior, sd, strips, pass.Slack, most))
        {
            foreach (Line line in lines)
            {
                // A faint line may be read to one side as a whole.
                (int shift, double floor) = line.Strip.Kind switch
                {
                    RingLine.Foot => (RingModel.FootShift, 0.04),
                    RingLine.Silhouette => (RingModel.RimShift, 0.1),
                    RingLine.Top => (RingModel.RimShift, 0.6),
                    _ => (RingModel.OuterShift, 0.5),
                };
                sd[shift + (int)line.Strip.Side] = floor + (0.12 * Math.Max(0, (6 / line.Contrast) - 1));
            }

            List<EdgePoint> edges = [.. lines.SelectMany(l => l.Points)];
            if (edges.Count < 24)
            {
                continue;
            }

            MapResult fit = RingFit.Run(model, p, prior, sd, edges, 8);
            if (pass == Passes[^1])
            {
                fit = StiffOrSoft(fit, model, prior, sd, edges);
            }

            (double[] values, double[,] covariance, double[] residuals, _) = fit;
            double rms = Math.Sqrt(residuals.Zip(edges, (r, e) => Math.Min(r * r, 9) * e.Sigma * e.Sigma).Average());
            yield return new(model, values, covariance, edges, rms, lines.Average(l => l.Support), cost, 0);
        }
    }

    /// <summary>
    /// Frames are either stiff and hardly bow, or give way to the cloth's tension on all sides, each by another amount. A bow common to all four sides looks
    /// like radial distortion; how much the sides differ tells which kind of frame it is, and so how much of that may be bow. Both kinds are fitted;
    /// the answer is their mean, weighted by how well they explain the points.
    /// </summary>
    private static MapResult StiffOrSoft(MapResult soft, RingModel model, double[] prior, double[] sd, List<EdgePoint> edges)
    {
        double[] stiffPrior = (double[])prior.Clone(), stiffSd = (double[])sd.Clone();
        for (int i = 0; i < 4; i++)
        {
            stiffPrior[RingModel.Bow + i] = StiffBow;
            stiffSd[RingModel.Bow + i] = StiffBowSd;
        }

        MapResult stiff = RingFit.Run(model, soft.Values, stiffPrior, stiffSd, edges, 8);
        double weight = 1 / (1 + Math.Exp((stiff.Surprise - soft.Surprise) / 2));
        double[] values = [.. soft.Values.Zip(stiff.Values, (a, b) => a + (weight * (b - a)))];
        double[,] covariance = new double[values.Length, values.Length];
        for (int i = 0; i < values.Length; i++)
        {
            for (int j = 0; j < values.Length; j++)
            {
                covariance[i, j] = (weight * stiff.Covariance[i, j]) + ((1 - weight) * soft.Covariance[i, j])
                    + (weight * (1 - weight) * (stiff.Values[i] - soft.Values[i]) * (stiff.Values[j] - soft.Values[j]));
            }
        }

        return new(values, covariance, weight > 0.5 ? stiff.Residuals : soft.Residuals, Math.Min(stiff.Surprise, soft.Surprise));
    }

    /// <summary>One line of the ring unrolled: stations along it by places across it, gradients of light and colour.</summary>
    private sealed record Strip(
        Side Side, RingLine Kind, double[] S, bool[] Inside, int Half, int Count, double Step, double PxPerMm, int Along, double Reach,
        float[] Smooth, float[] Luminance, float[] Energy, Func<double, double, PhotoPoint?> Place)
    {
        public double Length { get; init; }

        /// <summary>Strength above which an edge counts no more: 93 % of all places are weaker.</summary>
        public float Cap { get; init; }

        /// <summary>Strength that half of all places reach: what noise and texture make.</summary>
        public float Noise { get; init; }

        public Material Ring { get; init; }

        /// <summary>The inner wall, lit otherwise than the top and tinted by the cloth; where it is too narrow to be seen, the top.</summary>
        public Material Wall { get; init; }

        public Material Cloth { get; init; }
    }

    private enum Surface
    {
        Top,
        Wall,
        Cloth,
    }

    /// <summary>
    /// What a surface looks like along a side, nearly free of how brightly it is lit: log-chromaticity ln(R/G), ln(B/G), how much its
    /// lightness varies (a print or weave against smooth plastic), and, with little weight, its lightness.
    /// </summary>
    private readonly record struct Material(double Rg, double Bg, double Variation, double Lightness)
    {
        /// <summary>How alike two materials are: 0 the same, about 1 told apart with ease.</summary>
        public double From(Material o)
        {
            double u = (Rg - o.Rg) / 0.12, v = (Bg - o.Bg) / 0.12, t = (Variation - o.Variation) / 0.7, l = (Lightness - o.Lightness) / 0.8;
            return Math.Sqrt((u * u) + (v * v) + (t * t) + (l * l));
        }

        /// <summary>Of samples in linear light.</summary>
        public static Material Of(List<(float R, float G, float B)> samples)
        {
            if (samples.Count < 8)
            {
                return default;
            }

            double[] u = [.. samples.Select(x => Math.Log((x.R + 0.02) / (x.G + 0.02)))], v = [.. samples.Select(x => Math.Log((x.B + 0.02) / (x.G + 0.02)))];
            double[] l = [.. samples.Select(x => (double)x.G)];
            double[] steps = [.. l.Skip(2).Zip(l, (a, b) => Math.Abs(a - b))];
            Array.Sort(u);
            Array.Sort(v);
            double mean = l.Average();
            return new(u[u.Length / 2], v[v.Length / 2], Math.Log(0.03 + (steps.Average() / (mean + 0.02))), Math.Log(0.02 + mean));
        }

        /// <summary>Of the ring's top, of its wall half-way up, or of the cloth some millimetres inside the edge that hides it: the foot (z = 0) or, where the wall is hidden, the top (z = ring height).</summary>
        public static Material Of(LinearSampler photo, CameraPose camera, double[] p, Side side, Surface surface, double z)
        {
            double half = RingModel.HalfExtent(p, side);
            double[] q = surface switch
            {
                Surface.Top => [half + p[RingModel.TopOffset] + 2.5, half + p[RingModel.TopOffset] + 4],
                Surface.Wall => [half + (p[RingModel.TopOffset] / 2)],
                _ => [half - 4, half - 5.5, half - 7],
            };
            var samples = new List<(float, float, float)>();
            foreach (double across in q)
            {
                for (int j = 0; j < 60; j++)
                {
                    double s = RingModel.Length(p, side) * 0.8 * (((j + 0.5) / 60) - 0.5);
                    if (camera.Project(side.At(across, s), z) is { } x && photo.Sample(x.X, x.Y, out float r, out float g, out float b))
                    {
                        samples.Add((r, g, b));
                    }
                }
            }

            return Of(samples);
        }
    }

    /// <summary>A possible reading of a line.</summary>
    /// <param name="Strip">Where it was read.</param>
    /// <param name="Points">Its edge points.</param>
    /// <param name="Offsets">Its distance from the prediction at -0.4, 0 and 0.4 of the length, mm outward.</param>
    /// <param name="Support">Share of the line that shows an edge, weighted by strength, 0 to 1.</param>
    /// <param name="Identity">Whether the ring's material begins here: 1 ring outside and cloth inside, 0 the same on both sides.</param>
    /// <param name="Contrast">Its edges' strength over that of places that are no edges.</param>
    private sealed record Line(Strip Strip, List<EdgePoint> Points, double[] Offsets, double Support, double Identity, double Contrast);

    private static IEnumerable<Strip> Strips(LinearSampler photo, RingModel model, double[] p, double reach)
    {
        CameraPose camera = model.Camera(p);
        (double X, double Y, double Z) eye = camera.Centre;
        foreach (Side side in SideExtensions.All)
        {
            double wall = RingModel.WallWidth(p, eye, side);
            double outer = Math.Min(reach, 2);
            (RingLine Kind, double Reach)[] wanted = wall switch
            {
                > 1.5 => [(RingLine.Outer, outer), (RingLine.Top, Math.Min(reach, 0.7 * wall)), (RingLine.Foot, reach)],
                > 0.5 => [(RingLine.Outer, outer), (RingLine.Top, 0.8), (RingLine.Foot, reach)],
                _ => [(RingLine.Outer, outer), (RingLine.Silhouette, reach)],
            };
            Material ring = Material.Of(photo, camera, p, side, Surface.Top, p[RingModel.Height]),
                inner = wall > 1.5 ? Material.Of(photo, camera, p, side, Surface.Wall, p[RingModel.Height] / 2) : ring,
                cloth = Material.Of(photo, camera, p, side, Surface.Cloth, wall > 0.5 ? 0 : p[RingModel.Height]);
            foreach ((RingLine kind, double r) in wanted)
            {
                if (Unroll(photo, model, p, camera, eye, side, kind, r) is { } strip)
                {
                    yield return strip with { Ring = ring, Wall = inner, Cloth = cloth, Length = RingModel.Length(p, side) };
                }
            }
        }
    }

    private static Strip? Unroll(
        LinearSampler photo, RingModel model, double[] p, CameraPose camera, (double X, double Y, double Z) eye, Side side, RingLine kind, double reach)
    {
        double straight = RingModel.Length(p, side) - (2 * model.CornerRadius) - 4;
        int stations = Math.Clamp((int)(straight / 2.0), 24, 160);
        double spacing = straight / stations;
        (double q0, double z0) = RingModel.LineAt(p, eye, side, kind, 0);
        if (camera.Project(side.At(q0, 0), z0) is not { } c0 || camera.Project(side.At(q0 + 1, 0), z0) is not { } c1)
        {
            return null;
        }

        double pxPerMm = c0.DistanceTo(c1);
        double step = 0.5 * photo.PerPixel / pxPerMm;
        int half = (int)Math.Ceiling((reach + 1.0) / step) + 6, n = (2 * half) + 1;
        float[] strip = new float[stations * n * 3];
        double[] s = new double[stations];
        bool[] inside = new bool[stations];
        for (int j = 0; j < stations; j++)
        {
            s[j] = straight * (((j + 0.5) / stations) - 0.5);
            (double q, double z) = RingModel.LineAt(p, eye, side, kind, s[j]);
            inside[j] = true;
            for (int i = 0; i < n; i++)
            {
                int at = ((j * n) + i) * 3;
                inside[j] &= camera.Project(side.At(q + ((i - half) * step), s[j]), z) is { } x
                    && photo.Sample(x.X, x.Y, out strip[at], out strip[at + 1], out strip[at + 2]);
            }
        }

        if (inside.Count(x => x) < stations / 3)
        {
            return null;
        }

        // Averaged a little along the line; the derivative of a Gaussian across it, of luminance and of two colour differences.
        int along = Math.Max(1, (int)Math.Round(2.5 / spacing));
        float[] smooth = Smooth(strip, stations, n, along, inside);
        float[] luminance = new float[stations * n], energy = new float[stations * n];
        Derivatives(smooth, Roughness(strip, stations, n, Math.Max(4, 2 * along), inside), stations, n, luminance, energy);
        (float noise, float cap) = Levels(energy);
        return new(side, kind, s, inside, half, n, step, pxPerMm, along, reach, smooth, luminance, energy, (offset, at) =>
        {
            (double q, double z) = RingModel.LineAt(p, eye, side, kind, at);
            return camera.Project(side.At(q + offset, at), z);
        }) { Noise = noise, Cap = cap };
    }

    /// <summary>The combination of candidate lines that one ring explains best: least sum of squares of the linearised fit plus what faint lines cost.</summary>
    private static List<(List<Line> Lines, double Cost)> Choose(RingModel model, double[] p, double[] prior, double[] sd, List<Strip> strips, double slack, int most)
    {
        var options = new List<List<Line>>();
        foreach (Strip strip in strips)
        {
            List<Line> lines = [.. Candidates(strip).Select(c => Follow(strip, c.Shift, c.Tilt, slack)).OfType<Line>()];
            if (lines.Count > 0)
            {
                options.Add(Distinct(lines));
            }
        }

        if (options.Count == 0)
        {
            return [];
        }

        // Lines with few readings first: they bound where the others can be.
        options = [.. options.OrderBy(o => o[0].Strip.Kind switch { RingLine.Outer => 1, RingLine.Top => 0, _ => 2 })];
        var result = new List<(List<Line>, double)>();
        foreach ((int[] pick, double cost) in Combination.Best(model, p, prior, sd, [.. options.Select(Choice)], (a, i, b, j) => SameLine(options[a][i], options[b][j]), most, most > 1 ? 200 : 60))
        {
            result.Add(([.. options.Zip(pick).Where(x => x.Second >= 0).Select(x => x.First[x.Second])], cost));
        }

        return result;
    }

    /// <summary>Whether two readings of one side are the same edge in the photo; an edge cannot be foot and top at once.</summary>
    private static bool SameLine(Line a, Line b)
    {
        if (a.Strip.Side != b.Strip.Side)
        {
            return false;
        }

        PhotoPoint p = Middle(a), q = Middle(b);
        PhotoVector apart = q - p;
        EdgePoint across = a.Points[a.Points.Count / 2];
        return Math.Abs((apart.X * across.Nx) + (apart.Y * across.Ny)) < 0.35 * a.Strip.PxPerMm;

        static PhotoPoint Middle(Line l) => l.Strip.Place(l.Offsets[1], 0) ?? default;
    }

    /// <summary>What a reading costs for being faint or not between ring and cloth, in squared standard deviations; 0 when perfect.</summary>
    private static double Faintness(Line line) =>
        (14 * (1 - line.Support)) + (line.Strip.Kind is RingLine.Top or RingLine.Outer ? 0 : 40 * (1 - line.Identity));

    private static Combination.Choice Choice(List<Line> lines)
    {
        Strip strip = lines[0].Strip;
        return new(strip.Side, strip.Kind, [.. new[] { -0.4, 0, 0.4 }.Select(f => f * strip.Length)],
            [.. lines.Select(l => (l.Offsets, Faintness(l)))],
            strip.Kind switch { RingLine.Top => 30, RingLine.Outer => 20, _ => lines.Min(Faintness) + 18 + (25 * lines.Max(l => l.Support * Math.Max(0, l.Identity))) });
    }

    private static List<Line> Distinct(List<Line> lines)
    {
        var kept = new List<Line>();
        foreach (Line line in lines)
        {
            if (kept.All(k => k.Offsets.Zip(line.Offsets, (a, b) => Math.Abs(a - b)).Max() > 0.15))
            {
                kept.Add(line);
            }
        }

        return [.. kept.Take(14).Select(l => l.Strip.Kind is RingLine.Foot or RingLine.Silhouette ? l with { Identity = Identity(l.Strip, l.Offsets) } : l)];
    }

    /// <summary>Shifts and tilts (steps) at which most stations have an edge.</summary>
    private static List<(double Shift, double Tilt)> Candidates(Strip strip)
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
    private static Line? Follow(Strip strip, double shift, double tilt, double slack)
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

    private static double Identity(Strip strip, double[] offsets)
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

    private static float[] Smooth(float[] strip, int stations, int n, int along, bool[] inside)
    {
        float[] result = new float[strip.Length];
        for (int j = 0; j < stations; j++)
        {
            int count = 0;
            Span<float> row = result.AsSpan(j * n * 3, n * 3);
            for (int k = Math.Max(0, j - along); k <= Math.Min(stations - 1, j + along); k++)
            {
                if (!inside[k])
                {
                    continue;
                }

                count++;
                for (int i = 0; i < row.Length; i++)
                {
                    row[i] += strip[(k * n * 3) + i];
                }
            }

            for (int i = 0; i < row.Length; i++)
            {
                row[i] /= Math.Max(1, count);
            }
        }

        return result;
    }

    /// <summary>A doubling of roughness counts as an edge like a lightness step of about 6 %.</summary>
    private const float RoughnessWeight = 0.06f;

    /// <summary>
    /// How rough the surface is around each place: logarithm of the mean step from station to station, relative to its lightness.
    /// Where a white ring stands on a white quilt this is all that tells cloth from plastic.
    /// </summary>
    private static float[] Roughness(float[] strip, int stations, int n, int along, bool[] inside)
    {
        float[] result = new float[stations * n];
        float[] steps = new float[stations * n];
        for (int j = 0; j < stations - 1; j++)
        {
            for (int i = 0; i < n && inside[j] && inside[j + 1]; i++)
            {
                float a = strip[(((j * n) + i) * 3) + 1], b = strip[((((j + 1) * n) + i) * 3) + 1];
                steps[(j * n) + i] = Math.Abs(a - b) / (a + b + 0.02f);
            }
        }

        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < stations; j++)
            {
                float sum = 0;
                int count = 0;
                for (int k = Math.Max(0, j - along); k <= Math.Min(stations - 2, j + along); k++)
                {
                    sum += steps[(k * n) + i];
                    count++;
                }

                result[(j * n) + i] = MathF.Log(0.01f + (sum / Math.Max(1, count)));
            }
        }

        return result;
    }

    private static void Derivatives(float[] smooth, float[] rough, int stations, int n, float[] luminance, float[] energy)
    {
        // Derivative of a Gaussian of 1.1 px (samples are half a pixel apart), in the square root of light so that dark cloth counts too.
        const int R = 5;
        float[] kernel = new float[(2 * R) + 1];
        float norm = 0;
        for (int k = -R; k <= R; k++)
        {
            kernel[k + R] = k * MathF.Exp(-k * k / (2f * 2.2f * 2.2f));
            norm += k * kernel[k + R];
        }

        for (int k = 0; k < kernel.Length; k++)
        {
            kernel[k] /= norm;
        }

        for (int j = 0; j < stations; j++)
        {
            for (int i = R; i < n - R; i++)
            {
                float r = 0, g = 0, b = 0, mean = 0, v = 0;
                for (int k = -R; k <= R; k++)
                {
                    v += kernel[k + R] * rough[(j * n) + i + k];
                    int at = ((j * n) + i + k) * 3;
                    float w = kernel[k + R];
                    r += w * smooth[at];
                    g += w * smooth[at + 1];
                    b += w * smooth[at + 2];
                    mean += smooth[at + 1];
                }

                float root = 1 / MathF.Sqrt((mean / kernel.Length) + 0.02f);
                float l = (0.2126f * r) + (0.7152f * g) + (0.0722f * b);
                luminance[(j * n) + i] = l;
                float rg = r - g, bg = b - g;
                v *= RoughnessWeight;
                energy[(j * n) + i] = MathF.Sqrt((root * root * ((l * l) + (0.25f * ((rg * rg) + (bg * bg))))) + (v * v));
            }
        }
    }

    private static (float Noise, float Cap) Levels(float[] energy)
    {
        float[] sorted = [.. energy.Where(e => e > 0)];
        Array.Sort(sorted);
        return sorted.Length == 0 ? (1, 1) : (sorted[sorted.Length / 2], sorted[(int)(0.93 * (sorted.Length - 1))]);
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
