using System.Runtime.InteropServices;
using HoopCheck.Checking;
using HoopCheck.Tests.Scenes;
using HoopCheck.Vision;
using OpenCvSharp;

namespace HoopCheck.Tests.Outside;

/// <summary>
/// The weave of a chessboard against its corners as OpenCV reads them. Source: OpenCV's FindChessboardCorners and CornerSubPix (calib3d, imgproc),
/// which know nothing of lines; straight lines and chords through the corners by hand.
/// </summary>
public class WeaveChessboardTests
{
    [Theory]
    [InlineData(0, 0, 0)]
    [InlineData(4, 5.5, 0)]
    [InlineData(-6, -4.2, 0.02)]
    [InlineData(2, 0.3, -0.03)]
    public void Find_Chessboard_AgreesWithItsCorners(double warp, double weft, double bow)
    {
        const double Square = 30;
        var cloth = new ClothPicture(warp, weft, bow)
        {
            // 10 x 7 squares on white.
            Print = (u, v) => Math.Abs(u) > 5 * Square || Math.Abs(v + (bow * ClothPicture.WidthMm)) > 3.5 * Square ? (0.8, 0.8, 0.8)
                : ((int)Math.Floor(u / Square) + (int)Math.Floor((v + (bow * ClothPicture.WidthMm) + (3.5 * Square)) / Square)) % 2 == 0 ? (0.1, 0.1, 0.1) : (0.8, 0.8, 0.8),
        };
        Photograph photo = cloth.Draw(new Random(TestRandom.For($"chessboard {warp} {weft} {bow}").Seed));
        (double warpSeen, double weftSeen, double bowSeen) = FromCorners(photo.Pixels);

        WeaveMeasure weave = WeaveFinder.Find(photo, NoTrace.Instance).Weave!;

        // The corners themselves agree with how the board was drawn.
        Assert.InRange(warpSeen - warp, -0.05, 0.05);
        Assert.InRange(weftSeen - weft, -0.05, 0.05);
        Assert.InRange(weave.WarpAngleDeg!.Value - warpSeen, -0.15, 0.15);
        Assert.InRange(weave.WeftAngleDeg!.Value - 90 - weftSeen, -0.15, 0.15);

        // The board is 270 mm wide between its outer corners, the picture 400 mm: a parabola's bow grows with the width.
        Assert.InRange(weave.BowPercent!.Value - (bowSeen * ClothPicture.WidthMm / (9 - 1) / Square), -0.3, 0.3);
    }

    /// <summary>Mean direction of columns and rows, degrees counter-clockwise, and the rows' mean bow in per cent over eight squares.</summary>
    private static (double Warp, double Weft, double Bow) FromCorners(Pixels pixels)
    {
        using Mat colour = new(pixels.Height, pixels.Width, MatType.CV_8UC3);
        Marshal.Copy(pixels.Bgr, 0, colour.Data, pixels.Bgr.Length);
        using Mat grey = colour.CvtColor(ColorConversionCodes.BGR2GRAY);
        Size size = new(9, 6);
        Assert.True(Cv2.FindChessboardCorners(grey, size, out Point2f[] found));
        Point2f[] corners = Cv2.CornerSubPix(grey, found, new(7, 7), new(-1, -1), new(CriteriaTypes.Eps | CriteriaTypes.MaxIter, 50, 0.001));
        if (corners[8].X < corners[0].X)
        {
            Array.Reverse(corners);
        }

        double warp = 0, weft = 0, bow = 0;
        for (int row = 0; row < 6; row++)
        {
            Point2f a = corners[row * 9], b = corners[(row * 9) + 8], m = corners[(row * 9) + 4];
            weft += Math.Atan2(-(b.Y - a.Y), b.X - a.X) * 180 / Math.PI / 6;
            double length = a.DistanceTo(b), cross = ((b.X - a.X) * (m.Y - a.Y)) - ((b.Y - a.Y) * (m.X - a.X));
            bow -= 100 * cross / length / length / 6;
        }

        for (int column = 0; column < 9; column++)
        {
            Point2f a = corners[column], b = corners[45 + column];
            double down = b.Y > a.Y ? 1 : -1;
            warp += Math.Atan2(down * (b.X - a.X), down * (b.Y - a.Y)) * 180 / Math.PI / 9;
        }

        return (warp, weft, bow);
    }
}
