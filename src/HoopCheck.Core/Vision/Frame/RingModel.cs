using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.Vision.Frame;

/// <summary>Which line of the ring an edge point belongs to.</summary>
internal enum RingLine
{
    /// <summary>Where the inner wall meets the fabric: near z = 0, higher where a thick quilt climbs the wall.</summary>
    Foot,

    /// <summary>The lit edge of the ring's top on a side whose wall is seen: somewhere on the rounding.</summary>
    Top,

    /// <summary>The rounding's outline against the fabric on a side whose wall is hidden.</summary>
    Silhouette,

    /// <summary>The ring's outer top edge.</summary>
    Outer,
}

/// <summary>
/// Ring and camera as one vector of parameters, and where each line of the ring is then seen.
/// The inner wall rises from the foot, leaning outward by <see cref="TopOffset"/> over the ring's height, and ends in a quarter
/// ellipse (the rounding) of height <see cref="Rounding"/>. Sides bow outward as parabolas that vanish at the corners.
/// The shifts stand for what makes a whole line of edge points read to one side (contact shadow, print, glare): they are no part
/// of the ring, but leaving them out would make the fit believe too much in many points that err together.
/// </summary>
internal sealed class RingModel
{
    public const int Rotation = 0, Translation = 3, LogFocal = 6, K1 = 7, K2 = 8, Cx = 9, Cy = 10, Height = 11,
        Width = 12, Depth = 13, Bow = 14, TopOffset = 18, Rounding = 19, TopAngle = 20, FrameWidth = 24, FootShift = 25, RimShift = 29, OuterShift = 33, FootHeight = 37, Count = 38;

    public static readonly string[] Names =
    [
        "rotation.x", "rotation.y", "rotation.z", "translation.x", "translation.y", "translation.z", "log focal", "k1", "k2", "cx", "cy",
        "ring height", "opening width", "opening height", "bow left", "bow right", "bow top", "bow bottom",
        "top offset", "rounding", "top angle left", "top angle right", "top angle top", "top angle bottom", "frame width",
        "foot shift left", "foot shift right", "foot shift top", "foot shift bottom", "rim shift left", "rim shift right", "rim shift top", "rim shift bottom",
        "outer shift left", "outer shift right", "outer shift top", "outer shift bottom", "foot height",
    ];

    /// <summary>How far up the wall the cloth is expected to climb, mm: common practice is flat cloth, thick quilts rise 0.4 to 2 mm.</summary>
    private const double UsualFootHeight = 0.1;

    private readonly double[] baseRotation;

    public RingModel(double[] baseRotation, double cornerRadius, double baseCx, double baseCy)
    {
        this.baseRotation = baseRotation;
        CornerRadius = cornerRadius;
        BaseCx = baseCx;
        BaseCy = baseCy;
    }

    public double CornerRadius { get; }

    public double BaseCx { get; }

    public double BaseCy { get; }

    /// <summary>The camera these parameters mean. Principal point parameters are offsets from the picture's centre, px.</summary>
    public CameraPose Camera(double[] p)
    {
        double[] r = Multiply(RotationOf(p[0], p[1], p[2]), baseRotation);
        return new(Math.Exp(p[LogFocal]), BaseCx + p[Cx], BaseCy + p[Cy], p[K1], p[K2], r, [p[3], p[4], p[5]]);
    }

    public static double HalfExtent(double[] p, Side side) => (side is Side.Left or Side.Right ? p[Width] : p[Depth]) / 2;

    public static double Length(double[] p, Side side) => side is Side.Left or Side.Right ? p[Depth] : p[Width];

    public static double BowAt(double[] p, Side side, double s)
    {
        double u = 2 * s / Length(p, side);
        return p[Bow + (int)side] * Math.Max(0, 1 - (u * u));
    }

