using HoopCheck.Checking;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck;

/// <summary>What a check is asked.</summary>
/// <param name="Hoop">The hoop, as measured with a ruler.</param>
/// <param name="Fill">The fill that is loaded, as it now is.</param>
/// <param name="SpacingMm">Distance between neighbouring lines of the fill: the widest gap that does not show.</param>
/// <param name="MinGapMm">The smallest gap allowed.</param>
/// <param name="Up">Where the hoop's top points in the upright photo; null: find the attachment bar.</param>
/// <param name="TapeColour">null: any; otherwise the named colour or the sRGB colour looked for.</param>
/// <param name="Camera">Known intrinsics; null: from EXIF, or a wide guess.</param>
public sealed record CheckRequest(
    HoopSpec Hoop,
    PlannedFill Fill,
    double SpacingMm = Tolerances.UsualSpacingMm,
    double MinGapMm = Tolerances.UsualMinGapMm,
    PhotoDirection? Up = null,
    TapeColour? TapeColour = null,
    CameraIntrinsics? Camera = null)
{
    /// <summary>What reading the call had to assume, for the person.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];

    /// <summary>The fill as planned, before the changes that <see cref="Fill"/> already has; null: the same.</summary>
    public PlannedFill? Planned { get; init; }

    /// <summary>The changes that led from the planned fill to <see cref="Fill"/>.</summary>
    public IReadOnlyList<FillChange> Applied { get; init; } = [];

    /// <summary>The machine's steps; null: the hoop file's, or the usual ones.</summary>
    public MachineSpec? Machine { get; init; }

    /// <summary>How far a correction may change the planned size, percent.</summary>
    public double MostResizePercent { get; init; } = Tolerances.UsualMostResizePercent;

    /// <summary>Whether a bank-card-sized card lies on the fabric, by which the hoop file's scale is to be checked.</summary>
    public bool ScaleByCard { get; init; }

    /// <summary>The steps in use.</summary>
    public MachineSpec MachineInUse => Machine ?? Hoop.Machine ?? MachineSpec.Usual;
}

/// <summary>The answer to a check. All stages' records are in it; whatever was not reached is null or empty.</summary>
/// <param name="Request">What was asked.</param>
/// <param name="Photo">The photo's header.</param>
/// <param name="Decision">The worst of the sides, or why none could be judged.</param>
/// <param name="Sides">One entry for each side with tape.</param>
/// <param name="Frame">The fitted frame, or null.</param>
/// <param name="Problems">What stopped or weakened the check.</param>
/// <param name="Notes">Remarks for the person.</param>
/// <param name="Milliseconds">Time by stage: decode, frame (the search), fit, tape, weave, correction (with the clearance), total; a stage that was not reached has none.</param>
public sealed record CheckResult(
    CheckRequest Request,
    PhotoHeader Photo,
    Decision Decision,
    IReadOnlyList<SideClearance> Sides,
    FrameFit? Frame,
    IReadOnlyList<Problem> Problems,
    IReadOnlyList<string> Notes,
    IReadOnlyDictionary<string, double> Milliseconds)
{
    /// <summary>The change that makes every side clear, or why there is none; null where nothing is to be corrected.</summary>
    public Correction? Correction { get; init; }

    /// <summary>The card that the scale was checked by; null where none was asked for or found.</summary>
    public CardFound? Card { get; init; }

    /// <summary>How straight the fabric lies; null where it could not be measured, and then the notes say why.</summary>
    public WeaveMeasure? Weave { get; init; }
}
