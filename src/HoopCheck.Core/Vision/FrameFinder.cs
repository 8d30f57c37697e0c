using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Vision;

/// <summary>Finds the ring and fits camera and ring to it.</summary>
public static class FrameFinder
{
    /// <summary>Long side of the picture in which the ring is looked for, px.</summary>
    private const int SmallSide = 500;

    /// <summary>Long side of the picture in which supposed rings are compared, px.</summary>
    private const int MediumSide = 1000;

    /// <summary>Looks for the ring: where it is and which way is up, not yet to fractions of a pixel.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="hoop">The hoop, as measured with a ruler.</param>
    /// <param name="up">Where the hoop's top points in the upright photo; null: find the attachment bar.</param>
    /// <param name="camera">Known intrinsics, or null.</param>
    /// <param name="tolerances">What a photo must offer to be judged.</param>
    /// <param name="trace">Listener.</param>
    /// <returns>What <see cref="Fit"/> starts from, or why the photo cannot be judged.</returns>
    internal static Outcome<FrameFound> Find(Photograph photo, HoopSpec hoop, PhotoDirection? up, CameraIntrinsics? camera, Tolerances tolerances, ITrace trace)
    {
        PhotoHeader header = photo.Header;
        double diagonal = Math.Sqrt(((double)header.Width * header.Width) + ((double)header.Height * header.Height));
        var centre = new PhotoPoint((header.Width - 1) / 2.0, (header.Height - 1) / 2.0);
        CameraIntrinsics? known = camera is null ? null : Upright(camera, header);
        (double focal, double focalSd) = known is not null
            ? (known.Focal, Math.Max(0.001, known.FocalUncertainty / known.Focal))
            : header.FocalPixels is { } f ? (f, 0.02) : (27 / 43.2666 * diagonal, 0.08);

        LabPicture small = LabPicture.Of(photo.Pixels, SmallSide), medium = LabPicture.Of(photo.Pixels, MediumSide);
        if (Brightness.Of(small) is var light && light < tolerances.DarkestPhoto)
        {
            return new Problem(Problems.TooDark, $"Half of it is darker than L* {light:F0}.");
        }

        double blur = Sharpness.BlurPx(photo.Pixels);
        if (blur > tolerances.SoftestPhoto * diagonal)
        {
            return new Problem(Problems.TooBlurred, $"Its sharpest edges are {2 * blur:F0} pixels wide.");
        }

        List<RoughFrame> found = FrameSearch.Find(small, medium, hoop, focal, focalSd, centre, diagonal);
        trace.Data(20, "frame-candidates", found.Take(6).Select(r => new { r.Score, r.OutOfPicture, Camera = r.Model.Camera(r.Values) }).ToArray());
        if (found.Count == 0 || found[0].Score < tolerances.LeastFrameScore)
        {
            string detail = found.Count == 0 ? "" : $"The best guess is supported to {found[0].Score:F2}, {tolerances.LeastFrameScore:F2} is needed.";
            return OtherProportions(small, medium, hoop, focal, focalSd, centre, diagonal) ?? new Problem(Problems.FrameNotFound, detail);
        }

        (RoughFrame rough, UpSource upFrom) = Turned(found[0], medium, hoop, up);
        if (CutOff(rough.Model, rough.Values, header, 3) is { } roughly)
        {
            return new Problem(Problems.FrameCutOff, roughly);
        }

        IEnumerable<RoughFrame> rivals = found.Skip(1).Where(r => r.Score > found[0].Score - 0.03).Take(1).Select(r => Turned(r, medium, hoop, up).Frame);
        return new FrameFound([rough, .. rivals], upFrom, small, medium, focal, focalSd, known, centre, diagonal, blur);
    }

