using HoopCheck.Geometry;
using HoopCheck.Vision.Frame;
using OpenCvSharp;

namespace HoopCheck.Vision;

/// <summary>A bank-card-sized card on the fabric, measured with the fitted camera.</summary>
/// <param name="Centre">Its middle, hoop mm.</param>
/// <param name="AngleDegrees">Of its long sides against the hoop's x axis, −90 to 90.</param>
/// <param name="LongMm">Its long side as measured, mm of the hoop file's scale.</param>
/// <param name="ShortMm">Its short side as measured.</param>
/// <param name="Ratio">Measured size over the standard's: above 1, the hoop file's measures are too large.</param>
/// <param name="RatioUncertainty">Expanded uncertainty of the ratio, coverage factor 2.</param>
public sealed record CardFound(HoopPoint Centre, double AngleDegrees, double LongMm, double ShortMm, double Ratio, double RatioUncertainty)
{
    /// <summary>Whether the hoop file's scale and the card's agree within the uncertainty.</summary>
    public bool Agrees => Math.Abs(Ratio - 1) <= RatioUncertainty;
}

/// <summary>
/// Looks for a card of ISO/IEC 7810 size ID-1 (85.60 by 53.98 mm, 0.76 mm thick, corners rounded to 3.18 mm; an unused card is within 0.13 mm by 0.06 mm) in the fabric's plane and
/// measures it: the one length in the picture that does not come from the hoop file.
/// </summary>
public static class CardFinder
{
    /// <summary>ISO/IEC 7810:2019, ID-1, mm.</summary>
    public const double LongMm = 85.60, ShortMm = 53.98, ThickMm = 0.76, CornerMm = 3.18;

    /// <summary>Scale of the flat view in which it is looked for, mm a pixel, and how far outside the opening.</summary>
    private const double MmPerPixel = 0.5, Around = 130;

    /// <summary>How far off its size may seem to be: a hoop file that is further out is refused for other reasons.</summary>
    private const double LargestOff = 0.07;

    /// <summary>One standard deviation of where a card's edge is read: its side is seen on one side and its shadow on the other, mm.</summary>
    private const double EdgeSdMm = 0.1;

    /// <summary>One standard deviation of the height of the card over the plane of the fit: quilts puff by a millimetre or two, mm.</summary>
    private const double HeightSdMm = 0.7;

    /// <summary>Half the length of a profile across a card's edge, and its step, mm.</summary>
    private const double Reach = 2.5, Step = 0.1;

    /// <summary>Readings along an edge, and how many must be seen.</summary>
    private const int Readings = 48, LeastReadings = 28;

