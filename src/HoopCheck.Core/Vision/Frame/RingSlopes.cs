using HoopCheck.Geometry;

namespace HoopCheck.Vision.Frame;

/// <summary>
/// Derivatives, with respect to all of <see cref="RingModel"/>'s parameters, of how far (in its standard deviations) an edge point lies from where the model
/// has its line: the chain rule through <see cref="RingModel.LineAt"/> and <see cref="CameraPose.Project"/>.
/// </summary>
internal sealed class RingSlopes
{
    private readonly double[] p;
    private readonly CameraPose camera;
    private readonly (double X, double Y, double Z) eye;

    /// <summary>Derivatives of the rotation matrix with respect to the three components of the rotation vector.</summary>
    private readonly double[][] turned;

    public RingSlopes(RingModel model, double[] p)
    {
        this.p = p;
        camera = model.Camera(p);
        eye = camera.Centre;
        turned = [.. Enumerable.Range(RingModel.Rotation, 3).Select(i =>
        {
            const double h = 1e-5;
            double[] a = (double[])p.Clone(), b = (double[])p.Clone();
            a[i] -= h;
            b[i] += h;
            return model.Camera(a).R.Zip(model.Camera(b).R, (x, y) => (y - x) / (2 * h)).ToArray();
        })];
    }

    /// <summary>Fills a row.</summary>
    /// <param name="e">The edge point.</param>
    /// <param name="row"><see cref="RingModel.Count"/> zeros; unchanged where the line is not in front of the camera.</param>
    public void Of(in EdgePoint e, Span<double> row)
    {
        (double q, double z) = RingModel.LineAt(p, eye, e.Side, e.Line, e.S);
        HoopPoint at = e.Side.At(q, e.S);
        double[] r = camera.R, t = camera.T;
        double xc = (r[0] * at.X) + (r[1] * at.Y) + (r[2] * z) + t[0], yc = (r[3] * at.X) + (r[4] * at.Y) + (r[5] * z) + t[1], zc = (r[6] * at.X) + (r[7] * at.Y) + (r[8] * z) + t[2];
        if (zc < 1)
        {
            return;
        }

        double x = xc / zc, y = yc / zc, r2 = (x * x) + (y * y), nx = e.Nx / e.Sigma, ny = e.Ny / e.Sigma;
        double d = 1 + (r2 * (camera.K1 + (camera.K2 * r2))), bend = 2 * (camera.K1 + (2 * camera.K2 * r2)), along = (nx * x) + (ny * y);

        // Through the distortion to the direction of sight, from there to the place before the camera.
        double gx = camera.Focal * ((nx * d) + (bend * along * x)), gy = camera.Focal * ((ny * d) + (bend * along * y));
        double vx = gx / zc, vy = gy / zc, vz = -((gx * x) + (gy * y)) / zc;
        for (int i = 0; i < 3; i++)
        {
            double[] m = turned[i];
            row[RingModel.Rotation + i] = (vx * ((m[0] * at.X) + (m[1] * at.Y) + (m[2] * z)))
                + (vy * ((m[3] * at.X) + (m[4] * at.Y) + (m[5] * z))) + (vz * ((m[6] * at.X) + (m[7] * at.Y) + (m[8] * z)));
        }

        row[RingModel.Translation] = vx;
        row[RingModel.Translation + 1] = vy;
        row[RingModel.Translation + 2] = vz;
        row[RingModel.LogFocal] = camera.Focal * d * along;
        row[RingModel.K1] = camera.Focal * r2 * along;
        row[RingModel.K2] = camera.Focal * r2 * r2 * along;
        row[RingModel.Cx] = nx;
        row[RingModel.Cy] = ny;
        HoopVector n = e.Side.Normal();
        double outward = (vx * ((r[0] * n.X) + (r[1] * n.Y))) + (vy * ((r[3] * n.X) + (r[4] * n.Y))) + (vz * ((r[6] * n.X) + (r[7] * n.Y)));
        Shape(e, outward, (vx * r[2]) + (vy * r[5]) + (vz * r[8]), row);
    }

    /// <summary>The ring's own parameters, which move the line outward (q) and up (z).</summary>
    private void Shape(in EdgePoint e, double byQ, double byZ, Span<double> row)
    {
        bool upright = e.Side is Side.Left or Side.Right;
        double length = RingModel.Length(p, e.Side), u = 2 * e.S / length, h = p[RingModel.Height], offset = p[RingModel.TopOffset];
        row[upright ? RingModel.Width : RingModel.Depth] += byQ / 2;
        if (Math.Abs(u) < 1)
        {
            row[RingModel.Bow + (int)e.Side] = byQ * (1 - (u * u));
            row[upright ? RingModel.Depth : RingModel.Width] += byQ * p[RingModel.Bow + (int)e.Side] * 2 * u * u / length;
        }

        switch (e.Line)
        {
            case RingLine.Foot:
                row[RingModel.FootShift + (int)e.Side] = byQ;
                row[RingModel.TopOffset] = byQ * p[RingModel.FootHeight] / h;
                row[RingModel.FootHeight] = (byQ * offset / h) + byZ;
                row[RingModel.Height] = -byQ * offset * p[RingModel.FootHeight] / (h * h);
                break;
            case RingLine.Outer:
                row[RingModel.OuterShift + (int)e.Side] = byQ;
                row[RingModel.TopOffset] = row[RingModel.FrameWidth] = byQ;
                row[RingModel.Height] = byZ;
                break;
            default:
                double rounding = p[RingModel.Rounding], lean = offset / h, alpha = RingModel.AngleOf(p, eye, e.Side, e.Line, e.S);
                (double sin, double cos) = Math.SinCos(alpha);
                double byLean = h - rounding + (rounding * (1 - cos));
                row[RingModel.RimShift + (int)e.Side] = byQ;
                row[RingModel.TopOffset] = byQ * byLean / h;
                row[RingModel.Height] = (byQ * (lean - (byLean * offset / (h * h)))) + byZ;
                row[RingModel.Rounding] = (byQ * (-lean + ((1 + lean) * (1 - cos)))) + (byZ * (sin - 1));
                if (e.Line == RingLine.Top)
                {
                    row[RingModel.TopAngle + (int)e.Side] = (byQ * rounding * (1 + lean) * sin) + (byZ * rounding * cos);
                }

                // The outline is where the line of sight touches the rounding: moving along it is not seen, so its angle has no derivative.
                break;
        }
    }
}