    /// <summary>Fits camera and ring to the edges of the ring that was found.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="found">What <see cref="Find"/> found in it.</param>
    /// <param name="hoop">The hoop, as measured with a ruler.</param>
    /// <param name="tolerances">What a photo must offer to be judged.</param>
    /// <param name="trace">Listener.</param>
    /// <returns>The fit, or why the photo cannot be judged.</returns>
    internal static Outcome<FrameFit> Fit(Photograph photo, FrameFound found, HoopSpec hoop, Tolerances tolerances, ITrace trace)
    {
        var sampler = new LinearSampler(photo.Pixels);
        FineFrame? fine = null;
        foreach (RoughFrame rough in found.Candidates)
        {
            FineFrame? next = FrameAdjustment.Fit(sampler, found.Medium, rough, hoop, found.Focal, found.FocalSd, found.Known, found.Diagonal);
            if (next is not null && (fine is null || next.Cost < fine.Cost))
            {
                fine = next;
            }
        }

        if (fine is null)
        {
            return new Problem(Problems.FrameUncertain, "Too few of its edges can be seen.");
        }

        if (fine.Score < tolerances.LeastFittedScore)
        {
            return OtherProportions(found.Small, found.Medium, hoop, found.Focal, found.FocalSd, found.Centre, found.Diagonal)
                ?? new Problem(Problems.FrameUncertain, $"The picture supports it to {fine.Score:F2}, {tolerances.LeastFittedScore:F2} is needed.");
        }

        FrameFit fit = Fitted(fine, found.UpFrom, fine.Score, found.BlurPx, hoop);
        trace.Data(30, "fit", fit);
        return Judge(fit, fine, photo.Header, tolerances) is { } problem ? problem : fit;
    }

    /// <summary>Where there is no good ring of this hoop's proportions: whether there is one of others.</summary>
    private static Problem? OtherProportions(LabPicture small, LabPicture medium, HoopSpec hoop, double focal, double focalSd, PhotoPoint centre, double diagonal) =>
        FrameSearch.OtherProportions(small, medium, hoop, focal, focalSd, centre, diagonal) is { } ratio
            ? new Problem(Problems.WrongHoop, $"Its sides are as {ratio:F2} to 1, the hoop file's as {Math.Max(hoop.OpeningWidth, hoop.OpeningHeight) / Math.Min(hoop.OpeningWidth, hoop.OpeningHeight):F2} to 1.")
            : null;

    private static Problem? Judge(FrameFit fit, FineFrame fine, PhotoHeader header, Tolerances tolerances)
    {
        if (CutOff(fine.Model, fine.Values, header, 0) is { } side)
        {
            return new Problem(Problems.FrameCutOff, side);
        }

        if (fit.Camera.TiltDegrees > tolerances.SteepestTilt)
        {
            return new Problem(Problems.TooOblique, $"The camera was tilted by {fit.Camera.TiltDegrees:F0} degrees; up to {tolerances.SteepestTilt:F0} can be measured.");
        }

        double blurMm = fit.EdgeBlurPx / fit.PxPerMm;
        if (blurMm > tolerances.SoftestEdgeMm)
        {
            return new Problem(Problems.TooBlurred, $"Its sharpest edges are {2 * blurMm:F1} mm wide.");
        }

        double bent = Math.Sqrt(fit.Ring.Bow.Average(b => b * b)), misfit = fit.ResidualPx / Math.Max(1, fit.PxPerMm / 8);
        if (bent > tolerances.LargestBowMm || fit.Ring.Bow.Min() < -tolerances.LargestInwardBowMm || misfit > tolerances.LargestMisfitPx)
        {
            return new Problem(Problems.FrameUncertain, $"Its sides do not fit a straight frame: bowed by up to {fit.Ring.Bow.Max(Math.Abs):F1} mm, edges {misfit:F1} px off.");
        }

        double worst = SideExtensions.All.Max(s => fit.StandardUncertaintyAcross(s, s.At(0.8 * (s is Side.Left or Side.Right ? fit.Ring.OpeningWidth : fit.Ring.OpeningHeight) / 2, 0)));
        return worst > tolerances.LargestFrameUncertaintyMm
            ? new Problem(Problems.FrameUncertain, $"Places in the hoop are known to {2 * worst:F1} mm only.")
            : null;
    }

    private static FrameFit Fitted(FineFrame fine, UpSource upFrom, double score, double blur, HoopSpec hoop)
    {
        double[] v = fine.Values;
        CameraPose camera = fine.Model.Camera(v);
        var ring = new RingShape(v[RingModel.Width], v[RingModel.Depth], fine.Model.CornerRadius, v[RingModel.Height], hoop.FrameWidth ?? v[RingModel.FrameWidth],
            v[RingModel.TopOffset], v[RingModel.Bow..(RingModel.Bow + 4)]);
        return new(camera, ring, RingModel.Names, v, fine.Covariance, Direction(camera), upFrom, fine.ResidualPx, fine.Edges.Count, blur, score) { Model = fine.Model };
    }

