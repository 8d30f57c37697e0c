using System.Text.Json;
using HoopCheck.Geometry;
using HoopCheck.Planning.Quilts;

namespace HoopCheck.App.Reports;

/// <summary>The plan as <c>hoopcheck.plan/1</c>: lengths in mm, sides of the hoop.</summary>
internal static class PlanJson
{
    /// <summary>straight or sideways.</summary>
    public static string Of(HoopLies lies) => lies == HoopLies.Straight ? "straight" : "sideways";

    /// <summary>The plan as one line of text.</summary>
    public static string Write(QuiltPlan plan) => JsonText.Write(writer =>
    {
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.plan/1");
        writer.WriteString("name", plan.Quilt.Name);
        writer.WriteRounded("widthMm", plan.Quilt.Width, 3);
        writer.WriteRounded("heightMm", plan.Quilt.Height, 3);
        writer.WriteRounded("gapMm", plan.Quilt.GapMm, 3);
        writer.WriteRounded("edgeMm", plan.Quilt.EdgeMm, 3);
        WriteCount(writer, "chosen", plan.Chosen);
        WriteCount(writer, "other", plan.Other);
        writer.WriteString("middleAcross", plan.X.MiddleIsSeam ? "seam" : "hooping");
        writer.WriteString("middleDown", plan.Y.MiddleIsSeam ? "seam" : "hooping");
        writer.WriteStartArray("hoopings");
        foreach (PlannedHooping hooping in plan.Hoopings)
        {
            WriteHooping(writer, plan, hooping);
        }

        writer.WriteEndArray();
        writer.WriteEndObject();
    });

    /// <summary>One hooping as an object.</summary>
    public static void WriteHooping(Utf8JsonWriter writer, QuiltPlan plan, PlannedHooping hooping)
    {
        ThreadUse thread = plan.Thread[hooping.Number - 1];
        writer.WriteStartObject();
        writer.WriteNumber("hooping", hooping.Number);
        writer.WriteNumber("row", hooping.Row + 1);
        writer.WriteNumber("column", hooping.Column + 1);
        writer.WriteRounded("fromLeftMm", plan.FromLeft(hooping.Centre), 3);
        writer.WriteRounded("fromTopMm", plan.FromTop(hooping.Centre), 3);
        writer.WriteRounded("widthOnQuiltMm", hooping.Width, 3);
        writer.WriteRounded("heightOnQuiltMm", hooping.Height, 3);
        writer.WriteString("hoopLies", Of(hooping.Lies));
        writer.WriteRounded("fillWidthMm", hooping.FillWidth, 3);
        writer.WriteRounded("fillHeightMm", hooping.FillHeight, 3);
        writer.WriteRounded("fillTurnDeg", hooping.FillTurnDegrees, 3);
        writer.WriteStartArray("tape");
        foreach ((Side side, int neighbour) in hooping.TapeSides)
        {
            writer.WriteStartObject();
            writer.WriteString("side", side.Name());
            writer.WriteNumber("hooping", neighbour);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteNumber("stitches", thread.Stitches);
        writer.WriteRounded("topThreadM", thread.TopMetres, 2);
        writer.WriteRounded("bobbinThreadM", thread.BobbinMetres, 2);
        writer.WriteBoolean("newBobbin", thread.NewBobbin);
        writer.WriteEndObject();
    }

    private static void WriteCount(Utf8JsonWriter writer, string name, PlanCount count)
    {
        writer.WriteStartObject(name);
        writer.WriteString("hoopLies", Of(count.Lies));
        writer.WriteNumber("columns", count.Columns);
        writer.WriteNumber("rows", count.Rows);
        writer.WriteNumber("hoopings", count.Hoopings);
        writer.WriteNumber("oddSized", count.OddSized);
        writer.WriteRounded("spareAcrossMm", count.SpareX, 3);
        writer.WriteRounded("spareDownMm", count.SpareY, 3);
        writer.WriteEndObject();
    }
}
