using HoopCheck.Geometry;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Vision.Weave;

/// <summary>What the frame's fit and the puff of the cloth leave unsure of a direction on the fabric.</summary>
internal static class DirectionUncertainty
{
    /// <summary>Standard deviation of how much a quilt's puff differs from one side of the opening to the other, mm. Own estimate.</summary>
    private const double PuffSd = 0.35;

    /// <summary>
    /// Standard uncertainty, radians, of the direction of a line through the middle of the opening: σ² = g·C·gᵀ with g the direction's
    /// derivatives by the fit's parameters (JCGM 100, 5.2.2), and the puff seen under the angle of the camera.
    /// </summary>
    /// <param name="frame">The frame.</param>
    /// <param name="end">From the middle to the end of the line, mm.</param>
    public static double Of(FrameFit frame, HoopVector end)
    {
        (double x, double y, double z) = frame.Camera.Centre;

        // Height displaces what is seen away from the nadir; only the part across the line turns it.
        double away = Math.Abs((x * end.Y) - (y * end.X)) / (end.Length * z);
        double puff = PuffSd * away / end.Length;
        return Math.Sqrt((puff * puff) + FrameVariance(frame, end));
    }

    private static double FrameVariance(FrameFit frame, HoopVector end)
    {
        HoopPoint a = new(-end.X, -end.Y), b = new(end.X, end.Y);
        if (frame.Model is not { } model || frame.Camera.Project(a, 0) is not { } seenA || frame.Camera.Project(b, 0) is not { } seenB)
        {
            return 0;
        }

        double[] g = new double[RingModel.Height];
        double[] p = (double[])frame.Values.Clone();
        for (int i = 0; i < g.Length; i++)
        {
            double sd = Math.Sqrt(Math.Max(0, frame.Covariance[i, i]));
            if (sd > 0)
            {
                double old = p[i];
                p[i] = old + (0.5 * sd);
                CameraPose camera = model.Camera(p);
                p[i] = old;
                if (camera.BackProject(seenA, 0) is { } movedA && camera.BackProject(seenB, 0) is { } movedB)
                {
                    HoopVector now = movedB - movedA;
                    g[i] = ((end.X * now.Y) - (end.Y * now.X)) / (end.Length * now.Length) / (0.5 * sd);
                }
            }
        }

        double variance = 0;
        for (int i = 0; i < g.Length; i++)
        {
            for (int j = 0; j < g.Length; j++)
            {
                variance += g[i] * frame.Covariance[i, j] * g[j];
            }
        }

        return FrameFit.Spread * FrameFit.Spread * Math.Max(0, variance);
    }
}
