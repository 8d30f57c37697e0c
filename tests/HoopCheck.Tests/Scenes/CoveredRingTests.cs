using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.Tests.Scenes;

/// <summary>
/// Rings that are partly covered or hardly stand out. Such a photo may be refused or left undecided; what must never come is a clearance that
/// is not within its own uncertainty.
/// </summary>
public class CoveredRingTests
{
    /// <summary>The fill's true clearance: tight, so that "clear" would be the worst answer.</summary>
    private const double TrueClearanceMm = 0.8;

    [Theory]
    [InlineData("one finger", 1)]
    [InlineData("one finger", 3)]
    [InlineData("three fingers", 1)]
    [InlineData("three fingers", 3)]
    [InlineData("dark clip over a corner", 1)]
    [InlineData("dark clip over a corner", 3)]
    [InlineData("white clip over a corner", 1)]
    [InlineData("white clip over a corner", 3)]
    [InlineData("white on white", 1)]
    [InlineData("white on white, soft shadow", 1)]
    [InlineData("white on white, hard shadow", 1)]
    public void Run_RingHardToSee_IsRightWithinItsUncertaintyOrRefused(string what, int seed)
    {
        (Scene scene, PlannedFill fill, Side side, TestRandom random) = Make(what, seed);

        CheckResult result = CheckRun.Run(SceneRenderer.Render(scene, random.Seed), new(scene.Measured(random.Between(-0.5, 0.5), random.Between(-0.5, 0.5), random.Between(-0.5, 0.5)), fill), 0, NoTrace.Instance);

        (double min, double max) = scene.Clearance(fill, side);
        string seen = $"seed {random.Seed}; {result.Decision}; {string.Join("; ", result.Problems.Select(p => p.Kind.Code + " " + p.Say))}";
        Assert.NotEqual(Decision.Clear, result.Decision);
        foreach (SideClearance found in result.Sides)
        {
            Assert.True(found.Side == side, $"tape seen at the {found.Side}, where there is none; {seen}");
            Assert.True(
                found.Decision == Decision.Undecided || Math.Abs(found.MinMm - min) <= found.UncertaintyMm,
                $"smallest {found.MinMm:0.00} ± {found.UncertaintyMm:0.00}, true {min:0.00}; largest {found.MaxMm:0.00}, true {max:0.00}; {seen}");
        }
    }

    private static (Scene Scene, PlannedFill Fill, Side Side, TestRandom Random) Make(string what, int seed)
    {
        var random = TestRandom.For($"{nameof(CoveredRingTests)} {what} {seed}");
        const int Width = 1600, Height = 1200;
        bool white = what.StartsWith("white on white", StringComparison.Ordinal);
        Ring ring = new(
            260, 180, 25, 20, random.Between(9, 13), random.Between(0, 3), 0,
            [random.Between(-0.2, 0.6), random.Between(-0.2, 0.6), random.Between(-0.2, 0.6), random.Between(-0.2, 0.6)],
            white ? Paint.White : Paint.Grey);
        Side side = (Side)(int)random.Between(0, 4);
        double half = side is Side.Left or Side.Right ? 130 : 90;
        Tape tape = new(side, half - random.Between(28, 36), random.Between(-1.5, 1.5), 24, Paint.Blue);
        double tilt = random.Between(3, 18), height = random.Between(400, 600), distance = height / Math.Cos(tilt * Math.PI / 180), focal = 0.66 * Width * distance / 340;
        CameraPose camera = Cameras.LookingAt(new(random.Between(-12, -2), random.Between(-6, 6)), height, tilt, random.Between(0, 360), random.Between(-6, 6), focal, Width, Height, random.Between(-0.02, 0.02));
        Fabric fabric = white
            ? new(PatternKind.Plain, Paint.White * random.Between(0.93, 1.07), Paint.White)
            : new((PatternKind)(int)random.Between(0, 5), Paint.Linen, new(0.30, 0.22, 0.20), 22, random.Between(-3, 3));
        Scene scene = new(ring, fabric, [tape], camera, Width, Height)
        {
            LightGradient = random.Between(-0.1, 0.1),
            BlurPx = random.Between(0.6, 1.0),
            NoiseCodes = 1.5,
            Focal35Mm = Math.Round(focal * 43.2666 / Math.Sqrt((Width * Width) + (Height * Height)) * random.Between(0.985, 1.015)),
            Covers = Covers(what, ring, random),
            Shadow = what.EndsWith("soft shadow", StringComparison.Ordinal) ? new(-random.Between(3, 8), -random.Between(2, 6), 8, 0.3)
                : what.EndsWith("hard shadow", StringComparison.Ordinal) ? new(-random.Between(3, 8), -random.Between(2, 6), 1.5, 0.4) : null,
        };
        PlannedFill trial = new(new(0, 0), 140, 90);
        return (scene, trial with { Centre = trial.Centre + (side.Normal() * (scene.Clearance(trial, side).Min - TrueClearanceMm)) }, side, random);
    }

    private static Cover[] Covers(string what, Ring ring, TestRandom random)
    {
        double z = ring.Height + 2;
        Side over = (Side)(int)random.Between(0, 4);
        double half = over is Side.Left or Side.Right ? 130 : 90, length = (over is Side.Left or Side.Right ? 90 : 130) - 45;
        switch (what)
        {
            case "one finger" or "three fingers":
                double first = random.Between(-length, length - 40);
                return
                [
                    .. Enumerable.Range(0, what == "one finger" ? 1 : 3).Select(i =>
                    {
                        double s = first + (i * 19), inside = random.Between(4, 18);
                        return new Cover(over.At(half - inside, s), over.At(half + 90, s + random.Between(-12, 12)), 8.5, z + (i * 0.01), Paint.Skin);
                    }),
                ];
            case "dark clip over a corner" or "white clip over a corner":
                double x = random.Between(0, 1) < 0.5 ? -1 : 1, y = random.Between(0, 1) < 0.5 ? -1 : 1;
                return [new(new(x * 108, y * 68), new(x * 146, y * 106), random.Between(8, 15), z + 2, what.StartsWith("dark", StringComparison.Ordinal) ? Paint.Dark : Paint.White)];
            default:
                return [];
        }
    }
}
