using MathNet.Numerics.LinearAlgebra;
using OpenCvSharp;

namespace HoopCheck.Vision.Lens;

/// <summary>How bent a lens may be.</summary>
internal enum LensTerms
{
    /// <summary>Two radial terms: what the check uses.</summary>
    Radial,

    /// <summary>Three radial and two tangential terms, as OpenCV's samples have them.</summary>
    Full,
}

/// <summary>A lens as fitted to views of a board.</summary>
/// <param name="Focal">px, the same both ways.</param>
/// <param name="Cx">Principal point, px, pixel centres at integers.</param>
/// <param name="Cy">Principal point, px.</param>
/// <param name="Distortion">k1, k2, p1, p2, k3 of Brown and Conrady.</param>
/// <param name="RmsPx">Root mean square of all corners' distances.</param>
/// <param name="Views">For each view.</param>
/// <param name="Covariance">Of focal length, cx, cy, k1, k2.</param>
internal sealed record LensFitted(double Focal, double Cx, double Cy, double[] Distortion, double RmsPx, IReadOnlyList<LensView> Views, Matrix<double> Covariance)
{
    /// <summary>Standard uncertainty of a parameter, in the covariance's order.</summary>
    public double Sd(int parameter) => Math.Sqrt(Covariance[parameter, parameter]);
}

/// <summary>A board as one photo shows it.</summary>
/// <param name="RmsPx">Root mean square of its corners' distances.</param>
/// <param name="TiltDegrees">Between its normal and the camera's axis.</param>
/// <param name="Residuals">Seen less expected, px, in the corners' order.</param>
/// <param name="Information">What it says of focal length, cx, cy, k1, k2: its part of the normal matrix after its own pose is eliminated, per px².</param>
internal sealed record LensView(double RmsPx, double TiltDegrees, PhotoVector[] Residuals, Matrix<double> Information);

/// <summary>
/// Calibration after Zhang (IEEE Trans. PAMI 22, 2000) by OpenCV, and the covariance of its result from the normal matrix.
/// </summary>
internal static class LensFit
{
    /// <summary>Parameters whose covariance is kept.</summary>
    public const int Focal = 0, Cx = 1, Cy = 2, K1 = 3, K2 = 4;

    /// <summary>Fits one lens to several views.</summary>
    /// <param name="views">For each photo its corners, four or more.</param>
    /// <param name="width">Stored picture width, px.</param>
    /// <param name="height">Stored picture height, px.</param>
    /// <param name="focal">Where to start, px.</param>
    /// <param name="terms">How bent it may be.</param>
    public static LensFitted Run(IReadOnlyList<IReadOnlyList<BoardCorner>> views, int width, int height, double focal, LensTerms terms = LensTerms.Radial)
    {
        double[,] matrix = { { focal, 0, (width - 1) / 2.0 }, { 0, focal, (height - 1) / 2.0 }, { 0, 0, 1 } };
        double[] distortion = new double[5];
        CalibrationFlags flags = CalibrationFlags.UseIntrinsicGuess | CalibrationFlags.FixAspectRatio;
        if (terms == LensTerms.Radial)
        {
            flags |= CalibrationFlags.ZeroTangentDist | CalibrationFlags.FixK3;
        }

        Cv2.CalibrateCamera(
            views.Select(v => v.Select(Flat)), views.Select(v => v.Select(Seen)), new(width, height), matrix, distortion, out Vec3d[] rotations, out Vec3d[] translations, flags,
            new TermCriteria(CriteriaTypes.Eps | CriteriaTypes.MaxIter, 200, 1e-12));
        return Weighed(views, matrix, distortion, rotations, translations, terms);
    }

    /// <summary>Root mean square distance of a view's corners from where a given lens sees them in its best pose.</summary>
    public static double Misfit(IReadOnlyList<BoardCorner> view, double focal, double cx, double cy, double k1, double k2)
    {
        double[,] matrix = { { focal, 0, cx }, { 0, focal, cy }, { 0, 0, 1 } };
        double[] distortion = [k1, k2, 0, 0, 0], rotation = [], translation = [];
        Cv2.SolvePnP(view.Select(Flat), view.Select(Seen), matrix, distortion, ref rotation, ref translation);
        Cv2.ProjectPoints(view.Select(Flat), rotation, translation, matrix, distortion, out Point2f[] expected, out _);
        return Math.Sqrt(view.Zip(expected, (c, e) => Square(c.Seen.X - e.X) + Square(c.Seen.Y - e.Y)).Average());
    }

