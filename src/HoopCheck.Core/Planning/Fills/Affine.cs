namespace HoopCheck.Planning.Fills;

/// <summary>An SVG transform matrix: x' = A·x + C·y + E, y' = B·x + D·y + F (SVG 2, 8.3 and CSS Transforms 1, 12).</summary>
internal readonly record struct Affine(double A, double B, double C, double D, double E, double F)
{
    /// <summary>Leaves everything where it is.</summary>
    public static readonly Affine Identity = new(1, 0, 0, 1, 0, 0);

    /// <summary>The map that does <paramref name="inner"/> first.</summary>
    public Affine After(Affine inner) => new(
        (A * inner.A) + (C * inner.B), (B * inner.A) + (D * inner.B),
        (A * inner.C) + (C * inner.D), (B * inner.C) + (D * inner.D),
        (A * inner.E) + (C * inner.F) + E, (B * inner.E) + (D * inner.F) + F);

    /// <summary>Maps a point.</summary>
    public (double X, double Y) Map(double x, double y) => ((A * x) + (C * y) + E, (B * x) + (D * y) + F);
}
