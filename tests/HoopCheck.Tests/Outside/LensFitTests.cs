using HoopCheck.Vision.Lens;
using OpenCvSharp;

namespace HoopCheck.Tests.Outside;

/// <summary>
/// Learning a lens from real photos: the thirteen chessboard photos of the OpenCV samples (see testimages/outside/README.md). Published beside them, in the samples'
/// left_intrinsics.yml: focal length 535.916 px, centre (342.283, 235.571) px, all five distortion terms, square pixels.
/// </summary>
public class LensFitTests
{
    /// <summary>
    /// Half window 11 is the published one's, and a neighbouring corner gets into it, which is why its root mean square is twice that of 7 and its focal length is pulled up.
    /// Close enough: 0.1 % of the focal length for the same window (another version of the corner finder), 4 px for the other.
    /// </summary>
    [Theory]
    [InlineData(11, 0.409, 0.002)]
    [InlineData(7, 0.183, 0.002)]
    public void Run_ChessboardPhotos_GivesThePublishedLens(int half, double rms, double within)
    {
        LensFitted fit = LensFit.Run(Views(half), 640, 480, 500, LensTerms.Full);
        Assert.True(Math.Abs(fit.RmsPx - rms) < within, $"rms {fit.RmsPx}, f {fit.Focal} {fit.Sd(0)}, c {fit.Cx} {fit.Cy}, d {string.Join(' ', fit.Distortion)}");
        double[] published = [535.916, 342.283, 235.571], found = [fit.Focal, fit.Cx, fit.Cy];
        for (int i = 0; i < 3; i++)
        {
            double close = half == 11 ? 0.5 : 4;
            Assert.True(Math.Abs(found[i] - published[i]) < close, $"{found[i]}, published {published[i]}, close enough {close}");
        }

        // A claim worth making: below half a per cent of the focal length, and not nothing.
        Assert.InRange(fit.Sd(LensFit.Focal), 0.1, 2.7);
    }

    /// <summary>The covariance from one set of views against the scatter between halves of them: common statistics, no source.</summary>
    [Fact]
    public void Run_HalvesOfThePhotos_ScatterAsTheirUncertaintiesSay()
    {
        List<List<BoardCorner>> views = Views(7);
        LensFitted odd = LensFit.Run([.. views.Where((_, i) => i % 2 == 1)], 640, 480, 500), even = LensFit.Run([.. views.Where((_, i) => i % 2 == 0)], 640, 480, 500);
        double[] a = [odd.Focal, odd.Cx, odd.Cy, odd.Distortion[0]], b = [even.Focal, even.Cx, even.Cy, even.Distortion[0]];
        for (int i = 0; i < a.Length; i++)
        {
            double sd = Math.Sqrt((odd.Sd(i) * odd.Sd(i)) + (even.Sd(i) * even.Sd(i)));
            Assert.True(Math.Abs(a[i] - b[i]) < 3 * sd, $"parameter {i}: {a[i]} and {b[i]}, sd of the difference {sd}");
        }
    }

    private static List<List<BoardCorner>> Views(int half)
    {
        string[] files = [.. Directory.GetFiles(Repo.Path("testimages", "outside", "chessboard"), "*.jpg").Order(StringComparer.Ordinal)];
        Assert.Equal(13, files.Length);
        return [.. files.Select(file =>
        {
            using Mat grey = Cv2.ImRead(file, ImreadModes.Grayscale);
            Assert.True(Cv2.FindChessboardCorners(grey, new(9, 6), out Point2f[] corners), file);
            Point2f[] fine = Cv2.CornerSubPix(grey, corners, new(half, half), new(-1, -1), new(CriteriaTypes.Eps | CriteriaTypes.MaxIter, 50, 0.001));
            return fine.Select((p, i) => new BoardCorner(i, i % 9, i / 9, new(p.X, p.Y))).ToList();
        })];
    }
}
