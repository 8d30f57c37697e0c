using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.Tests.Scenes;

/// <summary>
/// A card of ISO/IEC 7810 size ID-1 in drawn scenes: the scale it gives is that of the drawing, whatever the hoop file says. Sizes from the standard, quoted from memory.
/// </summary>
public class CardTests
{
    private const int Width = 2016, Height = 1512;

    [Theory]
    [InlineData("inside")]
    [InlineData("inside, turned")]
    [InlineData("outside")]
    [InlineData("dark on checks")]
    public void Run_RightHoopFile_AgreesWithTheCard(string what)
    {
        Scene scene = Make(what);
        CheckResult result = Check(scene, 1);

        CardFound card = result.Card!;
        Assert.True(card is not null, string.Join("; ", result.Problems.Select(p => p.Say)));
        Card truth = scene.Cards[0];
        Assert.InRange(card.Centre.DistanceTo(truth.Centre), 0, 1);
        Assert.InRange(Math.Abs(card.Ratio - 1), 0, card.RatioUncertainty);

        // Of any use only when a hoop file out by a per cent can be told from a right one.
        Assert.InRange(card.RatioUncertainty, 0.001, 0.01);
        Assert.Contains(result.Notes, n => n.Contains("card", StringComparison.Ordinal) && n.Contains("agree", StringComparison.Ordinal));
        Assert.DoesNotContain(result.Problems, p => p.Kind == Problems.ScaleDisagrees || p.Kind == Problems.NoCard);
        Assert.Equal(Check(scene, 1, asked: false).Decision, result.Decision);
    }

    /// <summary>Every measure of the hoop file 2 % too large or too small: the proportions are right, so that only the card can tell.</summary>
    [Theory]
    [Trait("problem", "HC208")]
    [InlineData("inside", 1.02)]
    [InlineData("outside", 1.02)]
    [InlineData("inside, turned", 0.98)]
    public void Run_HoopFileOutOfScale_ShowsUpAndNothingIsDecided(string what, double scale)
    {
        CheckResult result = Check(Make(what), scale);

        Problem problem = Assert.Single(result.Problems, p => p.Kind == Problems.ScaleDisagrees);
        Assert.Contains(scale > 1 ? "too large" : "too small", problem.Say, StringComparison.Ordinal);
        Assert.InRange(result.Card!.Ratio, scale - 0.008, scale + 0.008);
        Assert.Equal(Decision.Undecided, result.Decision);
    }

    /// <summary>No card, or something of another size: said plainly, and the check goes on.</summary>
    [Theory]
    [Trait("problem", "HC209")]
    [InlineData("none")]
    [InlineData("smaller")]
    public void Run_NoCard_IsSaid(string what)
    {
        Scene scene = Make(what);
        CheckResult result = Check(scene, 1);
        Assert.Null(result.Card);
        Assert.Contains(result.Problems, p => p.Kind == Problems.NoCard);
        Assert.Equal(Check(scene, 1, asked: false).Decision, result.Decision);
    }

    private static CheckResult Check(Scene scene, double scale, bool asked = true)
    {
        HoopSpec hoop = scene.Measured(0, 0, 0);
        hoop = hoop with
        {
            OpeningWidth = hoop.OpeningWidth * scale, OpeningHeight = hoop.OpeningHeight * scale, FrameHeight = hoop.FrameHeight * scale,
            CornerRadius = hoop.CornerRadius * scale, FrameWidth = hoop.FrameWidth * scale, FieldWidth = hoop.FieldWidth * scale, FieldHeight = hoop.FieldHeight * scale,
        };
        return CheckRun.Run(SceneRenderer.Render(scene, 5), new(hoop, new(new(-10, -20), 200, 120), Up: PhotoDirection.Top) { ScaleByCard = asked }, 0, NoTrace.Instance);
    }

    private static Scene Make(string what)
    {
        Ring ring = new(299, 200, 20, 20, 10.5, 1, 0, [0.1, 0.2, 0.1, 0.2], Paint.Grey);
        Tape tape = new(Side.Top, 62, 0.5, 24, Paint.Blue);
        double focal = 26 / 43.2666 * Math.Sqrt((Width * (double)Width) + ((double)Height * Height));
        bool outside = what == "outside";
        CameraPose camera = Cameras.LookingAt(new(0, outside ? -45 : 0), outside ? 560 : 430, 8, 40, 0, focal, Width, Height, 0.01);
        Fabric fabric = outside || what == "dark on checks" ? new(PatternKind.Checks, Paint.Linen, new(0.45, 0.40, 0.36), 22, 1) : new(PatternKind.Plain, new(0.35, 0.33, 0.30), Paint.White);
        Card? card = what switch
        {
            "none" or "smaller" => null,
            "inside" => new(new(20, -30), 0, Paint.White),
            "inside, turned" => new(new(-30, -25), 37, Paint.White),
            "outside" => new(new(10, -165), 3, Paint.Pink),
            _ => new(new(40, -20), -12, Paint.Dark),
        };
        Scene scene = new(ring, fabric, [tape], camera, Width, Height) { BlurPx = 0.8, NoiseCodes = 1.5, Focal35Mm = 26 };
        return card is not null ? scene with { Cards = [card] }
            : what == "smaller" ? scene with { Covers = [new(new(-20, -20), new(20, -20), 25, 0.8, Paint.White)] }
            : scene;
    }
}
