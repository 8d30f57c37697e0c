using HoopCheck.Checking;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>Some lines of the fabric as measured, each beside the straight line it would be if the fabric lay straight, for the eye to compare.</summary>
internal static class WeaveLines
{
    /// <summary>A line of the fabric, as measured.</summary>
    public static readonly SKColor Measured = Palette.ReddishPurple;

    /// <summary>The straight grid: thin and half clear, so that the fabric is seen through it.</summary>
    public static readonly SKColor Straight = SKColors.White.WithAlpha(0xC0);

    /// <summary>Draws both over the opening.</summary>
    /// <param name="overlay">Drawn on.</param>
    /// <param name="weave">The measure.</param>
    /// <param name="stroke">Width of a line, px.</param>
    public static void Draw(Overlay overlay, WeaveMeasure weave, float stroke)
    {
        foreach (IReadOnlyList<HoopPoint> line in weave.Lines)
        {
            HoopPoint middle = line[line.Count / 2];
            bool upright = Math.Abs(line[^1].Y - line[0].Y) > Math.Abs(line[^1].X - line[0].X);
            HoopPoint[] straight = upright
                ? [new(middle.X, -weave.HeightMm / 2), new(middle.X, weave.HeightMm / 2)]
                : [new(-weave.WidthMm / 2, middle.Y), new(weave.WidthMm / 2, middle.Y)];
            overlay.Line(straight, Straight, stroke * 0.5f, [3f, 3f]);
            overlay.Line(line, Measured, stroke * 0.7f);
        }
    }
}
