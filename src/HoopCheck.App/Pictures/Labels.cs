using System.Globalization;
using HoopCheck.App.Reports;
using HoopCheck.Checking;
using HoopCheck.Geometry;

namespace HoopCheck.App.Pictures;

/// <summary>The words in the pictures. Lengths come in mm and are written in mm and in inches to the nearest 1/32.</summary>
internal static class Labels
{
    /// <summary>"1.2 mm"; always positive: which way, the words around it say.</summary>
    public static string Mm(double mm) => Length.Millimetres(Math.Abs(mm));

    /// <summary>"13 3/4 in", always positive.</summary>
    public static string Inches(double mm) => Length.Inches(Math.Abs(mm));

    /// <summary>The uncertainty, "0.6 mm", rounded up as in the text report.</summary>
    public static string Unsure(SideClearance side) => Length.Millimetres(Words.RoundedUp(side.UncertaintyMm));

    /// <summary>"1.2 mm (1/16 in)".</summary>
    public static string Both(double mm) => $"{Mm(mm)} ({Inches(mm)})";

    /// <summary>The number alone, "1.2".</summary>
    public static string Plain(double mm) => mm.ToString("0.0", CultureInfo.InvariantCulture);

    /// <summary>The verdict in large words.</summary>
    public static string Headline(Decision decision) => decision switch
    {
        Decision.Clear => "CLEAR",
        Decision.Overlap => "OVERLAP",
        Decision.Tight => "TOO TIGHT",
        Decision.Wide => "TOO WIDE",
        Decision.Undecided => "CANNOT TELL",
        Decision.NoTape => "NO TAPE FOUND",
        _ => "TAKE IT AGAIN",
    };

    /// <summary>The side that the photo's verdict is about, or null when no side was judged.</summary>
    public static SideClearance? Deciding(CheckResult result) =>
        result.Sides.Where(s => s.Decision == result.Decision)
            .OrderBy(s => result.Decision == Decision.Wide ? -s.MaxMm : s.MinMm)
            .FirstOrDefault();

    /// <summary>The finding in one line, after the verdict.</summary>
    public static string Finding(CheckResult result)
    {
        if (Deciding(result) is not { } side)
        {
            return result.Problems.Count > 0 ? result.Problems[0].Say : "";
        }

        string where = $"{side.Side.Name()} side · ", give = $", ± {Unsure(side)}";
        return where + side.Decision switch
        {
            _ when !IsMeasured(side) => "the tape's edge is not seen well enough",
            Decision.Overlap when side.MinMm < 0 => $"{Both(side.MinMm)} over the tape{give}",
            Decision.Overlap => $"may run over the tape: gap {Mm(side.MinMm)}{give}",
            Decision.Tight when IsNone(side.MinMm) => $"no gap: the fill touches the tape{give}",
            Decision.Tight when side.MinMm < 0 => $"may run {Mm(side.MinMm)} over the tape{give}",
            Decision.Tight => $"gap only {Length.Apart(side.MinMm, result.Request.MinGapMm).Length} ({Inches(side.MinMm)}){give}",
            Decision.Wide => $"gap up to {Length.Apart(side.MaxMm, result.Request.SpacingMm).Length} ({Inches(side.MaxMm)}){give}",
            Decision.Undecided => NearMiss(side, result.Request),
            _ when Mm(side.MinMm) == Mm(side.MaxMm) => $"gap {Both(side.MinMm)}{give}",
            _ => $"gap {Plain(side.MinMm)} to {Mm(side.MaxMm)} ({Span(Inches(side.MinMm), Inches(side.MaxMm))}){give}",
        };
    }

