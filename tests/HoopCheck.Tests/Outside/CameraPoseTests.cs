using HoopCheck.Tests.Scenes;
using HoopCheck.Vision;
using OpenCvSharp;

namespace HoopCheck.Tests.Outside;

public class CameraPoseTests
{
    private const int Width = 4032, Height = 3024;

    /// <summary>Against OpenCV's projectPoints, an independent implementation of the same camera model. Close enough: 1e-6 px.</summary>
    [Fact]
    public void Project_RandomPoses_AgreesWithOpenCv()
    {
        var random = TestRandom.For(nameof(Project_RandomPoses_AgreesWithOpenCv));
        for (int i = 0; i < 40; i++)
        {
            CameraPose camera = RandomCamera(random);
            var points = new List<Point3f>();
            for (int j = 0; j < 12; j++)
            {
                // Whole sixteenths are exact in the float points OpenCV takes.
                points.Add(new(Sixteenth(random.Between(-200, 200)), Sixteenth(random.Between(-130, 130)), Sixteenth(random.Between(0, 15))));
            }

            using var rotation = Mat.FromPixelData(3, 3, MatType.CV_64FC1, camera.R);
            using var rvec = new Mat();
            Cv2.Rodrigues(rotation, rvec);
            using var tvec = Mat.FromPixelData(3, 1, MatType.CV_64FC1, camera.T);
            using var intrinsics = Mat.FromPixelData(3, 3, MatType.CV_64FC1, new[] { camera.Focal, 0, camera.Cx, 0, camera.Focal, camera.Cy, 0, 0, 1 });
            using var distortion = Mat.FromPixelData(1, 4, MatType.CV_64FC1, new[] { camera.K1, camera.K2, 0, 0 });
            using var objects = Mat.FromPixelData(points.Count, 1, MatType.CV_64FC3, points.SelectMany(p => new double[] { p.X, p.Y, p.Z }).ToArray());
            using var seen = new Mat();
            Cv2.ProjectPoints(objects, rvec, tvec, intrinsics, distortion, seen);

            for (int j = 0; j < points.Count; j++)
            {
                Vec2d theirs = seen.At<Vec2d>(j);
                PhotoPoint ours = camera.Project(new(points[j].X, points[j].Y), points[j].Z)!.Value;
                Assert.True(ours.DistanceTo(new(theirs.Item0, theirs.Item1)) < 1e-6, $"seed {random.Seed}, pose {i}, point {j}: {ours} against {theirs.Item0}, {theirs.Item1}");
            }
        }
    }

    [Fact]
    public void BackProject_OfProject_IsThePointItself()
    {
        var random = TestRandom.For(nameof(BackProject_OfProject_IsThePointItself));
        for (int i = 0; i < 500; i++)
        {
            CameraPose camera = RandomCamera(random);
            HoopPoint p = new(random.Between(-200, 200), random.Between(-130, 130));
            double z = random.Between(0, 15);
            HoopPoint back = camera.BackProject(camera.Project(p, z)!.Value, z)!.Value;

            // Close enough: 1e-4 mm, a hundredth of anything that matters.
            Assert.True(back.DistanceTo(p) < 1e-4, $"seed {random.Seed}, pose {i}: {p} came back as {back}, k1 {camera.K1}, k2 {camera.K2}");
        }
    }

    /// <summary>
    /// Similar triangles: what is read on the plane at height h but lies on the fabric is at N + (read - N)·H/(H - h), N the nadir
    /// (foot of the camera), H the camera's height.
    /// </summary>
    [Fact]
    public void BackProject_OnRingTopAndFabric_DifferByTheParallaxRule()
    {
        var random = TestRandom.For(nameof(BackProject_OnRingTopAndFabric_DifferByTheParallaxRule));
        for (int i = 0; i < 500; i++)
        {
            CameraPose camera = RandomCamera(random);
            double h = random.Between(5, 20);
            PhotoPoint seen = camera.Project(new(random.Between(-200, 200), random.Between(-130, 130)), random.Between(0, 15))!.Value;
            HoopPoint read = camera.BackProject(seen, h)!.Value, fabric = camera.BackProject(seen, 0)!.Value;
            (double x, double y, double height) = camera.Centre;
            HoopPoint nadir = new(x, y);
            HoopPoint rule = nadir + ((read - nadir) * (height / (height - h)));

            Assert.True(rule.DistanceTo(fabric) < 1e-8, $"seed {random.Seed}, pose {i}: {rule} against {fabric}");
        }
    }

    [Fact]
    public void Centre_StraightAbove_IsWhereItWasPut()
    {
        CameraPose camera = Cameras.LookingAt(new(12, -7), 500, 0, 0, 0, 3000, Width, Height);

        Assert.Equal((12.0, -7.0, 500.0), camera.Centre);
        Assert.Equal(0, camera.TiltDegrees, 1e-6);

        // The hoop's x runs to the photo's right, its y to the photo's top: 500 mm away a millimetre is 6 px.
        PhotoPoint middle = new((Width - 1) / 2.0, (Height - 1) / 2.0);
        Assert.Equal(middle + new PhotoVector(6, 0), camera.Project(new(13, -7), 0)!.Value);
        Assert.Equal(middle + new PhotoVector(0, -6), camera.Project(new(12, -6), 0)!.Value);
    }

    [Fact]
    public void BackProject_AboveTheHorizon_HasNoAnswer()
    {
        CameraPose camera = Cameras.LookingAt(new(0, 0), 300, 80, -90, 0, 3000, Width, Height);

        Assert.NotNull(camera.BackProject(new(Width / 2.0, Height / 2.0), 0));
        Assert.Null(camera.BackProject(new(Width / 2.0, (Height / 2.0) - (3000 * Math.Tan(11 * Math.PI / 180))), 0));
    }

    [Fact]
    public void Project_BehindTheCamera_HasNoImage() =>
        Assert.Null(Cameras.LookingAt(new(0, 0), 300, 60, 0, 0, 3000, Width, Height).Project(new(5000, 0), 0));

    [Theory]
    [InlineData(1)]
    [InlineData(6)]
    public void FocalPixels_FollowTheDiagonal(int orientation)
    {
        // By the definition of the 35 mm equivalent over the diagonal (CIPA DCG-001): the 36 x 24 mm frame's diagonal is
        // sqrt(36² + 24²) = 43.2666 mm and this picture's is 5040 px, so 26 mm is 26/43.2666·5040 px, however it is turned.
        PhotoHeader header = new("JPEG", Width, Height, orientation, null, 26, null);

        Assert.Equal(26 / Math.Sqrt((36 * 36) + (24 * 24)) * 5040, header.FocalPixels!.Value, 0.01);
    }

    [Fact]
    public void FocalPixels_NotGivenOrAbsurd_AreNone()
    {
        Assert.Null(new PhotoHeader("JPEG", Width, Height, 1, null, null, null).FocalPixels);
        Assert.Null(new PhotoHeader("JPEG", Width, Height, 1, null, 0, null).FocalPixels);
    }

    private static float Sixteenth(double v) => (float)(Math.Round(v * 16) / 16);

    private static CameraPose RandomCamera(TestRandom random) => Cameras.LookingAt(
        new(random.Between(-40, 40), random.Between(-40, 40)),
        random.Between(300, 900),
        random.Between(0, 30),
        random.Between(0, 360),
        random.Between(0, 360),
        random.Between(2500, 3500),
        Width,
        Height,
        random.Between(-0.05, 0.05),
        random.Between(-0.02, 0.02));
}
