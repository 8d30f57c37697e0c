namespace HoopCheck.Vision;

/// <summary>
/// Pinhole camera with radial (Brown-Conrady k1, k2) distortion, and where it stands over the hoop:
/// X_cam = R·X_hoop + t, camera x right, y down, z forward; hoop z up from the fabric. Pixels are those of the full-size upright photo.
/// </summary>
/// <param name="Focal">px, the same both ways (square pixels).</param>
/// <param name="Cx">Principal point, px.</param>
/// <param name="Cy">Principal point, px.</param>
/// <param name="K1">Radial distortion, on normalised coordinates.</param>
/// <param name="K2">Radial distortion, on normalised coordinates.</param>
/// <param name="R">Rotation, 9 numbers row by row.</param>
/// <param name="T">Translation, mm.</param>
public sealed record CameraPose(double Focal, double Cx, double Cy, double K1, double K2, double[] R, double[] T)
{
    /// <summary>Camera centre in hoop coordinates, mm (x, y, z); (x, y) is the nadir on the fabric.</summary>
    public (double X, double Y, double Z) Centre => (
        -((R[0] * T[0]) + (R[3] * T[1]) + (R[6] * T[2])),
        -((R[1] * T[0]) + (R[4] * T[1]) + (R[7] * T[2])),
        -((R[2] * T[0]) + (R[5] * T[1]) + (R[8] * T[2])));

    /// <summary>Angle between the optical axis and the fabric's normal, degrees.</summary>
    public double TiltDegrees => Math.Acos(Math.Clamp(-R[8], -1, 1)) * 180 / Math.PI;

    /// <summary>Distance of the camera from the centre of the opening, mm.</summary>
    public double Distance => Math.Sqrt((T[0] * T[0]) + (T[1] * T[1]) + (T[2] * T[2]));

    /// <summary>Where a point at height <paramref name="z"/> mm above the fabric is seen.</summary>
    /// <returns>The place in the photo, or null when the point is not in front of the camera.</returns>
    public PhotoPoint? Project(HoopPoint p, double z)
    {
        double xc = (R[0] * p.X) + (R[1] * p.Y) + (R[2] * z) + T[0];
        double yc = (R[3] * p.X) + (R[4] * p.Y) + (R[5] * z) + T[1];
        double zc = (R[6] * p.X) + (R[7] * p.Y) + (R[8] * z) + T[2];
        if (zc < 1)
        {
            return null;
        }

        double x = xc / zc, y = yc / zc, r2 = (x * x) + (y * y);
        double d = 1 + (r2 * (K1 + (K2 * r2)));
        return new((Focal * x * d) + Cx, (Focal * y * d) + Cy);
    }

    /// <summary>The point at height <paramref name="z"/> mm above the fabric that is seen at a place in the photo.</summary>
    /// <returns>The point, or null on or beyond the horizon.</returns>
    public HoopPoint? BackProject(PhotoPoint p, double z)
    {
        double xd = (p.X - Cx) / Focal, yd = (p.Y - Cy) / Focal;
        double x = xd, y = yd;
        for (int i = 0; i < 12; i++)
        {
            double r2 = (x * x) + (y * y), d = 1 + (r2 * (K1 + (K2 * r2)));
            x = xd / d;
            y = yd / d;
        }

        (double cx, double cy, double cz) = Centre;
        double dx = (R[0] * x) + (R[3] * y) + R[6], dy = (R[1] * x) + (R[4] * y) + R[7], dz = (R[2] * x) + (R[5] * y) + R[8];
        if (dz > -1e-6)
        {
            return null;
        }

        double a = (z - cz) / dz;
        return new(cx + (a * dx), cy + (a * dy));
    }
}
