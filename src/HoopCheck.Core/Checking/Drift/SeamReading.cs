using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;

namespace HoopCheck.Checking.Drift;

/// <summary>What one photo tells of the seam between its fill and a neighbour's, as seen from the fill.</summary>
/// <param name="Hooping">Number of the hooping in the photo.</param>
/// <param name="Side">The side of the <em>quilt</em> that the neighbour lies at.</param>
/// <param name="GapMm">From the middle of the fill's edge along its normal to the neighbour's edge, mm; negative: they overlap.</param>
/// <param name="GapSigma">Its standard uncertainty, mm, the laying of the tape included.</param>
/// <param name="TurnDegrees">How far the neighbour's edge is turned against the fill's, counter-clockwise.</param>
/// <param name="TurnSigma">Its standard uncertainty, degrees.</param>
public sealed record SeamReading(int Hooping, Side Side, double GapMm, double GapSigma, double TurnDegrees, double TurnSigma)
{
    /// <summary>Reads a seam from a tape's edge.</summary>
    /// <param name="hooping">The plan's.</param>
    /// <param name="fill">The fill as stitched, in hoop coordinates; of a free shape its rectangle counts.</param>
    /// <param name="side">The tape's side of the hoop.</param>
    /// <param name="from">Where along the side the tape was read, mm.</param>
    /// <param name="to">Where along the side the tape was read, mm.</param>
    /// <param name="middle">The edge's distance outward halfway between, mm.</param>
    /// <param name="slope">Rise of that distance along the side.</param>
    /// <param name="sigma">Standard uncertainty of the distance, mm.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    public static SeamReading Of(
        PlannedHooping hooping, PlannedFill fill, Side side, double from, double to, double middle, double slope, double sigma, Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(hooping);
        ArgumentNullException.ThrowIfNull(fill);
        Tolerances t = tolerances ?? Tolerances.Default;
        PlannedFill rectangle = fill with { Outline = null, CornerRadius = 0 };
        EdgeLine edge = rectangle.FacingLine(side);
        (double low, double high) = rectangle.FacingStretch(side);
        double s = (low + high) / 2, across = Math.Atan(edge.Slope);

        // From the point (q, s) of the edge along its normal (cos, −sin) until the tape's line is met.
        double gap = (middle + (slope * (s - ((from + to) / 2))) - edge.At(s)) / (Math.Cos(across) + (slope * Math.Sin(across)));
        double counterClockwise = side is Side.Left or Side.Top ? 1 : -1;
        double u = Math.Sqrt((sigma * sigma) + (t.TapeLayingMm * t.TapeLayingMm));

        // As if both ends of the tape were read, and laid, independently of each other.
        double turn = Math.Sqrt(2) * u / Math.Max(t.LeastSeenMm, to - from);
        return new(
            hooping.Number, QuiltPlanner.QuiltSide(side, hooping.Lies), gap, u,
            counterClockwise * (Math.Atan(slope) - across) * 180 / Math.PI, turn * 180 / Math.PI);
    }
}
