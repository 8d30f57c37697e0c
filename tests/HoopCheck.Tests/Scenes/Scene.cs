using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Vision;

namespace HoopCheck.Tests.Scenes;

/// <summary>A surface colour in linear light (not sRGB codes), each part 0 to 1.</summary>
public readonly record struct Paint(double R, double G, double B)
{
    public static Paint White => new(0.74, 0.73, 0.70);

    public static Paint Grey => new(0.42, 0.43, 0.44);

    public static Paint Blue => new(0.03, 0.14, 0.42);

    public static Paint Green => new(0.05, 0.36, 0.11);

    public static Paint Yellow => new(0.80, 0.60, 0.05);

    public static Paint Pink => new(0.80, 0.25, 0.36);

    public static Paint Linen => new(0.55, 0.52, 0.45);

    public static Paint Skin => new(0.55, 0.30, 0.20);

    public static Paint Dark => new(0.03, 0.03, 0.035);

    public static Paint operator *(Paint p, double k) => new(p.R * k, p.G * k, p.B * k);
}

/// <summary>What is printed on the fabric.</summary>
public enum PatternKind
{
    /// <summary>One colour.</summary>
    Plain,

    /// <summary>Stripes along the fabric's lengthwise direction.</summary>
    Stripes,

    /// <summary>Broad and narrow stripes both ways, mixing where they cross.</summary>
    Plaid,

    /// <summary>Squares of both colours.</summary>
    Checks,

    /// <summary>Round dots on a square grid.</summary>
    Dots,
}

/// <summary>The fabric: flat, at z = 0, over the whole picture.</summary>
/// <param name="Kind">The pattern.</param>
/// <param name="Ground">Colour between the pattern.</param>
/// <param name="Print">Colour of the pattern.</param>
/// <param name="PeriodMm">Distance after which the pattern repeats.</param>
/// <param name="AngleDegrees">The lengthwise direction, counter-clockwise from the hoop's y axis.</param>
public sealed record Fabric(PatternKind Kind, Paint Ground, Paint Print, double PeriodMm = 24, double AngleDegrees = 0);

/// <summary>A strip of tape on the fabric inside the opening.</summary>
/// <param name="Side">The side it belongs to.</param>
/// <param name="Q0">Distance of its inner edge from the centre, at s = 0, mm.</param>
/// <param name="AngleDegrees">Counter-clockwise from the side's own direction, as in <see cref="Checking.TapeEdge"/>.</param>
/// <param name="WidthMm">Its breadth.</param>
/// <param name="Colour">Its colour.</param>
/// <param name="WaveMm">Half the height of a sine wave on the inner edge.</param>
/// <param name="WaveLengthMm">That wave's length.</param>
/// <param name="From">Where it begins along the side; by default at the wall.</param>
/// <param name="To">Where it ends along the side; by default at the wall.</param>
public sealed record Tape(
    Side Side,
    double Q0,
    double AngleDegrees,
    double WidthMm,
    Paint Colour,
    double WaveMm = 0,
    double WaveLengthMm = 90,
    double From = double.NegativeInfinity,
    double To = double.PositiveInfinity)
{
    /// <summary>The inner edge's distance from the hoop's centre at place s along the side: the exact answer.</summary>
    public double InnerEdge(double s)
    {
        HoopVector n = Side.Normal(), t = Side.Along();
        double handed = (t.X * n.Y) - (t.Y * n.X);
        return Q0 + (handed * Math.Tan(AngleDegrees * Math.PI / 180) * s) + (WaveMm * Math.Sin(2 * Math.PI * s / WaveLengthMm));
    }
}

/// <summary>Something that lies over the ring: a finger, a clip. A flat shape round a line, at one height.</summary>
/// <param name="From">One end of its middle line.</param>
/// <param name="To">The other end.</param>
/// <param name="RadiusMm">Half its breadth.</param>
/// <param name="HeightMm">Above the fabric.</param>
/// <param name="Colour">Its colour; darker towards its edges, as round things are.</param>
public sealed record Cover(HoopPoint From, HoopPoint To, double RadiusMm, double HeightMm, Paint Colour)
{
    /// <summary>Distance from the middle line as a share of the radius.</summary>
    public double Outward(double x, double y)
    {
        HoopVector along = To - From;
        double length = Math.Max(1e-9, (along.X * along.X) + (along.Y * along.Y));
        double t = Math.Clamp((((x - From.X) * along.X) + ((y - From.Y) * along.Y)) / length, 0, 1);
        double dx = x - From.X - (t * along.X), dy = y - From.Y - (t * along.Y);
        return Math.Sqrt((dx * dx) + (dy * dy)) / RadiusMm;
    }
}

