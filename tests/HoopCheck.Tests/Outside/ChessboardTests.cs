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
    /// One pose from the four outer corners, then all distances 100 mm long between inner corners. Measured when this was
    /// written: root mean square 0.166 mm, worst 0.536 mm over 13 photos; without the distortion 2.12 mm, so the test can tell.
    /// A pixel is about 0.8 mm here: 0.166 mm is the corners' own 0.2 px (the calibration's rms is 0.205 px). Limits: a third more.
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

        (double rmsStraight, double worstStraight) = Errors(boards, matrix, distortion[0], distortion[1]);
        (double rmsBent, _) = Errors(boards, matrix, 0, 0);

        Assert.InRange(rmsStraight, 0, 0.22);
        Assert.InRange(worstStraight, 0, 0.7);
        Assert.True(rmsBent > 5 * rmsStraight, $"not straightened {rmsBent} mm, straightened {rmsStraight} mm");
    }

    private static Point2f[] Corners(string file, Size size)
    {
        using Mat grey = Cv2.ImRead(file, ImreadModes.Grayscale);
        Assert.True(Cv2.FindChessboardCorners(grey, size, out Point2f[] corners), file);
        return Cv2.CornerSubPix(grey, corners, new(5, 5), new(-1, -1), new(CriteriaTypes.Eps | CriteriaTypes.MaxIter, 50, 0.001));
    }

    /// <summary>Root mean square and largest error of all 100 mm lengths along the board's rows and columns.</summary>
    private static (double Rms, double Worst) Errors(List<Point2f[]> boards, double[,] matrix, double k1, double k2)
    {
        double squares = 0, worst = 0;
        int count = 0;
        foreach (Point2f[] seen in boards)
        {
            CameraPose camera = PoseFromFour(seen, matrix, k1, k2);
            HoopPoint[] read = [.. seen.Select(p => camera.BackProject(new(p.X, p.Y), 0)!.Value)];
            for (int row = 0; row < 6; row++)
            {
                for (int column = 0; column < 9; column++)
                {
                    Add(row, column, row, column + 4);
                    Add(row, column, row + 4, column);
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
