using HoopCheck.Geometry;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Vision.Tape;

/// <summary>
/// A band of the photo along a coarse edge, unrolled: columns every <see cref="StepS"/> mm along the side, rows every <see cref="StepQ"/> mm
/// outward, linear light. What the ring hides, what lies within <see cref="EndMargin"/> of it and what is out of the picture is not valid.
/// </summary>
internal sealed class Unrolled
{
    /// <summary>mm along the side.</summary>
    public const double StepS = 1;

    /// <summary>Left out beside the ring, where its wall throws a shadow, mm.</summary>
    private const double EndMargin = 3;

    /// <summary>Reach of the band on either side of the coarse edge, mm.</summary>
    private const double Reach = 9;

    public Unrolled(LinearSampler sampler, FrameFit frame, ClothHeight height, Strip strip)
    {
        Strip = strip;
        PxMm = 1 / frame.PxPerMm;
        StepQ = Math.Clamp(0.5 * PxMm * sampler.PerPixel, 0.05, 0.2);
        bool upright = strip.Side is Side.Left or Side.Right;
        double half = (upright ? frame.Ring.OpeningHeight : frame.Ring.OpeningWidth) / 2;
        Half = half;
        double from = Math.Max(-half + EndMargin, strip.From < -half + 20 ? -half : strip.From - 8);
        double to = Math.Min(half - EndMargin, strip.To > half - 20 ? half : strip.To + 8);
        Columns = Math.Max(1, (int)Math.Floor((to - from) / StepS) + 1);
        S = new double[Columns];
        Zero = (int)(Reach / StepQ);
        Rows = (2 * Zero) + 1;
        R = new float[Columns * Rows];
        G = new float[Columns * Rows];
        B = new float[Columns * Rows];
        Valid = new bool[Columns * Rows];
        (double X, double Y, double Z) eye = frame.Camera.Centre;
        for (int c = 0; c < Columns; c++)
        {
            S[c] = from + (c * StepS);
            for (int r = 0; r < Rows; r++)
            {
                HoopPoint at = strip.Side.At(Q(c, r), S[c]);
                int i = (c * Rows) + r;
                double z = height.At(at);
                Valid[i] = InOpening(at, frame.Ring, 1.5) && !Hidden(at, z, eye, frame.Ring)
                    && frame.Camera.Project(at, z) is { } p && sampler.Sample(p.X, p.Y, out R[i], out G[i], out B[i]);
            }
        }
    }

    public Strip Strip { get; }

    /// <summary>mm on the cloth a full-size pixel spans at the centre.</summary>
    public double PxMm { get; }

    public double StepQ { get; }

    /// <summary>Half the side's length, mm.</summary>
    public double Half { get; }

    public int Columns { get; }

    public int Rows { get; }

    /// <summary>The row of the coarse edge.</summary>
    public int Zero { get; }

    public double[] S { get; }

    public float[] R { get; }

    public float[] G { get; }

    public float[] B { get; }

    public bool[] Valid { get; }

    /// <summary>Outward distance of a place in the band, mm.</summary>
    public double Q(int column, double row) => Strip.Q0 + (Strip.Slope * S[column]) + ((row - Zero) * StepQ);

    private static bool InOpening(HoopPoint p, RingShape ring, double margin)
    {
        double x = (ring.OpeningWidth / 2) - margin - Math.Abs(p.X), y = (ring.OpeningHeight / 2) - margin - Math.Abs(p.Y);
        double r = ring.CornerRadius;
        if (x < 0 || y < 0)
        {
            return false;
        }

        return x >= r || y >= r || ((r - x) * (r - x)) + ((r - y) * (r - y)) <= r * r;
    }

    /// <summary>Whether the line of sight meets the ring.</summary>
    private static bool Hidden(HoopPoint p, double z, in (double X, double Y, double Z) eye, RingShape ring)
    {
        double t = (ring.Height - z) / (eye.Z - z);
        return !InOpening(new(p.X + (t * (eye.X - p.X)), p.Y + (t * (eye.Y - p.Y))), ring, 0.5);
    }
}