/// <summary>A card of ISO/IEC 7810 size ID-1 lying on the fabric: 85.60 by 53.98 mm, corners rounded to 3.18 mm, 0.76 mm thick.</summary>
/// <param name="Centre">Its middle.</param>
/// <param name="AngleDegrees">Of its long sides, counter-clockwise from x.</param>
/// <param name="Colour">Its colour.</param>
public sealed record Card(HoopPoint Centre, double AngleDegrees, Paint Colour)
{
    public const double Thick = 0.76;

    /// <summary>Whether a place lies on it.</summary>
    public bool Covers(double x, double y)
    {
        const double Half = 85.60 / 2, HalfShort = 53.98 / 2, Corner = 3.18;
        (double sin, double cos) = Math.SinCos(AngleDegrees * Math.PI / 180);
        double dx = x - Centre.X, dy = y - Centre.Y, u = Math.Abs((dx * cos) + (dy * sin)), v = Math.Abs((dy * cos) - (dx * sin));
        double cu = Math.Max(0, u - (Half - Corner)), cv = Math.Max(0, v - (HalfShort - Corner));
        return u <= Half && v <= HalfShort && (cu * cu) + (cv * cv) <= Corner * Corner;
    }
}

/// <summary>The ring's shadow on the fabric: the ring's outline moved by <paramref name="X"/>, <paramref name="Y"/> (mm), with a soft border.</summary>
/// <param name="SoftMm">From full light to full shadow.</param>
/// <param name="Depth">Share of the light that is missing.</param>
public sealed record Shadow(double X, double Y, double SoftMm, double Depth);

/// <summary>The ring as it really is, mm. The attachment bar stands at its left, 0.4 heights long and 25 mm deep, as high as the ring.</summary>
/// <param name="OpeningWidth">At the fabric, corner to corner, bow not counted.</param>
/// <param name="OpeningHeight">At the fabric, corner to corner, bow not counted.</param>
/// <param name="CornerRadius">At the fabric.</param>
/// <param name="Width">Breadth of the top.</param>
/// <param name="Height">Of the top above the fabric.</param>
/// <param name="DraftDegrees">How much the inner wall leans outward.</param>
/// <param name="BevelMm">Breadth of a brighter strip along the top's inner edge; it is flat, only its shade differs.</param>
/// <param name="Bow">Outward displacement at the middle of each side, indexed by (int)Side; a parabola that is 0 at the corners.</param>
/// <param name="Colour">Its colour.</param>
public sealed record Ring(
    double OpeningWidth,
    double OpeningHeight,
    double CornerRadius,
    double Width,
    double Height,
    double DraftDegrees = 0,
    double BevelMm = 0,
    double[]? Bow = null,
    Paint? Colour = null)
{
    public double TopOffset => Height * Math.Tan(DraftDegrees * Math.PI / 180);

    /// <summary>
    /// Signed distance (outside positive; exact on straight unbowed stretches) to the opening's outline moved outward by <paramref name="offset"/>.
    /// </summary>
    public double Outside(double x, double y, double offset)
    {
        double u = 2 * x / OpeningWidth, v = 2 * y / OpeningHeight;
        double bowX = Bow is null ? 0 : Bow[(int)(x < 0 ? Side.Left : Side.Right)] * Math.Max(0, 1 - (v * v));
        double bowY = Bow is null ? 0 : Bow[(int)(y < 0 ? Side.Bottom : Side.Top)] * Math.Max(0, 1 - (u * u));
        double r = CornerRadius + offset;
        double ax = Math.Abs(x) - ((OpeningWidth / 2) + bowX + offset - r), ay = Math.Abs(y) - ((OpeningHeight / 2) + bowY + offset - r);
        double mx = Math.Max(ax, 0), my = Math.Max(ay, 0);
        return Math.Sqrt((mx * mx) + (my * my)) + Math.Min(Math.Max(ax, ay), 0) - r;
    }
}

/// <summary>
/// A flat test scene whose every answer is known exactly, because the picture is made from the answers. Nothing is
/// simulated beyond what the tests need: no puff, no reflections, a shadow only where asked for. Coordinates are the library's: hoop millimetres
/// (x right, y up, z up from the fabric, origin at the centre of the opening) and photo pixels (x right, y down, centre of
/// the top-left pixel at 0, 0).
/// </summary>
public sealed record Scene(Ring Ring, Fabric Fabric, IReadOnlyList<Tape> Tapes, CameraPose Camera, int PhotoWidth, int PhotoHeight)
{
    /// <summary>Brightness rises by this share for every 100 mm along x and falls by half of it along y.</summary>
    public double LightGradient { get; init; }