    /// <summary>What to do, in one or two sentences.</summary>
    public static string Advice(CheckResult result) => result.Decision switch
    {
        _ when result.Correction is { IsPossible: true } c => ChangeWords.Sentence(c.Steps, result.Request),
        _ when result.Correction is { } none => $"Do not stitch yet; no change on the machine will do: {ChangeWords.Otherwise(none)}",
        Decision.Clear => $"Ready to stitch. No gap shows up to {Both(result.Request.SpacingMm)}.",
        Decision.Overlap or Decision.Tight or Decision.Wide => "Do not stitch yet.",
        Decision.Undecided when result.Problems.Count > 0 => result.Problems[0].Kind.Do,
        Decision.Undecided => Sentence(Deciding(result)?.NearestReading) + "Take another photo, nearer and more from above.",
        _ => result.Problems.Count > 0 ? result.Problems[0].Kind.Do : "",
    };

    /// <summary>The lines of the card beside a marked place, largest first.</summary>
    public static string[] Card(SideClearance side, CheckRequest request)
    {
        double mm = Telling(side, request).ClearanceMm;
        return
        [
            IsNone(mm) ? "no gap" : mm < 0 ? $"{Mm(mm)} over" : $"{Mm(mm)} gap",
            Inches(mm),
            $"± {Unsure(side)}",
            $"{side.Side.Name()}, {(IsAboutWidest(side, request) ? "widest" : mm < 0 ? "worst" : "smallest")}",
        ];
    }

    /// <summary>The names to try for a limit line, longest first.</summary>
    public static string[] Limit(double mm, bool least)
    {
        string word = least ? "least gap" : "widest gap";
        return [$"{word} {Both(mm)}", $"{word} {Mm(mm)}"];
    }

    /// <summary>The place the card is about: the widest one where the gap is, or may be, too wide, otherwise the smallest.</summary>
    /// <returns>Place on the tape's edge, and the clearance there, mm.</returns>
    public static (HoopPoint At, double ClearanceMm) Telling(SideClearance side, CheckRequest request)
    {
        if (!IsAboutWidest(side, request) || side.Profile.Count == 0)
        {
            return (side.MinAt, side.MinMm);
        }

        (double t, double mm) = side.Profile.MaxBy(p => p.ClearanceMm);
        double q = request.Fill.Outline is null ? request.Fill.FacingEdgeAt(side.Side, t) + mm : TapeAt(side.Tape, t);
        return (side.Side.At(q, t), side.MaxMm);
    }

    private static double TapeAt(TapeEdge tape, double t) => tape.Samples.Where(s => double.IsFinite(s.Q)).MinBy(s => Math.Abs(s.S - t)).Q;

    /// <summary>Whether the side has numbers that can be drawn.</summary>
    public static bool IsMeasured(SideClearance side) =>
        double.IsFinite(side.MinMm) && double.IsFinite(side.MaxMm) && double.IsFinite(side.MinAt.X) && double.IsFinite(side.MinAt.Y);

    private static string Sentence(string? words) =>
        string.IsNullOrWhiteSpace(words) ? "" : $"{char.ToUpperInvariant(words[0])}{words[1..].TrimEnd('.')}. ";

    private static bool IsNone(double mm) => Math.Abs(mm) < 0.05;

    private static string Span(string from, string to) => from == to ? from : $"{from.Replace(" in", "", StringComparison.Ordinal)} to {to}";

    private static bool IsAboutWidest(SideClearance side, CheckRequest request) => side.Decision switch
    {
        Decision.Wide => true,
        Decision.Undecided => Math.Abs(side.MaxMm - request.SpacingMm) < Math.Abs(side.MinMm - request.MinGapMm),
        _ => false,
    };

    private static string NearMiss(SideClearance side, CheckRequest request)
    {
        bool widest = IsAboutWidest(side, request);
        (string gap, string limit) = widest ? Length.Apart(side.MaxMm, request.SpacingMm) : Length.Apart(side.MinMm, request.MinGapMm);
        return $"gap {(widest ? "up to " : "")}{gap} ± {Unsure(side)}, {limit} {(widest ? "allowed" : "wanted")}";
    }
}
