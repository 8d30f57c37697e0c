using System.Text.Json;
using HoopCheck.App;
using HoopCheck.App.Reports;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.Tests.App;

public class ReportTests
{
    private static readonly PhotoHeader s_photo = new("JPEG", 4032, 3024, 6, 4.2, 26, "2026-05-01T10:11:12");
    private static readonly CheckRequest s_request = new(new("a", 360, 240, 11, null, null, 350, 230), new(new(0, 0), 300, 200));

    // Straight above the middle, 500 mm up; hoop y up is photo y down.
    private static readonly FrameFit s_frame = new(
        new(3000, 1511.5, 2015.5, 0, 0, [1, 0, 0, 0, -1, 0, 0, 0, -1], [0, 0, 500]),
        new(360, 240, 20, 11, 20, 0, [0, 0, 0, 0]),
        [], [], new double[0, 0], PhotoDirection.Top, UpSource.Attachment, 0.2, 400, 1.14, 0.9);

    private static CheckResult Result(params TapeEdge[] tapes)
    {
        ClearanceFound found = ClearanceCheck.Measure(tapes, s_request.Fill, s_request.MinGapMm, s_request.SpacingMm);
        Correction? correction = CorrectionFinder.Find(
            tapes, found, new(s_request.Fill, s_request.Fill, s_request.Hoop, MachineSpec.Usual, 5, s_request.MinGapMm, s_request.SpacingMm));
        return new(s_request, s_photo, found.Decision, found.Sides, s_frame, found.Problems, ["a note"],
            new Dictionary<string, double> { ["decode"] = 31.26, ["frame"] = 9, ["tape"] = 6, ["total"] = 46.26 })
        {
            Correction = correction,
        };
    }

    private static TapeEdge Tape(Side side, double q, double slope = 0, double to = 200) => new(
        side, [.. Enumerable.Range(0, 201).Select(i => -200.0 + (2 * i)).Where(s => s <= to).Select(s => new TapeSample(s, q + (slope * s), 0.15, true))], 0.8, "blue", "#2F7FC1");

    private static string Text(CheckResult result, bool colour = false)
    {
        using var output = new StringWriter { NewLine = "\n" };
        TextReport.Write(result, new Terminal(output, TextWriter.Null, colour));
        return output.ToString();
    }

    [Fact]
    public void Json_Report_HasTheContractsFieldsInOrder()
    {
        JsonElement json = JsonDocument.Parse(JsonReport.Write(Result(Tape(Side.Right, 153.4567)), "photo.jpg")).RootElement;
        Assert.Equal(
            ["schema", "photo", "decision", "sides", "correction", "weave", "frame", "quality", "notes", "milliseconds"], Names(json));
        Assert.Equal(["file", "width", "height", "taken"], Names(json.GetProperty("photo")));
        Assert.Equal((3024, 4032), (json.GetProperty("photo").GetProperty("width").GetInt32(), json.GetProperty("photo").GetProperty("height").GetInt32()));
        JsonElement side = json.GetProperty("sides")[0];
        Assert.Equal(
            ["side", "decision", "minMm", "maxMm", "meanMm", "uncertaintyMm", "minAtMm", "tapeAngleDeg", "tapeColour", "seenShare", "nearestMm", "normalMm", "profile"], Names(side));
        Assert.Equal(3.457, side.GetProperty("minMm").GetDouble());
        Assert.Equal(0.3, side.GetProperty("uncertaintyMm").GetDouble());
        Assert.Equal(JsonValueKind.Null, json.GetProperty("correction").ValueKind);
        Assert.Equal(JsonValueKind.Null, json.GetProperty("weave").ValueKind);
        JsonElement frame = json.GetProperty("frame");
        Assert.Equal(["openingPx", "pxPerMm", "tiltDeg", "distanceMm", "up", "upFrom"], Names(frame));

        // Top-left corner (-180, 120) mm at 6 px a millimetre.
        Assert.Equal(1511.5 - (180 * 6), frame.GetProperty("openingPx")[0][0].GetDouble());
        Assert.Equal(2015.5 - (120 * 6), frame.GetProperty("openingPx")[0][1].GetDouble());
        Assert.Equal(6, frame.GetProperty("pxPerMm").GetDouble());
        Assert.Equal(0, frame.GetProperty("tiltDeg").GetDouble());
        Assert.Equal(["edgeBlurPx", "problems"], Names(json.GetProperty("quality")));
        Assert.Equal(["decode", "frame", "fit", "tape", "weave", "correction", "total"], Names(json.GetProperty("milliseconds")));
        Assert.Equal(JsonValueKind.Null, json.GetProperty("milliseconds").GetProperty("weave").ValueKind);
    }

