using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>The plan for a person: how many hoopings and why, the map, each hooping's place, thread.</summary>
internal static class PlanReport
{
    /// <summary>Writes the plan.</summary>
    public static void Write(QuiltPlan plan, HoopSpec hoop, TextWriter to)
    {
        PlanCount best = plan.Chosen, other = plan.Other;
        to.WriteLine($"{(plan.Quilt.Name.Length > 0 ? $"{plan.Quilt.Name}: " : "")}{Hoopings(best.Hoopings)}, {best.Columns} across and {best.Rows} down, the hoop {Lies(best.Lies)}.");
        to.WriteLine($"The hoop {Lies(other.Lies)} would take {other.Columns} x {other.Rows} = {other.Hoopings}{(other.Hoopings < best.Hoopings ? ", but the quilt file says so" : "")}.");
        to.WriteLine();
        foreach (string line in Words(plan, hoop))
        {
            TextReport.Paragraph(to, line);
        }

        to.WriteLine();
        WriteMap(plan, to, _ => "");
        to.WriteLine();
        WriteTable(plan, to);
        to.WriteLine();
        foreach (string line in Thread(plan))
        {
            TextReport.Paragraph(to, line);
        }
    }

    /// <summary>What the layout is and why, one sentence or two a line.</summary>
    public static IEnumerable<string> Words(QuiltPlan plan, HoopSpec hoop)
    {
        QuiltSpec q = plan.Quilt;
        yield return $"From left to right {Axis(plan.X, "column")}. From top to bottom {Axis(plan.Y, "row")}.";
        yield return $"Between fills {Both(q.GapMm)}{(q.EdgeMm > 0 ? $", along the quilt's edges {Both(q.EdgeMm)}" : "")}. As many hoopings would do for a quilt up to "
            + $"{Both(plan.Chosen.SpareX)} wider and {Both(plan.Chosen.SpareY)} higher.";
        if (plan.Chosen.Lies == HoopLies.Sideways)
        {
            yield return "Sideways: the hoop's bar points to the quilt's bottom edge, its top to the quilt's left.";
        }

        string order = q.Order == StitchOrder.Rows ? "The middle row first, then the rows above it, then those below; each from the middle outward." : "The middle column first, then those at its left, then those at its right; each from the middle outward.";
        if (plan.Hoopings.Count > 1)
        {
            yield return $"{order} So no fill ever has stitching on two opposite sides: it can always be moved away from its tape.";
        }

        double room = Math.Min(hoop.FieldWidth - q.FillWidth, hoop.FieldHeight - q.FillHeight) / 2;
        if (room < RoomToMoveMm)
        {
            yield return $"The largest fill leaves {Both(Math.Max(0, room))} to the edge of the sewing field: there is hardly room to move it when it does not meet its neighbours.";
        }
    }

    /// <summary>Own choice: a hooping is a few millimetres off its place as a rule.</summary>
    private const double RoomToMoveMm = 3;

    /// <summary>The quilt as a grid of numbers, top edge at the top, each with a short mark.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="to">Where to.</param>
    /// <param name="mark">A word of at most six letters for each hooping, or an empty one.</param>
    public static void WriteMap(QuiltPlan plan, TextWriter to, Func<PlannedHooping, string> mark)
    {
        const int Wide = 100;
        string[] marks = [.. plan.Hoopings.Select(mark)];
        bool marked = marks.Any(m => m.Length > 0);
        int cell = Math.Max(marked ? marks.Max(m => m.Length) + 2 : 0, plan.Hoopings.Count.ToString(CultureInfo.InvariantCulture).Length + 2);
        if (2 + (plan.X.Count * (cell + 1)) > Wide)
        {
            to.WriteLine("The quilt is too wide for a map here: write it as a drawing with hoopcheck plan --map FILE.svg.");
            return;
        }

        string Rule(char left, char middle, char right) => $"  {left}{string.Join(middle, Enumerable.Repeat(new string('─', cell), plan.X.Count))}{right}";
        to.WriteLine(Rule('┌', '┬', '┐'));
        for (int row = 0; row < plan.Y.Count; row++)
        {
            PlannedHooping[] line = [.. Enumerable.Range(0, plan.X.Count).Select(column => plan.At(row, column)!)];
            to.WriteLine($"  │{string.Join('│', line.Select(h => Centred(h.Number.ToString(CultureInfo.InvariantCulture), cell)))}│");
            if (marked)
            {
                to.WriteLine($"  │{string.Join('│', line.Select(h => Centred(marks[h.Number - 1], cell)))}│");
            }

            to.WriteLine(row == plan.Y.Count - 1 ? Rule('└', '┴', '┘') : Rule('├', '┼', '┤'));
        }
    }