    /// <summary>The frame with its axes turned so that the bar is at the left, or so that up is where the caller says.</summary>
    private static (RoughFrame Frame, UpSource From) Turned(RoughFrame frame, LabPicture medium, HoopSpec hoop, PhotoDirection? up)
    {
        CameraPose camera = frame.Model.Camera(frame.Values);
        if (up is null && AttachmentFinder.Find(medium, camera, hoop) is { Confidence: >= 0.7 } bar)
        {
            return (frame.Turned(bar.QuarterTurns), UpSource.Attachment);
        }

        PhotoDirection wanted = up ?? PhotoDirection.Top;
        int[] turns = Math.Abs(hoop.OpeningWidth - hoop.OpeningHeight) < 0.5 ? [0, 1, 2, 3] : [0, 2];
        RoughFrame best = turns.Select(frame.Turned).MaxBy(t => Towards(t.Model.Camera(t.Values), wanted))!;
        return (best, up is null ? UpSource.Assumed : UpSource.Given);
    }

    /// <summary>Where the hoop's +y axis points in the photo.</summary>
    private static PhotoDirection Direction(CameraPose camera) => Enum.GetValues<PhotoDirection>().MaxBy(d => Towards(camera, d));

    private static double Towards(CameraPose camera, PhotoDirection direction)
    {
        if (camera.Project(new(0, 0), 0) is not { } o || camera.Project(new(0, 10), 0) is not { } y)
        {
            return double.MinValue;
        }

        return direction switch
        {
            PhotoDirection.Top => o.Y - y.Y,
            PhotoDirection.Bottom => y.Y - o.Y,
            PhotoDirection.Left => o.X - y.X,
            _ => y.X - o.X,
        };
    }

    /// <summary>Names a side of the picture over which the ring reaches by more than <paramref name="slack"/> mm, or null.</summary>
    private static string? CutOff(RingModel model, double[] p, PhotoHeader header, double slack)
    {
        CameraPose camera = model.Camera(p);
        double r = model.CornerRadius, grow = p[RingModel.TopOffset] + p[RingModel.FrameWidth] - slack;
        double x = p[RingModel.Width] / 2, y = p[RingModel.Depth] / 2;
        for (int i = 0; i < 64; i++)
        {
            // Outline of the ring: rounded corners and the middles of the sides.
            double a = i * Math.PI / 32, c = Math.Cos(a), s = Math.Sin(a);
            foreach (HoopPoint at in new[] { new HoopPoint((Math.Sign(c) * (x - r)) + ((r + grow) * c), (Math.Sign(s) * (y - r)) + ((r + grow) * s)) })
            {
                if (camera.Project(at, p[RingModel.Height]) is not { } seen)
                {
                    return "It reaches behind the camera.";
                }

                string? edge = seen.X < 0 ? "left" : seen.X > header.Width - 1 ? "right" : seen.Y < 0 ? "upper" : seen.Y > header.Height - 1 ? "lower" : null;
                if (edge is not null)
                {
                    return $"It reaches over the picture's {edge} edge.";
                }
            }
        }

        return null;
    }

    /// <summary>Known intrinsics brought to this photo's size and way up.</summary>
    private static CameraIntrinsics Upright(CameraIntrinsics k, PhotoHeader header)
    {
        double scale = Math.Max(header.StoredWidth, header.StoredHeight) / (double)Math.Max(k.Width, k.Height);
        double w = header.StoredWidth, h = header.StoredHeight;
        double cx = ((k.Cx + 0.5) * scale) - 0.5, cy = ((k.Cy + 0.5) * scale) - 0.5;
        (double x, double y) = header.Orientation switch
        {
            2 => (w - 1 - cx, cy),
            3 => (w - 1 - cx, h - 1 - cy),
            4 => (cx, h - 1 - cy),
            5 => (cy, cx),
            6 => (h - 1 - cy, cx),
            7 => (h - 1 - cy, w - 1 - cx),
            8 => (cy, w - 1 - cx),
            _ => (cx, cy),
        };
        return k with
        {
            Width = header.Width, Height = header.Height, Focal = k.Focal * scale, FocalUncertainty = k.FocalUncertainty * scale, Cx = x, Cy = y,
            CentreUncertainty = k.CentreUncertainty * scale,
        };
    }
}
