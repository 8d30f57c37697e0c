using HoopCheck.Geometry;
using HoopCheck.Vision;

namespace HoopCheck.Tests.Scenes;

/// <summary>The renderer is a measuring device of these tests, so it is tested first.</summary>
public class SceneRendererTests
{
    private const int Width = 1600, Height = 1200;

    private static readonly Ring DraftedRing = new(200, 160, 22, 18, 12, 3, 0, [0.4, -0.2, 0.3, 0], Paint.White);

    [Fact]
    public void Render_SameSeed_SameBytes()
    {
        Scene scene = Tilted(k1: 0.02) with { PhotoWidth = 400, PhotoHeight = 300, NoiseCodes = 2 };
        byte[] first = SceneRenderer.Render(scene, 5).Pixels.Bgr;

        Assert.Equal(first, SceneRenderer.Render(scene, 5).Pixels.Bgr);
        Assert.NotEqual(first, SceneRenderer.Render(scene, 6).Pixels.Bgr);
    }

    [Fact]
    public void FaceAt_PlacesOfTheHoop_AreWhatStandsThere()
    {
        Scene scene = Tilted(k1: -0.03);
        Ring r = scene.Ring;
        double outer = (r.OpeningWidth / 2) + r.TopOffset + r.Width;

        Assert.Equal(Face.Fabric, At(0, 0, 0));
        Assert.Equal(Face.Tape, At(70, 10, 0));
        Assert.Equal(Face.RingTop, At(outer - 5, 20, r.Height));
        Assert.Equal(Face.Bar, At(-outer - 20, 10, r.Height));
        Assert.Equal(Face.BarStrip, At(-outer - 12.5, 10, r.Height));
        Assert.Equal(Face.InnerWall, At((r.OpeningWidth / 2) + (r.TopOffset / 2), 50, r.Height / 2));
        Assert.Equal(Face.Fabric, At(-outer - 60, 0, 0));

        Face At(double x, double y, double z) => SceneRenderer.FaceAt(scene, scene.Camera.Project(new(x, y), z)!.Value);
    }

    [Theory]
    [InlineData(0, 0)]
    [InlineData(18, 0.04)]
    [InlineData(18, -0.04)]
    public void Render_TapeEdge_LiesWhereTheCameraPutsIt(double tilt, double k1)
    {
        Scene scene = Tilted(k1, tilt);
        Pixels pixels = SceneRenderer.Render(scene, 1).Pixels;
        Tape tape = scene.Tapes[0];

        // Close enough: 0.05 px. The renderer's 16 rays a pixel are worth about 0.02 px on one row.
        Assert.InRange(Offset(scene, pixels, s => scene.Camera.Project(tape.Side.At(tape.InnerEdge(s), s), 0)!.Value, LinearLight.ToLinear), -0.05, 0.05);
    }

    [Fact]
    public void Render_TapeEdgeReadOnCodedValues_IsOff()
    {
        // The comparison above must be able to fail. On sRGB codes an edge of blur 0.7 px is read about 0.3 px towards the
        // dark side (here: the tape, at the right), which is what the linear light is for.
        Scene scene = Tilted(0);
        Pixels pixels = SceneRenderer.Render(scene, 1).Pixels;
        Tape tape = scene.Tapes[0];

        Assert.InRange(Offset(scene, pixels, s => scene.Camera.Project(tape.Side.At(tape.InnerEdge(s), s), 0)!.Value, b => b), 0.1, 0.6);
    }

    [Fact]
    public void Render_TopEdgeOfRing_LiesAtRingHeight()
    {
        Scene scene = Tilted(0.03);
        Pixels pixels = SceneRenderer.Render(scene, 1).Pixels;
        Ring r = scene.Ring;
        double X(double s) => (r.OpeningWidth / 2) + r.TopOffset + (r.Bow![(int)Side.Right] * (1 - Math.Pow(2 * s / r.OpeningHeight, 2)));

        Assert.InRange(Offset(scene, pixels, s => scene.Camera.Project(new(X(s), s), r.Height)!.Value, LinearLight.ToLinear, 3), -0.05, 0.05);
    }

    [Fact]
    public void Clearance_TurnedTape_IsTheLineAtTheFillsEnds()
    {
        Scene scene = Tilted(0) with { Tapes = [new(Side.Right, 60, 1, 20, Paint.Blue)] };
        (double min, double max) = scene.Clearance(new(new(0, 10), 100, 80), Side.Right);

        // Right: a counter-clockwise turn takes the upper end inward. Facing edge at 50, s from -30 to 50.
        Assert.Equal(10 - (50 * Math.Tan(Math.PI / 180)), min, 1e-9);
        Assert.Equal(10 + (30 * Math.Tan(Math.PI / 180)), max, 1e-9);
    }

    private static Scene Tilted(double k1, double tilt = 18) => new(
        DraftedRing,
        new(PatternKind.Plain, Paint.Linen, Paint.Grey),
        [new(Side.Right, 62, 1.2, 24, Paint.Blue, 0.4)],
        Cameras.LookingAt(new(5, -3), 420, tilt, 140, 4, 1250, Width, Height, k1),
        Width,
        Height) { NoiseCodes = 0 };

    /// <summary>
    /// Mean distance in px, along the picture's rows, of an upright edge from where the function puts it; the edge's place on
    /// each row is that of a sharp step with the same sum of light over a window that holds nothing but the two flat sides.
    /// </summary>
    private static double Offset(Scene scene, Pixels pixels, Func<double, PhotoPoint> edge, Func<byte, float> light, int half = 7)
    {
        double sum = 0;
        int count = 0, top = (int)Math.Ceiling(edge(50).Y), bottom = (int)Math.Floor(edge(-50).Y);
        for (int row = top; row <= bottom; row++)
        {
            (double low, double high) = (-60, 60);
            for (int i = 0; i < 60; i++)
            {
                double s = (low + high) / 2;
                (low, high) = edge(s).Y > row ? (s, high) : (low, s);
            }

            double expected = edge(low).X;
            int from = (int)Math.Round(expected) - half, to = (int)Math.Round(expected) + half;
            double left = Green(from), right = Green(to), total = 0;
            for (int x = from; x <= to; x++)
            {
                total += Green(x) - right;
            }

            sum += from - 0.5 + (total / (left - right)) - expected;
            count++;

            double Green(int x) => light(pixels.Bgr[(((row * scene.PhotoWidth) + x) * 3) + 1]);
        }

        Assert.True(count > 200, $"{count} rows");
        return sum / count;
    }
}