    private static LensFitted Weighed(
        IReadOnlyList<IReadOnlyList<BoardCorner>> views, double[,] matrix, double[] distortion, Vec3d[] rotations, Vec3d[] translations, LensTerms terms)
    {
        int own = terms == LensTerms.Radial ? 5 : 8;
        Matrix<double> information = Matrix<double>.Build.Dense(own, own), scores = Matrix<double>.Build.Dense(own, own);
        var results = new List<(double Rms, double Tilt, PhotoVector[] Residuals, Matrix<double> Information)>();
        double squares = 0;
        int count = 0;
        for (int v = 0; v < views.Count; v++)
        {
            double[] r = [rotations[v].Item0, rotations[v].Item1, rotations[v].Item2], t = [translations[v].Item0, translations[v].Item1, translations[v].Item2];
            Cv2.ProjectPoints(views[v].Select(Flat), r, t, matrix, distortion, out Point2f[] expected, out double[,] jacobian);
            int rows = 2 * expected.Length;
            Vector<double> residuals = Vector<double>.Build.Dense(rows, i =>
                i % 2 == 0 ? views[v][i / 2].Seen.X - expected[i / 2].X : views[v][i / 2].Seen.Y - expected[i / 2].Y);

            // Columns: rotation, translation, fx, fy, cx, cy, k1, k2, p1, p2, k3; both focal lengths are one.
            Matrix<double> all = Matrix<double>.Build.DenseOfArray(jacobian);
            Matrix<double> pose = all.SubMatrix(0, rows, 0, 6);
            Matrix<double> lens = Matrix<double>.Build.Dense(rows, own, (i, j) => j == 0 ? all[i, 6] + all[i, 7] : all[i, 7 + j]);
            Matrix<double> cross = lens.TransposeThisAndMultiply(pose);
            Matrix<double> part = lens.TransposeThisAndMultiply(lens) - (cross * pose.TransposeThisAndMultiply(pose).Inverse() * cross.Transpose());
            Vector<double> score = lens.TransposeThisAndMultiply(residuals);
            information += part;
            scores += score.OuterProduct(score);
            squares += residuals * residuals;
            count += rows;
            Cv2.Rodrigues(r, out double[,] rotation, out _);
            double tilt = Math.Acos(Math.Min(1, Math.Abs(rotation[2, 2]))) * 180 / Math.PI;
            results.Add((
                Math.Sqrt(2 * (residuals * residuals) / rows), tilt,
                [.. Enumerable.Range(0, rows / 2).Select(i => new PhotoVector(residuals[2 * i], residuals[(2 * i) + 1]))], part));
        }

        double variance = squares / Math.Max(1, count - own - (6 * views.Count));
        Matrix<double> inverse = information.Inverse();
        Matrix<double> covariance = inverse * variance;
        if (views.Count > 1)
        {
            // A view's corners err together (a board that is not flat, a blur): where the views disagree more than their corners do, that counts.
            Matrix<double> between = inverse * scores * inverse * (views.Count / (views.Count - 1.0));
            Vector<double> widen = Vector<double>.Build.Dense(own, i => Math.Sqrt(Math.Max(1, between[i, i] / covariance[i, i])));
            covariance = Matrix<double>.Build.Dense(own, own, (i, j) => widen[i] * covariance[i, j] * widen[j]);
        }

        return new(
            matrix[0, 0], matrix[0, 2], matrix[1, 2], distortion, Math.Sqrt(2 * squares / count),
            [.. results.Select(r => new LensView(r.Rms, r.Tilt, r.Residuals, r.Information.SubMatrix(0, 5, 0, 5) / variance))],
            covariance.SubMatrix(0, 5, 0, 5));
    }

    private static double Square(double x) => x * x;

    private static Point3f Flat(BoardCorner corner) => new((float)corner.X, (float)corner.Y, 0);

    private static Point2f Seen(BoardCorner corner) => new((float)corner.Seen.X, (float)corner.Seen.Y);
}
