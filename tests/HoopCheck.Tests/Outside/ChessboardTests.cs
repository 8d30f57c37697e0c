using HoopCheck.Vision;
using OpenCvSharp;

namespace HoopCheck.Tests.Outside;

/// <summary>
/// Lengths on a flat object in real photos. Source: the thirteen chessboard photos left01 … left14 of the OpenCV samples
/// (Apache-2.0, see testimages/outside/README.md): 9 x 6 inner corners, equal squares, taken as 25 mm here.
/// </summary>
public class ChessboardTests
{
    private const double SquareMm = 25;

    /// <summary>
    /// One pose from the four outer corners, then all distances 100 mm long between inner corners. Measured when this was written: root
    /// mean square 0.156 mm, worst 0.49 mm over 13 photos; without the distortion 2.1 mm, so the test can tell. Limits: a fifth more.
    /// Where it comes from: corners are read to 0.136 px in each direction (the calibration's rms 0.192 px over √2), a pixel is 0.67 mm, and
    /// a length has two ends: 0.13 mm. A homography through all 54 corners, which no camera model can better, leaves just that (0.126 mm);
    /// the pose from four corners only, with their own 0.136 px, adds the rest (0.09 mm). Of the lengths across the middle alone, where
    /// four corners fix the scale best, 0.113 mm and at worst 0.21 mm.
    /// </summary>
    [Fact]
    public void BackProject_PoseFromFourCorners_GivesLengthsOfTheBoard()
    {
        Size size = new(9, 6);
        List<Point2f[]> boards = [.. Directory.GetFiles(Repo.Path("testimages", "outside", "chessboard"), "*.jpg").Order().Select(f => Corners(f, size))];
        Assert.Equal(13, boards.Count);

        Point3f[] flat = [.. Enumerable.Range(0, 54).Select(i => new Point3f((float)(i % 9 * SquareMm), (float)(i / 9 * SquareMm), 0))];

        // Only the ratio of the two ones is used: square pixels.
        var matrix = new double[3, 3] { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 } };
        var distortion = new double[5];
        double rms = Cv2.CalibrateCamera(
            boards.Select(_ => flat.AsEnumerable()), boards.Select(b => b.AsEnumerable()), new(640, 480), matrix, distortion, out _, out _,
            CalibrationFlags.FixAspectRatio | CalibrationFlags.ZeroTangentDist | CalibrationFlags.FixK3);
        Assert.InRange(rms, 0, 0.3);

        (double rmsStraight, double worstStraight) = Errors([.. boards.Select(b => Read(b, matrix, distortion[0], distortion[1]))]);
        (double rmsBent, _) = Errors([.. boards.Select(b => Read(b, matrix, 0, 0))]);

        Assert.InRange(rmsStraight, 0, 0.19);
        Assert.InRange(worstStraight, 0, 0.6);

        // The corners' own noise is nearly all of it: measured 1.24 times the homography's.
        (double rmsLeast, _) = Errors([.. boards.Select(b => ThroughAll(b, flat, matrix, distortion))]);
        Assert.InRange(rmsStraight / rmsLeast, 1, 1.4);

