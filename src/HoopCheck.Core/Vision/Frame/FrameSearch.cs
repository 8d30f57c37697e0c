using HoopCheck.Geometry;
using HoopCheck.Planning;
using OpenCvSharp;

namespace HoopCheck.Vision.Frame;

/// <summary>A supposed ring, rough: good to a millimetre or so.</summary>
internal sealed record RoughFrame(RingModel Model, double[] Values, double Score, double OutOfPicture)
{
    /// <summary>The same frame with the hoop's axes turned counter-clockwise by quarter turns (by half turns only where width and height differ).</summary>
    public RoughFrame Turned(int quarters)
    {
        (double c, double s) = (quarters & 3) switch
        {
            0 => (1, 0),
            1 => (0, 1),
            2 => (-1, 0),
            _ => (0.0, -1.0),
        };
        CameraPose camera = Model.Camera(Values);
        double[] p = (double[])Values.Clone();
        p[RingModel.Rotation] = p[RingModel.Rotation + 1] = p[RingModel.Rotation + 2] = 0;
        return this with
        {
            Model = new RingModel(RingModel.Multiply(camera.R, [c, -s, 0, s, c, 0, 0, 0, 1]), Model.CornerRadius, Model.BaseCx, Model.BaseCy),
            Values = p,
        };
    }
}

/// <summary>Finds the ring roughly: proposals, then each is drawn to the picture by the comb and ranked by how well the picture supports it.</summary>
internal static class FrameSearch
{
    /// <summary>From this support on no further search is made. Generated photos: right rings 0.73 to 0.94, wrong ones mostly below 0.75.</summary>
    private const double ConvincingScore = 0.78;

    /// <summary>How a ring is compared with the picture once it stands.</summary>
    internal static readonly RingComb.Look Verify = new(4, 12, 0.5, 0.5, 0.6);

    private static readonly double[] UsualRatios = [1.0, 1.2, 1.4, 1.55, 1.7, 1.9, 2.2];

    private static readonly RingComb.Look Glance = new(2, 8, 6, 1, 1.2);
    internal static readonly RingComb.Look[] Closer = [new(3, 10, 4, 0.5, 1.0), new(4, 10, 2.5, 0.5, 0.8), new(4, 12, 1.5, 0.5, 0.6)];

    /// <summary>The best supposed rings, best first; empty when nothing looks like one.</summary>
    public static List<RoughFrame> Find(LabPicture small, LabPicture medium, HoopSpec hoop, double focal, double focalSd, PhotoPoint centre, double diagonal)
    {
        double[] sd = RingFit.PriorSd(focalSd, false, diagonal);
        List<RingProposal> poses = RingProposals.Find(small, hoop, focal, centre);
        List<RoughFrame> found = Closest(Glances(poses.Select(p => p.Pose), hoop, medium, centre, sd), medium, sd);
        if (found.Count > 0 && found[0].Score >= ConvincingScore)
        {
            return found;
        }

        // Something lies over the ring, or it is thin or pale: look at more detail, and trust three sides where the fourth is wrong.
        poses.AddRange(RingProposals.Find(medium, hoop, focal, centre));
        List<RoughFrame> glanced = Glances(poses.SelectMany(p => ThreeSided(p, hoop, centre)), hoop, medium, centre, sd);
        return [.. found.Concat(Closest(glanced, medium, sd)).OrderByDescending(f => f.Score)];
    }

    /// <summary>When no ring of the hoop's proportions is there: the side ratio (1 or more) of a convincing ring of other proportions, or null.</summary>
    public static double? OtherProportions(LabPicture small, LabPicture medium, HoopSpec hoop, double focal, double focalSd, PhotoPoint centre, double diagonal)
    {
        double own = Math.Max(hoop.OpeningWidth, hoop.OpeningHeight) / Math.Min(hoop.OpeningWidth, hoop.OpeningHeight);
        double mean = Math.Sqrt(hoop.OpeningWidth * hoop.OpeningHeight);
        (double Score, double Ratio) best = (0, 0);
        foreach (double ratio in UsualRatios.Where(r => Math.Max(r, own) / Math.Min(r, own) > 1.1))
        {
            HoopSpec other = hoop with { OpeningWidth = mean * Math.Sqrt(ratio), OpeningHeight = mean / Math.Sqrt(ratio), CornerRadius = null };
            double[] sd = RingFit.PriorSd(focalSd, false, diagonal);
            sd[RingModel.Width] = sd[RingModel.Depth] = 0.06 * mean;
            sd[RingModel.FrameWidth] = 6;
            List<RingProposal> proposals = RingProposals.Find(small, other, focal, centre);
            foreach (RoughFrame f in Closest(Glances(proposals.Select(p => p.Pose), other, medium, centre, sd), medium, sd).Take(1))
            {
                if (f.Score > best.Score)
                {
                    double w = f.Values[RingModel.Width], h = f.Values[RingModel.Depth];
                    best = (f.Score, Math.Max(w, h) / Math.Min(w, h));
                }
            }
        }

        return best.Score > ConvincingScore - 0.08 && Math.Max(best.Ratio, own) / Math.Min(best.Ratio, own) > 1.06 ? best.Ratio : null;
    }

