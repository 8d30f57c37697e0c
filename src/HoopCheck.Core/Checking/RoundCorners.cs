using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.Checking;

/// <summary>A rectangle's round corners beside the straight part of its facing edge: where tape slants towards one, the smallest gap lies on its curve.</summary>
internal static class RoundCorners
{
    /// <summary>Places looked at between two samples: a curve of 5 mm then costs less than 0.01 mm.</summary>
    private const int Pieces = 4;

    /// <summary>The smallest gap along the side's normal at the corners.</summary>
    /// <param name="sound">The tape's samples, by rising S.</param>
    /// <param name="side">The tape's side.</param>
    /// <param name="fill">The rectangle.</param>
    /// <param name="below">Gaps that are not smaller are of no interest, mm.</param>
    /// <returns>The gap and its place, or null where none is smaller.</returns>
    public static (double Mm, TapeSample Sample)? Narrowest(ReadOnlySpan<TapeSample> sound, Side side, PlannedFill fill, double below)
    {
        (double Mm, TapeSample Sample)? narrowest = null;
        EdgeLine edge = fill.FacingLine(side);
        double r = fill.CornerRadius, lean = 1 / Math.Sqrt(1 + (edge.Slope * edge.Slope));
        (double from, double to) = fill.FacingStretch(side);
        for (int i = 1; i < sound.Length; i++)
        {
            TapeSample a = sound[i - 1], b = sound[i];
            if (!a.Seen || !b.Seen || (a.S >= from && b.S <= to) || b.S < from - r || a.S > to + r)
            {
                continue;
            }

            for (int k = 0; k <= Pieces; k++)
            {
                TapeSample at = ClearanceCheck.Between(a, b, a.S + ((double)k / Pieces * (b.S - a.S)), double.PositiveInfinity);
                double end = at.S < from ? from : at.S > to ? to : double.NaN;

                // The corner's middle: a radius inward from the end of the straight part.
                double qc = edge.At(end) - (r * lean), along = at.S - (end + (r * lean * edge.Slope));
                if (Math.Abs(along) < r && at.Q - (qc + Math.Sqrt((r * r) - (along * along))) is var gap && gap < below)
                {
                    (below, narrowest) = (gap, (gap, at));
                }
            }
        }

        return narrowest;
    }

    /// <summary>The signed distance of a point from a rectangle, round corners counted, negative inside, mm.</summary>
    public static double Distance(PlannedFill fill, HoopPoint p)
    {
        (double sin, double cos) = Math.SinCos(fill.TurnDegrees * Math.PI / 180);
        HoopVector d = p - fill.Centre;
        double x = Math.Abs((d.X * cos) + (d.Y * sin)) - (fill.Width / 2) + fill.CornerRadius;
        double y = Math.Abs((d.Y * cos) - (d.X * sin)) - (fill.Height / 2) + fill.CornerRadius;
        double ox = Math.Max(x, 0), oy = Math.Max(y, 0);
        return Math.Sqrt((ox * ox) + (oy * oy)) + Math.Min(Math.Max(x, y), 0) - fill.CornerRadius;
    }
}
