using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.Tests.Scenes;

/// <summary>The whole check on scenes with known answers, over the range of cameras and hoops a person has.</summary>
public class SweepTests
{
    /// <summary>
    /// The true smallest clearance lies within the stated uncertainty, and the error below 0.3 mm: the fabric is flat and every
    /// edge clean here, so what is left on real quilts (0.4 mm at 95 %) must not be used up.
    /// </summary>
    /// <param name="tilt">Between axis and vertical, degrees.</param>
    /// <param name="height">Of the camera above the fabric, mm.</param>
    /// <param name="k1">The lens's radial distortion.</param>
    /// <param name="ring">Height of the ring, mm.</param>
    /// <param name="pattern">On the fabric.</param>
    /// <param name="side">With the tape.</param>
    /// <param name="roll">Turn of the camera about its axis, degrees.</param>
    [Theory]
    [InlineData(0, 450, 0, 11, PatternKind.Plain, Side.Right, 0)]
    [InlineData(8, 350, 0.02, 11, PatternKind.Dots, Side.Top, 5)]
    [InlineData(15, 500, -0.02, 8, PatternKind.Checks, Side.Left, -8)]
    [InlineData(22, 600, 0.03, 15, PatternKind.Plaid, Side.Bottom, 90)]
    [InlineData(24, 550, 0, 11, PatternKind.Plain, Side.Right, 180)]
    [InlineData(30, 700, -0.03, 13, PatternKind.Stripes, Side.Top, 12)]
    [InlineData(12, 900, 0, 11, PatternKind.Dots, Side.Bottom, -90)]
    [InlineData(12, 450, 0.05, 10, PatternKind.Plain, Side.Left, 3)]
    [InlineData(12, 450, -0.05, 10, PatternKind.Plain, Side.Right, -3)]
    [InlineData(5, 400, 0, 15, PatternKind.Plaid, Side.Right, 178)]
    [InlineData(18, 650, 0.01, 8, PatternKind.Checks, Side.Top, 95)]
    [InlineData(25, 450, -0.01, 12, PatternKind.Plain, Side.Bottom, 0)]
    public void Run_KnownScene_ClearanceIsRightWithinItsUncertainty(double tilt, double height, double k1, double ring, PatternKind pattern, Side side, double roll)
    {
        var random = TestRandom.For($"{nameof(SweepTests)} {tilt} {height} {k1} {ring} {pattern} {side}");
        Scene scene = MakeScene(tilt, height, k1, ring, pattern, side, roll, random);
        PlannedFill fill = FillAt(scene, side, 4);
        (double min, double max) = scene.Clearance(fill, side);

        CheckResult result = CheckRun.Run(
            SceneRenderer.Render(scene, random.Seed),
            new(scene.Measured(random.Between(-0.5, 0.5), random.Between(-0.5, 0.5), random.Between(-0.5, 0.5)), fill, Up: Up(scene)),
            0,
            NoTrace.Instance);

        string seen = $"seed {random.Seed}; {result.Decision}; {string.Join("; ", result.Problems.Select(p => p.Kind.Code + " " + p.Say))}";
        Assert.True(result.Sides.Count == 1, $"{result.Sides.Count} sides found; {seen}");
        SideClearance found = result.Sides[0];
        Assert.Equal(side, found.Side);
        double error = found.MinMm - min;
        Assert.True(Math.Abs(error) < 0.3 && Math.Abs(found.MaxMm - max) < 0.4, $"smallest {found.MinMm:0.00}, true {min:0.00}; largest {found.MaxMm:0.00}, true {max:0.00}; {seen}");
        Assert.True(Math.Abs(error) <= found.UncertaintyMm, $"error {error:0.00} outside its uncertainty {found.UncertaintyMm:0.00}; {seen}");

        // An uncertainty that admits anything is no answer either.
        Assert.InRange(found.UncertaintyMm, 0.05, 1.2);
    }

    /// <summary>The fill moved 1 mm towards the tape has 1 mm less clearance, exactly: the photo has not changed.</summary>
    [Fact]
    public void Run_FillMovedOneMillimetre_ClearanceShrinksByOne()
    {
        var random = TestRandom.For(nameof(Run_FillMovedOneMillimetre_ClearanceShrinksByOne));
        Scene scene = MakeScene(10, 450, 0, 11, PatternKind.Plain, Side.Right, 0, random);
        Photograph photo = SceneRenderer.Render(scene, random.Seed);
        PlannedFill fill = FillAt(scene, Side.Right, 4);

        double far = Smallest(fill), near = Smallest(fill with { Centre = fill.Centre + new HoopVector(1, 0) });

        Assert.Equal(1, far - near, 1e-9);

        double Smallest(PlannedFill plan) =>
            Assert.Single(CheckRun.Run(photo, new(scene.Measured(), plan, Up: Up(scene)), 0, NoTrace.Instance).Sides).MinMm;
    }

