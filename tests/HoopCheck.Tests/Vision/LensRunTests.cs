using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Tests.Scenes;
using HoopCheck.Vision;
using HoopCheck.Vision.Lens;
using OpenCvSharp;

namespace HoopCheck.Tests.Vision;

public class LensRunTests
{
    private const string Today = "2026-01-31";

    private static readonly BoardScene s_scene = BoardScene.Usual;

    /// <summary>Detected in drawn photos, the corners must be where the drawing put them: no half pixel anywhere.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    [InlineData(6)]
    [InlineData(8)]
    public void Read_DrawnPhoto_GivesCornersOfTheStoredPicture(int orientation)
    {
        BoardPose pose = BoardScene.TenPoses[orientation % 4];
        using Mat picture = s_scene.Photo(pose);
        IReadOnlyList<BoardCorner> read = BoardReader.Read(Intake.Read(BoardScene.Jpeg(picture, orientation: orientation)).Value!, BoardKind.Printed);
        Dictionary<int, PhotoPoint> truth = s_scene.Corners(pose).ToDictionary(c => c.Id, c => c.Seen);

        Assert.InRange(read.Count, truth.Count * 3 / 4, 70);
        double[] dx = [.. read.Select(c => c.Seen.X - truth[c.Id].X)], dy = [.. read.Select(c => c.Seen.Y - truth[c.Id].Y)];
        Assert.InRange(dx.Average(), -0.04, 0.04);
        Assert.InRange(dy.Average(), -0.04, 0.04);
        Assert.InRange(Math.Sqrt(dx.Concat(dy).Average(d => d * d)), 0, 0.12);
    }

    /// <summary>The true lens lies within three standard uncertainties, and these are as small as the noise allows.</summary>
    [Fact]
    public void Learn_NoisyCorners_GivesTheLensWithinItsUncertainty()
    {
        var random = TestRandom.For(nameof(Learn_NoisyCorners_GivesTheLensWithinItsUncertainty));
        double worst = 0;
        for (int n = 0; n < 5; n++)
        {
            LensLearnt lens = Assert.Single(LensRun.Learn(Photos(BoardScene.TenPoses, () => Noise(random, 0.15)), Today));
            Assert.Null(lens.Problem);
            CameraIntrinsics k = lens.Profile!.Intrinsics;
            double[] off = [k.Focal - s_scene.Focal, k.Cx - s_scene.Cx, k.Cy - s_scene.Cy, k.K1 - s_scene.K1, k.K2 - s_scene.K2];
            for (int i = 0; i < off.Length; i++)
            {
                double sd = Math.Sqrt(lens.Profile.Covariance![i][i]);
                worst = Math.Max(worst, Math.Abs(off[i]) / sd);
                Assert.True(Math.Abs(off[i]) < 4 * sd, $"parameter {i} is {off[i]} off, sd {sd}, seed {random.Seed}");
            }

            Assert.InRange(Math.Abs(off[0]) / s_scene.Focal, 0, 0.002);
            Assert.InRange(Math.Abs(off[3]), 0, 0.01);
            Assert.Equal((10, Today), (lens.Profile.Photos!.Value, lens.Profile.Date));
            Assert.InRange(lens.Profile.RmsPx!.Value, 0.1, 0.25);
            Assert.True(lens.HoldOut!.Value.Learnt < lens.HoldOut.Value.Exif);
        }

        // An uncertainty ten times too wide would pass all of the above.
        Assert.InRange(worst, 0.5, 4);
    }

    [Fact]
    public void Learn_TwoZooms_AreTwoLenses()
    {
        var far = new LensKey("Example", "Phone T", 9.6, 52);
        IReadOnlyList<LensLearnt> lenses = LensRun.Learn([.. Photos(BoardScene.TenPoses.Take(3), lens: far), .. Photos(BoardScene.TenPoses, Small())], Today);
        Assert.Equal(2, lenses.Count);
        Assert.NotNull(lenses[0].Profile);
        Assert.Same(Problems.TooFewBoardPhotos, lenses[1].Problem!.Kind);
        Assert.Equal(far, lenses[1].Lens);
    }

