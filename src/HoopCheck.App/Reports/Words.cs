using HoopCheck.Checking;
using HoopCheck.Planning;
using HoopCheck.Vision;

namespace HoopCheck.App.Reports;

/// <summary>The contract's words for the library's values.</summary>
internal static class Words
{
    /// <summary>clear, overlap, tight, wide, undecided, no-tape or retake.</summary>
    public static string Of(Decision decision) => decision switch
    {
        Decision.Clear => "clear",
        Decision.Overlap => "overlap",
        Decision.Tight => "tight",
        Decision.Wide => "wide",
        Decision.Undecided => "undecided",
        Decision.NoTape => "no-tape",
        Decision.Retake => "retake",
        _ => throw new ArgumentOutOfRangeException(nameof(decision), decision, null),
    };

    /// <summary>shorten, lengthen, nudge or turn.</summary>
    public static string Of(FillChangeKind kind) => kind switch
    {
        FillChangeKind.Shorten => "shorten",
        FillChangeKind.Lengthen => "lengthen",
        FillChangeKind.Nudge => "nudge",
        FillChangeKind.Turn => "turn",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, null),
    };

    /// <summary>top, right, bottom or left.</summary>
    public static string Of(PhotoDirection direction) => direction switch
    {
        PhotoDirection.Top => "top",
        PhotoDirection.Right => "right",
        PhotoDirection.Bottom => "bottom",
        PhotoDirection.Left => "left",
        _ => throw new ArgumentOutOfRangeException(nameof(direction), direction, null),
    };

    /// <summary>attachment, given or assumed.</summary>
    public static string Of(UpSource source) => source switch
    {
        UpSource.Attachment => "attachment",
        UpSource.Given => "given",
        UpSource.Assumed => "assumed",
        _ => throw new ArgumentOutOfRangeException(nameof(source), source, null),
    };

    /// <summary>Exit code of a check that came to an answer.</summary>
    public static int ExitCode(Decision decision) => decision switch
    {
        Decision.Clear => 0,
        Decision.Overlap or Decision.Tight or Decision.Wide => 2,
        _ => 3,
    };

    /// <summary>Up to the next tenth of a millimetre: an uncertainty, or a way to move, is never said smaller than it is.</summary>
    public static double RoundedUp(double millimetres) => Math.Ceiling((millimetres * 10) - 1e-6) / 10;
}
