using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Reports;

/// <summary>What became of a hoop file, as text or as <c>hoopcheck.hoop/1</c>.</summary>
internal static class HoopReport
{
    /// <summary>Writes the report.</summary>
    /// <param name="file">The hoop file written.</param>
    /// <param name="hoop">What stands in it.</param>
    /// <param name="said">What the photo says; null without a photo.</param>
    /// <param name="json">Whether as JSON.</param>
    /// <param name="terminal">Where to.</param>
    /// <returns>The exit code: 0 agrees or not checked, 2 differs, 3 the photo cannot be used.</returns>
    public static int Write(string file, HoopSpec hoop, Outcome<RulerSaid>? said, bool json, Terminal terminal)
    {
        if (json)
        {
            terminal.Out.WriteLine(Json(file, said));
        }
        else
        {
            terminal.Out.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{file}: {hoop.Name}, opening {hoop.OpeningWidth:0.#} x {hoop.OpeningHeight:0.#} mm, ring {hoop.FrameHeight:0.#} mm high."));
            if (said?.Value is { } found)
            {
                Text(found, terminal);
            }
        }

        if (said?.Problem is { } problem)
        {
            ErrorReport.Say(problem, terminal);
            terminal.Error.WriteLine("The measures are written as given; they are not checked.");
            return (int)ProblemExit.CannotTell;
        }

        return said?.Value?.Differs == true ? 2 : 0;
    }

    private static void Text(RulerSaid said, Terminal terminal)
    {
        RulerFinding wide = said.WidthForHeight, high = said.HeightForWidth, ring = said.FrameHeight;
        string Mm(double mm) => Length.Millimetres(mm);
        terminal.Out.WriteLine($"Opening: with a height of {Mm(high.RulerMm)} the photo shows a width of {Mm(wide.PhotoMm)} ± {Mm(wide.PhotoUncertainty)}; the ruler says {Mm(wide.RulerMm)}.");
        terminal.Out.WriteLine(wide.Differs
            ? $"  They differ by more than both uncertainties. Measure both again: the width may be {Mm(wide.PhotoMm)}, or the height {Mm(high.PhotoMm)}."
            : "  They agree. A photo shows proportions only: both sides wrong by the same share it cannot see.");
        terminal.Out.WriteLine($"Ring: the photo shows a height of {Mm(ring.PhotoMm)} ± {Mm(ring.PhotoUncertainty)}; the ruler says {Mm(ring.RulerMm)}.");
        terminal.Out.WriteLine(ring.Differs
            ? "  They differ by more than both uncertainties. Measure it again, from the fabric inside the hoop to the ring's top."
            : "  They agree.");
    }

    private static string Json(string file, Outcome<RulerSaid>? said) => JsonText.Write(writer =>
    {
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.hoop/1");
        writer.WriteString("file", file);
        writer.WriteString("problem", said?.Problem?.Kind.Code);
        writer.WriteStartArray("measures");
        if (said?.Value is { } found)
        {
            foreach ((string name, RulerFinding f) in new[] { ("openingWidth", found.WidthForHeight), ("openingHeight", found.HeightForWidth), ("frameHeight", found.FrameHeight) })
            {
                writer.WriteStartObject();
                writer.WriteString("measure", name);
                writer.WriteRounded("rulerMm", f.RulerMm, 3);
                writer.WriteRounded("rulerUncertaintyMm", f.RulerUncertainty, 3);
                writer.WriteRounded("photoMm", f.PhotoMm, 3);
                writer.WriteRounded("photoUncertaintyMm", f.PhotoUncertainty, 3);
                writer.WriteBoolean("differs", f.Differs);
                writer.WriteEndObject();
            }
        }

        writer.WriteEndArray();
        writer.WriteEndObject();
    });
}
