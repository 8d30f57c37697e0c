using System.Globalization;
using System.Text;
using HoopCheck.App.Quilts;
using HoopCheck.Checking.Drift;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>One line a hooping for a spreadsheet, as RFC 4180 has it: commas, quotation marks doubled, CRLF; numbers with a point, lengths in mm.</summary>
internal static class LogCsv
{
    private static readonly string[] s_sides = ["left", "right", "top", "bottom"];

    /// <summary>The table as text.</summary>
    public static string Write(QuiltBook book)
    {
        IReadOnlyList<HoopingStatus> all = book.Hoopings();
        QuiltDrift? drift = book.Drift(all);
        var text = new StringBuilder();
        Add(text, [
            "hooping", "row", "column", "state", "fromLeftMm", "fromTopMm", "plannedFillWidthMm", "plannedFillHeightMm", "fillWidthMm", "fillHeightMm", "fillXMm", "fillYMm", "fillTurnDeg",
            "decision", .. s_sides.SelectMany(s => new[] { $"{s}MinMm", $"{s}MaxMm", $"{s}UncertaintyMm" }), "applied", "driftXMm", "driftYMm", "driftTurnDeg", "checkEntry", "stitchedEntry", "stitchedAt", "remarks"]);
        foreach (HoopingStatus h in all)
        {
            PlannedHooping p = h.Hooping;
            FillAt? fill = h.Stitched?.Fill ?? h.Check?.Fill;
            FillLies? lies = drift?.Fills.FirstOrDefault(f => f.Number == p.Number);
            var cells = new List<string>
            {
                N(p.Number), N(p.Row + 1), N(p.Column + 1), LogJson.Of(h.State), N(book.Plan.FromLeft(p.Centre)), N(book.Plan.FromTop(p.Centre)), N(p.FillWidth), N(p.FillHeight),
                N(fill?.Width), N(fill?.Height), N(fill?.X), N(fill?.Y), N(fill?.TurnDegrees), h.Check?.Decision ?? "",
            };
            foreach (string name in s_sides)
            {
                SideSeen? side = h.Check?.Sides.FirstOrDefault(s => s.Side == name);
                cells.AddRange([N(side?.MinMm), N(side?.MaxMm), N(side?.UncertaintyMm)]);
            }

            bool x = lies is not null && DriftWords.Known(lies.UncertaintyX), y = lies is not null && DriftWords.Known(lies.UncertaintyY);
            cells.AddRange([
                h.Stitched?.Applied ?? h.Check?.Applied ?? "", N(x ? lies!.X : null), N(y ? lies!.Y : null), N(lies?.TurnDegrees), N(h.CheckEntry?.Number), N(h.StitchedEntry?.Number),
                h.StitchedEntry?.At.ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture) ?? "", string.Join(" | ", h.Remarks)]);
            Add(text, cells);
        }

        return text.ToString();
    }

    private static void Add(StringBuilder text, IEnumerable<string> cells) => text.AppendJoin(',', cells.Select(Quoted)).Append("\r\n");

    private static string Quoted(string cell) => cell.AsSpan().IndexOfAny(",\"\r\n") >= 0 ? $"\"{cell.Replace("\"", "\"\"", StringComparison.Ordinal)}\"" : cell;

    private static string N(double? value) => value is { } v ? (Math.Round(v, 3) + 0.0).ToString("0.###", CultureInfo.InvariantCulture) : "";
}
