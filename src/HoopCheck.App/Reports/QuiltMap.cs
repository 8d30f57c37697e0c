using System.Globalization;
using System.Xml.Linq;
using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>How a hooping is shown on the map.</summary>
/// <param name="Colour">Fill colour, #RRGGBB.</param>
/// <param name="Label">A word that says what the colour means; empty for none.</param>
internal sealed record MapMark(string Colour, string Label)
{
    /// <summary>Nothing to say yet.</summary>
    public static MapMark Plain { get; } = new("#F4F1EA", "");
}

/// <summary>The plan as a drawing: fills to scale with their numbers, distances from the marked edges, tape sides, and which way a fill is turned.</summary>
internal static class QuiltMap
{
    private const string Ink = "#222222", Quiet = "#6A6A6A", Tape = "#2F7FC1";

    private static readonly XNamespace s_svg = "http://www.w3.org/2000/svg";

    /// <summary>The drawing as text; 1 unit = 1 mm of quilt, y down from the quilt's top edge.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="mark">How each hooping is coloured and labelled; null: all alike.</param>
    public static string Svg(QuiltPlan plan, Func<PlannedHooping, MapMark>? mark = null) => Element(plan, mark).ToString(SaveOptions.DisableFormatting);

    /// <summary>The drawing as an element, for a page.</summary>
    public static XElement Element(QuiltPlan plan, Func<PlannedHooping, MapMark>? mark = null)
    {
        double width = plan.Quilt.Width, height = plan.Quilt.Height, unit = Math.Max(width, height) / 100;
        double left = 15 * unit, top = 11 * unit, rest = 2.5 * unit, foot = 6 * unit;
        var svg = new XElement(
            s_svg + "svg",
            new XAttribute("viewBox", $"{N(-left)} {N(-top)} {N(left + width + rest)} {N(top + height + rest + foot)}"),
            new XAttribute("width", 1000), new XAttribute("height", N(1000 * (top + height + rest + foot) / (left + width + rest))),
            new XAttribute("font-family", "system-ui, 'DejaVu Sans', sans-serif"), new XAttribute("role", "img"),
            new XElement(s_svg + "title", $"{plan.Chosen.Hoopings} hoopings, {plan.Chosen.Columns} across and {plan.Chosen.Rows} down, the hoop {PlanJson.Of(plan.Chosen.Lies)}"),
            Rectangle(-left, -top, left + width + rest, top + height + rest + foot, "#FFFFFF"),
            Rectangle(0, 0, width, height, "#FFFFFF", new XAttribute("stroke", Ink), new XAttribute("stroke-width", N(0.35 * unit))));
        foreach (PlannedHooping hooping in plan.Hoopings)
        {
            svg.Add(Cell(plan, hooping, mark?.Invoke(hooping) ?? MapMark.Plain));
        }

        // Distances stand once for each column and row, along the edges they are measured from.
        // "23 11/16 in" is about seven times as long as its letters are high.
        double text = Math.Min(1.9 * unit, (plan.X.Sizes.Min() + plan.Quilt.GapMm) / 7.5);
        for (int column = 0; column < plan.X.Count; column++)
        {
            double x = plan.X.Centres[column] + (width / 2), mm = x;
            svg.Add(Text(x, -2.6 * unit - text, text, Ink, Length.Inches(mm)), Text(x, -2.2 * unit, text * 0.9, Quiet, Length.Millimetres(mm)), Line(x, -1.6 * unit, x, 0, Quiet, 0.2 * unit));
        }

        text = Math.Min(1.9 * unit, (plan.Y.Sizes.Min() + plan.Quilt.GapMm) / 2.2);
        for (int up = 0; up < plan.Y.Count; up++)
        {
            double y = (height / 2) - plan.Y.Centres[up];
            svg.Add(
                Text(-2 * unit, y - (0.2 * text), text, Ink, Length.Inches(y), "end"), Text(-2 * unit, y + (0.9 * text), text * 0.9, Quiet, Length.Millimetres(y), "end"),
                Line(-1.6 * unit, y, 0, y, Quiet, 0.2 * unit));
        }

        // Words as wide as the drawing at most: a narrow quilt gets smaller ones.
        double k = unit * Math.Min(1, (left + width) / (76 * unit)), small = 1.7 * k, line = height + (3.6 * unit);
        svg.Add(
            Text(-left + unit, -8.2 * unit, small, Ink, "Middles of the fills, from the marked left edge (above) and from the marked top edge (beside)", "start"),
            Line(0, 0, width, 0, Ink, 0.8 * unit), Line(0, 0, 0, height, Ink, 0.8 * unit),
            Line(-left + unit, line, -left + unit + (4 * k), line, Tape, 0.7 * unit),
            Text(-left + unit + (5 * k), line + (0.6 * k), small, Ink, "tape along earlier stitching", "start"),
            Arrow(-left + unit + (32 * k), line, 0.9 * k, 0, -1),
            Text(-left + unit + (34 * k), line + (0.6 * k), small, Ink, plan.Quilt.TurnFills ? "the fill's top, every other one turned" : "the fill's top", "start"));
        return svg;
    }

