using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.Checking;

/// <summary>A rectangle against a tape's edge: along the side's normal over the straight part of the facing edge, and at round corners beside it.</summary>
internal static class RectangleClearance
{
    /// <summary>Places looked at between two samples beside a round corner: a curve of 5 mm then costs less than 0.01 mm.</summary>
    private const int CornerPieces = 4;

    /// <summary>Reads one side.</summary>
    /// <param name="tape">The tape's whole edge.</param>
    /// <param name="facing">The samples opposite to the straight part; at least one.</param>
    /// <param name="fill">The rectangle.</param>
    public static Reading Measure(TapeEdge tape, List<TapeSample> facing, PlannedFill fill)
    {
        EdgeLine edge = fill.FacingLine(tape.Side);
        var gaps = new List<Gap>(facing.Count);
        double min = double.PositiveInfinity, nearest = double.PositiveInfinity;
        TapeSample narrowest = facing[0];
        (double sin, double cos) = Math.SinCos(fill.TurnDegrees * Math.PI / 180);
        foreach (TapeSample sample in facing)
        {
            double gap = sample.Q - edge.At(sample.S);
            gaps.Add(new(sample.S, gap));
            nearest = Math.Min(nearest, Distance(sample));
            if (gap < min)
            {
                (min, narrowest) = (gap, sample);
            }
        }

        if (fill.CornerRadius > 0)
        {
            Corners();
        }

        return new(gaps, min, narrowest, nearest, min);

        // Where tape slants towards a corner, the smallest gap lies on the corner's curve.
        void Corners()
        {
            double r = fill.CornerRadius;
            (double from, double to) = fill.FacingStretch(tape.Side);
            double lean = 1 / Math.Sqrt(1 + (edge.Slope * edge.Slope));
            for (int i = 1; i < tape.Samples.Count; i++)
            {
                TapeSample a = tape.Samples[i - 1], b = tape.Samples[i];
                if (a.Seen && b.Seen && double.IsFinite(a.Q + b.Q) && (a.S < from || b.S > to))
                {
                    for (int k = 0; k <= CornerPieces; k++)
                    {
                        double part = (double)k / CornerPieces;
                        Corner(a with { S = a.S + (part * (b.S - a.S)), Q = a.Q + (part * (b.Q - a.Q)) });
                    }
                }
            }

            void Corner(TapeSample sample)
            {
                double end = sample.S < from ? from : sample.S > to ? to : double.NaN;

                // The corner's middle: a radius inward from the end of the straight part.
                double qc = edge.At(end) - (r * lean), sc = end + (r * lean * edge.Slope), along = sample.S - sc;
                if (Math.Abs(along) < r)
                {
                    double gap = sample.Q - (qc + Math.Sqrt((r * r) - (along * along)));
                    nearest = Math.Min(nearest, Distance(sample));
                    if (gap < min)
                    {
                        (min, narrowest) = (gap, sample);
                    }
                }
            }
        }

        // The signed distance of a point from a rectangle with round corners, negative inside.
        double Distance(TapeSample sample)
        {
            HoopVector d = tape.Side.At(sample.Q, sample.S) - fill.Centre;
            double x = Math.Abs((d.X * cos) + (d.Y * sin)) - (fill.Width / 2) + fill.CornerRadius;
            double y = Math.Abs((d.Y * cos) - (d.X * sin)) - (fill.Height / 2) + fill.CornerRadius;
            double ox = Math.Max(x, 0), oy = Math.Max(y, 0);
            return Math.Sqrt((ox * ox) + (oy * oy)) + Math.Min(Math.Max(x, y), 0) - fill.CornerRadius;
        }
    }
}
