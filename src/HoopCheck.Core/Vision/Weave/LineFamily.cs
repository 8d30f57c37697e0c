namespace HoopCheck.Vision.Weave;

/// <summary>How the lines of a family were displaced in one window of the cloth.</summary>
/// <param name="U">Along the lines, mm from the middle.</param>
/// <param name="V">Across them, mm from the middle.</param>
/// <param name="Misfit">Distance across from the fitted lines, mm.</param>
/// <param name="Weight">0 to 1; small where it was taken for an outlier.</param>
internal sealed record Window(double U, double V, double Misfit, double Weight);

/// <summary>A family's lines: v = v0 + (Slope + Fan·v0)·u + Curve·u² + 2·Slope·Curve²·u³, mm; see <see cref="Rise"/>.</summary>
/// <param name="Slope">dv/du in the middle.</param>
/// <param name="Curve">Half the second derivative, 1/mm.</param>
/// <param name="Fan">Change of the slope across the family, 1/mm.</param>
/// <param name="SlopeSd">Standard uncertainty of the slope from the scatter of the windows.</param>
/// <param name="BlockSd">Standard uncertainty of the slope from how the parts of the cloth differ, across the family.</param>
/// <param name="Scatter">Weighted root-mean-square misfit of the windows, mm.</param>
/// <param name="Uneven">The same with outliers at their full weight: large where the lines bend in ways the model does not have.</param>
/// <param name="Steps">Median slope of the misfits from window to window, in its standard errors; see <see cref="WindowFit"/>.</param>
/// <param name="Strength">
/// Variance of the lines' mean profile over that of what does not repeat along them, times the number of windows, after the two strongest
/// lines were left out: about 1 where there are no lines.
/// </param>
/// <param name="FourthLine">The same at the fourth strongest line alone: seams of patchwork are few and far between.</param>
/// <param name="Local">The same kind of strength in groups of neighbouring strips, each with the direction that suits it best.</param>
/// <param name="Windows">What was fitted.</param>
internal sealed record LineFamily(
    double Slope, double Curve, double Fan, double SlopeSd, double BlockSd, double Scatter, double Uneven, double Steps,
    double Strength, double FourthLine, double Local, IReadOnlyList<Window> Windows)
{
    /// <summary>Largest angle of the lines from u that is looked for, degrees.</summary>
    public const double ReachDegrees = 16;

    /// <summary>
    /// How far a line has risen at u: a parabola that is square to the line itself, not to the u axis, which gives the third term
    /// (the series of a parabola turned by atan(slope)).
    /// </summary>
    public static double Rise(double slope, double curve, double u) => u * (slope + (u * (curve + (u * 2 * slope * curve * curve))));

    /// <summary>
    /// Finds the family. First each group of strips is tried in all directions; then the groups' answers are joined into one slope and one
    /// curve; then all strips together sharpen them; last the displacement of each window against the mean profile of the others is read
    /// by least squares and a straight-plus-parabola model fitted through the displacements, outliers weighed down.
    /// </summary>
    /// <param name="strips">The cloth.</param>
    /// <param name="curvePrior">Standard deviation of the curve's sagitta over the length, as a share of it, that is expected beforehand.</param>
    /// <returns>null where too little cloth is seen.</returns>
    public static LineFamily? Find(LineStrips strips, double curvePrior)
    {
        int n = strips.Strips.Length, length = strips.Length;
        double[] u = strips.U;
        double seen = strips.Strips.Sum(s => (double)Sum(s.AsSpan(LineStrips.Seen * length, length)));
        if (n < 9 || seen < 0.08 * n * length)
        {
            return null;
        }

        double half = Math.Max(Math.Abs(u[0]), Math.Abs(u[^1]));
        (double slope, double curve, double local) = LineSearch.Directions(strips, half);
        (slope, curve) = LineSearch.Sharpen(strips, slope, curve, half);

        // Cloth without any signal leaves nothing to fit: seen, and no lines.
        return WindowFit.Fit(strips, slope, curve, half, curvePrior, local) ?? new(slope, curve, 0, 0, 0, 0, 0, 0, 0, 0, 0, []);
    }

    private static float Sum(ReadOnlySpan<float> values)
    {
        float sum = 0;
        foreach (float value in values)
        {
            sum += value;
        }

        return sum;
    }
}
