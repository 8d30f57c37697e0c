using System.Globalization;
using HoopCheck.App.Quilts;
using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Web.Pages;

/// <summary>The quilt for a small screen: each hooping with its number and a sign of how it stands; large enough to be tapped.</summary>
internal static class PhoneMap
{
    /// <summary>The drawing, 1 unit = 1 mm, y down from the quilt's top edge.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="all">How each hooping stands.</param>
    /// <param name="marked">The hooping shown as the one in question; null: none.</param>
    public static Markup Draw(QuiltPlan plan, IReadOnlyList<HoopingStatus> all, int? marked)
    {
        double width = plan.Quilt.Width, height = plan.Quilt.Height, unit = Math.Max(width, height) / 100, edge = 2 * unit;
        return Html.Of($"""
            <svg class="map" role="group" aria-label="The quilt's hoopings; its top edge is above" viewBox="{N(-edge)} {N(-edge)} {N(width + (2 * edge))} {N(height + (2 * edge))}">
            <rect class="edge" x="0" y="0" width="{N(width)}" height="{N(height)}" stroke-width="{N(0.5 * unit)}"/>
            {all.Select(h => Cell(plan, h, h.Hooping.Number == marked, unit))}
            </svg>
            """);
    }

    /// <summary>How a hooping stands, in words.</summary>
    public static string Words(HoopingState state) => state switch
    {
        HoopingState.Clear => "checked, clear",
        HoopingState.Change => "checked, a change is needed",
        HoopingState.Unsure => "checked, cannot tell yet",
        HoopingState.Stitched => "stitched",
        HoopingState.Redo => "to be stitched again",
        _ => "open",
    };

    /// <summary>One character for how a hooping stands; empty for one that is open.</summary>
    public static string Sign(HoopingState state) => state switch
    {
        HoopingState.Clear => "○",
        HoopingState.Change => "!",
        HoopingState.Unsure => "?",
        HoopingState.Stitched => "✓",
        HoopingState.Redo => "↻",
        _ => "",
    };

    private static Markup Cell(QuiltPlan plan, HoopingStatus status, bool marked, double unit)
    {
        PlannedHooping h = status.Hooping;
        double x = plan.FromLeft(h.Centre), y = plan.FromTop(h.Centre), size = Math.Min(8 * unit, Math.Min(h.Height * 0.42, h.Width * 0.36));
        string sign = Sign(status.State);
        Markup signed = Html.If(sign.Length > 0, $"""<text x="{N(x)}" y="{N(y + (1.05 * size))}" font-size="{N(size * 0.85)}">{sign}</text>""");
        string kind = marked ? "next" : status.State == HoopingState.Stitched ? "done" : "open";
        return Html.Of($"""
            <a href="/hooping/{h.Number}" aria-label="Hooping {h.Number}, {Words(status.State)}{(marked ? ", marked" : "")}"><g class="{(kind == "open" ? "cell-open" : kind)}">
            <rect class="cell" x="{N(x - (h.Width / 2))}" y="{N(y - (h.Height / 2))}" width="{N(h.Width)}" height="{N(h.Height)}" stroke-width="{N((marked ? 1.2 : 0.3) * unit)}"/>
            {Html.If(marked, $"{Strips(plan, h, unit)}")}
            <text x="{N(x)}" y="{N(y + ((sign.Length > 0 ? 0.05 : 0.36) * size))}" font-size="{N(size)}">{h.Number}</text>{signed}
            </g></a>
            """);
    }

    /// <summary>Where tape is laid for a hooping.</summary>
    private static Markup Strips(QuiltPlan plan, PlannedHooping h, double unit) => Html.All(h.TapeSides.Keys.Select(hoop =>
    {
        Side side = QuiltPlanner.QuiltSide(hoop, h.Lies);
        bool upright = side is Side.Left or Side.Right;
        double half = (upright ? h.Height : h.Width) * 0.45, far = ((upright ? h.Width : h.Height) / 2) + (plan.Quilt.GapMm / 2);
        HoopVector n = side.Normal(), t = side.Along();
        double cx = plan.FromLeft(h.Centre) + (n.X * far), cy = plan.FromTop(h.Centre) - (n.Y * far);
        return Html.Of($"""<path class="strip" d="M{N(cx - (t.X * half))} {N(cy - (t.Y * half))}L{N(cx + (t.X * half))} {N(cy + (t.Y * half))}" stroke-width="{N(2 * unit)}" stroke-dasharray="{N(3 * unit)} {N(unit)}"/>""");
    }));

    private static string N(double value) => Math.Round(value, 2).ToString("0.##", CultureInfo.InvariantCulture);
}
