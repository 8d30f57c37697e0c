using HoopCheck.Planning;
using HoopCheck.Vision;
using HoopCheck.Vision.Frame;
using OpenCvSharp;

namespace HoopCheck.Tests.Vision;

public class AttachmentFinderTests
{
    private static readonly Scalar s_white = new(225, 228, 228), s_black = new(32, 30, 30), s_navy = new(85, 40, 30), s_mat = new(60, 140, 70);

    // ---- which side --------------------------------------------------------------------------------------------------

    [Theory]
    [InlineData(0, 0)]
    [InlineData(2, 2)]
    public void Find_OblongHoop_TurnsTheBarToTheLeft(int barAt, int turns)
    {
        HoopSpec hoop = Hoop(200, 300);
        using Mat photo = Cloth();
        Draw(photo, hoop, barAt, s_white, latchAt: barAt == 0 ? 2 : 0);
        Expect(turns, photo, hoop);
    }

    // Sides counted clockwise from the left seen with y up: left, top, right, bottom.
    [Theory]
    [InlineData(0, 0)]
    [InlineData(1, 3)]
    [InlineData(2, 2)]
    [InlineData(3, 1)]
    public void Find_SquareHoop_TurnsTheBarToTheLeft(int barAt, int turns)
    {
        HoopSpec hoop = Hoop(200, 200);
        using Mat photo = Cloth();
        Draw(photo, hoop, barAt, s_white, latchAt: (barAt + 1) % 4);
        Expect(turns, photo, hoop);
    }

    [Fact]
    public void Find_DarkBarAndDarkLatch_TakesTheBar()
    {
        HoopSpec hoop = Hoop(200, 200);
        using Mat photo = Cloth();
        Draw(photo, hoop, 3, s_black, latchAt: 1);
        Expect(1, photo, hoop);
    }

    [Fact]
    public void Find_RingBreadthNotMeasured_StillFindsIt()
    {
        HoopSpec hoop = Hoop(200, 300);
        using Mat photo = Cloth();
        Draw(photo, hoop, 2, s_white, latchAt: 0);
        Expect(2, photo, hoop with { FrameWidth = null });
    }

    [Fact]
    public void Find_BarPartlyOutOfPicture_StillFindsIt()
    {
        HoopSpec hoop = Hoop(200, 300);
        using Mat photo = Cloth();
        Draw(photo, hoop, 2, s_white, latchAt: 0);
        int border = (int)Camera().Project(new((hoop.OpeningWidth / 2) + 20 + 12, 0), 9)!.Value.X;
        using Mat cut = photo[new Rect(0, 0, border, photo.Height)].Clone();
        Expect(2, cut, hoop);
    }

    // ---- when nothing can be known -----------------------------------------------------------------------------------

    [Theory]
    [InlineData(200, 300)]
    [InlineData(200, 200)]
    public void Find_NoBar_IsNotConfident(double width, double height)
    {
        HoopSpec hoop = Hoop(width, height);
        using Mat photo = Cloth();
        Draw(photo, hoop, null, s_white, latchAt: null);
        Assert.InRange(Find(photo, hoop).Confidence, 0, 0.7);
    }

    [Fact]
    public void Find_NothingOfTheSurroundingsInThePicture_IsNotConfident()
    {
        HoopSpec hoop = Hoop(200, 300);
        using var photo = new Mat(20, 20, MatType.CV_8UC3, s_white);
        AttachmentFinder.Found found = Find(photo, hoop);
        Assert.Equal(0.5, found.Confidence, 6);
    }

    [Fact]
    public void Find_OblongHoop_GivesNoScoreToSidesThatCannotCarryIt()
    {
        HoopSpec hoop = Hoop(200, 300);
        using Mat photo = Cloth();
        Draw(photo, hoop, 0, s_white, latchAt: null);
        double[] scores = Find(photo, hoop).ScoreBySide;
        Assert.All(scores[..2], s => Assert.True(double.IsFinite(s)));
        Assert.All(scores[2..], s => Assert.True(double.IsNaN(s)));
    }

