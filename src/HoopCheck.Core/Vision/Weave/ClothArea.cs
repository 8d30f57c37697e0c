using HoopCheck.Checking;

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

    /// <summary>Half the width of the rounded rectangle, less a margin, at a height y; negative outside it, mm.</summary>
    public double HalfAt(double y, double margin)
    {
        double down = (Height / 2) - margin - Math.Abs(y);
        if (down < 0)
        {
            return -1;
        }

        double cut = down < CornerRadius ? CornerRadius - Math.Sqrt((CornerRadius * CornerRadius) - ((CornerRadius - down) * (CornerRadius - down))) : 0;
        return (Width / 2) - margin - cut;
    }
}
