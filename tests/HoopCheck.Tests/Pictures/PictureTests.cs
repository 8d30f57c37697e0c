using HoopCheck.App.Pictures;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;
using SkiaSharp;
using Xunit;

namespace HoopCheck.Tests.Pictures;

public sealed class PictureTests : IDisposable
{
    private static readonly SKColor Grey = new(128, 128, 128);
    private static readonly SKColor Paint = new(200, 40, 30);

    private readonly string _folder = Path.Combine(Path.GetTempPath(), $"hoopcheck-pictures-{Guid.NewGuid():N}");

    public void Dispose()
    {
        if (Directory.Exists(_folder))
        {
            Directory.Delete(_folder, recursive: true);
        }
    }

    [Theory]
    [InlineData(-38.0, 52.0)]
    [InlineData(41.0, 55.0)]
    [InlineData(-33.0, -58.0)]
    public void FlatView_PlaceOfAPaintedPoint_ShowsItsColour(double x, double y)
    {
        Scene scene = new(Decision.NoTape, []);
        scene.PaintSpot(new(x, y), 2.5);

        using FlatPicture flat = FlatView.Draw(scene.Photo, scene.Result, scene.Frame);
        SKPoint at = flat.ToPicture(new(x, y)), away = flat.ToPicture(new(x + 4, y));

        Assert.True(Distance(Paint, flat.Bitmap.GetPixel((int)at.X, (int)at.Y)) < 12);
        Assert.True(Distance(Grey, flat.Bitmap.GetPixel((int)away.X, (int)away.Y)) < 12);
    }

    [Fact]
    public void FlatView_MeasuredWeave_ShowsALineBesideAStraightOne()
    {
        // A line that rises by 8 mm to either end of its straight one; away from both the fabric stays as it is.
        HoopPoint[] line = [new(-60, -8), new(0, 0), new(60, 8)];
        Scene scene = new(Decision.NoTape, []);
        CheckResult result = scene.Result with { Weave = new(null, 97.6, 7.6, null, 0, 0.1, 360, 240, [line]) };

        using FlatPicture flat = FlatView.Draw(scene.Photo, result, scene.Frame), without = FlatView.Draw(scene.Photo, scene.Result, scene.Frame);
        Assert.True(Changed(new(20, 8.0 / 3)) > 60);
        Assert.True(Changed(new(20, 0)) > 60);
        Assert.Equal(0, Changed(new(20, -6)));

        // The largest change of colour within a dash along and a millimetre across.
        double Changed(HoopPoint p)
        {
            SKPoint a = flat.ToPicture(p), b = without.ToPicture(p);
            return Enumerable.Range(-12, 25).SelectMany(i => Enumerable.Range(-5, 11).Select(j =>
                Distance(without.Bitmap.GetPixel((int)b.X + i, (int)b.Y + j), flat.Bitmap.GetPixel((int)a.X + i, (int)a.Y + j)))).Max();
        }
    }

    [Fact]
    public void FlatView_CentreOfAPaintedSpot_IsWithinATenthOfAMillimetre()
    {
        Point<Hoop> truth = new(-37.3, 51.6);
        Scene scene = new(Decision.NoTape, []);
        scene.PaintSpot(truth, 2.5);

        using FlatPicture flat = FlatView.Draw(scene.Photo, scene.Result, scene.Frame);
        double sum = 0, sx = 0, sy = 0;
        SKPoint near = flat.ToPicture(truth);
        for (int j = (int)near.Y - 20; j <= near.Y + 20; j++)
        {
            for (int i = (int)near.X - 20; i <= near.X + 20; i++)
            {
                double w = Math.Max(0, flat.Bitmap.GetPixel(i, j).Red - 128);
                (sum, sx, sy) = (sum + w, sx + (w * (i + 0.5)), sy + (w * (j + 0.5)));
            }
        }

        Assert.InRange(sx / sum, near.X - (0.1 / flat.MmPerPixel), near.X + (0.1 / flat.MmPerPixel));
        Assert.InRange(sy / sum, near.Y - (0.1 / flat.MmPerPixel), near.Y + (0.1 / flat.MmPerPixel));
    }

