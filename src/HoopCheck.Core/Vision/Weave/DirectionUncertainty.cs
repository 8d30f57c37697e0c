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
        double turn = 0;
        if (frame.Camera.Project(new(-end.X, -end.Y), 0) is { } seenA && frame.Camera.Project(new(end.X, end.Y), 0) is { } seenB)
        {
            turn = frame.Propagated(camera =>
            {
                if (camera.BackProject(seenA, 0) is not { } a || camera.BackProject(seenB, 0) is not { } b)
                {
                    return null;
                }

                HoopVector now = b - a;
                return ((end.X * now.Y) - (end.Y * now.X)) / (end.Length * now.Length);
            });
        }

        return Math.Sqrt((puff * puff) + (turn * turn));
    }
}
