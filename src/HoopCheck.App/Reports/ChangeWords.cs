using System.Globalization;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.App.Reports;

/// <summary>A correction in words: what to do on the machine, or why nothing there helps and how to hoop again.</summary>
internal static class ChangeWords
{
    /// <summary>
    /// All steps in one sentence: "Shorten the height by 4 mm (5/32 in, 98.6 %), then move the fill down 2 mm (3/32 in, 4 presses)."
    /// </summary>
    /// <param name="steps">In their order, at least one.</param>
    /// <param name="request">The fill and the machine's steps.</param>
    public static string Sentence(IReadOnlyList<FillChange> steps, CheckRequest request)
    {
        PlannedFill fill = request.Fill, planned = request.Planned ?? fill;
        var parts = new List<string>();
        foreach (FillChange step in steps)
        {
            fill = fill.After(step);
            parts.Add(step.Kind switch
            {
                FillChangeKind.Nudge => $"move the fill {Way(step)} {With(step.Mm, Presses(step, request.MachineInUse))}",
                FillChangeKind.Turn => $"turn the fill {Degrees(step.Degrees)}",
                _ => $"{Words.Of(step.Kind)} the {Size(step)} by {With(step.Mm, $"{Percent(step, fill, planned)} %")}",
            });
        }

        string sentence = string.Join(", then ", parts);
        return $"{char.ToUpperInvariant(sentence[0])}{sentence[1..]}.";
    }

    /// <summary>One step in few words, for a picture: "height −4 mm (98.6 %)", "down 2 mm (4 presses)".</summary>
    public static string Short(FillChange step, CheckRequest request) => step.Kind switch
    {
        FillChangeKind.Nudge => Invariant($"{Way(step)} {Math.Abs(step.Mm):0.##} mm ({Presses(step, request.MachineInUse)})"),
        FillChangeKind.Turn => $"turn {Degrees(step.Degrees)}",
        _ => Invariant($"{Size(step)} {(step.Kind == FillChangeKind.Shorten ? "−" : "+")}{step.Mm:0.##} mm ({Percent(step, request.Fill.After(step), request.Planned ?? request.Fill)} %)"),
    };

    /// <summary>Why no change on the machine will do, and what will; null where one does.</summary>
    public static string? Otherwise(Correction correction)
    {
        if (correction.Obstacle is not { } o)
        {
            return null;
        }

        string side = o.Side?.Name() ?? "";
        string why = o.Kind switch
        {
            ObstacleKind.Field => $"the fill would leave the sewing field at the {side} by {Length.Millimetres(Words.RoundedUp(o.Amount))}",
            ObstacleKind.Size when o.Amount < 0 => Invariant($"the fill would have to be {-o.Amount:0.#} % smaller, more than may show"),
            ObstacleKind.Size => Invariant($"the fill would have to be {o.Amount:0.#} % larger, more than may show"),
            ObstacleKind.Turn => "the tape lies too much askew to the fill",
            ObstacleKind.Steps => "the machine's steps are too coarse for the room there is",
            ObstacleKind.Uncertainty => "this photo is not sure enough for the room there is",
            ObstacleKind.NotFound => "no change on the machine makes this drawing fit",
            ObstacleKind.TooLittleSeen => $"too little of the tape on the {side} is seen to promise anything",
            _ when correction.After.Outline is not null => $"the tape on the {side} does not run as the drawing's edge does",
            _ => $"the tape on the {side} runs too unevenly for any straight edge",
        };

        return o switch
        {
            { Kind: ObstacleKind.TooLittleSeen } => $"re-photograph: {why}. Lay a fresh strip along the whole side and take the photo again.",
            { Kind: ObstacleKind.Uncertainty } => $"re-photograph: {why}. Take one from straight above, nearer and in even light.",
            { Rehoop: { } r } => $"re-hoop: {why}. {Quilt(r)}; then the fill fits as it is.",
            { Kind: ObstacleKind.NotFound } => $"re-plan: {why}. Load another fill, or lay the tape anew along the earlier stitching.",
            { Kind: ObstacleKind.Size } => $"re-plan: {why}. Load a fill of that size, or lay the tape anew.",
            _ => $"re-hoop: {why}. Lay the tape straight along the earlier stitching, hoop again and take a new photo.",
        };
    }

    /// <summary>"Shift the quilt 6.0 mm (1/4 in) to the right in the hoop and turn it 2° clockwise".</summary>
    private static string Quilt(Rehooping r)
    {
        var shifts = new List<string>();
        if (r.X != 0)
        {
            shifts.Add($"{Both(r.X)} to the {(r.X > 0 ? "right" : "left")}");
        }

        if (r.Y != 0)
        {
            shifts.Add($"{Both(r.Y)} towards the {(r.Y > 0 ? "top" : "bottom")}");
        }

        string turn = $"{(shifts.Count > 0 ? " and turn it " : "Turn the quilt ")}{Degrees(r.TurnDegrees)} about the fill's middle";
        return $"{(shifts.Count > 0 ? $"Shift the quilt {string.Join(" and ", shifts)} in the hoop" : "")}{(r.TurnDegrees != 0 ? turn : "")}";
    }

    /// <summary>up, down, left or right.</summary>
    public static string Way(FillChange nudge) => (nudge.Axis, nudge.Mm) switch
    {
        (FillAxis.X, > 0) => "right",
        (FillAxis.X, _) => "left",
        (_, > 0) => "up",
        _ => "down",
    };

    private static string Size(FillChange step) => step.Axis == FillAxis.X ? "width" : "height";

    private static string Degrees(double degrees) => Invariant($"{Math.Abs(degrees):0.##}° {(degrees > 0 ? "counter-clockwise" : "clockwise")}");

    private static string Presses(FillChange nudge, MachineSpec machine)
    {
        int presses = (int)Math.Round(Math.Abs(nudge.Mm) / machine.NudgeStepMm);
        return presses == 1 ? "1 press" : Invariant($"{presses} presses");
    }

    private static string Percent(FillChange step, PlannedFill after, PlannedFill planned) => Invariant(
        $"{100 * (step.Axis == FillAxis.X ? after.Width / planned.Width : after.Height / planned.Height):0.0}");

    /// <summary>A step is said with the decimals it has: "4 mm", "2.5 mm", "1.65 mm".</summary>
    private static string With(double mm, string more) => Invariant($"{Math.Abs(mm):0.##} mm ({Length.Inches(Math.Abs(mm))}, {more})");

    private static string Both(double mm) => Invariant($"{Math.Abs(mm):0.##} mm ({Length.Inches(Math.Abs(mm))})");

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