    [Fact]
    public void FlatView_Scale_IsFiftyPixelsForTenMillimetres()
    {
        Scene scene = new(Decision.NoTape, []);

        using FlatPicture flat = FlatView.Draw(scene.Photo, scene.Result, scene.Frame);
        SKPoint a = flat.ToPicture(new(0, 0)), right = flat.ToPicture(new(10, 0)), up = flat.ToPicture(new(0, 10));

        Assert.Equal(50, right.X - a.X, 3);
        Assert.Equal(50, a.Y - up.Y, 3);

        // The ruler's own ticks: dark at 0, 10 and 20 mm below the fabric, paper half-way between two mm.
        int row = (int)flat.Area.Bottom + 12;
        foreach (int mm in new[] { 0, 10, 20 })
        {
            int x = (int)MathF.Round(flat.ToPicture(new(mm, 0)).X);
            Assert.True(Math.Min(flat.Bitmap.GetPixel(x, row).Green, flat.Bitmap.GetPixel(x - 1, row).Green) < 140);
        }

        Assert.True(flat.Bitmap.GetPixel((int)flat.ToPicture(new(12.5, 0)).X, row).Green > 220);
    }

    [Fact]
    public void Write_Overlap_MakesBothPicturesWithABannerAboveThePhoto()
    {
        Scene scene = new(Decision.Overlap, [Scene.Side(Side.Right, Decision.Overlap, -1.2)]);

        Assert.Null(PictureWriter.Write(_folder, scene.Photo, scene.Result));

        using SKBitmap marked = SKBitmap.Decode(Path.Combine(_folder, PictureWriter.MarkedName));
        Assert.Equal(1600, marked.Width);
        Assert.True(marked.Height > marked.Width * scene.Photo.Pixels.Height / scene.Photo.Pixels.Width);
        Assert.Contains(Enumerable.Range(0, 300), x => Distance(Palette.Vermilion, marked.GetPixel(x, 60)) < 40);
        Assert.True(Bright(marked, 0, 300) > 2000, "The verdict's words are missing.");
        Assert.Equal([PictureWriter.FlatName, PictureWriter.MarkedName], Directory.GetFiles(_folder).Select(f => Path.GetFileName(f)!).Order());
    }

    [Fact]
    public void Write_FlatView_CarriesItsTrueScale()
    {
        Scene scene = new(Decision.Clear, [Scene.Side(Side.Top, Decision.Clear, 3)]);

        Assert.Null(PictureWriter.Write(_folder, scene.Photo, scene.Result));

        byte[] png = File.ReadAllBytes(Path.Combine(_folder, PictureWriter.FlatName));
        int at = png.AsSpan().IndexOf("pHYs"u8);
        Assert.Equal(37, at);
        Assert.Equal([0, 0, 0x13, 0x88], png[(at + 4)..(at + 8)]);
        using SKBitmap readable = SKBitmap.Decode(png);
        Assert.NotNull(readable);
    }

    [Fact]
    public void Write_NoFrame_MakesOnlyTheMarkedPhotoAndRemovesAnOldFlatView()
    {
        Scene scene = new(Decision.Retake, []);
        CheckResult retake = scene.Result with { Frame = null, Problems = [new Problem(Problems.FrameCutOff, "")] };
        Directory.CreateDirectory(_folder);
        File.WriteAllText(Path.Combine(_folder, PictureWriter.FlatName), "of an earlier check");

        Assert.Null(PictureWriter.Write(_folder, scene.Photo, retake));

        Assert.Equal([PictureWriter.MarkedName], Directory.GetFiles(_folder).Select(f => Path.GetFileName(f)!));
    }

    [Fact]
    [Trait("problem", "HC122")]
    public void Write_FolderIsAFile_CannotWrite()
    {
        Scene scene = new(Decision.Retake, []);
        File.WriteAllText(_folder, "in the way");
        try
        {
            Problem? problem = PictureWriter.Write(_folder, scene.Photo, scene.Result with { Frame = null });

            Assert.Equal(Problems.CannotWrite, problem?.Kind);
        }
        finally
        {
            File.Delete(_folder);
        }
    }

    [Theory]
    [InlineData(Decision.Clear, "CLEAR")]
    [InlineData(Decision.Overlap, "OVERLAP")]
    [InlineData(Decision.Tight, "TOO TIGHT")]
    [InlineData(Decision.Wide, "TOO WIDE")]
    [InlineData(Decision.Undecided, "CANNOT TELL")]
    [InlineData(Decision.NoTape, "NO TAPE FOUND")]
    [InlineData(Decision.Retake, "TAKE IT AGAIN")]
    public void Headline_EachDecision_HasItsWords(Decision decision, string words) => Assert.Equal(words, Labels.Headline(decision));