    private static void WriteTable(QuiltPlan plan, TextWriter to)
    {
        to.WriteLine("Mark the quilt's left and top edge; each fill's middle is measured from them.");
        to.WriteLine($"  {"no.",4}  {"from the left",-25}{"from the top",-25}{"fill in the hoop, mm",-21}{"turned",-8}tape (along hooping)");
        foreach (PlannedHooping h in plan.Hoopings)
        {
            double left = plan.FromLeft(h.Centre), top = plan.FromTop(h.Centre);
            Row(
                h.Number.ToString(CultureInfo.InvariantCulture), Length.Millimetres(left), Length.Inches(left), Length.Millimetres(top), Length.Inches(top),
                string.Create(CultureInfo.InvariantCulture, $"{h.FillWidth:0.0} x {h.FillHeight:0.0}"),
                h.FillTurnDegrees == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $"{h.FillTurnDegrees:0}°"), Sides(h));
        }

        void Row(string number, string left, string leftInches, string top, string topInches, string size, string turned, string tape) =>
            to.WriteLine($"  {number,4}  {left,-11}{leftInches,-14}{top,-11}{topInches,-14}{size,-21}{turned,-8}{tape}".TrimEnd());
    }

    /// <summary>Thread and stitches in all, and where a bobbin ends.</summary>
    public static IEnumerable<string> Thread(QuiltPlan plan)
    {
        yield return string.Create(
            CultureInfo.InvariantCulture,
            $"Thread, about: {plan.Thread.Sum(t => t.Stitches):# ##0} stitches, {plan.Thread.Sum(t => t.TopMetres):0} m of top thread, {plan.Thread.Sum(t => t.BobbinMetres):0} m on the bobbin.");
        int[] changes = [.. plan.Hoopings.Where(h => plan.Thread[h.Number - 1].NewBobbin).Select(h => h.Number)];
        if (plan.Quilt.Thread.BobbinMetres is not { } full)
        {
            yield return "Write bobbin-metres into the quilt file to be told before which hooping the bobbin is to be changed.";
        }
        else if (plan.Thread.FirstOrDefault(t => t.BobbinTooShort) is { } much)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"A bobbin of {full:0.#} m runs out within a hooping of {much.BobbinMetres:0.#} m: keep full ones at hand and watch it.");
        }
        else
        {
            yield return changes.Length == 0
                ? "One full bobbin is enough."
                : string.Create(CultureInfo.InvariantCulture, $"A bobbin of {full:0.#} m would run out in the middle of a hooping: put a full one in before hooping {string.Join(", ", changes)}.");
        }
    }

    /// <summary>That a full bobbin is to be put in before a hooping; null where the old one lasts, or its length is not known.</summary>
    public static string? Bobbin(QuiltPlan plan, PlannedHooping hooping) => plan.Thread[hooping.Number - 1] is { NewBobbin: true } use
        ? string.Create(CultureInfo.InvariantCulture, $"Put a full bobbin in before hooping {hooping.Number}: it takes about {use.BobbinMetres:0.0} m, and about {use.BobbinLeftMetres:0.0} m are left.")
        : null;

    /// <summary>The sides of the hoop with tape, and whose stitching it marks.</summary>
    public static string Sides(PlannedHooping h) => h.TapeSides.Count == 0
        ? "none: the first one"
        : string.Join(", ", h.TapeSides.Select(t => string.Create(CultureInfo.InvariantCulture, $"{t.Key.Name()} ({t.Value})")));

    private static string Hoopings(int count) => count == 1 ? "1 hooping" : string.Create(CultureInfo.InvariantCulture, $"{count} hoopings");

    private static string Lies(HoopLies lies) => PlanJson.Of(lies);

    private static string Axis(AxisLayout axis, string word)
    {
        string middle = axis.MiddleIsSeam ? $"the quilt's middle is a seam between two {word}s" : $"the quilt's middle is the middle of a {word}";
        return axis switch
        {
            { Count: 1 } => $"there is one {word} of {Both(axis.Sizes[0])}",
            _ when axis.Sizes.Distinct().Count() == 1 => $"all {axis.Count} {word}s are {Both(axis.Sizes[0])}; {middle}",
            { Count: 3 } => $"the middle {word} is {Both(axis.Sizes[1])}, the outer ones {Both(axis.Sizes[0])}; {middle}",
            _ => string.Create(CultureInfo.InvariantCulture, $"{axis.Count - 2} {word}s are {Both(axis.Sizes[1])}, the outermost {Both(axis.Sizes[0])}; {middle}"),
        };
    }

    private static string Both(double mm) => $"{Length.Millimetres(mm)} ({Length.Inches(mm)})";

    private static string Centred(string text, int width) => text.PadLeft((width + text.Length + 1) / 2).PadRight(width);
}
