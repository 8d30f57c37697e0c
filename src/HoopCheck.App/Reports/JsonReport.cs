using System.Text.Json;
using HoopCheck.App.Quilts;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Reports;

/// <summary>The report <c>hoopcheck.check/1</c>. Written by hand, field by field, because scripts rely on each one and on their order.</summary>
internal static class JsonReport
{
    private static readonly string[] s_stages = ["decode", "frame", "fit", "tape", "weave", "correction", "total"];

    /// <summary>The report as one line of text.</summary>
    /// <param name="result">What the check came to.</param>
    /// <param name="file">The photo's name as the call gave it.</param>
    /// <param name="filed">Where it was filed in a quilt's log; null, and then nothing is said of it: not at all.</param>
    public static string Write(CheckResult result, string file, Filed? filed = null) => JsonText.Write(writer => Write(writer, result, file, filed));

    private static void Write(Utf8JsonWriter writer, CheckResult result, string file, Filed? filed)
    {
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.check/1");

        writer.WriteStartObject("photo");
        writer.WriteString("file", file);
        writer.WriteNumber("width", result.Photo.Width);
        writer.WriteNumber("height", result.Photo.Height);
        writer.WriteString("taken", result.Photo.Taken);
        writer.WriteEndObject();

        writer.WriteString("decision", Words.Of(result.Decision));
        writer.WriteStartArray("sides");
        foreach (SideClearance side in result.Sides)
        {
            WriteSide(writer, side);
        }

        writer.WriteEndArray();
        WriteCorrection(writer, result);
        WeaveReport.WriteMeasure(writer, result.Weave);
        WriteFrame(writer, result.Frame);

        writer.WriteStartObject("quality");
        writer.WriteRounded("edgeBlurPx", result.Frame?.EdgeBlurPx ?? double.NaN, 2);
        writer.WriteStartArray("problems");
        foreach (Problem problem in result.Problems)
        {
            writer.WriteStartObject();
            writer.WriteString("code", problem.Kind.Code);
            writer.WriteString("say", problem.Say);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteEndObject();

        writer.WriteStartArray("notes");
        foreach (string note in result.Notes)
        {
            writer.WriteStringValue(note);
        }

        foreach (SideClearance side in result.Sides)
        {
            if (side.NearestReading is { } reading)
            {
                writer.WriteStringValue($"{side.Side.Name()}: {reading}");
            }
        }

        writer.WriteEndArray();
        writer.WriteStartObject("milliseconds");
        foreach (string stage in s_stages)
        {
            writer.WriteRounded(stage, result.Milliseconds.TryGetValue(stage, out double time) ? time : double.NaN, 1);
        }

        writer.WriteEndObject();
        if (filed is not null)
        {
            writer.WriteStartObject("filed");
            writer.WriteNumber("hooping", filed.Hooping.Number);
            writer.WriteNumber("entry", filed.Entry.Number);
            writer.WriteStartArray("questions");
            foreach (string question in filed.Questions)
            {
                writer.WriteStringValue(question);
            }

            writer.WriteEndArray();
            writer.WriteEndObject();
        }

        writer.WriteEndObject();
    }

    private static void WriteSide(Utf8JsonWriter writer, SideClearance side)
    {
        writer.WriteStartObject();
        writer.WriteString("side", side.Side.Name());
        writer.WriteString("decision", Words.Of(side.Decision));
        writer.WriteRounded("minMm", side.MinMm, 3);
        writer.WriteRounded("maxMm", side.MaxMm, 3);
        writer.WriteRounded("meanMm", side.MeanMm, 3);
        writer.WriteRounded("uncertaintyMm", side.UncertaintyMm, 3);
        if (double.IsFinite(side.MinAt.X) && double.IsFinite(side.MinAt.Y))
        {
            writer.WriteStartArray("minAtMm");
            writer.WriteRounded(side.MinAt.X, 3);
            writer.WriteRounded(side.MinAt.Y, 3);
            writer.WriteEndArray();
        }
        else
        {
            writer.WriteNull("minAtMm");
        }

        writer.WriteRounded("tapeAngleDeg", side.Tape.AngleDegrees, 2);
        writer.WriteString("tapeColour", side.Tape.Colour);
        writer.WriteRounded("seenShare", side.SeenShare, 3);
        writer.WriteRounded("nearestMm", side.NearestMm, 3);
        writer.WriteRounded("normalMm", side.NormalMm, 3);
        writer.WriteStartArray("profile");
        foreach ((double t, double clearance) in side.Profile)
        {
            writer.WriteStartArray();
            writer.WriteRounded(t, 3);
            writer.WriteRounded(clearance, 3);
            writer.WriteEndArray();
        }

        writer.WriteEndArray();
        writer.WriteEndObject();
    }

    private static void WriteCorrection(Utf8JsonWriter writer, CheckResult result)
    {
        if (result.Correction is not { } correction)
        {
            writer.WriteNull("correction");
            return;
        }

        writer.WriteStartObject("correction");
        writer.WriteStartArray("steps");
        foreach (FillChange step in correction.Steps)
        {
            writer.WriteStartObject();
            writer.WriteString("kind", Words.Of(step.Kind));
            writer.WriteString("axis", step.Axis switch
            {
                FillAxis.X => "x",
                FillAxis.Y => "y",
                _ => null,
            });
            writer.WriteRounded("mm", step.Axis is null ? double.NaN : step.Mm, 3);
            writer.WriteRounded("degrees", step.Axis is null ? step.Degrees : double.NaN, 3);
            writer.WriteString("say", ChangeWords.Sentence([step], result.Request));
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("predicted");
        foreach (SideClearance side in correction.Predicted)
        {
            writer.WriteStartObject();
            writer.WriteString("side", side.Side.Name());
            writer.WriteRounded("minMm", side.MinMm, 3);
            writer.WriteRounded("maxMm", side.MaxMm, 3);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteBoolean("possible", correction.IsPossible);
        writer.WriteString("otherwise", ChangeWords.Otherwise(correction));
        writer.WriteEndObject();
    }

    private static void WriteFrame(Utf8JsonWriter writer, FrameFit? frame)
    {
        if (frame is null)
        {
            writer.WriteNull("frame");
            return;
        }

        writer.WriteStartObject("frame");
        if (frame.OpeningCorners.All(corner => double.IsFinite(corner.X) && double.IsFinite(corner.Y)))
        {
            writer.WriteStartArray("openingPx");
            foreach (PhotoPoint corner in frame.OpeningCorners)
            {
                writer.WriteStartArray();
                writer.WriteRounded(corner.X, 2);
                writer.WriteRounded(corner.Y, 2);
                writer.WriteEndArray();
            }

            writer.WriteEndArray();
        }
        else
        {
            writer.WriteNull("openingPx");
        }

        writer.WriteRounded("pxPerMm", frame.PxPerMm, 3);
        writer.WriteRounded("tiltDeg", frame.Camera.TiltDegrees, 2);
        writer.WriteRounded("distanceMm", frame.Camera.Distance, 1);
        writer.WriteString("up", Words.Of(frame.Up));
        writer.WriteString("upFrom", Words.Of(frame.UpFrom));
        writer.WriteEndObject();
    }
}