    // ---- drawing -----------------------------------------------------------------------------------------------------

    private static HoopSpec Hoop(double width, double height) => new("drawn", width, height, 10, 20, 20, width - 10, height - 10);

    /// <summary>600 mm up, tilted by 12 degrees, turned a little.</summary>
    private static CameraPose Camera()
    {
        double[] tilt = RingModel.RotationOf(0.2, 0.05, 0), down = [1, 0, 0, 0, -1, 0, 0, 0, -1];
        return new(900, 500, 375, -0.02, 0, RingModel.Multiply(RingModel.Multiply(tilt, down), RingModel.RotationOf(0, 0, 0.1)), [0, 0, 600]);
    }

    private static void Expect(int turns, Mat photo, HoopSpec hoop)
    {
        AttachmentFinder.Found found = Find(photo, hoop);
        Assert.Equal(turns, found.QuarterTurns);
        Assert.InRange(found.Confidence, 0.9, 1);
    }

    private static AttachmentFinder.Found Find(Mat photo, HoopSpec hoop)
    {
        byte[] bgr = new byte[photo.Width * photo.Height * 3];
        System.Runtime.InteropServices.Marshal.Copy(photo.Data, bgr, 0, bgr.Length);
        return AttachmentFinder.Find(LabPicture.Of(new Pixels(bgr, photo.Width, photo.Height, 1), 1000), Camera(), hoop);
    }

    /// <summary>Green cloth with a check of white and navy every 25 mm or so, so that the ring's colour and dark lines are on the cloth too.</summary>
    private static Mat Cloth()
    {
        var photo = new Mat(750, 1000, MatType.CV_8UC3, s_mat);
        for (int i = 0; i < 40; i++)
        {
            Cv2.Line(photo, new Point(i * 37, 0), new Point((i * 37) - 60, 750), i % 2 == 0 ? s_white : s_navy, 5);
            Cv2.Line(photo, new Point(0, i * 41), new Point(1000, (i * 41) + 50), i % 3 == 0 ? s_white : s_navy, 3);
        }

        return photo;
    }

    /// <summary>A flat ring, a bar with its strip and a latch, each at a side counted clockwise from the left.</summary>
    private static void Draw(Mat photo, HoopSpec hoop, int? barAt, Scalar bar, int? latchAt)
    {
        double w = hoop.OpeningWidth / 2, h = hoop.OpeningHeight / 2;
        Box(photo, 0, -w - 20, w + 20, -h - 20, h + 20, s_white);
        Box(photo, 0, -w, w, -h, h, s_mat);
        if (barAt is { } b)
        {
            (double half, double length) = b % 2 == 0 ? (w, 2 * h) : (h, 2 * w);
            double from = (-0.2 * length) + 8, to = (0.2 * length) + 8;
            Box(photo, b, -half - 20 - 24, -half - 20, from, to, bar);
            Box(photo, b, -half - 20 - 19, -half - 20 - 11, (0.8 * from) + 2, (0.8 * to) + 2, s_black);
        }

        if (latchAt is { } l)
        {
            double half = l % 2 == 0 ? w : h;
            Box(photo, l, -half - 20 - 14, -half - 20, -50, -18, s_black);
        }
    }

    /// <summary>A rectangle at the ring's height, given as if at the left and turned clockwise by quarter turns.</summary>
    private static void Box(Mat photo, int turns, double x0, double x1, double y0, double y1, Scalar colour)
    {
        CameraPose camera = Camera();
        var corners = new List<Point>();
        foreach ((double cornerX, double cornerY) in new[] { (x0, y0), (x1, y0), (x1, y1), (x0, y1) })
        {
            (double x, double y) = (cornerX, cornerY);
            for (int i = 0; i < turns; i++)
            {
                (x, y) = (y, -x);
            }

            PhotoPoint p = camera.Project(new(x, y), 9)!.Value;
            corners.Add(new((int)Math.Round(p.X), (int)Math.Round(p.Y)));
        }

        Cv2.FillConvexPoly(photo, corners, colour, LineTypes.AntiAlias);
    }
}
