using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Vision;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Tests.Vision;

/// <summary>Pictures drawn in linear light through a known camera: cloth and tape lie at one height, so the edge is known exactly.</summary>
public class TapeFinderTests
{
    private const double Width = 200, Height = 140, DrawnAtMm = 0.25;
    private static readonly (double R, double G, double B) White = (0.62, 0.6, 0.56), Navy = (0.1, 0.1, 0.16);
    private static readonly (double R, double G, double B) Blue = (0.05, 0.26, 0.5), Yellow = (0.75, 0.55, 0.08);

    private static readonly CameraPose Camera = new(
        900, 299.5, 239.5, 0, 0, RingModel.Multiply(RingModel.RotationOf(0.12, 0.05, 0.02), [1, 0, 0, 0, -1, 0, 0, 0, -1]), [0, 0, 400]);

    private static readonly FrameFit Frame = new(
        Camera, new RingShape(Width, Height, 15, 10, 18, 0.4, new double[4]), [], [], new double[0, 0], PhotoDirection.Top, UpSource.Given, 0.3, 400, 0.8, 1);

    [Fact]
    public void Find_NoTape_FindsNone() => Assert.Empty(Find(Gingham));

    [Fact]
    public void Find_ShadowOfTheRing_IsNoTape() =>
        Assert.Empty(Find((x, y) => Scale(Gingham(x, y), y > 52 ? 0.35 : 1)));

    [Fact]
    public void Find_BlueTapeAtTheTop_ReadsItsEdge()
    {
        double Edge(double x) => 38 + (0.02 * x) + (0.3 * Math.Sin(x / 8));
        TapeEdge tape = Assert.Single(Find((x, y) => y > Edge(x) && y < Edge(x) + 22 ? Blue : Gingham(x, y)));

        Assert.Equal(Side.Top, tape.Side);
        Assert.Equal("blue", tape.Colour);
        Assert.InRange(tape.AngleDegrees, 0.9, 1.4);
        Assert.InRange(tape.Samples[0].S, -98, -90);
        Assert.InRange(tape.Samples[^1].S, 90, 98);
        Assert.All(tape.Samples, s => Assert.InRange(s.Q - Edge(s.S), -0.2, 0.2));
        Assert.InRange(tape.Samples.Average(s => Math.Abs(s.Q - Edge(s.S))), 0, 0.08);
    }

    [Fact]
    public void Find_HalfTheTapeInShadow_ReadsItsEdge()
    {
        TapeEdge tape = Assert.Single(Find((x, y) => Scale(x > 60 && x < 82 ? Yellow : Plain(), y + (0.5 * x) > 20 ? 0.4 : 1)));

        Assert.Equal((Side.Right, "yellow"), (tape.Side, tape.Colour));
        Assert.All(tape.Samples, s => Assert.InRange(s.Q, 59.75, 60.25));
    }

    [Fact]
    public void Find_TwoPieces_KeepsTheStep()
    {
        TapeEdge tape = Assert.Single(Find((x, y) => -x > (y > 5 ? 55 : 56.6) && -x < 80 ? Blue : Plain()));

        Assert.Equal(Side.Left, tape.Side);
        Assert.All(tape.Samples.Where(s => s.S > 9), s => Assert.InRange(s.Q, 54.8, 55.2));
        Assert.All(tape.Samples.Where(s => s.S < 1), s => Assert.InRange(s.Q, 56.4, 56.8));
    }

    [Fact]
    public void Find_CoinOnTheEdge_IsBridged()
    {
        TapeEdge tape = Assert.Single(Find((x, y) =>
            (x * x) + ((y + 40) * (y + 40)) < 64 ? (0.4, 0.36, 0.3) : y < -40 && y > -62 ? Blue : Plain()));

        Assert.Contains(tape.Samples, s => Math.Abs(s.S) < 4 && !s.Seen);
        Assert.All(tape.Samples, s => Assert.InRange(s.Q, 39.75, 40.25));
    }

    /// <summary>Blue at the top and yellow at the right: a named colour leaves only its own strip, any other none.</summary>
    [Theory]
    [InlineData(null, "top:blue right:yellow")]
    [InlineData("blue", "top:blue")]
    [InlineData("Yellow", "right:yellow")]
    [InlineData("#2F7FC1", "top:blue")]
    [InlineData("#F0D040", "right:yellow")]
    [InlineData("green", "")]
    [InlineData("pink", "")]
    [InlineData("#C83232", "")]
    public void Find_ColourNamed_LeavesOnlyItsOwnStrip(string? colour, string expected)
    {
        IReadOnlyList<TapeEdge> tapes = Find(TwoColours, colour is null ? null : TapeColours.Parse(colour)!);

        Assert.Equal(expected.Split(' ', StringSplitOptions.RemoveEmptyEntries).Order(), tapes.Select(t => $"{t.Side.Name()}:{t.Colour}").Order());
    }

    /// <summary>A named colour chooses, it does not move the edge.</summary>
    [Fact]
    public void Find_ColourNamed_ReadsTheSameEdge()
    {
        TapeEdge any = Find(TwoColours).Single(t => t.Side == Side.Right), named = Assert.Single(Find(TwoColours, TapeColours.Parse("yellow")));

        Assert.Equal(any.Samples, named.Samples);
    }

