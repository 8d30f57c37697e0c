using OpenCvSharp;

namespace HoopCheck.Vision.Frame;

/// <summary>Camera pose from the picture of a rectangle of known size, for a known focal length and no distortion.</summary>
internal static class PlanarPose
{
    /// <summary>
    /// Pose from four corners (clockwise on the screen: the hoop's top-left, top-right, bottom-right, bottom-left) of a rectangle
    /// at height <paramref name="z"/>. The homography's columns are K[r1 r2 t] (Hartley and Zisserman, Multiple View Geometry, 8.1.1).
    /// </summary>
    /// <returns>The pose, or null when the corners cannot be that rectangle.</returns>
    public static CameraPose? FromQuad(Point2d[] corners, double width, double height, double z, double focal, PhotoPoint centre)
    {
        double[] x = new double[4], y = new double[4];
        for (int i = 0; i < 4; i++)
        {
            x[i] = (corners[i].X - centre.X) / focal;
            y[i] = (corners[i].Y - centre.Y) / focal;
        }

        double[] px = [-width / 2, width / 2, width / 2, -width / 2], py = [height / 2, height / 2, -height / 2, -height / 2];
        if (Homography(px, py, x, y) is not { } h)
        {
            return null;
        }

        double n1 = Math.Sqrt((h[0] * h[0]) + (h[3] * h[3]) + (h[6] * h[6])), n2 = Math.Sqrt((h[1] * h[1]) + (h[4] * h[4]) + (h[7] * h[7]));
        double ratio = n1 / n2, cos = ((h[0] * h[1]) + (h[3] * h[4]) + (h[6] * h[7])) / (n1 * n2);
        if (!(ratio is > 0.8 and < 1.25) || Math.Abs(cos) > 0.25)
        {
            return null;
        }

        double s = 2 / (n1 + n2);
        if (h[8] < 0)
        {
            s = -s;
        }

        // Nearest orthonormal pair, symmetrically: rotate both by half of what is missing to a right angle.
        double[] a = [h[0] / n1, h[3] / n1, h[6] / n1], b = [h[1] / n2, h[4] / n2, h[7] / n2];
        double[] u = Unit([a[0] + b[0], a[1] + b[1], a[2] + b[2]]), v = Unit([a[0] - b[0], a[1] - b[1], a[2] - b[2]]);
        double r = Math.Sqrt(0.5) * Math.Sign(s);
        double[] r1 = [r * (u[0] + v[0]), r * (u[1] + v[1]), r * (u[2] + v[2])];
        double[] r2 = [r * (u[0] - v[0]), r * (u[1] - v[1]), r * (u[2] - v[2])];
        double[] r3 = [(r1[1] * r2[2]) - (r1[2] * r2[1]), (r1[2] * r2[0]) - (r1[0] * r2[2]), (r1[0] * r2[1]) - (r1[1] * r2[0])];
        if (r3[2] >= -0.2)
        {
            return null;
        }

        double[] t = [h[2] * s, h[5] * s, h[8] * s];
        return new(focal, centre.X, centre.Y, 0, 0,
            [r1[0], r2[0], r3[0], r1[1], r2[1], r3[1], r1[2], r2[2], r3[2]],
            [t[0] - (z * r3[0]), t[1] - (z * r3[1]), t[2] - (z * r3[2])]);
    }

    private static double[] Unit(double[] a)
    {
        double n = Math.Sqrt((a[0] * a[0]) + (a[1] * a[1]) + (a[2] * a[2]));
        return [a[0] / n, a[1] / n, a[2] / n];
    }

    private static double[]? Homography(double[] x, double[] y, double[] u, double[] v)
    {
        var a = MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.Dense(8, 8);
        var b = MathNet.Numerics.LinearAlgebra.Vector<double>.Build.Dense(8);
        for (int i = 0; i < 4; i++)
        {
            a.SetRow(2 * i, [x[i], y[i], 1, 0, 0, 0, -u[i] * x[i], -u[i] * y[i]]);
            a.SetRow((2 * i) + 1, [0, 0, 0, x[i], y[i], 1, -v[i] * x[i], -v[i] * y[i]]);
            b[2 * i] = u[i];
            b[(2 * i) + 1] = v[i];
        }

        var solution = a.Solve(b);
        return solution.All(double.IsFinite) ? [.. solution, 1] : null;
    }
}
