using HoopCheck.Checking;
using HoopCheck.Geometry;

namespace HoopCheck.Vision.Weave;

/// <summary>Which part of the cloth may be looked at, in mm of the plane it lies in.</summary>
/// <param name="Camera">Camera that sees the plane.</param>
/// <param name="Width">Along x.</param>
/// <param name="Height">Along y.</param>
/// <param name="CornerRadius">Of the corners.</param>
/// <param name="Margin">Left out along the border: the ring's wall reflects there and throws its shadow.</param>
/// <param name="RingHeight">Height of what stands around it and may hide it; 0: nothing does.</param>
/// <param name="ClothHeight">Mean height of the cloth above the plane, mm.</param>
/// <param name="Tapes">Tape edges; what lies beyond them is left out.</param>
internal sealed record ClothArea(
    CameraPose Camera, double Width, double Height, double CornerRadius, double Margin, double RingHeight, double ClothHeight,
    IReadOnlyList<TapeEdge> Tapes)
{
    /// <summary>Mean puff of the cloth in a hoop, mm: own estimate for quilts of usual loft.</summary>
    private const double Puff = 0.2;

    /// <summary>The cloth inside a hoop.</summary>
    public static ClothArea Of(FrameFit frame, IReadOnlyList<TapeEdge> tapes) => new(
        frame.Camera, frame.Ring.OpeningWidth, frame.Ring.OpeningHeight, frame.Ring.CornerRadius,
        Math.Min(6, 0.04 * Math.Min(frame.Ring.OpeningWidth, frame.Ring.OpeningHeight)), frame.Ring.Height, Puff, tapes);

    /// <summary>A photo of cloth alone: its long side counts as 400 mm, x right, y up, seen squarely from above.</summary>
    public static ClothArea Of(PhotoHeader photo)
    {
        const double LongSide = 400, Distance = 1000;
        double perMm = Math.Max(photo.Width, photo.Height) / LongSide;
        var camera = new CameraPose(perMm * Distance, (photo.Width - 1) / 2.0, (photo.Height - 1) / 2.0, 0, 0, [1, 0, 0, 0, -1, 0, 0, 0, -1], [0, 0, Distance]);
        return new(camera, photo.Width / perMm, photo.Height / perMm, 0, LongSide * 0.01, 0, 0, []);
    }

    /// <summary>For each cell whether the place may be looked at.</summary>
    public bool Holds(double x, double y, in (double X, double Y, double Z) eye)
    {
        if (!Within(x, y, Margin))
        {
            return false;
        }

        // The line of sight passes the ring's top further towards the camera.
        double t = RingHeight / eye.Z;
        if (RingHeight > 0 && !Within(x + (t * (eye.X - x)), y + (t * (eye.Y - y)), 1))
        {
            return false;
        }

        return true;
    }

    /// <summary>Outward distance of each tape's edge along its side, every millimetre from the side's most negative end.</summary>
    public IReadOnlyList<(HoopVector Normal, HoopVector Along, double First, double[] Q)> TapeLimits()
    {
        // Edges are read to a tenth of a millimetre; the rest is the tape's own shadow.
        const double Clear = 1.5;
        var limits = new List<(HoopVector, HoopVector, double, double[])>();
        foreach (TapeEdge tape in Tapes.Where(tape => tape.Samples.Count > 1))
        {
            double half = (Math.Max(Width, Height) / 2) + 2;
            double[] q = new double[(int)(2 * half) + 2];
            IReadOnlyList<TapeSample> samples = tape.Samples;
            for (int i = 0, k = 0; i < q.Length; i++)
            {
                double s = i - half;
                while (k < samples.Count - 2 && samples[k + 1].S < s)
                {
                    k++;
                }

                TapeSample a = samples[k], b = samples[k + 1];
                double share = b.S > a.S ? Math.Clamp((s - a.S) / (b.S - a.S), 0, 1) : 0;
                q[i] = a.Q + (share * (b.Q - a.Q)) - Clear;
            }

            limits.Add((tape.Side.Normal(), tape.Side.Along(), -half, q));
        }

        return limits;
    }

    private bool Within(double x, double y, double margin)
    {
        double dx = (Width / 2) - margin - Math.Abs(x), dy = (Height / 2) - margin - Math.Abs(y);
        double r = CornerRadius;
        return dx >= 0 && dy >= 0 && (dx >= r || dy >= r || ((r - dx) * (r - dx)) + ((r - dy) * (r - dy)) <= r * r);
    }
}
