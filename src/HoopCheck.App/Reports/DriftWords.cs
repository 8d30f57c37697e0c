using System.Globalization;
using System.Text.Json;
using HoopCheck.Checking.Drift;
using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;

namespace HoopCheck.App.Reports;

/// <summary>How the stitching lies against the plan, for a person and as <c>hoopcheck.drift/1</c>.</summary>
internal static class DriftWords
{
    /// <summary>All sentences: how far it has drifted, seams that are out of bounds, what to do for the rest.</summary>
    public static IEnumerable<string> Sentences(QuiltPlan plan, QuiltDrift drift)
    {
        if (drift.Fills.Count < 2 || !drift.Seams.Any(s => s.Seen))
        {
            yield return "Nothing can be said of the drift until two neighbours are stitched and a photo shows the seam between them.";
            yield break;
        }

        foreach (string sentence in Totals(drift))
        {
            yield return sentence;
        }

        foreach (SeamGap seam in drift.Seams.Where(s => s.Seen && OutOfBounds(plan, s) is not null))
        {
            yield return $"Seam {N(seam.First)}–{N(seam.Second)}: {OutOfBounds(plan, seam)}.";
        }

        LineOutlook[] off = [.. drift.Outlook.Where(o => o.Remedy != Remedy.None)];
        foreach (LineOutlook line in off)
        {
            yield return Say(plan, line);
        }

        if (off.Length == 0 && drift.Outlook.Count > 0)
        {
            yield return "As far as tape shows, no row or column has drifted so far that the rest must be changed.";
        }

        foreach (GapForecast gap in Notable(plan, drift))
        {
            yield return $"Hooping {N(gap.Number)} at its planned place and size would have {Gap(gap.GapMm, gap.UncertaintyMm)} to hooping {N(gap.Neighbour)}, at the hoop's {gap.HoopSide.Name()}.";
        }

        if (drift.TurnVarianceFactor > DoubtfulFactor)
        {
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"The turns seen in different photos agree less well than their uncertainties say (by a factor of {Math.Sqrt(drift.TurnVarianceFactor):0.0}): tape may have been laid crooked.");
        }
    }

    /// <summary>Own choice: beyond it the stated uncertainties are hardly right.</summary>
    private const double DoubtfulFactor = 4;

    /// <summary>Gaps to come, where tape tells: those of the next hooping beside stitched ones, and those that would be out of bounds at the planned places.</summary>
    private static IEnumerable<GapForecast> Notable(QuiltPlan plan, QuiltDrift drift)
    {
        GapForecast[] known = [.. drift.Forecast.Where(f => Known(f.UncertaintyMm)).OrderBy(f => f.Number)];
        return known.Where(f => f.Number == known[0].Number || f.GapMm - f.UncertaintyMm < plan.Quilt.MinGapMm || f.GapMm + f.UncertaintyMm > plan.Quilt.SpacingMm).Take(8);
    }

    /// <summary>Largest drift across seams that photos show, largest turn.</summary>
    private static IEnumerable<string> Totals(QuiltDrift drift)
    {
        FillLies x = drift.Fills.Where(f => Known(f.UncertaintyX)).MaxBy(f => Math.Abs(f.X))!, y = drift.Fills.Where(f => Known(f.UncertaintyY)).MaxBy(f => Math.Abs(f.Y))!;
        FillLies turn = drift.Fills.MaxBy(f => Math.Abs(f.TurnDegrees))!;
        yield return "Seen from hooping 1: " + string.Join(
            "; ",
            $"farthest across: hooping {N(x.Number)}, {Length.Millimetres(Math.Abs(x.X))} too far {(x.X < 0 ? "left" : "right")} (±{Up(x.UncertaintyX)})",
            $"farthest down or up: hooping {N(y.Number)}, {Length.Millimetres(Math.Abs(y.Y))} too far {(y.Y < 0 ? "down" : "up")} (±{Up(y.UncertaintyY)})",
            string.Create(CultureInfo.InvariantCulture, $"most turned: hooping {turn.Number}, {Math.Abs(turn.TurnDegrees):0.0}° {(turn.TurnDegrees < 0 ? "clockwise" : "counter-clockwise")} (±{turn.UncertaintyDegrees:0.0}°)")) + ".";
    }

    /// <summary>Whether a place was measured at all, rather than trusted to marks.</summary>
    public static bool Known(double uncertainty) => uncertainty < Tolerances.Default.CoverageFactor * Tolerances.Default.PlacingMm * 0.95;

    /// <summary>What is wrong with a seam; null where nothing is, or cannot be told.</summary>
    public static string? OutOfBounds(QuiltPlan plan, SeamGap seam)
    {
        double u = seam.UncertaintyMm;
        return seam.NarrowestMm + u < 0 ? $"the fills overlap by up to {Length.Millimetres(-seam.NarrowestMm)} (±{Up(u)})"
            : seam.NarrowestMm + u < plan.Quilt.MinGapMm ? $"only {Length.Millimetres(seam.NarrowestMm)} (±{Up(u)}) at its narrow end"
            : seam.WidestMm - u > plan.Quilt.SpacingMm ? $"{Length.Millimetres(seam.WidestMm)} (±{Up(u)}) at its wide end, wider than the lines' distance"
            : null;
    }

    /// <summary>A line's outlook in a sentence or two.</summary>
    public static string Say(QuiltPlan plan, LineOutlook line)
    {
        bool across = line.Towards is Side.Left or Side.Right;
        string what = string.Create(CultureInfo.InvariantCulture, $"{(across ? "Row" : "Column")} {line.Line + 1} towards the {line.Towards.Name()}");
        string stands = $"the stitching {(line.BeyondMm > 0 ? "reaches" : "lags")} {Length.Millimetres(Math.Abs(line.BeyondMm))} (±{Up(line.UncertaintyMm)}) {(line.BeyondMm > 0 ? "beyond" : "behind")} its place, with hooping{(line.ToCome.Count > 1 ? "s" : "")} {string.Join(", ", line.ToCome.Select(n => N(n)))} to come";
        string size = across == (plan.Chosen.Lies == HoopLies.Straight) ? "width" : "height";
        return $"{what}: {stands}. " + line.Remedy switch
        {
            Remedy.Gap => $"Aim at gaps of {Length.Millimetres(line.NewGapMm)} ({Length.Inches(line.NewGapMm)}) there instead of {Length.Millimetres(plan.Quilt.GapMm)}.",
            Remedy.Size => $"{(line.SizeChangeMm < 0 ? "Shorten" : "Lengthen")} each fill's {size} there by {Length.Millimetres(Math.Abs(line.SizeChangeMm))} ({Length.Inches(Math.Abs(line.SizeChangeMm))}), at the planned gap.",
            Remedy.Replan => $"Each fill's {size} there would have to change by {Length.Millimetres(Math.Abs(line.SizeChangeMm))}, more than does not show: plan these anew, or {(line.BeyondMm > 0 ? "let the last one be cut off at the quilt's edge" : "leave the edge unstitched")}.",
            _ => "It can go on as planned.",
        };
    }

    /// <summary>Writes the table of fills and seams, then the sentences.</summary>
    public static void Write(QuiltPlan plan, QuiltDrift drift, TextWriter to)
    {
        to.WriteLine("Each fill against the plan, seen from hooping 1 (mm; right and up are positive):");
        to.WriteLine($"  {"no.",4}  {"across",-16}{"up",-16}turned");
        foreach (FillLies f in drift.Fills)
        {
            to.WriteLine($"  {N(f.Number),4}  {Place(f.X, f.UncertaintyX),-16}{Place(f.Y, f.UncertaintyY),-16}{Turn(f)}".TrimEnd());
        }

        to.WriteLine();
        to.WriteLine("Seams (mm):");
        to.WriteLine($"  {"between",-10}{"gap",-14}{"from",-8}{"to",-8}");
        foreach (SeamGap s in drift.Seams.Where(s => s.Seen))
        {
            to.WriteLine($"  {$"{N(s.First)}–{N(s.Second)}",-10}{$"{Plain(s.GapMm)} ±{Up(s.UncertaintyMm)[..^3]}",-14}{Plain(s.NarrowestMm),-8}{Plain(s.WidestMm),-8}".TrimEnd());
        }

        to.WriteLine();
        foreach (string sentence in Sentences(plan, drift))
        {
            TextReport.Paragraph(to, sentence);
        }
    }

    /// <summary>The whole adjustment as one line of text.</summary>
    public static string Json(QuiltDrift drift) => JsonText.Write(writer =>
    {
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.drift/1");
        writer.WriteStartArray("fills");
        foreach (FillLies f in drift.Fills)
        {
            writer.WriteStartObject();
            writer.WriteNumber("hooping", f.Number);
            writer.WriteRounded("xMm", f.X, 3);
            writer.WriteRounded("yMm", f.Y, 3);
            writer.WriteRounded("turnDeg", f.TurnDegrees, 3);
            writer.WriteRounded("uncertaintyXMm", f.UncertaintyX, 3);
            writer.WriteRounded("uncertaintyYMm", f.UncertaintyY, 3);
            writer.WriteRounded("uncertaintyTurnDeg", f.UncertaintyDegrees, 3);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("seams");
        foreach (SeamGap s in drift.Seams)
        {
            writer.WriteStartObject();
            writer.WriteNumber("first", s.First);
            writer.WriteNumber("second", s.Second);
            writer.WriteRounded("gapMm", s.GapMm, 3);
            writer.WriteRounded("narrowestMm", s.NarrowestMm, 3);
            writer.WriteRounded("widestMm", s.WidestMm, 3);
            writer.WriteRounded("uncertaintyMm", s.UncertaintyMm, 3);
            writer.WriteBoolean("seen", s.Seen);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("forecast");
        foreach (GapForecast g in drift.Forecast)
        {
            writer.WriteStartObject();
            writer.WriteNumber("hooping", g.Number);
            writer.WriteNumber("neighbour", g.Neighbour);
            writer.WriteString("side", g.HoopSide.Name());
            writer.WriteRounded("gapMm", g.GapMm, 3);
            writer.WriteRounded("uncertaintyMm", g.UncertaintyMm, 3);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("outlook");
        foreach (LineOutlook o in drift.Outlook)
        {
            writer.WriteStartObject();
            writer.WriteString("towards", o.Towards.Name());
            writer.WriteNumber("line", o.Line + 1);
            writer.WriteStartArray("toCome");
            foreach (int number in o.ToCome)
            {
                writer.WriteNumberValue(number);
            }

            writer.WriteEndArray();
            writer.WriteRounded("beyondMm", o.BeyondMm, 3);
            writer.WriteRounded("uncertaintyMm", o.UncertaintyMm, 3);
            writer.WriteString("remedy", o.Remedy.ToString().ToLowerInvariant());
            writer.WriteRounded("newGapMm", o.NewGapMm, 3);
            writer.WriteRounded("sizeChangeMm", o.SizeChangeMm, 3);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteRounded("turnVarianceFactor", drift.TurnVarianceFactor, 3);
        writer.WriteEndObject();
    });

    /// <summary>"−1.2 ±0.6", or that only marks placed it.</summary>
    public static string Place(double mm, double uncertainty) => Known(uncertainty) ? $"{Plain(mm)} ±{Up(uncertainty)[..^3]}" : "by marks only";

    /// <summary>"0.4° ±0.2°".</summary>
    public static string Turn(FillLies f) => string.Create(CultureInfo.InvariantCulture, $"{(Math.Round(f.TurnDegrees, 1) < 0 ? "−" : "")}{Math.Abs(f.TurnDegrees):0.0}° ±{f.UncertaintyDegrees:0.0}°");

    private static string Gap(double mm, double u) => mm < 0 ? $"an overlap of {Length.Millimetres(-mm)} (±{Up(u)})" : $"a gap of {Length.Millimetres(mm)} (±{Up(u)})";

    private static string Up(double uncertainty) => Length.Millimetres(Words.RoundedUp(uncertainty));

    private static string Plain(double mm) => Length.Millimetres(mm)[..^3];

    private static string N(int number) => number.ToString(CultureInfo.InvariantCulture);
}
