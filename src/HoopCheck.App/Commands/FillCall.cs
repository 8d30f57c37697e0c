using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using HoopCheck.Rules;

namespace HoopCheck.App.Commands;

/// <summary>A fill as a call gives it, and what had to be assumed.</summary>
/// <param name="Fill">The fill.</param>
/// <param name="Notes">For the person; none for a rectangle.</param>
internal sealed record FillGiven(PlannedFill Fill, IReadOnlyList<string> Notes);

/// <summary>The words of a call that describe the fill.</summary>
/// <param name="Fill">--fill: a size or the path of a drawing.</param>
/// <param name="Corners">--fill-corners.</param>
/// <param name="Kind">--fill-kind.</param>
/// <param name="Thread">--thread.</param>
/// <param name="At">--fill-at.</param>
internal sealed record FillCall(string Fill, string? Corners, string? Kind, string? Thread, string? At)
{
    /// <summary>What the option for <see cref="Fill"/> is called in this call.</summary>
    public string FillOption { get; init; } = "--fill";

    /// <summary>What the option for <see cref="Corners"/> is called in this call.</summary>
    public string CornersOption { get; init; } = "--fill-corners";

    /// <summary>Shortest straight part that a side may keep between round corners, mm: as much as a side needs of tape.</summary>
    public static readonly double StraightMm = Tolerances.Default.LeastSeenMm;

    /// <summary>Reads the words, and the drawing where there is one.</summary>
    /// <returns>The fill, HC120, or HC130 to HC135.</returns>
    public static Outcome<FillGiven> Read(FillCall call)
    {
        static Problem Wrong(string option, string why) => new(Problems.BadCall, $"{option}: {why}.");

        HoopPoint centre = default;
        if (call.At is { } at && !Length.TryParsePlace(at, out centre, out string unplaced))
        {
            return Wrong("--fill-at", unplaced);
        }

        if (Length.TryParseSize(call.Fill, out double width, out double height, out string why))
        {
            if (call.Kind is not null || call.Thread is not null)
            {
                return Wrong(call.Kind is not null ? "--fill-kind" : "--thread", $"it goes with a drawing, {call.FillOption} FILE.svg");
            }

            double radius = 0;
            if (call.Corners is { } round && !(Length.TryParse(round, out radius, out why) && radius >= 0))
            {
                return Wrong(call.CornersOption, why.Length > 0 ? why : "it must not be negative");
            }

            PlannedFill rectangle = new(centre, width, height) { CornerRadius = radius };
            return !rectangle.HasStraightSides(StraightMm)
                ? Wrong(call.CornersOption, $"it leaves less than {Length.Millimetres(StraightMm)} of straight edge between two corners; give such a fill as a drawing")
                : new FillGiven(rectangle, []);
        }

        if (!IsDrawing(call.Fill))
        {
            return Wrong(call.FillOption, why);
        }

        if (call.Corners is not null)
        {
            return Wrong(call.CornersOption, $"it goes with a size, {call.FillOption} WxH");
        }

        double thread = Tolerances.UsualThreadMm;
        if (call.Thread is { } written && !(Length.TryParse(written, out thread, out why) && thread is >= 0 and <= 5))
        {
            return Wrong("--thread", why.Length > 0 ? why : "0 to 5 mm is possible");
        }

        if (call.Kind is not (null or "auto" or "outline" or "stitches"))
        {
            return Wrong("--fill-kind", $"\"{call.Kind}\" is not auto, outline or stitches");
        }

        FillKind? kind = call.Kind switch
        {
            "outline" => FillKind.Outline,
            "stitches" => FillKind.Stitches,
            _ => null,
        };
        return PhotoFile.ReadFill(call.Fill, kind, thread).Then<FillGiven>(read =>
        {
            var fill = PlannedFill.Of(read.Shape, centre + read.FromViewBoxCentre);
            string size = $"{Length.Millimetres(fill.Width)} wide and {Length.Millimetres(fill.Height)} high";
            string thick = read.Shape.ThreadMm > 0 ? $" with {Length.Millimetres(read.Shape.ThreadMm)} of thread" : "";
            var notes = new List<string> { $"The drawing is read {read.SayKind}: {size}{thick}." };
            if (!read.PhysicalSize)
            {
                notes.Add("The drawing gives its size without mm or in; one unit is taken for 1/96 in, as SVG has it. See that the size is right.");
            }

            return new FillGiven(fill, notes);
        });
    }

    /// <summary>Whether a word that is no size is meant as a file.</summary>
    public static bool IsDrawing(string word) =>
        word.EndsWith(".svg", StringComparison.OrdinalIgnoreCase) || File.Exists(word) || Directory.Exists(word);
}
