using HoopCheck.Geometry;

namespace HoopCheck.Vision.Frame;

/// <summary>Fits the ring model to edge points.</summary>
internal static class RingFit
{
    /// <summary>How loosely each parameter is known before the photo speaks: standard deviations, in the parameter's own unit.</summary>
    /// <param name="focalSd">Relative standard deviation of the focal length.</param>
    /// <param name="detailed">Whether the edges are good enough for the ring's fine shape (bow, rounding, principal point) to be estimated.</param>
    /// <param name="diagonal">Of the photo, full-size px.</param>
    public static double[] PriorSd(double focalSd, bool detailed, double diagonal)
    {
        double[] sd = new double[RingModel.Count];
        for (int i = 0; i < 3; i++)
        {
            sd[RingModel.Rotation + i] = 1;
            sd[RingModel.Translation + i] = 1000;
        }

        sd[RingModel.LogFocal] = focalSd;
        sd[RingModel.K1] = 0.035;
        sd[RingModel.FrameWidth] = 0.8;
        sd[RingModel.TopOffset] = 0.35;
        if (detailed)
        {
            sd[RingModel.K2] = 0.012;
            sd[RingModel.Cx] = sd[RingModel.Cy] = 0.0022 * diagonal;
            sd[RingModel.Height] = 0.3;
            sd[RingModel.Width] = sd[RingModel.Depth] = 0.12;
            sd[RingModel.Rounding] = 0.45;
            sd[RingModel.FootHeight] = 0.15;
            for (int i = 0; i < 4; i++)
            {
                sd[RingModel.Bow + i] = 0.35;
                sd[RingModel.FootShift + i] = 0.06;
                sd[RingModel.RimShift + i] = 0.10;
                sd[RingModel.OuterShift + i] = 0.5;
            }
        }

        return sd;
    }

    /// <summary>One maximum-a-posteriori fit.</summary>
    public static MapResult Run(
        RingModel model, double[] start, double[] prior, double[] priorSd, IReadOnlyList<EdgePoint> edges, int iterations, double robustAt = 2.5)
    {
        return MapFit.Run(start, prior, priorSd, Residuals, Slopes, edges.Count, robustAt, iterations);

        void Residuals(double[] p, double[] r)
        {
            CameraPose camera = model.Camera(p);
            (double X, double Y, double Z) eye = camera.Centre;
            for (int i = 0; i < edges.Count; i++)
            {
                EdgePoint e = edges[i];
                (double q, double z) = RingModel.LineAt(p, eye, e.Side, e.Line, e.S);
                r[i] = camera.Project(e.Side.At(q, e.S), z) is { } m
                    ? (((m.X - e.X) * e.Nx) + ((m.Y - e.Y) * e.Ny)) / e.Sigma
                    : 1e3;
            }
        }

        void Slopes(double[] p, double[] rows)
        {
            var slopes = new RingSlopes(model, p);
            for (int i = 0; i < edges.Count; i++)
            {
                slopes.Of(edges[i], rows.AsSpan(i * RingModel.Count, RingModel.Count));
            }
        }
    }
}