    /// <summary>All light is multiplied by this.</summary>
    public double Exposure { get; init; } = 1;

    /// <summary>Gaussian standard deviation of the lens's blur, px, applied in linear light.</summary>
    public double BlurPx { get; init; } = 0.7;

    /// <summary>Standard deviation of the noise, sRGB codes.</summary>
    public double NoiseCodes { get; init; } = 1;

    /// <summary>Cards on the fabric.</summary>
    public IReadOnlyList<Card> Cards { get; init; } = [];

    /// <summary>What lies over the ring.</summary>
    public IReadOnlyList<Cover> Covers { get; init; } = [];

    /// <summary>The ring's shadow; null: none.</summary>
    public Shadow? Shadow { get; init; }

    /// <summary>35 mm equivalent focal length in the header; null: none.</summary>
    public double? Focal35Mm { get; init; }

    /// <summary>The smallest and largest clearance of a fill on a taped side, sampled every 0.1 mm of the facing edge.</summary>
    public (double Min, double Max) Clearance(PlannedFill fill, Side side)
    {
        Tape tape = Tapes.First(t => t.Side == side);
        (double from, double to) = fill.FacingStretch(side);
        double edge = fill.FacingEdge(side), min = double.MaxValue, max = double.MinValue;
        int steps = (int)Math.Ceiling((to - from) / 0.1);
        for (int i = 0; i <= steps; i++)
        {
            double c = tape.InnerEdge(from + ((to - from) * i / steps)) - edge;
            (min, max) = (Math.Min(min, c), Math.Max(max, c));
        }

        return (min, max);
    }

    /// <summary>The hoop file a person would write: everything measured with the given error of the ruler.</summary>
    public HoopSpec Measured(double widthError = 0, double heightError = 0, double frameHeightError = 0) => new(
        "scene",
        Ring.OpeningWidth + widthError,
        Ring.OpeningHeight + heightError,
        Ring.Height + frameHeightError,
        Ring.CornerRadius,
        Ring.Width,
        Ring.OpeningWidth - 10,
        Ring.OpeningHeight - 10);
}

/// <summary>Cameras that look at the hoop.</summary>
public static class Cameras
{
    /// <summary>A camera whose axis meets the fabric at the target.</summary>
    /// <param name="heightMm">Height of its centre above the fabric.</param>
    /// <param name="tiltDegrees">Between axis and vertical.</param>
    /// <param name="azimuthDegrees">Where it stands, seen from the target: counter-clockwise from hoop x.</param>
    /// <param name="rollDegrees">Turn about the axis; at 0 and without tilt the hoop's top is at the picture's top.</param>
    public static CameraPose LookingAt(
        HoopPoint target, double heightMm, double tiltDegrees, double azimuthDegrees, double rollDegrees, double focal, int width, int height, double k1 = 0, double k2 = 0)
    {
        double tilt = tiltDegrees * Math.PI / 180, azimuth = azimuthDegrees * Math.PI / 180, roll = rollDegrees * Math.PI / 180;
        double away = heightMm * Math.Tan(tilt);
        double[] centre = [target.X + (away * Math.Cos(azimuth)), target.Y + (away * Math.Sin(azimuth)), heightMm];
        double[] forward = [-Math.Sin(tilt) * Math.Cos(azimuth), -Math.Sin(tilt) * Math.Sin(azimuth), -Math.Cos(tilt)];

        // right = forward x hoop-y, down = forward x right: at tilt 0 these are +x and -y.
        double[] right = Unit([-forward[2], 0, forward[0]]);
        double[] down = Cross(forward, right);
        double c = Math.Cos(roll), s = Math.Sin(roll);
        double[] x = [.. right.Zip(down, (a, b) => (c * a) + (s * b))];
        double[] y = [.. right.Zip(down, (a, b) => (c * b) - (s * a))];
        double[] r = [.. x, .. y, .. forward];
        double[] t = [-Dot(x, centre), -Dot(y, centre), -Dot(forward, centre)];
        return new(focal, (width - 1) / 2.0, (height - 1) / 2.0, k1, k2, r, t);
    }

    private static double Dot(double[] a, double[] b) => (a[0] * b[0]) + (a[1] * b[1]) + (a[2] * b[2]);

    private static double[] Unit(double[] a)
    {
        double length = Math.Sqrt(Dot(a, a));
        return [a[0] / length, a[1] / length, a[2] / length];
    }

    private static double[] Cross(double[] a, double[] b) =>
        [(a[1] * b[2]) - (a[2] * b[1]), (a[2] * b[0]) - (a[0] * b[2]), (a[0] * b[1]) - (a[1] * b[0])];
}