    [Fact]
    public void Json_Correction_HasTheContractsFieldsInOrder()
    {
        // 0.5 mm of gap at the top, and right and left 3 mm between them: down, and a narrower fill.
        JsonElement json = JsonDocument.Parse(JsonReport.Write(Result(Tape(Side.Right, 150.9), Tape(Side.Left, 150.9), Tape(Side.Top, 100.5)), "photo.jpg")).RootElement;
        JsonElement correction = json.GetProperty("correction");
        Assert.Equal(["steps", "predicted", "possible", "otherwise"], Names(correction));
        JsonElement[] steps = [.. correction.GetProperty("steps").EnumerateArray()];
        Assert.All(steps, step => Assert.Equal(["kind", "axis", "mm", "degrees", "say"], Names(step)));
        Assert.Equal(
            [("shorten", "x", 3.0), ("nudge", "y", -1.5)],
            steps.Select(s => (s.GetProperty("kind").GetString()!, s.GetProperty("axis").GetString()!, s.GetProperty("mm").GetDouble())));
        Assert.All(steps, step => Assert.Equal(JsonValueKind.Null, step.GetProperty("degrees").ValueKind));
        Assert.Equal("Shorten the width by 3 mm (1/8 in, 99.0 %).", steps[0].GetProperty("say").GetString());
        Assert.Equal("Move the fill down 1.5 mm (1/16 in, 3 presses).", steps[1].GetProperty("say").GetString());
        Assert.Equal(["side", "minMm", "maxMm"], Names(correction.GetProperty("predicted")[0]));
        Assert.Equal(2.4, correction.GetProperty("predicted")[0].GetProperty("minMm").GetDouble());
        Assert.True(correction.GetProperty("possible").GetBoolean());
        Assert.Equal(JsonValueKind.Null, correction.GetProperty("otherwise").ValueKind);
    }