    [Theory]
    [InlineData(1.5875, "1/16 in")]
    [InlineData(12.7, "1/2 in")]
    [InlineData(-1.2, "1/16 in")]
    [InlineData(0.1, "<1/64 in")]
    [InlineData(25.4, "1 in")]
    [InlineData(39.7, "1 9/16 in")]
    public void Inches_Length_IsTheNearestThirtySecondWithoutSign(double mm, string words) => Assert.Equal(words, Labels.Inches(mm));

    [Fact]
    public void Finding_UnmeasuredSide_NamesNoNumber()
    {
        Scene scene = new(Decision.Undecided, [Scene.Side(Side.Left, Decision.Undecided, double.NaN)]);

        Assert.DoesNotContain("NaN", Labels.Finding(scene.Result), StringComparison.Ordinal);
        using SKBitmap picture = MarkedPhoto.Draw(scene.Photo, scene.Result);
        Assert.Equal(1600, picture.Width);
    }

    [Fact]
    public void Best_EveryPlaceTaken_IsNone()
    {
        var place = new Placement(new SKRect(0, 0, 100, 100));
        place.Take(new(new(50, 50), 100, 100, 0));

        Assert.Null(place.Best([(new Plate(new(50, 50), 20, 10, 0), 0f)], 0));
        Assert.Null(new Placement(new SKRect(0, 0, 100, 100)).Best([(new Plate(new(95, 50), 20, 10, 0), 0f)], 0));
    }

    private static double Distance(SKColor a, SKColor b) =>
        Math.Max(Math.Abs(a.Red - b.Red), Math.Max(Math.Abs(a.Green - b.Green), Math.Abs(a.Blue - b.Blue)));

    private static int Bright(SKBitmap picture, int top, int bottom)
    {
        int n = 0;
        for (int y = top; y < bottom; y++)
        {
            for (int x = 0; x < picture.Width; x++)
            {
                n += picture.GetPixel(x, y).Green > 240 ? 1 : 0;
            }
        }

        return n;
    }

    /// <summary>A grey photo of a 200 x 140 mm hoop, seen a little from the side by a bending lens.</summary>
    private sealed class Scene
    {
        private const int Width = 800;
        private const int Height = 600;

        private readonly byte[] _bgr = new byte[Width * Height * 3];

        public Scene(Decision decision, IReadOnlyList<SideClearance> sides)
        {
            Array.Fill(_bgr, (byte)128);
            (double sin, double cos) = Math.SinCos(10 * Math.PI / 180);
            var camera = new CameraPose(1300, 805, 590, -0.03, 0.002, [1, 0, 0, 0, -cos, sin, 0, -sin, -cos], [4, -3, 240]);
            Frame = new(camera, new(200, 140, 20, 10, 20, 0.5, [0, 0, 0, 0]), [], [], new double[0, 0], PhotoDirection.Top, UpSource.Given, 0.1, 100, 1, 1);
            var header = new PhotoHeader("JPEG", Width * 2, Height * 2, 1, null, null, null);
            Photo = new(header, new(_bgr, Width, Height, 2));
            Result = new(
                new(new("test", 200, 140, 10, 20, 20, 190, 130), new(new(0, 0), 60, 70)),
                header,
                decision,
                sides,
                Frame,
                [],
                [],
                new Dictionary<string, double>());
        }

        public Photograph Photo { get; }

        public FrameFit Frame { get; }

        public CheckResult Result { get; }

        public static SideClearance Side(Side side, Decision decision, double mm)
        {
            double facing = side is HoopCheck.Geometry.Side.Left or HoopCheck.Geometry.Side.Right ? 30 : 35;
            List<TapeSample> samples = [.. Enumerable.Range(-35, 71).Select(s => new TapeSample(s, facing + mm, 0.1, s < 10))];
            return new(side, decision, mm, mm, mm, 0.3, side.At(facing + mm, 5), 1, [.. samples.Select(s => (s.S, mm))], new(side, samples, 0, "blue", "#0000FF"), null);
        }

        /// <summary>Paints a round spot on the fabric.</summary>
        public void PaintSpot(Point<Hoop> centre, double radiusMm)
        {
            for (int y = 0; y < Height; y++)
            {
                for (int x = 0; x < Width; x++)
                {
                    Point<Hoop>? p = Frame.Camera.BackProject(new(((x + 0.5) * 2) - 0.5, ((y + 0.5) * 2) - 0.5), 0);
                    if (p is { } hoop && hoop.DistanceTo(centre) <= radiusMm)
                    {
                        int at = ((y * Width) + x) * 3;
                        (_bgr[at], _bgr[at + 1], _bgr[at + 2]) = (Paint.Blue, Paint.Green, Paint.Red);
                    }
                }
            }
        }
    }
}
