namespace HoopCheck.Planning.Quilts;

/// <summary>The fills along one axis of the quilt, from its negative end to its positive one. All lengths in mm, places from the quilt's middle.</summary>
/// <param name="Sizes">Each fill's size along the axis.</param>
/// <param name="Centres">Each fill's centre.</param>
/// <param name="SpareMm">How much more could be covered with as many fills.</param>
public sealed record AxisLayout(IReadOnlyList<double> Sizes, IReadOnlyList<double> Centres, double SpareMm)
{
    /// <summary>For rounding only: 63 in are six times 10 1/2 in in whatever order it is computed.</summary>
    private const double RoundingMm = 1e-6;

    /// <summary>How many fills.</summary>
    public int Count => Sizes.Count;

    /// <summary>Whether the quilt's middle lies in the gap between two fills, not in a fill.</summary>
    public bool MiddleIsSeam => Count % 2 == 0;

    /// <summary>Fewest fills of a size that cover a length with gaps between them: n·full + (n − 1)·gap ≥ span.</summary>
    /// <param name="span">What is to be covered, above 0.</param>
    /// <param name="full">Largest fill, above 0.</param>
    /// <param name="gap">Gap between two fills, 0 or more.</param>
    public static int Fewest(double span, double full, double gap) => Math.Max(1, (int)Math.Ceiling((span + gap - RoundingMm) / (full + gap)));

    /// <summary>
    /// Lays the fewest fills, symmetrical about the middle. How many they are decides whether the middle is a fill (odd) or a seam (even):
    /// the other choice would take one more.
    /// </summary>
    /// <remarks>
    /// With <see cref="PlanLayout.Full"/> all but the two outermost are full and these share the rest. They are never slivers: with one fill fewer
    /// span + gap > (n − 1)(full + gap), so 2(outer + gap) > full + gap.
    /// </remarks>
    public static AxisLayout Make(double span, double full, double gap, PlanLayout layout)
    {
        int n = Fewest(span, full, gap);
        double spare = (n * full) + ((n - 1) * gap) - span;
        double[] sizes = new double[n], centres = new double[n];
        double outer = n == 1 ? span : Snapped((span - ((n - 2) * full) - ((n - 1) * gap)) / 2, full);
        double equal = Snapped((span - ((n - 1) * gap)) / n, full);
        double at = -span / 2;
        for (int i = 0; i < n; i++)
        {
            sizes[i] = layout == PlanLayout.Equal || n == 1 ? equal : i == 0 || i == n - 1 ? outer : full;
            centres[i] = at + (sizes[i] / 2);
            at += sizes[i] + gap;
        }

        return new(sizes, centres, Math.Max(0, spare));
    }

    private static double Snapped(double size, double full) => Math.Abs(size - full) < RoundingMm ? full : size;
}