    [Fact]
    public void Find_WithTrace_DrawsTheEdgesOnTheOpening_AndFindsTheSame()
    {
        var trace = new Listener();
        Photograph photo = Draw(TwoColours);

        IReadOnlyList<TapeEdge> heard = TapeFinder.Find(photo, Frame, null, trace), alone = TapeFinder.Find(photo, Frame, null, NoTrace.Instance);

        Assert.Equal(alone.Select(t => (t.Side, t.Colour, t.AngleDegrees)), heard.Select(t => (t.Side, t.Colour, t.AngleDegrees)));
        Assert.Equal(alone.SelectMany(t => t.Samples), heard.SelectMany(t => t.Samples));

        Assert.Equal([(40, "tape")], trace.Records);
        (int number, string name, Pixels picture) = Assert.Single(trace.Pictures);
        Assert.Equal((40, "tape"), (number, name));

        // Three pixels a millimetre, the whole opening; the hoop's top at the top.
        Assert.Equal((3 * (int)Width, 3 * (int)Height, picture.Width * picture.Height * 3), (picture.Width, picture.Height, picture.Bgr.Length));
        Assert.True(IsRed(picture, 0, 38) && IsRed(picture, 60, 0), "the read edges are drawn in red where they lie");
        Assert.False(IsRed(picture, 0, 0));
        (byte b, byte g, byte r) = At(picture, 0, 48);
        Assert.True(b > g && g > r, $"the blue tape is blue: {b} {g} {r}");
    }

    private static (double R, double G, double B) TwoColours(double x, double y) => y is > 38 and < 60 ? Blue : x is > 60 and < 82 ? Yellow : Plain();

    private static IReadOnlyList<TapeEdge> Find(Func<double, double, (double R, double G, double B)> cloth, TapeColour? colour = null) =>
        TapeFinder.Find(Draw(cloth), Frame, colour, NoTrace.Instance);

    private static bool IsRed(Pixels flat, double x, double y)
    {
        // The edge is drawn at each of its samples, a millimetre apart: look along and across by that much.
        for (double dx = -1; dx <= 1; dx += 0.25)
        {
            for (double dy = -1; dy <= 1; dy += 0.25)
            {
                if (At(flat, x + dx, y + dy) is (0, 0, 255))
                {
                    return true;
                }
            }
        }

        return false;
    }

    private static (byte B, byte G, byte R) At(Pixels flat, double x, double y)
    {
        int i = (((int)Math.Round(((flat.Height - 1) / 2.0) - (3 * y)) * flat.Width) + (int)Math.Round(((flat.Width - 1) / 2.0) + (3 * x))) * 3;
        return (flat.Bgr[i], flat.Bgr[i + 1], flat.Bgr[i + 2]);
    }

    private sealed class Listener : ITrace
    {
        public List<(int, string)> Records { get; } = [];

        public List<(int, string, Pixels)> Pictures { get; } = [];

        public bool Wanted => true;

        public void Data(int number, string name, object record) => Records.Add((number, name));

        public void Picture(int number, string name, Pixels picture) => Pictures.Add((number, name, picture));
    }

    private static (double R, double G, double B) Plain() => White;

    private static (double R, double G, double B) Gingham(double x, double y) =>
        ((int)Math.Floor(x / 6) & 1) + ((int)Math.Floor(y / 6) & 1) is var n && n == 0 ? White : n == 1 ? Scale(White, 0.6) : Navy;

    private static (double R, double G, double B) Scale((double R, double G, double B) c, double k) => (c.R * k, c.G * k, c.B * k);

    private static Photograph Draw(Func<double, double, (double R, double G, double B)> cloth)
    {
        const int w = 600, h = 480, fine = 3;
        byte[] bgr = new byte[w * h * 3];
        Parallel.For(0, h, y =>
        {
            for (int x = 0; x < w; x++)
            {
                double r = 0, g = 0, b = 0;
                for (int k = 0; k < fine * fine; k++)
                {
                    var at = new PhotoPoint(x + (((k % fine) - 1) / (double)fine), y + (((k / fine) - 1) / (double)fine));
                    HoopPoint p = Camera.BackProject(at, DrawnAtMm)!.Value;
                    (double R, double G, double B) c = Math.Abs(p.X) < Width / 2 && Math.Abs(p.Y) < Height / 2 ? cloth(p.X, p.Y) : (0.5, 0.5, 0.5);
                    r += c.R;
                    g += c.G;
                    b += c.B;
                }

                int i = ((y * w) + x) * 3;
                (bgr[i], bgr[i + 1], bgr[i + 2]) = (Code(b), Code(g), Code(r));
            }
        });
        return new(new PhotoHeader("PNG", w, h, 1, null, null, null), new Pixels(bgr, w, h, 1));

        static byte Code(double sum)
        {
            double v = sum / (fine * fine);
            return (byte)Math.Round(255 * (v <= 0.0031308 ? 12.92 * v : (1.055 * Math.Pow(v, 1 / 2.4)) - 0.055));
        }
    }
}
