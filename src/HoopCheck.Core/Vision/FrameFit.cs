using HoopCheck.Geometry;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Vision;

/// <summary>How the photo's "up" became known.</summary>
public enum UpSource
{
    /// <summary>The attachment bar was found.</summary>
    Attachment,

    /// <summary>The caller said so.</summary>
    Given,

    /// <summary>Neither: top was taken.</summary>
    Assumed,
}

/// <summary>A direction in the upright photo.</summary>
public enum PhotoDirection
{
    /// <summary>Towards smaller y.</summary>
    Top,

    /// <summary>Towards larger x.</summary>
    Right,

    /// <summary>Towards larger y.</summary>
    Bottom,

    /// <summary>Towards smaller x.</summary>
    Left,
}

/// <summary>The ring as the fit sees it, mm.</summary>
/// <param name="OpeningWidth">Unbowed, corner to corner, at the fabric.</param>
/// <param name="OpeningHeight">Unbowed, corner to corner, at the fabric.</param>
/// <param name="CornerRadius">At the fabric.</param>
/// <param name="Height">Top of the ring above the fabric.</param>
/// <param name="Width">Breadth of the ring's top.</param>
/// <param name="TopOffset">How much further out the top edge lies than the foot.</param>
/// <param name="Bow">Outward displacement of each side at its middle, indexed by (int)Side.</param>
public sealed record RingShape(double OpeningWidth, double OpeningHeight, double CornerRadius, double Height, double Width, double TopOffset, double[] Bow);

/// <summary>The frame and camera as one fit explains them, with the fit's covariance.</summary>
/// <param name="Camera">Camera and pose in full-size pixels of the upright photo.</param>
/// <param name="Ring">The ring's shape.</param>
/// <param name="Parameters">Names of the fit's parameters, in the covariance's order.</param>
/// <param name="Values">Their values.</param>
/// <param name="Covariance">Of the parameters, square, in their units.</param>
/// <param name="Up">Where the hoop's top points in the upright photo.</param>
/// <param name="UpFrom">How that is known.</param>
/// <param name="ResidualPx">Robust root-mean-square distance of the edge points from the model, px of the full-size photo.</param>
/// <param name="EdgePoints">Number of edge points used.</param>
/// <param name="EdgeBlurPx">Blur of the sharpest edges (Gaussian standard deviation), px of the full-size photo.</param>
/// <param name="Score">Support of the frame by the picture, 0 to 1.</param>
public sealed record FrameFit(
    CameraPose Camera,
    RingShape Ring,
    IReadOnlyList<string> Parameters,
    double[] Values,
    double[,] Covariance,
    PhotoDirection Up,
    UpSource UpFrom,
    double ResidualPx,
    int EdgePoints,
    double EdgeBlurPx,
    double Score)
{
    /// <summary>Corners of the opening at the fabric (sharp, unbowed), full-size upright px: top-left, top-right, bottom-right, bottom-left of the hoop.</summary>
    public IReadOnlyList<PhotoPoint> OpeningCorners { get; } =
    [
        .. new[] { (-0.5, 0.5), (0.5, 0.5), (0.5, -0.5), (-0.5, -0.5) }
            .Select(c => Camera.Project(new(c.Item1 * Ring.OpeningWidth, c.Item2 * Ring.OpeningHeight), 0) ?? new PhotoPoint(double.NaN, double.NaN)),
    ];

    /// <summary>
    /// How much wider frames really scatter than the covariance says (a Birge ratio): what is left of wrongly read edges and of
    /// effects the model does not have. On 110 generated photos 91 % of clearances lay inside their uncertainty without it.
    /// </summary>
    private const double Spread = 1.2;

    /// <summary>The model the values belong to; null for a frame made by hand, whose uncertainty is then taken as 0.</summary>
    internal RingModel? Model { get; init; }

    /// <summary>
    /// Standard uncertainty, mm, of where a pixel that is seen at a place of the fabric lies across a side, as the fit's covariance
    /// gives it: σ² = g·C·gᵀ with g the derivatives of the place's q (JCGM 100, 5.2.2).
    /// </summary>
    /// <param name="side">The side; across is its outward normal.</param>
    /// <param name="at">The place on the fabric.</param>
    public double StandardUncertaintyAcross(Side side, HoopPoint at)
    {
        if (Model is null || Camera.Project(at, 0) is not { } seen)
        {
            return 0;
        }

        HoopVector n = side.Normal();
        return Propagated(camera => camera.BackProject(seen, 0) is { } moved ? (moved - at).Dot(n) : null);
    }

    /// <summary>
    /// Standard uncertainty of anything that depends on the camera: σ² = g·C·gᵀ (JCGM 100, 5.2.2), widened by <see cref="Spread"/>.
    /// </summary>
    /// <param name="of">Its difference from what the fitted camera gives; null where there is none.</param>
    /// <returns>In the unit of <paramref name="of"/>; 0 for a frame without a model.</returns>
    internal double Propagated(Func<CameraPose, double?> of)
    {
        if (Model is null)
        {
            return 0;
        }

        // Only the parameters before the ring's own belong to the camera.
        int count = RingModel.Height;
        double[] g = new double[count];
        double[] p = (double[])Values.Clone();
        for (int i = 0; i < count; i++)
        {
            double sd = Math.Sqrt(Math.Max(0, Covariance[i, i]));
            if (sd > 0)
            {
                double old = p[i];
                p[i] = old + (0.5 * sd);
                g[i] = (of(Model.Camera(p)) ?? 0) / (0.5 * sd);
                p[i] = old;
            }
        }

        double variance = 0;
        for (int i = 0; i < count; i++)
        {
            for (int j = 0; j < count; j++)
            {
                variance += g[i] * Covariance[i, j] * g[j];
            }
        }

        return Spread * Math.Sqrt(Math.Max(0, variance));
    }

    /// <summary>Pixels a millimetre at the centre of the opening (geometric mean of both directions).</summary>
    public double PxPerMm
    {
        get
        {
            PhotoPoint? o = Camera.Project(new(0, 0), 0), x = Camera.Project(new(1, 0), 0), y = Camera.Project(new(0, 1), 0);
            return o is { } a && x is { } b && y is { } c ? Math.Sqrt(a.DistanceTo(b) * a.DistanceTo(c)) : double.NaN;
        }
    }
}