    /// <summary>A clearance well inside or outside the limits is decided, and decided rightly.</summary>
    [Theory]
    [InlineData(-3, Decision.Overlap)]
    [InlineData(0.8, Decision.Tight)]
    [InlineData(5, Decision.Clear)]
    [InlineData(18, Decision.Wide)]
    public void Run_ClearanceFarFromTheLimits_IsDecided(double clearance, Decision decision)
    {
        var random = TestRandom.For($"{nameof(Run_ClearanceFarFromTheLimits_IsDecided)} {clearance}");
        Scene scene = MakeScene(9, 420, 0, 11, PatternKind.Plain, Side.Right, 0, random);

        CheckResult result = CheckRun.Run(
            SceneRenderer.Render(scene, random.Seed), new(scene.Measured(), FillAt(scene, Side.Right, clearance), Up: Up(scene)), 0, NoTrace.Instance);

        Assert.Equal(decision, result.Decision);
    }

    /// <summary>A fabric without tape, whatever its print, has no tape.</summary>
    [Theory]
    [InlineData(PatternKind.Plain)]
    [InlineData(PatternKind.Stripes)]
    [InlineData(PatternKind.Plaid)]
    [Trait("problem", "HC301")]
    public void Run_NoTape_SaysSo(PatternKind pattern)
    {
        var random = TestRandom.For($"{nameof(Run_NoTape_SaysSo)} {pattern}");
        Scene scene = MakeScene(9, 450, 0, 11, pattern, Side.Right, 0, random);
        PlannedFill fill = FillAt(scene, Side.Right, 4);

        CheckResult result = CheckRun.Run(
            SceneRenderer.Render(scene with { Tapes = [] }, random.Seed), new(scene.Measured(), fill, Up: Up(scene)), 0, NoTrace.Instance);

        Assert.Equal(Decision.NoTape, result.Decision);
        Assert.Contains(result.Problems, p => p.Kind == Problems.NoTape);
    }

    /// <summary>The tape is green: called so it is found, called pink there is none.</summary>
    [Theory]
    [InlineData("green", Decision.Clear)]
    [InlineData("pink", Decision.NoTape)]
    public void Run_TapeColourNamed_NarrowsTheSearch(string colour, Decision decision)
    {
        var random = TestRandom.For(nameof(Run_TapeColourNamed_NarrowsTheSearch));
        Scene scene = MakeScene(9, 450, 0, 11, PatternKind.Plain, Side.Top, 0, random);

        CheckResult result = CheckRun.Run(
            SceneRenderer.Render(scene, random.Seed),
            new(scene.Measured(), FillAt(scene, Side.Top, 5), Up: Up(scene), TapeColour: TapeColours.Parse(colour)),
            0,
            NoTrace.Instance);

        Assert.Equal(decision, result.Decision);
    }

    /// <summary>Tape along less than half of the facing edge is not enough to judge the side by.</summary>
    [Fact]
    [Trait("problem", "HC302")]
    public void Run_TapeBesideLessThanHalfOfTheFill_IsNotJudgedClear()
    {
        var random = TestRandom.For(nameof(Run_TapeBesideLessThanHalfOfTheFill_IsNotJudgedClear));
        Scene scene = MakeScene(9, 450, 0, 11, PatternKind.Plain, Side.Right, 0, random);
        PlannedFill fill = FillAt(scene, Side.Right, 4);
        scene = scene with { Tapes = [scene.Tapes[0] with { From = -5, To = 80 }] };

        CheckResult result = CheckRun.Run(SceneRenderer.Render(scene, random.Seed), new(scene.Measured(), fill, Up: Up(scene)), 0, NoTrace.Instance);

        Assert.Equal(Decision.Undecided, result.Decision);
        Assert.Contains(result.Problems, p => p.Kind == Problems.TapeTooLittle);
    }

    /// <summary>
    /// Of the hoop file's size, but with sides that curve by 7 mm the same way, left and right as top and bottom: frames bow by 1 mm at
    /// most, and no camera makes this of a straight one. Millimetres read from it would be invented.
    /// </summary>
    [Fact]
    [Trait("problem", "HC207")]
    public void Run_RingBentOutOfShape_IsNotTrusted()
    {
        var random = TestRandom.For(nameof(Run_RingBentOutOfShape_IsNotTrusted));
        Scene scene = MakeScene(9, 450, 0, 11, PatternKind.Plain, Side.Right, 0, random);
        PlannedFill fill = FillAt(scene, Side.Right, 4);
        scene = scene with { Ring = scene.Ring with { Bow = [7, -7, 7, -7] } };

        CheckResult result = CheckRun.Run(SceneRenderer.Render(scene, random.Seed), new(scene.Measured(), fill, Up: Up(scene)), 0, NoTrace.Instance);

        Assert.True(result.Decision == Decision.Retake, $"{result.Decision}: support {result.Frame?.Score:0.00}, misfit {result.Frame?.ResidualPx:0.00} px, bows {string.Join(' ', result.Frame?.Ring.Bow.Select(b => b.ToString("0.00", System.Globalization.CultureInfo.InvariantCulture)) ?? [])}");
        Assert.Contains(result.Problems, p => p.Kind == Problems.FrameUncertain);
    }

