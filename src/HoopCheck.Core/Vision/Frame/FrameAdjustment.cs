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

    /// <summary>Standard deviation, mm, of what a foot line errs by when cloth and wall cannot be told apart at all; and the identity from which they can.</summary>
    private const double AlikeShift = 0.4, PlainlyApart = 0.7;

    /// <summary>How much dearer than the cheapest a reading may be and still be followed: at 5 times <see cref="DoubtCost"/> it would count less than 1 %.</summary>
    private const double Hopeless = 5 * DoubtCost;

    /// <summary>Fits that differ by less are the same twice, mm.</summary>
    private const double Same = 0.03;

    /// <summary>Fits that differ by less mean the same ring, mm.</summary>
    private const double SameRing = 0.8;

    /// <summary>How many different combinations of the first reading are followed to the end.</summary>
    private const int Hypotheses = 4;

    /// <summary>Outward bow of a stiff frame's sides, mm: mean and standard deviation.</summary>
    private const double StiffBow = 0.03, StiffBowSd = 0.08;

    private static readonly (double Reach, double Slack)[] Passes = [(3.0, 0.5), (1.5, 0.4), (0.7, 0.3)];

    public static FineFrame? Fit(LinearSampler photo, LabPicture medium, RoughFrame rough, HoopSpec hoop, double focal, double focalSd, CameraIntrinsics? known, double diagonal, double looseMm = 0)
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
            (sd[RingModel.K1], sd[RingModel.K2]) = (known.K1Uncertainty ?? 0.003, known.K2Uncertainty ?? 0.003);
            sd[RingModel.Cx] = sd[RingModel.Cy] = known.CentreUncertainty ?? (0.0005 * diagonal);
        }

        sd[RingModel.FrameWidth] = 0.4;
        p[RingModel.FrameWidth] = prior[RingModel.FrameWidth];
        p[RingModel.TopOffset] = prior[RingModel.TopOffset];
        List<FineFrame> all = [.. Pass(photo, model, p, prior, sd, Passes[0], Hypotheses)];
        foreach ((double, double) pass in Passes[1..])
        {
            all = [.. all.Select(f => Pass(photo, model, f.Values, prior, sd, pass, 1).FirstOrDefault()).OfType<FineFrame>().Select(Whole)];
            all = Different([.. all.OrderBy(f => f.Cost)]);
        }

        if (looseMm > 0)
        {
            // Once more from there, with the hoop's own size hardly tied to the ruler's.
            double[] loose = (double[])sd.Clone();
            loose[RingModel.Width] = loose[RingModel.Depth] = loose[RingModel.Height] = looseMm;
            foreach ((double, double) pass in Passes[1..])
            {
                all = [.. all.Select(f => Pass(photo, model, f.Values, prior, loose, pass, 1).FirstOrDefault()).OfType<FineFrame>().Select(Whole)];
            }

            all = [.. all.OrderBy(f => f.Cost)];
        }

        return all.Count == 0 ? null : InDoubt(all);

        // The inner lines may agree on a wrong place; then the rest of the ring does not show where it should.
        FineFrame Whole(FineFrame fine)
        {
            double whole = new RingComb(medium, model).Compare(fine.Values, FrameSearch.Verify).Score;
            return fine with { Cost = fine.Cost + (WholeRing * (1 - whole)), Score = whole };
        }
    }

    /// <summary>Of fits in the order of their costs those that are worth following: neither the same as a cheaper one nor far too dear.</summary>
    private static List<FineFrame> Different(List<FineFrame> frames)
    {
        var kept = new List<FineFrame>();
        foreach (FineFrame f in frames)
        {
            if (f.Cost < frames[0].Cost + Hopeless && kept.All(k => Apart(k, f) > Same))
            {
                kept.Add(f);
            }
        }

        return kept;
    }

    /// <summary>
    /// The mean of what the followed readings say, each weighted by how likely it is; the variance of such a mixture is that of its parts plus that between them.
    /// Readings that mean quite another ring than the likeliest are not averaged with it (what lies between two rings is none), but count in the variance.
    /// </summary>
    private static FineFrame InDoubt(List<FineFrame> frames)
    {
        FineFrame best = frames[0];
        double[] likely = [.. frames.Select(f => Math.Exp(-(f.Cost - best.Cost) / DoubtCost))];
        double[] weights = [.. frames.Zip(likely, (f, w) => Apart(best, f) < SameRing ? w : 0)];
        double sum = weights.Sum();
        double[] values = new double[RingModel.Count];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = frames.Zip(weights, (f, w) => w * f.Values[i]).Sum() / sum;
        }

        double[,] covariance = new double[values.Length, values.Length];
        for (int k = 0; k < frames.Count; k++)
        {
            for (int i = 0; i < values.Length; i++)
            {
                for (int j = 0; j < values.Length; j++)
                {
                    covariance[i, j] += (weights[k] / sum * frames[k].Covariance[i, j])
                        + ((weights[k] > 0 ? weights[k] / sum : likely[k] / 2) * (frames[k].Values[i] - values[i]) * (frames[k].Values[j] - values[j]));
                }
            }
        }

        return best with { Values = values, Covariance = covariance };
    }

    /// <summary>How far apart two fits see the same pixels on the fabric, mm: the largest of the opening's corners and middles of its sides.</summary>
    private static double Apart(FineFrame one, FineFrame other)
    {
        CameraPose from = one.Model.Camera(one.Values), to = other.Model.Camera(other.Values);
        double w = one.Values[RingModel.Width] / 2, h = one.Values[RingModel.Depth] / 2, most = 0;
        foreach ((double x, double y) in new[] { (-w, h), (0, h), (w, h), (w, 0), (w, -h), (0, -h), (-w, -h), (-w, 0) })
        {
            var at = new HoopPoint(x, y);
            most = Math.Max(most, from.Project(at, 0) is { } seen && to.BackProject(seen, 0) is { } there ? at.DistanceTo(there) : double.PositiveInfinity);
        }

        return most;
    }

    /// <summary>Reads all lines near a prediction and fits the cheapest combinations of readings, cheapest first.</summary>
    private static IEnumerable<FineFrame> Pass(
        LinearSampler photo, RingModel model, double[] p, double[] prior, double[] priorSd, (double Reach, double Slack) pass, int most)
    {
        List<RingStrip> strips = [.. RingStrip.All(photo, model, p, pass.Reach)];
        double[] sd = (double[])priorSd.Clone();
        foreach (RingStrip strip in strips.Where(s => s.Kind is RingLine.Top or RingLine.Silhouette))
        {
            // A lit top edge is read somewhere on its rounding, or on a highlight beside it; the rounding's outline against cloth is sharp.
            sd[RingModel.RimShift + (int)strip.Side] = strip.Kind == RingLine.Top ? 0.6 : 0.12;
        }

        foreach ((List<LineReading> lines, double cost) in Choose(model, p, prior, sd, strips, pass.Slack, most))
        {
            foreach (LineReading line in lines)
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
                if (line.Strip.Kind == RingLine.Foot)
                {
                    // Where cloth and wall look alike, the border of the wall's shadow on the cloth is easily taken for its foot.
                    sd[shift + (int)line.Strip.Side] += AlikeShift * Math.Max(0, PlainlyApart - line.Identity);
                }
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

    /// <summary>The combination of candidate lines that one ring explains best: least sum of squares of the linearised fit plus what faint lines cost.</summary>
    private static List<(List<LineReading> Lines, double Cost)> Choose(RingModel model, double[] p, double[] prior, double[] sd, List<RingStrip> strips, double slack, int most)
    {
        var options = new List<List<LineReading>>();
        foreach (RingStrip strip in strips)
        {
            List<LineReading> lines = LineReading.All(strip, slack);
            if (lines.Count > 0)
            {
                options.Add(lines);
            }
        }

        if (options.Count == 0)
        {
            return [];
        }

        // Lines with few readings first: they bound where the others can be.
        options = [.. options.OrderBy(o => o[0].Strip.Kind switch { RingLine.Outer => 1, RingLine.Top => 0, _ => 2 })];
        var result = new List<(List<LineReading>, double)>();
        foreach ((int[] pick, double cost) in Combination.Best(model, p, prior, sd, [.. options.Select(Choice)], (a, i, b, j) => SameLine(options[a][i], options[b][j]), most, most > 1 ? 200 : 60))
        {
            result.Add(([.. options.Zip(pick).Where(x => x.Second >= 0).Select(x => x.First[x.Second])], cost));
        }

        return result;
    }

    /// <summary>Whether two readings of one side are the same edge in the photo; an edge cannot be foot and top at once.</summary>
    private static bool SameLine(LineReading a, LineReading b)
    {
        if (a.Strip.Side != b.Strip.Side)
        {
            return false;
        }

        PhotoPoint p = Middle(a), q = Middle(b);
        PhotoVector apart = q - p;
        EdgePoint across = a.Points[a.Points.Count / 2];
        return Math.Abs((apart.X * across.Nx) + (apart.Y * across.Ny)) < 0.35 * a.Strip.PxPerMm;

        static PhotoPoint Middle(LineReading l) => l.Strip.Place(l.Offsets[1], 0) ?? default;
    }

    /// <summary>What a reading costs for being faint or not between ring and cloth, in squared standard deviations; 0 when perfect.</summary>
    private static double Faintness(LineReading line) =>
        (14 * (1 - line.Support)) + (line.Strip.Kind is RingLine.Top or RingLine.Outer ? 0 : 40 * (1 - line.Identity));

    private static Combination.Choice Choice(List<LineReading> lines)
    {
        RingStrip strip = lines[0].Strip;
        return new(strip.Side, strip.Kind, [.. new[] { -0.4, 0, 0.4 }.Select(f => f * strip.Length)],
            [.. lines.Select(l => (l.Offsets, Faintness(l)))],
            strip.Kind switch { RingLine.Top => 30, RingLine.Outer => 20, _ => lines.Min(Faintness) + 18 + (25 * lines.Max(l => l.Support * Math.Max(0, l.Identity))) });
    }
}
