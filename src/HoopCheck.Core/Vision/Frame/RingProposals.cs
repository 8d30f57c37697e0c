using HoopCheck.Geometry;
using HoopCheck.Planning;
using OpenCvSharp;

namespace HoopCheck.Vision.Frame;

/// <summary>A supposed ring: a quadrilateral in the photo and what it is taken for.</summary>
/// <param name="Pose">The camera pose that this reading means.</param>
/// <param name="Quad">Full-size px, clockwise: the hoop's top-left, top-right, bottom-right, bottom-left (or turned by 180 degrees).</param>
/// <param name="Grow">How far outside the opening its sides are taken to lie, mm.</param>
/// <param name="Z">Their height above the fabric, mm.</param>
internal sealed record RingProposal(CameraPose Pose, Point2d[] Quad, double Grow, double Z);

/// <summary>
/// Guesses where the ring may be: the ring's top is smooth and closed, so somewhere among the smooth parts of the picture there is
/// one with a hole of the opening's shape. Every hole of every smooth part, at several smoothness limits, gives a quadrilateral and,
/// with the hoop's known proportions, camera poses.
/// </summary>
internal static class RingProposals
{
    /// <summary>Smallest part of the picture that an outline of the ring encloses.</summary>
    private const double LeastShare = 0.012;

    private static readonly float[] SmoothLimits = [0.7f, 1.1f, 1.7f, 2.6f, 4f, 6f];

    /// <summary>Poses worth a closer look, unordered.</summary>
    /// <param name="small">The photo at about 500 px.</param>
    /// <param name="hoop">The hoop.</param>
    /// <param name="focal">Focal length, full-size px.</param>
    /// <param name="centre">Picture centre, full-size px.</param>
    public static List<RingProposal> Find(LabPicture small, HoopSpec hoop, double focal, PhotoPoint centre)
    {
        var poses = new List<RingProposal>();
        foreach ((Point2d[] quad, bool hole) in SmoothOutlines(small))
        {
            AddPoses(poses, quad, hole, hoop, focal, centre);
        }

        return poses;
    }

    /// <summary>All readings of one quadrilateral (clockwise, full-size px) that agree with the hoop's proportions.</summary>
    public static void AddPoses(List<RingProposal> poses, Point2d[] quad, bool hole, HoopSpec hoop, double focal, PhotoPoint centre)
    {
        double rw = hoop.FrameWidth ?? 20;

        // The hole's outline may be the opening's top edge, its foot, the groove along the middle of the ring's top, or the ring's outer edge.
        // A smooth part's own outline can only be the groove or the outer edge.
        (double Grow, double Z)[] readings = !hole ? [(0.5 * rw, hoop.FrameHeight), (rw, hoop.FrameHeight)] : [(0.8, hoop.FrameHeight), (0, 0), (0.5 * rw, hoop.FrameHeight), (rw, hoop.FrameHeight)];
        for (int turn = 0; turn < 2; turn++)
        {
            Point2d[] q = [quad[turn], quad[turn + 1], quad[(turn + 2) % 4], quad[(turn + 3) % 4]];
            foreach ((double grow, double z) in readings)
            {
                CameraPose? pose = PlanarPose.FromQuad(q, hoop.OpeningWidth + (2 * grow), hoop.OpeningHeight + (2 * grow), z, focal, centre);
                if (pose is { } p && p.TiltDegrees < 55)
                {
                    poses.Add(new(p, q, grow, z));
                }
            }

            if (Math.Abs(hoop.OpeningWidth - hoop.OpeningHeight) < 0.5)
            {
                break;
            }
        }
    }

    private static IEnumerable<(Point2d[] Quad, bool Hole)> SmoothOutlines(LabPicture picture)
    {
        int w = picture.Width, h = picture.Height;
        float[] gradient = Gradient(picture);
        double area = (double)w * h;
        byte[] mask = new byte[w * h];
        foreach (float limit in SmoothLimits)
        {
            for (int i = 0; i < mask.Length; i++)
            {
                mask[i] = gradient[i] < limit ? (byte)255 : (byte)0;
            }

            // The border counts as smooth: a band that touches it is still closed.
            for (int x = 0; x < w; x++)
            {
                mask[x] = mask[((h - 1) * w) + x] = 255;
            }

            for (int y = 0; y < h; y++)
            {
                mask[y * w] = mask[(y * w) + w - 1] = 255;
            }

            using Mat m = Mat.FromPixelData(h, w, MatType.CV_8UC1, mask);
            WithoutSpecks(m, LeastShare * area, PixelConnectivity.Connectivity8);
            Cv2.BitwiseNot(m, m);
            WithoutSpecks(m, LeastShare * area, PixelConnectivity.Connectivity4);
            Cv2.BitwiseNot(m, m);
            Cv2.FindContours(m, out Point[][] contours, out HierarchyIndex[] tree, RetrievalModes.CComp, ContourApproximationModes.ApproxSimple);
            for (int c = 0; c < contours.Length; c++)
            {
                bool hole = tree[c].Parent >= 0;
                Point[] hull = Cv2.ConvexHull(contours[c]);
                double a = Cv2.ContourArea(contours[c]), ha = Cv2.ContourArea(hull);
                if (ha < LeastShare * area || ha > 0.85 * area)
                {
                    continue;
                }

                if (hole && a < 0.72 * ha)
                {
                    continue;
                }

                if (FourSides(hull) is { } quad)
                {
                    yield return ([.. quad.Select(q => new Point2d(((q.X + 0.5) * picture.PerPixel) - 0.5, ((q.Y + 0.5) * picture.PerPixel) - 0.5))], hole);
                }
            }
        }
    }