    /// <summary>Outward position and height of a ring line at <paramref name="s"/> along a side, mm.</summary>
    public static (double Q, double Z) LineAt(double[] p, in (double X, double Y, double Z) eye, Side side, RingLine line, double s)
    {
        double half = HalfExtent(p, side) + BowAt(p, side, s), h = p[Height];
        switch (line)
        {
            case RingLine.Foot:
                return (half + p[FootShift + (int)side] + (p[TopOffset] * p[FootHeight] / h), p[FootHeight]);
            case RingLine.Outer:
                return (half + p[TopOffset] + p[FrameWidth] + p[OuterShift + (int)side], h);
            default:
                double bv = p[Rounding], lean = p[TopOffset] / h, ax = bv * (1 + lean);
                double alpha = AngleOf(p, eye, side, line, s), shift = p[RimShift + (int)side];
                return (half + shift + ((h - bv) * lean) + (ax * (1 - Math.Cos(alpha))), h - bv + (bv * Math.Sin(alpha)));
        }
    }

    /// <summary>Where on the rounding a top line or an outline is seen: angle from its inner end, radians.</summary>
    public static double AngleOf(double[] p, in (double X, double Y, double Z) eye, Side side, RingLine line, double s)
    {
        if (line == RingLine.Top)
        {
            return p[TopAngle + (int)side];
        }

        HoopVector n = side.Normal();
        double beyond = (eye.X * n.X) + (eye.Y * n.Y) - HalfExtent(p, side) - BowAt(p, side, s) - p[TopOffset];
        return Math.Atan2(p[Rounding] * Math.Max(0, beyond), p[Rounding] * (1 + (p[TopOffset] / p[Height])) * (eye.Z - p[Height]));
    }

    /// <summary>Apparent width of the inner wall, seen in the plane of the ring's top, mm; negative when the wall is hidden.</summary>
    public static double WallWidth(double[] p, in (double X, double Y, double Z) eye, Side side)
    {
        HoopVector n = side.Normal();
        double half = HalfExtent(p, side), h = p[Height];
        double nadir = (eye.X * n.X) + (eye.Y * n.Y);

        // A point of the fabric is seen in the plane z = h at N + (P - N)(H - h)/H.
        double footSeen = nadir + ((half - nadir) * (eye.Z - h) / eye.Z);
        return half + p[TopOffset] - footSeen;
    }

    public static double[] Multiply(double[] a, double[] b)
    {
        double[] c = new double[9];
        for (int i = 0; i < 3; i++)
        {
            for (int j = 0; j < 3; j++)
            {
                c[(3 * i) + j] = (a[3 * i] * b[j]) + (a[(3 * i) + 1] * b[3 + j]) + (a[(3 * i) + 2] * b[6 + j]);
            }
        }

        return c;
    }

    /// <summary>Rotation matrix of a rotation vector (Rodrigues' formula), radians.</summary>
    public static double[] RotationOf(double x, double y, double z)
    {
        double angle = Math.Sqrt((x * x) + (y * y) + (z * z));
        double s = angle < 1e-9 ? 1 - (angle * angle / 6) : Math.Sin(angle) / angle;
        double c = angle < 1e-6 ? 0.5 - (angle * angle / 24) : (1 - Math.Cos(angle)) / (angle * angle);
        return
        [
            1 - (c * ((y * y) + (z * z))), (c * x * y) - (s * z), (c * x * z) + (s * y),
            (c * x * y) + (s * z), 1 - (c * ((x * x) + (z * z))), (c * y * z) - (s * x),
            (c * x * z) - (s * y), (c * y * z) + (s * x), 1 - (c * ((x * x) + (y * y))),
        ];
    }

    /// <summary>Start values: the spec's ring, the given camera.</summary>
    public double[] Start(CameraPose camera, HoopSpec hoop)
    {
        double[] p = new double[Count];
        p[3] = camera.T[0];
        p[4] = camera.T[1];
        p[5] = camera.T[2];
        p[LogFocal] = Math.Log(camera.Focal);
        p[K1] = camera.K1;
        p[K2] = camera.K2;
        p[Cx] = camera.Cx - BaseCx;
        p[Cy] = camera.Cy - BaseCy;
        p[Height] = hoop.FrameHeight;
        p[Width] = hoop.OpeningWidth;
        p[Depth] = hoop.OpeningHeight;
        p[TopOffset] = 0.4;
        p[Rounding] = 1.3;
        for (int i = 0; i < 4; i++)
        {
            p[TopAngle + i] = 0.7;
        }

        p[FrameWidth] = hoop.FrameWidth ?? 20;
        p[FootHeight] = UsualFootHeight;
        return p;
    }
}