    private static XElement Cell(QuiltPlan plan, PlannedHooping h, MapMark mark)
    {
        double x = plan.FromLeft(h.Centre), y = plan.FromTop(h.Centre), unit = Math.Max(plan.Quilt.Width, plan.Quilt.Height) / 100;
        double number = Math.Min(5 * unit, 0.3 * Math.Min(h.Width, h.Height)), small = Math.Min(number * 0.4, h.Width / 9);
        var cell = new XElement(
            s_svg + "g",
            Rectangle(x - (h.Width / 2), y - (h.Height / 2), h.Width, h.Height, mark.Colour, new XAttribute("stroke", Ink), new XAttribute("stroke-width", N(0.15 * unit))),
            Text(x, y + (0.3 * number), number, Ink, h.Number.ToString(CultureInfo.InvariantCulture), weight: "bold"),
            Text(x, y + (0.3 * number) + (1.5 * small), small, Quiet, string.Create(CultureInfo.InvariantCulture, $"{h.Width:0} x {h.Height:0} mm")));
        if (mark.Label.Length > 0)
        {
            cell.Add(Text(x, y + (0.3 * number) + (3 * small), small * 1.15, Ink, mark.Label, weight: "bold"));
        }

        // The arrow stands inside the side that the fill's top looks to; picture y runs down.
        (double ux, double uy) = Direction(h);
        double reach = (Math.Abs(ux) * h.Width / 2) + (Math.Abs(uy) * h.Height / 2) - (1.6 * small);
        cell.Add(Arrow(x + (ux * reach), y + (uy * reach), 0.6 * small, ux, uy));
        foreach (Side side in h.TapeSides.Keys.Select(hoop => QuiltPlanner.QuiltSide(hoop, h.Lies)))
        {
            double gap = plan.Quilt.GapMm / 2, half = (side is Side.Left or Side.Right ? h.Height : h.Width) * 0.42;
            HoopVector n = side.Normal(), t = side.Along();
            double far = ((side is Side.Left or Side.Right ? h.Width : h.Height) / 2) + gap, cx = x + (n.X * far), cy = y - (n.Y * far);
            cell.Add(Line(cx - (t.X * half), cy - (t.Y * half), cx + (t.X * half), cy + (t.Y * half), Tape, 0.7 * unit));
        }

        return cell;
    }

    /// <summary>Where the fill's top looks to on the picture, a unit vector, y down.</summary>
    private static (double X, double Y) Direction(PlannedHooping h)
    {
        double degrees = h.FillTurnDegrees + (h.Lies == HoopLies.Sideways ? 90 : 0);
        (double sin, double cos) = Math.SinCos(degrees * Math.PI / 180);
        return (-sin, -cos);
    }

    private static XElement Rectangle(double x, double y, double width, double height, string fill, params XAttribute[] more) => new(
        s_svg + "rect", new XAttribute("x", N(x)), new XAttribute("y", N(y)), new XAttribute("width", N(width)), new XAttribute("height", N(height)), new XAttribute("fill", fill), more);

    private static XElement Line(double x1, double y1, double x2, double y2, string colour, double thick) => new(
        s_svg + "line", new XAttribute("x1", N(x1)), new XAttribute("y1", N(y1)), new XAttribute("x2", N(x2)), new XAttribute("y2", N(y2)),
        new XAttribute("stroke", colour), new XAttribute("stroke-width", N(thick)));

    private static XElement Arrow(double x, double y, double size, double ux, double uy) => new(
        s_svg + "path", new XAttribute("fill", Quiet),
        new XAttribute("d", $"M{N(x + (ux * size))},{N(y + (uy * size))} L{N(x - (ux * size) - (uy * size))},{N(y - (uy * size) + (ux * size))} L{N(x - (ux * size) + (uy * size))},{N(y - (uy * size) - (ux * size))} Z"));

    private static XElement Text(double x, double y, double size, string colour, string text, string anchor = "middle", string weight = "normal") => new(
        s_svg + "text", new XAttribute("x", N(x)), new XAttribute("y", N(y)), new XAttribute("font-size", N(size)), new XAttribute("fill", colour),
        new XAttribute("text-anchor", anchor), new XAttribute("font-weight", weight), text);

    private static string N(double value) => Math.Round(value, 2).ToString("0.##", CultureInfo.InvariantCulture);
}