    [Fact]
    public void Json_NoCorrectionOnTheMachine_SaysHowToHoopAgain()
    {
        JsonElement correction = JsonDocument.Parse(JsonReport.Write(Result(Tape(Side.Right, 110)), "photo.jpg")).RootElement.GetProperty("correction");
        Assert.False(correction.GetProperty("possible").GetBoolean());
        Assert.Empty(correction.GetProperty("steps").EnumerateArray());
        Assert.StartsWith("re-hoop: the fill would leave the sewing field at the left by 17.0 mm. ", correction.GetProperty("otherwise").GetString(), StringComparison.Ordinal);
        Assert.EndsWith("Shift the quilt 42 mm (1 21/32 in) to the right in the hoop; then the fill fits as it is.", correction.GetProperty("otherwise").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Json_Weave_HasTheContractsFieldsAndNullForWhatWasNotMeasured()
    {
        WeaveMeasure stripes = new(0.6123, null, 0.6123, null, null, 0.1, 360, 240, []);
        JsonElement weave = JsonDocument.Parse(JsonReport.Write(Result(Tape(Side.Right, 153)) with { Weave = stripes }, "photo.jpg")).RootElement.GetProperty("weave");
        Assert.Equal(["warpAngleDeg", "weftAngleDeg", "turnDeg", "skewPercent", "bowPercent", "uncertaintyDeg"], Names(weave));
        Assert.Equal(0.612, weave.GetProperty("warpAngleDeg").GetDouble());
        Assert.Equal(JsonValueKind.Null, weave.GetProperty("weftAngleDeg").ValueKind);
        Assert.Equal(JsonValueKind.Null, weave.GetProperty("skewPercent").ValueKind);
        Assert.Equal(JsonValueKind.Null, weave.GetProperty("bowPercent").ValueKind);
    }

    [Fact]
    public void Json_WhatWasNotMeasured_IsNull()
    {
        JsonElement side = JsonDocument.Parse(JsonReport.Write(Result(Tape(Side.Right, 153, to: -80)), "photo.jpg")).RootElement.GetProperty("sides")[0];
        foreach (string name in new[] { "minMm", "maxMm", "meanMm", "uncertaintyMm", "minAtMm" })
        {
            Assert.Equal(JsonValueKind.Null, side.GetProperty(name).ValueKind);
        }

        Assert.Equal("undecided", side.GetProperty("decision").GetString());
        Assert.Equal(0.1, side.GetProperty("seenShare").GetDouble());
    }

    [Fact]
    public void Json_UndecidedSide_HasItsNearestReadingInNotes()
    {
        JsonElement json = JsonDocument.Parse(JsonReport.Write(Result(Tape(Side.Right, 151.7)), "photo.jpg")).RootElement;
        Assert.Equal("undecided", json.GetProperty("decision").GetString());
        Assert.Contains(json.GetProperty("notes").EnumerateArray(), note => note.GetString()!.StartsWith("right: most likely clear", StringComparison.Ordinal));
    }

    // Each headline by hand from the tape's place: the fill ends at 150 right and left, 100 top and bottom; U is 0.3.
    [Theory]
    [InlineData(148.8, 0, "OVERLAP on the right: the fill runs 1.2 mm (1/16 in) over the tape.\n", "What to do: Move the fill left 3.5 mm (1/8 in, 7 presses).\n            The gap is then 2.3 mm to 2.3 mm on the right.\n")]
    [InlineData(150.8, 0, "TOO TIGHT on the right: only 0.8 mm (1/32 in) of gap; 1.6 mm (1/16 in) is needed.\n", "Move the fill left 1.5 mm (1/16 in, 3 presses).")]
    [InlineData(149.9, 0, "TOO TIGHT on the right: the fill just touches the tape; 1.6 mm (1/16 in) of gap is needed.\n", "Move the fill left 2.5 mm (3/32 in, 5 presses).")]
    [InlineData(165, 0, "TOO WIDE on the right: the gap opens to 15.0 mm (19/32 in); up to 12.7 mm (1/2 in) does not show.\n", "Move the fill right 3 mm (1/8 in, 6 presses).")]
    [InlineData(155, 0, "CLEAR on the right: the gap is 5.0 mm (3/16 in) at the narrowest, 5.0 mm (3/16 in) at the widest.\n", "nothing; the fill can stay where it is")]
    [InlineData(151.7, 0, "CANNOT TELL on the right: most likely clear: 1.7 mm at the narrowest place, 1.7 mm at the widest.\n", "Or:         leave the fill and take a photo from straight above")]
    [InlineData(155, 0.1, "OVERLAP on the right: the fill runs 5.0 mm (3/16 in) over the tape.\n", "° clockwise")]
    [InlineData(155, 0.2, "OVERLAP on the right: the fill runs 15.0 mm (19/32 in) over the tape.\n", "What to do: no change on the machine will do.\n            Re-hoop: the tape lies too much askew to the fill. ")]
    public void Text_Report_SaysVerdictFirstAndWhatToDo(double q, double slope, string first, string step)
    {
        string text = Text(Result(Tape(Side.Right, q, slope)));
        Assert.StartsWith(first, text, StringComparison.Ordinal);
        Assert.Contains(step, text, StringComparison.Ordinal);
        Assert.Contains("±0.3 mm", text, StringComparison.Ordinal);
        Assert.Contains("Note:       a note", text, StringComparison.Ordinal);
        Assert.EndsWith("The machine's manual has the last word.\n", text, StringComparison.Ordinal);
        Assert.DoesNotContain("\e", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Text_NoTape_SaysWhatToDo()
    {
        string text = Text(Result());
        Assert.StartsWith("NO TAPE FOUND: there is nothing in the hoop to check the fill against.\n", text, StringComparison.Ordinal);
        Assert.Contains("What to do: lay tape along", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Text_SeveralSides_NamesTheWorstAndListsAll()
    {
        string text = Text(Result(Tape(Side.Right, 149), Tape(Side.Top, 99), Tape(Side.Left, 155)));
        Assert.All(text.Split('\n').Where(line => line.StartsWith("  ", StringComparison.Ordinal)), line => Assert.InRange(line.Length, 1, 80));
        Assert.StartsWith("OVERLAP on the right and top: ", text, StringComparison.Ordinal);
        Assert.Contains("  left    5.0 mm (3/16 in)        ±0.3 mm   5.0 mm (3/16 in)        clear\n", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Text_Colour_ChangesNoWord()
    {
        CheckResult result = Result(Tape(Side.Right, 149));
        string coloured = Text(result, colour: true);
        Assert.Contains("\e[1;31mOVERLAP\e[0m", coloured, StringComparison.Ordinal);
        Assert.Equal(Text(result), coloured.Replace("\e[1;31m", "", StringComparison.Ordinal).Replace("\e[0m", "", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(Decision.Clear, "clear", 0)]
    [InlineData(Decision.Overlap, "overlap", 2)]
    [InlineData(Decision.Tight, "tight", 2)]
    [InlineData(Decision.Wide, "wide", 2)]
    [InlineData(Decision.Undecided, "undecided", 3)]
    [InlineData(Decision.NoTape, "no-tape", 3)]
    [InlineData(Decision.Retake, "retake", 3)]
    public void Words_Decision_HasTheContractsWordAndExitCode(Decision decision, string word, int exit)
    {
        Assert.Equal(word, Words.Of(decision));
        Assert.Equal(exit, Words.ExitCode(decision));
    }

    private static IEnumerable<string> Names(JsonElement element) => element.EnumerateObject().Select(property => property.Name);
}
