namespace HoopCheck.Planning.Quilts;

/// <summary>How the fills share the quilt.</summary>
public enum PlanLayout
{
    /// <summary>Fills of full size from the middle outward, smaller ones along the quilt's edge.</summary>
    Full,

    /// <summary>All fills alike, each as much smaller as it takes.</summary>
    Equal,
}

/// <summary>In which direction the stitching proceeds. Either way from the middle outward.</summary>
public enum StitchOrder
{
    /// <summary>Row by row: the middle row first, then the rows above it, then those below.</summary>
    Rows,

    /// <summary>Column by column: the middle column first, then those at its left, then those at its right.</summary>
    Columns,
}

/// <summary>How the hoop lies on the quilt.</summary>
public enum HoopLies
{
    /// <summary>The hoop's top points to the quilt's top: hoop x runs along quilt x.</summary>
    Straight,

    /// <summary>A quarter-turn counter-clockwise from that: the hoop's top points to the quilt's left, its bar to the quilt's bottom.</summary>
    Sideways,
}

/// <summary>What thread and stitches are reckoned with.</summary>
/// <param name="StitchMm">Length of a stitch, mm. 2 to 2.5 mm is usual: common practice, no source.</param>
/// <param name="TopFactor">Top thread over the line's length. A lockstitch takes each thread down (or up) to the middle of the layers
/// and back, so over one stitch of length s through layers squeezed to t it uses s + t: at 2.5 mm and 1 mm that is 1.4.</param>
/// <param name="BobbinFactor">Bobbin thread over the line's length; see <paramref name="TopFactor"/>.</param>
/// <param name="BobbinMetres">Length on a full bobbin, m; null: not known, and then nobody is warned.</param>
public sealed record ThreadSpec(double StitchMm = 2.5, double TopFactor = 1.4, double BobbinFactor = 1.4, double? BobbinMetres = null);

/// <summary>What <c>quilt.toml</c> says. All lengths in mm; width along quilt x, height along quilt y.</summary>
/// <param name="Name">A name of the person's own.</param>
/// <param name="Width">The quilt's.</param>
/// <param name="Height">The quilt's.</param>
/// <param name="FillWidth">Largest fill of one hooping, along the <em>hoop's</em> x; 0 while a drawing still has to tell it.</param>
/// <param name="FillHeight">Largest fill of one hooping, along the <em>hoop's</em> y.</param>
/// <param name="HoopFile">The hoop file's name, in the quilt's folder.</param>
public sealed record QuiltSpec(string Name, double Width, double Height, double FillWidth, double FillHeight, string HoopFile)
{
    /// <summary>The drawing of the fill, a file in the quilt's folder; null where the fill is a size.</summary>
    public string? FillFile { get; init; }

    /// <summary>Distance between neighbouring lines of the fill: the widest gap that does not show.</summary>
    public double SpacingMm { get; init; } = Rules.Tolerances.UsualSpacingMm;

    /// <summary>The smallest gap allowed between two fills.</summary>
    public double MinGapMm { get; init; } = Rules.Tolerances.UsualMinGapMm;

    /// <summary>The gap between two fills that the plan aims at.</summary>
    /// <remarks>Unless given, half the spacing: own choice, near the middle of what is allowed, with room for error either way.</remarks>
    public double GapMm { get; init; } = Rules.Tolerances.UsualSpacingMm / 2;

    /// <summary>What stays without stitching along each edge of the quilt.</summary>
    public double EdgeMm { get; init; }

    /// <summary>How the fills share the quilt.</summary>
    public PlanLayout Layout { get; init; }

    /// <summary>Where the stitching goes from the middle.</summary>
    public StitchOrder Order { get; init; }

    /// <summary>How the hoop lies; null: whichever way takes fewer hoopings.</summary>
    public HoopLies? Lies { get; init; }

    /// <summary>Whether every other fill is turned so that the repeat does not show.</summary>
    public bool TurnFills { get; init; } = true;

    /// <summary>The tape's colour as <see cref="TapeColours.Parse"/> reads it; null: any.</summary>
    public string? Tape { get; init; }

    /// <summary>Thread and stitches.</summary>
    public ThreadSpec Thread { get; init; } = new();
}