    /// <summary>
    /// From 50° off the vertical nothing can be said in tenths of millimetres. Not steeper: from 66° the ring is so foreshortened
    /// that it is not found at all, which is a refusal too, but for another reason.
    /// </summary>
    [Fact]
    [Trait("problem", "HC205")]
    public void Run_TakenFromTheSide_IsRefused()
    {
        var random = TestRandom.For(nameof(Run_TakenFromTheSide_IsRefused));
        Scene scene = MakeScene(50, 330, 0, 11, PatternKind.Plain, Side.Right, 0, random);

        CheckResult result = CheckRun.Run(
            SceneRenderer.Render(scene, random.Seed), new(scene.Measured(), FillAt(scene, Side.Right, 4), Up: Up(scene)), 0, NoTrace.Instance);

        Assert.Equal(Decision.Retake, result.Decision);
        Assert.Contains(result.Problems, p => p.Kind == Problems.TooOblique);
    }

    private static Scene MakeScene(double tilt, double height, double k1, double ringHeight, PatternKind pattern, Side side, double roll, TestRandom random)
    {
        const int Width = 1600, Height = 1200;
        bool sideways = Math.Abs(Math.Abs(roll) - 90) < 45;
        Ring ring = new(
            260, 180, 25, 20, ringHeight, random.Between(0, 3), 0,
            [random.Between(-0.2, 0.6), random.Between(-0.2, 0.6), random.Between(-0.2, 0.6), random.Between(-0.2, 0.6)],
            pattern is PatternKind.Plain or PatternKind.Dots ? Paint.White : Paint.Grey);
        double half = side is Side.Left or Side.Right ? 130 : 90;
        Tape tape = new(side, half - random.Between(28, 40), random.Between(-2, 2), 24, Colours[(int)side], random.Between(0, 0.5));

        // The 310 mm wide ring and its bar fill about 0.7 of the picture from wherever it is taken.
        double distance = height / Math.Cos(tilt * Math.PI / 180), focal = (sideways ? 0.62 * Height : 0.7 * Width) * distance / 340;
        CameraPose camera = Cameras.LookingAt(
            new(random.Between(-12, -2), random.Between(-6, 6)), height, tilt, random.Between(0, 360), roll, focal, Width, Height, k1);

        // What EXIF says is off by up to 2 %, and whole millimetres, as phones write it.
        double f35 = Math.Round(focal * 43.2666 / Math.Sqrt((Width * Width) + (Height * Height)) * random.Between(0.985, 1.015));
        Scene scene = new(ring, new(pattern, Paint.Linen, new(0.30, 0.22, 0.20), 22, random.Between(-3, 3)), [tape], camera, Width, Height)
        {
            LightGradient = random.Between(-0.1, 0.1),
            BlurPx = random.Between(0.6, 1.0),
            NoiseCodes = 1.5,
            Focal35Mm = f35,
        };
        foreach ((double x, double y) in new[] { (-180, 36), (-180, -36), (-151, 111), (151, 111), (151, -111), (-151, -111) })
        {
            PhotoPoint p = camera.Project(new(x, y), ringHeight)!.Value;
            Assert.True(p.X is > 12 and < Width - 12 && p.Y is > 12 and < Height - 12, $"the scene itself is wrong: {p} is outside the photo, seed {random.Seed}");
        }

        return scene;
    }

    private static readonly Paint[] Colours = [Paint.Blue, Paint.Green, Paint.Yellow, Paint.Pink];

    /// <summary>A fill whose smallest clearance on the side is the one given.</summary>
    private static PlannedFill FillAt(Scene scene, Side side, double clearance)
    {
        PlannedFill trial = new(new(0, 0), 140, 90);
        double move = scene.Clearance(trial, side).Min - clearance;
        return trial with { Centre = trial.Centre + (side.Normal() * move) };
    }

    /// <summary>Where the hoop's top points in the photo.</summary>
    private static PhotoDirection Up(Scene scene)
    {
        PhotoVector up = scene.Camera.Project(new(0, 20), 0)!.Value - scene.Camera.Project(new(0, 0), 0)!.Value;
        return Math.Abs(up.X) > Math.Abs(up.Y)
            ? (up.X > 0 ? PhotoDirection.Right : PhotoDirection.Left)
            : (up.Y > 0 ? PhotoDirection.Bottom : PhotoDirection.Top);
    }
}
