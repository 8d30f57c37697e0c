using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>
/// A rectangle's bounds: at one turn the gap at each place is the tape's own number, Q less the edge's slope, less one number for the whole edge.
/// The smallest and largest over the stretch that the whole box faces bound that number.
/// </summary>
internal sealed class RectangleBounds : SideBounds
{
    private readonly StretchMax _most, _least;
    private (double Lowest, double Highest)? _ends;
    private readonly double _half, _along, _minGap, _spacing;

    /// <inheritdoc cref="SideBounds(TapeRow, PlannedFill, Tolerances)"/>
    public RectangleBounds(TapeRow row, PlannedFill fill, Tolerances t, double minGapMm, double spacingMm)
        : base(row, fill, t)
    {
        bool across = (row.Side is Side.Left or Side.Right) == (fill.QuarterTurns % 2 == 0);
        _half = (across ? fill.Width : fill.Height) / 2;
        _along = ((across ? fill.Height : fill.Width) / 2) - fill.CornerRadius;
        (_minGap, _spacing) = (minGapMm + SlackMm, spacingMm - SlackMm);
        double slope = Lean / Cos;
        int n = Samples.Length;
        double[] most = new double[n], least = new double[n];
        for (int i = 0; i < n; i++)
        {
            TapeSample at = Samples[i];
            double own = at.Q - (slope * at.S), u = t.CoverageFactor * at.StandardUncertainty;
            (most[i], least[i]) = (own + u, u - own);
        }

        (_most, _least) = (new(most), new(least));
    }

    /// <inheritdoc/>
    public override (double From, double To) Room(in SideBox box)
    {
        // The edge's middle lies half the depth from the centre, square to the edge.
        double shallow = _half + (box.DeepFrom / 2), deep = _half + (box.DeepTo / 2);
        double middleFrom = CentreS + box.AlongFrom - Math.Max(Lean * shallow, Lean * deep), middleTo = CentreS + box.AlongTo - Math.Min(Lean * shallow, Lean * deep);
        double shortHalf = Math.Max(0, _along + (box.LongFrom / 2)) * Cos, longHalf = Math.Max(0, _along + (box.LongTo / 2)) * Cos;
        if (!Facing(middleTo - shortHalf, middleFrom + shortHalf, middleFrom - longHalf, middleTo + longHalf, 2 * shortHalf, out int first, out int last))
        {
            return Nothing;
        }

        // Where no place is faced by all of them, some place must be faced, and hold.
        (double from, double to) = last >= first
            ? (_most.Of(first, last) - _spacing, -_least.Of(first, last) - _minGap)
            : (Ends().Lowest - _spacing, Ends().Highest - _minGap);

        // That number is the centre, outward, less slope x its place along, and half the depth over the cosine.
        double slope = Lean / Cos, a = slope * (CentreS + box.AlongFrom), b = slope * (CentreS + box.AlongTo);
        return (from + Math.Min(a, b) - (deep / Cos) - CentreQ, to + Math.Max(a, b) - (shallow / Cos) - CentreQ);
    }

    /// <summary>The lowest and the highest of the tape's own numbers.</summary>
    private (double Lowest, double Highest) Ends()
    {
        if (_ends is not { } ends)
        {
            double slope = Lean / Cos;
            ends = (double.PositiveInfinity, double.NegativeInfinity);
            foreach (TapeSample at in Samples)
            {
                double own = at.Q - (slope * at.S);
                ends = (Math.Min(ends.Lowest, own), Math.Max(ends.Highest, own));
            }

            _ends = ends;
        }

        return ends;
    }
}