        (double rmsMiddle, double worstMiddle) = Errors([.. boards.Select(b => Read(b, matrix, distortion[0], distortion[1]))], middleOnly: true);
        Assert.InRange(rmsMiddle, 0, 0.14);
        Assert.InRange(worstMiddle, 0, 0.25);
        Assert.True(rmsBent > 5 * rmsStraight, $"not straightened {rmsBent} mm, straightened {rmsStraight} mm");
    }

    private static Point2f[] Corners(string file, Size size)
    {
        using Mat grey = Cv2.ImRead(file, ImreadModes.Grayscale);
        Assert.True(Cv2.FindChessboardCorners(grey, size, out Point2f[] corners), file);

        // The nearest corners are 22 px apart: from a half window of 9 on, a neighbour gets into it, and the worst length is 1.5 mm off.
        return Cv2.CornerSubPix(grey, corners, new(7, 7), new(-1, -1), new(CriteriaTypes.Eps | CriteriaTypes.MaxIter, 50, 0.001));
    }

    /// <summary>The corners on the board's plane, by a pose from the four outer ones.</summary>
    private static HoopPoint[] Read(Point2f[] seen, double[,] matrix, double k1, double k2)
    {
        CameraPose camera = PoseFromFour(seen, matrix, k1, k2);
        return [.. seen.Select(p => camera.BackProject(new(p.X, p.Y), 0)!.Value)];
    }

    /// <summary>The corners on the board's plane, by OpenCV's homography through all of them.</summary>
    private static HoopPoint[] ThroughAll(Point2f[] seen, Point3f[] flat, double[,] matrix, double[] distortion)
    {
        using var seenPoints = Mat.FromPixelData(54, 1, MatType.CV_32FC2, seen);
        using var intrinsics = Mat.FromPixelData(3, 3, MatType.CV_64FC1, matrix);
        using var bend = Mat.FromPixelData(5, 1, MatType.CV_64FC1, distortion);
        using var straight = new Mat();
        Cv2.UndistortPoints(seenPoints, straight, intrinsics, bend);
        straight.GetArray(out Vec2f[] at);
        using Mat board = Cv2.FindHomography(at.Select(p => new Point2d(p.Item0, p.Item1)), flat.Select(p => new Point2d(p.X, p.Y)));
        return [.. Cv2.PerspectiveTransform(at.Select(p => new Point2d(p.Item0, p.Item1)), board).Select(p => new HoopPoint(p.X, p.Y))];
    }

    /// <summary>
    /// Root mean square and largest error of all 100 mm lengths along the board's rows and columns, or of only the two on each board that lie
    /// in the middle, along its two middle rows.
    /// </summary>
    private static (double Rms, double Worst) Errors(List<HoopPoint[]> boards, bool middleOnly = false)
    {
        double squares = 0, worst = 0;
        int count = 0;
        foreach (HoopPoint[] read in boards)
        {
            for (int row = 0; row < 6; row++)
            {
                for (int column = 0; column < 9; column++)
                {
                    if (!middleOnly)
                    {
                        Add(row, column, row + 4, column);
                    }

                    if (!middleOnly || (row is 2 or 3 && column == 2))
                    {
                        Add(row, column, row, column + 4);
                    }
                }
            }

            void Add(int r0, int c0, int r1, int c1)
            {
                if (r1 >= 6 || c1 >= 9)
                {
                    return;
                }

                double error = read[(r0 * 9) + c0].DistanceTo(read[(r1 * 9) + c1]) - (4 * SquareMm);
                squares += error * error;
                worst = Math.Max(worst, Math.Abs(error));
                count++;
            }
        }

        return (Math.Sqrt(squares / count), worst);
    }

    /// <summary>The pose that puts the four outer corners where they are seen; the board's y is turned to run up, z towards the camera.</summary>
    private static CameraPose PoseFromFour(Point2f[] seen, double[,] matrix, double k1, double k2)
    {
        int[] outer = [0, 8, 53, 45];
        Point3f[] board = [.. outer.Select(i => new Point3f((float)((i % 9 * SquareMm) - 100), (float)(62.5 - (i / 9 * SquareMm)), 0))];
        using var boardPoints = Mat.FromPixelData(4, 1, MatType.CV_32FC3, board);
        using var seenPoints = Mat.FromPixelData(4, 1, MatType.CV_32FC2, outer.Select(i => seen[i]).ToArray());
        using var intrinsics = Mat.FromPixelData(3, 3, MatType.CV_64FC1, matrix);
        using var distortion = Mat.FromPixelData(4, 1, MatType.CV_64FC1, new[] { k1, k2, 0, 0 });
        using Mat rvec = new(), tvec = new(), rotation = new();
        Cv2.SolvePnP(boardPoints, seenPoints, intrinsics, distortion, rvec, tvec);
        Cv2.Rodrigues(rvec, rotation);
        rotation.GetArray(out double[] r);
        tvec.GetArray(out double[] t);
        return new(matrix[0, 0], matrix[0, 2], matrix[1, 2], k1, k2, r, t);
    }
}