    /// <summary>Measures the card that is seen best.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="frame">Its fitted frame.</param>
    /// <returns>The card, or null when none is seen.</returns>
    public static CardFound? Find(Photograph photo, FrameFit frame)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(frame);
        var sampler = new LinearSampler(photo.Pixels);
        return Supposed(photo.Pixels, frame)
            .Select(box => Measure(sampler, frame, box))
            .OfType<(CardFound Card, double Misfit)>()
            .OrderBy(c => c.Misfit)
            .Select(c => c.Card)
            .FirstOrDefault();
    }

    /// <summary>Where shapes of a card's size and form lie: centre, direction of the long side.</summary>
    private static List<(HoopPoint Centre, double Angle)> Supposed(Pixels pixels, FrameFit frame)
    {
        int wide = (int)((frame.Ring.OpeningWidth + (2 * Around)) / MmPerPixel), high = (int)((frame.Ring.OpeningHeight + (2 * Around)) / MmPerPixel);
        using Mat flat = Flat(pixels, frame.Camera, wide, high), lab = new();
        Cv2.CvtColor(flat, lab, ColorConversionCodes.BGR2Lab);
        Cv2.MedianBlur(lab, lab, 5);
        var found = new List<(HoopPoint Centre, double Angle)>();
        foreach (Mat channel in Cv2.Split(lab))
        {
            using (channel)
            {
                for (int level = 16; level < 250; level += 8)
                {
                    using var binary = new Mat();
                    Cv2.Threshold(channel, binary, level, 255, ThresholdTypes.Binary);
                    Cv2.FindContours(binary, out Point[][] contours, out _, RetrievalModes.List, ContourApproximationModes.ApproxNone);
                    foreach (Point[] contour in contours.Where(c => c.Length > 2 * (LongMm + ShortMm) / MmPerPixel * 0.7))
                    {
                        if (CardLike(contour, wide, high) is { } box && !found.Exists(f => f.Centre.DistanceTo(box.Centre) < 2))
                        {
                            found.Add(box);
                        }
                    }
                }
            }
        }

        return found;
    }

    private static (HoopPoint Centre, double Angle)? CardLike(Point[] contour, int wide, int high)
    {
        double area = Cv2.ContourArea(contour) * MmPerPixel * MmPerPixel;
        RotatedRect box = Cv2.MinAreaRect(contour);
        double a = box.Size.Width * MmPerPixel, b = box.Size.Height * MmPerPixel, angle = -box.Angle;
        if (a < b)
        {
            (a, b, angle) = (b, a, angle + 90);
        }

        // A pixel more or less on each side.
        const double Slack = 1.5;
        if (Math.Abs(a - LongMm) > (LargestOff * LongMm) + Slack || Math.Abs(b - ShortMm) > (LargestOff * ShortMm) + Slack || area < 0.93 * a * b)
        {
            return null;
        }

        angle -= 180 * Math.Round(angle / 180);
        return (new((box.Center.X + 0.5 - (wide / 2.0)) * MmPerPixel, ((high / 2.0) - box.Center.Y - 0.5) * MmPerPixel), angle);
    }

    private static unsafe Mat Flat(Pixels pixels, CameraPose camera, int wide, int high)
    {
        var flat = new Mat(high, wide, MatType.CV_8UC3, Scalar.Black);
        byte* start = flat.DataPointer;
        long stride = flat.Step();
        Parallel.For(0, high, j =>
        {
            byte* to = start + (j * stride);
            for (int i = 0; i < wide; i++, to += 3)
            {
                HoopPoint p = new((i + 0.5 - (wide / 2.0)) * MmPerPixel, ((high / 2.0) - j - 0.5) * MmPerPixel);
                if (camera.Project(p, ThickMm) is not { } full)
                {
                    continue;
                }

                int x = (int)Math.Round(((full.X + 0.5) / pixels.Reduction) - 0.5), y = (int)Math.Round(((full.Y + 0.5) / pixels.Reduction) - 0.5);
                if (x >= 0 && y >= 0 && x < pixels.Width && y < pixels.Height)
                {
                    int from = ((y * pixels.Width) + x) * 3;
                    (to[0], to[1], to[2]) = (pixels.Bgr[from], pixels.Bgr[from + 1], pixels.Bgr[from + 2]);
                }
            }
        });
        return flat;
    }

    /// <summary>Reads all four edges to fractions of a pixel, in linear light; null where they are not those of a card.</summary>
    private static (CardFound Card, double Misfit)? Measure(LinearSampler sampler, FrameFit frame, (HoopPoint Centre, double Angle) box)
    {
        (double sin, double cos) = Math.SinCos(box.Angle * Math.PI / 180);
        HoopVector u = new(cos, sin), v = new(-sin, cos);

        // Each edge as its distance from the centre, along its outward normal, and its slant.
        var edges = new List<(double At, double Slope)>();
        foreach ((HoopVector outward, HoopVector along, double half, double reach) in new[]
        {
            (u, v, LongMm / 2, ShortMm / 2), (u * -1, v, LongMm / 2, ShortMm / 2), (v, u, ShortMm / 2, LongMm / 2), (v * -1, u, ShortMm / 2, LongMm / 2),
        })
        {
            if (Edge(sampler, frame.Camera, box.Centre, outward, along, half, reach - CornerMm - 3) is not { } edge)
            {
                return null;
            }

            edges.Add(edge);
        }

        double longer = edges[0].At + edges[1].At, shorter = edges[2].At + edges[3].At;

        // Opposite edges are parallel, neighbours at right angles, and both lengths are out by the same.
        double apart = Math.Abs((longer / LongMm) - (shorter / ShortMm));
        double skew = Math.Max(Math.Abs(edges[0].Slope + edges[1].Slope), Math.Abs(edges[2].Slope + edges[3].Slope));
        double square = Math.Abs((edges[0].Slope - edges[1].Slope + edges[2].Slope - edges[3].Slope) / 2);
        if (apart > 0.02 || skew > 0.025 || square > 0.025)
        {
            return null;
        }

        const double Squares = (LongMm * LongMm) + (ShortMm * ShortMm);
        double ratio = ((longer * LongMm) + (shorter * ShortMm)) / Squares;
        if (Math.Abs(ratio - 1) > LargestOff)
        {
            return null;
        }

        double reading = EdgeSdMm * Math.Sqrt(2 / Squares), height = HeightSdMm / Math.Max(1, frame.Camera.Centre.Z);
        double camera = frame.Propagated(moved => Ratio(frame.Camera, moved, box.Centre, u, v) - 1);
        double centreU = (edges[0].At - edges[1].At) / 2, centreV = (edges[2].At - edges[3].At) / 2;
        var card = new CardFound(
            box.Centre + (u * centreU) + (v * centreV), box.Angle, longer, shorter, ratio, 2 * Math.Sqrt((reading * reading) + (height * height) + (camera * camera)));
        return (card, apart + skew + square);
    }

    /// <summary>How much larger the card's sides are taken to be by another camera that sees the same pixels.</summary>
    private static double? Ratio(CameraPose fitted, CameraPose moved, HoopPoint centre, HoopVector u, HoopVector v)
    {
        double sum = 0;
        foreach ((HoopVector axis, double length) in new[] { (u, LongMm), (v, ShortMm) })
        {
            if (fitted.Project(centre + (axis * (length / 2)), ThickMm) is not { } one || fitted.Project(centre + (axis * (-length / 2)), ThickMm) is not { } other
                || moved.BackProject(one, ThickMm) is not { } a || moved.BackProject(other, ThickMm) is not { } b)
            {
                return null;
            }

            sum += a.DistanceTo(b) * length;
        }

        return sum / ((LongMm * LongMm) + (ShortMm * ShortMm));
    }

    /// <summary>One straight edge: where the light changes most across it, at many places along it, and a line through these.</summary>
    private static (double At, double Slope)? Edge(LinearSampler sampler, CameraPose camera, HoopPoint centre, HoopVector outward, HoopVector along, double half, double reach)
    {
        var read = new List<(double S, double Q, double Rise)>();
        int steps = (int)(2 * Reach / Step) + 1;
        double[] light = new double[steps];
        for (int i = 0; i < Readings; i++)
        {
            double s = reach * (((2.0 * i) + 1 - Readings) / Readings);
            bool seen = true;
            for (int k = 0; k < steps && seen; k++)
            {
                HoopPoint at = centre + (outward * (half - Reach + (k * Step))) + (along * s);
                float r = 0, g = 0, b = 0;
                seen = camera.Project(at, ThickMm) is { } p && sampler.Sample(p.X, p.Y, out r, out g, out b);

                // Luminance of linear light, ITU-R BT.709.
                light[k] = (0.2126 * r) + (0.7152 * g) + (0.0722 * b);
            }

            if (seen && Steepest(light, half - Reach) is { } place)
            {
                read.Add((s, place.Q, place.Rise));
            }
        }

        // All of an edge goes from light to dark or from dark to light.
        int rising = read.Count(r => r.Rise > 0);
        List<(double S, double Q, double Rise)> same = [.. read.Where(r => r.Rise > 0 == rising * 2 >= read.Count)];
        for (int round = 0; round < 4; round++)
        {
            if (same.Count < LeastReadings)
            {
                return null;
            }

            double ms = same.Average(r => r.S), mq = same.Average(r => r.Q);
            double slope = same.Sum(r => (r.S - ms) * (r.Q - mq)) / same.Sum(r => (r.S - ms) * (r.S - ms));
            double at = mq - (slope * ms);
            double[] off = [.. same.Select(r => Math.Abs(r.Q - at - (slope * r.S)))];
            double limit = Math.Max(0.15, 3 * off.Order().ElementAt(off.Length / 2));
            if (off.Max() <= limit)
            {
                return (at, slope);
            }

            same = [.. same.Where((_, i) => off[i] <= limit)];
        }

        return null;
    }

    /// <summary>The middle of the steepest change of a profile, and how much it rises there.</summary>
    private static (double Q, double Rise)? Steepest(double[] light, double from)
    {
        const int Half = 3;
        int best = 0;
        double most = 0;
        for (int k = Half; k < light.Length - Half; k++)
        {
            double rise = light[k + Half] - light[k - Half];
            if (Math.Abs(rise) > Math.Abs(most))
            {
                (best, most) = (k, rise);
            }
        }

        if (Math.Abs(most) < 0.015 || best < 2 * Half || best >= light.Length - (2 * Half))
        {
            return null;
        }

        // Centre of gravity of the change about its steepest place.
        double sum = 0, moment = 0;
        for (int k = best - (2 * Half); k < best + (2 * Half); k++)
        {
            double change = Math.Max(0, (light[k + 1] - light[k]) * Math.Sign(most));
            sum += change;
            moment += change * (k + 0.5);
        }

        return sum > 0 ? (from + (moment / sum * Step), most) : null;
    }
}
