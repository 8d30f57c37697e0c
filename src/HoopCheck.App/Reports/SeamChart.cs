using System.Globalization;
using System.Xml.Linq;
using HoopCheck.Checking.Drift;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>All seams' gaps in one drawing: the band of what is allowed, from narrowest to widest, the middle with its uncertainty.</summary>
internal static class SeamChart
{
    private const string Ink = "#222222", Quiet = "#6A6A6A", Good = "#2F7D4F", Bad = "#B3261E";

    private static readonly XNamespace s_svg = "http://www.w3.org/2000/svg";

    /// <summary>The drawing; null where no photo shows a seam between stitched neighbours.</summary>
    public static XElement? Element(QuiltPlan plan, QuiltDrift drift)
    {
        SeamGap[] seams = [.. drift.Seams.Where(s => s.Seen).OrderBy(s => s.Second).ThenBy(s => s.First)];
        if (seams.Length == 0)
        {
            return null;
        }

        const double Row = 20, Left = 62, Width = 640, Right = 16, Top = 34;
        double least = Math.Floor(Math.Min(-1, seams.Min(s => Math.Min(s.NarrowestMm, s.GapMm - s.UncertaintyMm)))), most = Math.Ceiling(Math.Max(plan.Quilt.SpacingMm + 2, seams.Max(s => Math.Max(s.WidestMm, s.GapMm + s.UncertaintyMm))));
        double At(double mm) => Left + ((mm - least) / (most - least) * (Width - Left - Right));
        double foot = Top + (seams.Length * Row), height = foot + 30;
        var svg = new XElement(
            s_svg + "svg", new XAttribute("viewBox", $"0 0 {N(Width)} {N(height)}"), new XAttribute("width", N(Width)), new XAttribute("height", N(height)),
            new XAttribute("font-family", "system-ui, 'DejaVu Sans', sans-serif"), new XAttribute("font-size", 11), new XAttribute("role", "img"),
            new XElement(s_svg + "title", "Gaps of the seams between stitched neighbours, mm"),
            new XElement(s_svg + "rect", new XAttribute("x", N(At(plan.Quilt.MinGapMm))), new XAttribute("y", N(Top)), new XAttribute("width", N(At(plan.Quilt.SpacingMm) - At(plan.Quilt.MinGapMm))), new XAttribute("height", N(foot - Top)), new XAttribute("fill", "#E3F0E6")),
            Line(At(plan.Quilt.GapMm), Top, At(plan.Quilt.GapMm), foot, Good, 1, "4 3"),
            Text(At(plan.Quilt.MinGapMm), Top - 18, "middle", Quiet, "smallest"), Text(At(plan.Quilt.GapMm), Top - 5, "middle", Good, "planned"), Text(At(plan.Quilt.SpacingMm), Top - 18, "middle", Quiet, "widest"));
        double step = most - least > 30 ? 5 : 2;
        for (double mm = Math.Ceiling(least / step) * step; mm <= most; mm += step)
        {
            svg.Add(Line(At(mm), foot, At(mm), foot + 4, Quiet, 1), Text(At(mm), foot + 16, "middle", Quiet, N(mm)));
        }

        svg.Add(Line(At(0), Top, At(0), foot, Quiet, 1), Text(Width - Right, height - 2, "end", Quiet, "mm; thick: from the seam's narrow end to its wide end; thin: uncertainty"));
        for (int i = 0; i < seams.Length; i++)
        {
            SeamGap s = seams[i];
            double y = Top + ((i + 0.5) * Row);
            string colour = DriftWords.OutOfBounds(plan, s) is null ? Good : Bad;
            svg.Add(
                Text(Left - 8, y + 4, "end", Ink, string.Create(CultureInfo.InvariantCulture, $"{s.First}–{s.Second}")),
                Line(At(s.GapMm - s.UncertaintyMm), y, At(s.GapMm + s.UncertaintyMm), y, Ink, 1),
                Line(At(s.NarrowestMm), y, At(Math.Max(s.WidestMm, s.NarrowestMm + 0.05)), y, colour, 6),
                new XElement(s_svg + "circle", new XAttribute("cx", N(At(s.GapMm))), new XAttribute("cy", N(y)), new XAttribute("r", 3.5), new XAttribute("fill", Ink)));
        }

        return svg;
    }

    private static XElement Line(double x1, double y1, double x2, double y2, string colour, double thick, string? dash = null) => new(
        s_svg + "line", new XAttribute("x1", N(x1)), new XAttribute("y1", N(y1)), new XAttribute("x2", N(x2)), new XAttribute("y2", N(y2)),
        new XAttribute("stroke", colour), new XAttribute("stroke-width", N(thick)), dash is null ? null : new XAttribute("stroke-dasharray", dash));

    private static XElement Text(double x, double y, string anchor, string colour, string text) => new(
        s_svg + "text", new XAttribute("x", N(x)), new XAttribute("y", N(y)), new XAttribute("text-anchor", anchor), new XAttribute("fill", colour), text);

    private static string N(double value) => (Math.Round(value, 2) + 0.0).ToString("0.##", CultureInfo.InvariantCulture);
}