    [Fact]
    public void Learn_PhotosThatMislead_AreLeftOutAndSaid()
    {
        List<LensPhoto> photos = [.. Photos(BoardScene.TenPoses, Small())];
        var random = TestRandom.For(nameof(Learn_PhotosThatMislead_AreLeftOutAndSaid));

        // The phone moved while the picture was read out: a shear of 4 px over its height. And the first photo once more.
        photos[4] = photos[4] with { Corners = [.. photos[4].Corners.Select(c => c with { Seen = new(c.Seen.X + (c.Seen.Y * c.Seen.Y / 900 / 900 * 6), c.Seen.Y + Noise(random, 1.5)) })] };
        photos.Add(photos[0] with { Name = "again.jpg" });
        photos.Add(photos[0] with { Name = "empty.jpg", Corners = [] });
        photos.Add(photos[0] with { Name = "few.jpg", Corners = [.. photos[1].Corners.Take(9)] });
        LensLearnt lens = Assert.Single(LensRun.Learn(photos, Today));

        Assert.NotNull(lens.Profile);
        Assert.Equal(9, lens.Profile!.Photos);
        Assert.Contains("misleads", lens.Photos[4].Say, StringComparison.Ordinal);
        Assert.Contains("the same as 0.jpg", lens.Photos[10].Say, StringComparison.Ordinal);
        Assert.Contains("no board", lens.Photos[11].Say, StringComparison.Ordinal);
        Assert.Contains("9 corners", lens.Photos[12].Say, StringComparison.Ordinal);
        Assert.All(lens.Photos.Where(p => p.Used), p => Assert.StartsWith("helps", p.Say, StringComparison.Ordinal));
        Assert.InRange(Math.Abs(lens.Profile.Intrinsics.Focal - s_scene.Focal), 0, 2);
    }

    [Fact]
    [Trait("problem", "HC114")]
    public void Learn_NoBoardAnywhere_IsSaid()
    {
        LensLearnt lens = Assert.Single(LensRun.Learn([.. Photos(BoardScene.TenPoses).Select(p => p with { Corners = [] })], Today));
        Assert.Same(Problems.NoBoard, lens.Problem!.Kind);
        Assert.Null(lens.Profile);
    }

    /// <summary>Squarely seen, only the middle, too few: each is said with what to add.</summary>
    [Theory]
    [Trait("problem", "HC115")]
    [InlineData("few", "7 of 7 photos can be used, 8 are needed")]
    [InlineData("square", "tilted")]
    [InlineData("middle", "parts of the picture")]
    public void Learn_NotEnough_SaysWhatIsMissing(string which, string said)
    {
        IEnumerable<BoardPose> poses = which switch
        {
            "few" => BoardScene.TenPoses.Take(7),
            "square" => BoardScene.TenPoses.Select((p, i) => p with { TiltX = i * 0.5, TiltY = -i }),
            _ => Enumerable.Range(0, 10).Select(i => new BoardPose(30 * Math.Cos(i), 30 * Math.Sin(i), 36 * i, 0, 0, 650)),
        };
        LensLearnt lens = Assert.Single(LensRun.Learn(Photos(poses, Small()), Today));
        Assert.Same(Problems.TooFewBoardPhotos, lens.Problem!.Kind);
        Assert.Contains(said, lens.Problem.Say, StringComparison.Ordinal);
        Assert.Null(lens.Profile);
    }

    /// <summary>A focal length that EXIF contradicts, and photos that do not agree on a lens.</summary>
    [Theory]
    [Trait("problem", "HC119")]
    [InlineData("another zoom", "EXIF data say")]
    [InlineData("no lens fits", "not learnt from")]
    public void Learn_LensWorseThanExif_IsRefused(string which, string said)
    {
        IReadOnlyList<LensPhoto> photos = which == "another zoom"
            ? Photos(BoardScene.TenPoses, Small(), lens: new("Example", "Phone T", 4.8, 30), focal35: 30)
            : [.. BoardScene.TenPoses.SelectMany((pose, i) => Photos([pose], Small(), scene: Bent(i)).Select(p => p with { Name = $"{i}.jpg" }))];
        LensLearnt lens = Assert.Single(LensRun.Learn(photos, Today));
        Assert.True(lens.Problem?.Kind == Problems.ProfileWorse, lens.Problem?.Say);
        Assert.Contains(said, lens.Problem!.Say, StringComparison.Ordinal);
        Assert.Null(lens.Profile);
    }

    /// <summary>A lens just as EXIF has it, except that every other photo is bent the other way, as by an app that straightens pictures: no lens fits them all.</summary>
    private static BoardScene Bent(int photo) =>
        s_scene with { Focal = 26 / 43.2666 * 1500, Cx = 599.5, Cy = 449.5, K1 = photo % 2 == 0 ? 0.003 : -0.003, K2 = 0 };

    private static Func<double> Small()
    {
        var random = TestRandom.For("small noise");
        return () => Noise(random, 0.1);
    }

    /// <summary>Normal, by the sum of twelve.</summary>
    private static double Noise(TestRandom random, double sd)
    {
        double sum = -6;
        for (int i = 0; i < 12; i++)
        {
            sum += random.Between(0, 1);
        }

        return sum * sd;
    }

    private static List<LensPhoto> Photos(IEnumerable<BoardPose> poses, Func<double>? noise = null, LensKey? lens = null, double focal35 = 26, BoardScene? scene = null) =>
    [
        .. poses.Select((pose, i) => new LensPhoto(
            $"{i}.jpg",
            new("JPEG", s_scene.Width, s_scene.Height, 1, 4.8, focal35, null) { Lens = lens ?? new("Example", "Phone T", 4.8, 26) },
            (scene ?? s_scene).Corners(pose, noise))),
    ];
}
