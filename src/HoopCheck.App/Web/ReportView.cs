using System.Text.Json;
using HoopCheck.App.Quilts;
using HoopCheck.Planning;

namespace HoopCheck.App.Web;

/// <summary>A filed report (<c>hoopcheck.check/1</c>) as far as a page shows it. Lengths in mm; null where nothing was measured.</summary>
internal sealed record ReportView(
    string Decision, IReadOnlyList<ReportView.SideOf> Sides, ReportView.CorrectionOf? Correction, ReportView.QualityOf Quality, IReadOnlyList<string> Notes)
{
    private static readonly JsonSerializerOptions s_options = new() { PropertyNamingPolicy = JsonNamingPolicy.CamelCase };

    /// <summary>One side.</summary>
    internal sealed record SideOf(string Side, string Decision, double? MinMm, double? MaxMm, double? UncertaintyMm);

    /// <summary>The change to make.</summary>
    internal sealed record CorrectionOf(IReadOnlyList<StepOf> Steps, IReadOnlyList<SideOf> Predicted, bool Possible, string? Otherwise)
    {
        /// <summary>The steps as <c>--applied</c> reads them.</summary>
        public string Applied => string.Join(", ", Steps.Select(s => s.Change));
    }

    /// <summary>One step.</summary>
    internal sealed record StepOf(string Kind, string? Axis, double? Mm, double? Degrees, string Say)
    {
        /// <summary>The step as a change.</summary>
        public FillChange Change => (Kind, Axis == "x" ? FillAxis.X : FillAxis.Y, Mm ?? 0) switch
        {
            ("turn", _, _) => FillChange.Turn(Degrees ?? 0),
            ("nudge", var axis, var mm) => FillChange.Nudge(axis, mm),
            ("shorten", var axis, var mm) => FillChange.Resize(axis, -Math.Abs(mm)),
            (_, var axis, var mm) => FillChange.Resize(axis, Math.Abs(mm)),
        };
    }

    /// <summary>What was wrong with the photo.</summary>
    internal sealed record QualityOf(IReadOnlyList<ProblemOf> Problems);

    /// <summary>One problem.</summary>
    internal sealed record ProblemOf(string Code, string Say);

    /// <summary>Reads a report of the log.</summary>
    /// <exception cref="LogBrokenException">It is none.</exception>
    public static ReportView Parse(string report)
    {
        try
        {
            return JsonSerializer.Deserialize<ReportView>(report, s_options) ?? throw new LogBrokenException("A report in the log is empty.");
        }
        catch (JsonException)
        {
            throw new LogBrokenException("A report in the log cannot be read.");
        }
    }
}