    private static List<RoughFrame> Glances(IEnumerable<CameraPose> poses, HoopSpec hoop, LabPicture medium, PhotoPoint centre, double[] sd)
    {
        var seen = new HashSet<(int, int, int, int)>();
        var glanced = new List<RoughFrame>();
        foreach (CameraPose pose in poses)
        {
            if (pose.Project(new(-hoop.OpeningWidth / 2, hoop.OpeningHeight / 2), 0) is { } a
                && pose.Project(new(hoop.OpeningWidth / 2, -hoop.OpeningHeight / 2), 0) is { } b
                && seen.Add(((int)(a.X / 8), (int)(a.Y / 8), (int)(b.X / 8), (int)(b.Y / 8))))
            {
                glanced.Add(Draw(Start(pose, hoop, centre), medium, Glance, sd, 1));
            }
        }

        return glanced;
    }

    /// <summary>The pose itself, and for each side the pose that the other three sides alone allow: three lines determine six unknowns.</summary>
    private static IEnumerable<CameraPose> ThreeSided(RingProposal proposal, HoopSpec hoop, PhotoPoint centre)
    {
        yield return proposal.Pose;
        RoughFrame frame = Start(proposal.Pose, hoop, centre);
        double[] p = frame.Values, sd = RingFit.PriorSd(0.001, false, 1);
        p[RingModel.TopOffset] = 0;
        p[RingModel.FrameWidth] = proposal.Grow;
        sd[RingModel.K1] = sd[RingModel.FrameWidth] = sd[RingModel.TopOffset] = 0;
        RingLine line = proposal.Z > 0 ? RingLine.Outer : RingLine.Foot;
        Side[] order = [Side.Top, Side.Right, Side.Bottom, Side.Left];
        foreach (Side left in order)
        {
            var edges = new List<EdgePoint>();
            for (int i = 0; i < 4; i++)
            {
                if (order[i] == left)
                {
                    continue;
                }

                Point2d a = proposal.Quad[i], b = proposal.Quad[(i + 1) % 4];
                double dx = b.X - a.X, dy = b.Y - a.Y, d = Math.Sqrt((dx * dx) + (dy * dy));
                foreach (double f in new[] { 0.2, 0.8 })
                {
                    edges.Add(new(order[i], line, 0.3 * Math.Sign(f - 0.5) * RingModel.Length(p, order[i]), a.X + (f * dx), a.Y + (f * dy), -dy / d, dx / d, 1));
                }
            }

            double[] q = RingFit.Run(frame.Model, p, p, sd, edges, 8).Values;
            CameraPose free = frame.Model.Camera(q);
            if (free.TiltDegrees < 55)
            {
                yield return free;
            }
        }
    }

    internal static List<RoughFrame> Closest(List<RoughFrame> glanced, LabPicture medium, double[] sd)
    {
        var kept = new List<RoughFrame>();
        foreach (RoughFrame f in glanced.OrderByDescending(f => f.Score))
        {
            if (kept.Count < 8 && kept.All(k => Apart(k, f) > 4))
            {
                kept.Add(f);
            }
        }

        var closer = new List<RoughFrame>();
        foreach (RoughFrame f in kept)
        {
            RoughFrame g = f;
            foreach (RingComb.Look look in Closer)
            {
                g = Draw(g, medium, look, sd, 1);
            }

            RingComb.Seen seen = new RingComb(medium, g.Model).Compare(g.Values, Verify);
            closer.Add(g with { Score = seen.Score, OutOfPicture = seen.OutOfPicture });
        }

        return [.. closer.OrderByDescending(f => f.Score)];
    }

    internal static RoughFrame Start(CameraPose pose, HoopSpec hoop, PhotoPoint centre)
    {
        double corner = hoop.CornerRadius ?? 0.12 * Math.Min(hoop.OpeningWidth, hoop.OpeningHeight);
        var model = new RingModel(pose.R, corner, centre.X, centre.Y);
        return new(model, model.Start(pose, hoop), 0, 0);
    }

    internal static RoughFrame Draw(RoughFrame frame, LabPicture picture, RingComb.Look look, double[] sd, int times)
    {
        var comb = new RingComb(picture, frame.Model);
        double[] p = frame.Values;
        double score = 0, missing = 0;
        for (int i = 0; i < times; i++)
        {
            RingComb.Seen seen = comb.Compare(p, look);
            score = seen.Score;
            missing = seen.OutOfPicture;
            if (seen.Edges.Count < 8)
            {
                break;
            }

            double[] prior = (double[])p.Clone();
            prior[RingModel.K1] = 0;
            prior[RingModel.TopOffset] = 0.4;
            p = RingFit.Run(frame.Model, p, prior, sd, seen.Edges, 6).Values;
        }

        return frame with { Values = p, Score = score, OutOfPicture = missing };
    }

    /// <summary>Largest distance between the openings' corners of two frames, mm on the fabric.</summary>
    private static double Apart(RoughFrame a, RoughFrame b)
    {
        CameraPose ca = a.Model.Camera(a.Values), cb = b.Model.Camera(b.Values);
        double w = a.Values[RingModel.Width] / 2, h = a.Values[RingModel.Depth] / 2, worst = 0;
        foreach ((double x, double y) in new[] { (w, h), (-w, h), (w, -h), (-w, -h) })
        {
            if (cb.Project(new(x, y), 0) is not { } seen || ca.BackProject(seen, 0) is not { } at)
            {
                return double.MaxValue;
            }

            // A frame turned by 180 degrees, a square one by 90, is the same frame here.
            double d = Math.Min(at.DistanceTo(new(x, y)), at.DistanceTo(new(-x, -y)));
            if (Math.Abs(w - h) < 0.25)
            {
                d = Math.Min(d, Math.Min(at.DistanceTo(new(-y, x)), at.DistanceTo(new(y, -x))));
            }

            worst = Math.Max(worst, d);
        }

        return worst;
    }
}