    /// <summary>Takes away the white parts whose bounding box is smaller than an area, px: no ring, and in a busy picture thousands.</summary>
    private static void WithoutSpecks(Mat mask, double area, PixelConnectivity connected)
    {
        using var labels = new Mat();
        using var stats = new Mat();
        using var middles = new Mat();
        int count = Cv2.ConnectedComponentsWithStats(mask, labels, stats, middles, connected, MatType.CV_32S);
        bool[] large = new bool[count];
        for (int i = 1; i < count; i++)
        {
            large[i] = (double)stats.At<int>(i, (int)ConnectedComponentsTypes.Width) * stats.At<int>(i, (int)ConnectedComponentsTypes.Height) >= area;
        }

        Span<byte> pixels = mask.AsSpan<byte>();
        ReadOnlySpan<int> of = labels.AsSpan<int>();
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = large[of[i]] ? (byte)255 : (byte)0;
        }
    }

    private static float[] Gradient(LabPicture picture)
    {
        int w = picture.Width, h = picture.Height;
        byte[] d = picture.Lab;
        float[] g = new float[w * h];
        for (int y = 1; y < h - 1; y++)
        {
            for (int x = 1; x < w - 1; x++)
            {
                int p = ((y * w) + x) * 3, up = p - (w * 3), down = p + (w * 3);
                float lx = (d[p + 3] - d[p - 3]) * 0.392f, ly = (d[down] - d[up]) * 0.392f;
                float ax = d[p + 4] - d[p - 2], ay = d[down + 1] - d[up + 1];
                float bx = d[p + 5] - d[p - 1], by = d[down + 2] - d[up + 2];
                g[(y * w) + x] = 0.5f * MathF.Sqrt((lx * lx) + (ly * ly) + (ax * ax) + (ay * ay) + (bx * bx) + (by * by));
            }
        }

        return g;
    }

    /// <summary>
    /// The quadrilateral around a convex outline: edges are removed one by one, each time the one whose removal (its neighbours
    /// prolonged until they meet) adds least area, until four are left. Rounded corners become sharp, sides stay where they are.
    /// </summary>
    /// <returns>Corners clockwise on the screen (y down), or null.</returns>
    internal static Point2d[]? FourSides(Point[] hull)
    {
        Point[] simple = Cv2.ApproxPolyDP(hull, 0.8, true);
        var v = new List<Point2d>(simple.Select(p => new Point2d(p.X, p.Y)));
        if (v.Count < 4)
        {
            return null;
        }

        if (SignedArea(v) < 0)
        {
            v.Reverse();
        }

        while (v.Count > 4)
        {
            double best = double.MaxValue;
            int at = -1;
            Point2d corner = default;
            for (int i = 0; i < v.Count; i++)
            {
                Point2d a = v[(i + v.Count - 1) % v.Count], b = v[i], c = v[(i + 1) % v.Count], d = v[(i + 2) % v.Count];
                if (Meet(a, b, d, c) is not { } x)
                {
                    continue;
                }

                double added = Math.Abs(((c.X - b.X) * (x.Y - b.Y)) - ((c.Y - b.Y) * (x.X - b.X))) / 2;
                if (added < best)
                {
                    best = added;
                    at = i;
                    corner = x;
                }
            }

            if (at < 0)
            {
                return null;
            }

            v[at] = corner;
            v.RemoveAt((at + 1) % v.Count);
        }

        return [.. v];
    }

    private static double SignedArea(List<Point2d> v)
    {
        double sum = 0;
        for (int i = 0; i < v.Count; i++)
        {
            Point2d a = v[i], b = v[(i + 1) % v.Count];
            sum += (a.X * b.Y) - (a.Y * b.X);
        }

        return sum;
    }

    /// <summary>Where the ray a→b and the ray d→c meet beyond b and c; null when they do not.</summary>
    private static Point2d? Meet(Point2d a, Point2d b, Point2d d, Point2d c)
    {
        double ux = b.X - a.X, uy = b.Y - a.Y, vx = c.X - d.X, vy = c.Y - d.Y;
        double det = (ux * vy) - (uy * vx);
        if (Math.Abs(det) < 1e-9)
        {
            return null;
        }

        double s = (((d.X - a.X) * vy) - ((d.Y - a.Y) * vx)) / det;
        double t = (((d.X - a.X) * uy) - ((d.Y - a.Y) * ux)) / det;
        return s >= 1 && t >= 1 ? new Point2d(a.X + (s * ux), a.Y + (s * uy)) : null;
    }
}
