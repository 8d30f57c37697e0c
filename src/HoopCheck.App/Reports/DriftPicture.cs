using System.Globalization;
using System.Xml.Linq;
using HoopCheck.Checking.Drift;
using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>The fills as they lie, their shifts and turns enlarged, over the plan.</summary>
internal static class DriftPicture
{
    private static readonly XNamespace s_svg = "http://www.w3.org/2000/svg";

    /// <summary>The drawing; the enlargement is written in it.</summary>
    public static XElement Element(QuiltPlan plan, QuiltDrift drift)
    {
        double width = plan.Quilt.Width, height = plan.Quilt.Height, unit = Math.Max(width, height) / 100, margin = 4 * unit;

        // As much as shows, and not so much that neighbours hide each other.
        double largest = Math.Max(0.5, drift.Fills.Max(f => Math.Max(Shown(f.X, f.UncertaintyX), Shown(f.Y, f.UncertaintyY))));
        double times = Math.Clamp(Math.Round(0.12 * Math.Min(plan.X.Sizes.Min(), plan.Y.Sizes.Min()) / largest), 1, 20);
        var svg = new XElement(
            s_svg + "svg", new XAttribute("viewBox", $"{N(-margin)} {N(-margin)} {N(width + (2 * margin))} {N(height + (2 * margin) + (4 * unit))}"),
            new XAttribute("width", 640), new XAttribute("height", N(640 * (height + (2 * margin) + (4 * unit)) / (width + (2 * margin)))),
            new XAttribute("font-family", "system-ui, 'DejaVu Sans', sans-serif"), new XAttribute("role", "img"),
            new XElement(s_svg + "title", "Where the fills lie against the plan"));
        foreach (PlannedHooping h in plan.Hoopings)
        {
            svg.Add(Box(plan, h, 0, 0, 0, "none", "#999999", $"{N(unit)} {N(unit)}", 0.15 * unit));
        }

        foreach (FillLies f in drift.Fills)
        {
            PlannedHooping h = plan.Find(f.Number)!;
            double x = DriftWords.Known(f.UncertaintyX) ? f.X : 0, y = DriftWords.Known(f.UncertaintyY) ? f.Y : 0;
            svg.Add(
                Box(plan, h, x * times, y * times, f.TurnDegrees * times, "#CBE6CF", "#1F5C38", null, 0.3 * unit),
                new XElement(
                    s_svg + "text", new XAttribute("x", N(plan.FromLeft(h.Centre) + (x * times))), new XAttribute("y", N(plan.FromTop(h.Centre) - (y * times) + unit)), new XAttribute("font-size", N(3 * unit)),
                    new XAttribute("text-anchor", "middle"), new XAttribute("fill", "#222222"), h.Number.ToString(CultureInfo.InvariantCulture)));
        }

        svg.Add(new XElement(
            s_svg + "text", new XAttribute("x", 0), new XAttribute("y", N(height + margin + (2 * unit))), new XAttribute("font-size", N(2.2 * unit)), new XAttribute("fill", "#222222"),
            string.Create(CultureInfo.InvariantCulture, $"dashed: planned; green: as stitched, shifts and turns {times:0} times as large")));
        return svg;
    }

    private static double Shown(double mm, double uncertainty) => DriftWords.Known(uncertainty) ? Math.Abs(mm) : 0;

    private static XElement Box(QuiltPlan plan, PlannedHooping h, double x, double y, double turn, string fill, string stroke, string? dash, double thick)
    {
        // Picture y runs down, so a counter-clockwise turn is negative there.
        double cx = plan.FromLeft(h.Centre) + x, cy = plan.FromTop(h.Centre) - y;
        return new(
            s_svg + "rect", new XAttribute("x", N(cx - (h.Width / 2))), new XAttribute("y", N(cy - (h.Height / 2))), new XAttribute("width", N(h.Width)), new XAttribute("height", N(h.Height)),
            new XAttribute("fill", fill), new XAttribute("fill-opacity", "0.75"), new XAttribute("stroke", stroke), new XAttribute("stroke-width", N(thick)), dash is null ? null : new XAttribute("stroke-dasharray", dash),
            turn == 0 ? null : new XAttribute("transform", $"rotate({N(-turn)} {N(cx)} {N(cy)})"));
    }

    private static string N(double value) => Math.Round(value, 2).ToString("0.##", CultureInfo.InvariantCulture);
}
