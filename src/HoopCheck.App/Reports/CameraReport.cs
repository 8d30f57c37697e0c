using System.Globalization;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision.Lens;

namespace HoopCheck.App.Reports;

/// <summary>What photos of a board taught, as text or as <c>hoopcheck.camera/1</c>.</summary>
internal static class CameraReport
{
    /// <summary>Writes the report.</summary>
    /// <param name="lenses">One for each camera and zoom.</param>
    /// <param name="saved">For each the profile's file, or null.</param>
    /// <param name="unread">Files that could not be read.</param>
    /// <param name="json">Whether as JSON.</param>
    /// <param name="terminal">Where to.</param>
    public static void Write(
        IReadOnlyList<LensLearnt> lenses, IReadOnlyList<string?> saved, IReadOnlyList<(string File, Problem Problem)> unread, bool json, Terminal terminal)
    {
        if (json)
        {
            terminal.Out.WriteLine(Json(lenses, saved, unread));
        }

        for (int i = 0; i < lenses.Count; i++)
        {
            if (!json)
            {
                Text(lenses[i], saved[i], terminal);
            }

            if (lenses[i].Problem is { } problem)
            {
                ErrorReport.Say(problem, terminal);
            }
        }

        foreach ((string file, Problem problem) in unread)
        {
            terminal.Error.WriteLine($"{file}: {problem.Kind.Code} {problem.Say}");
        }
    }

    private static void Text(LensLearnt lens, string? file, Terminal terminal)
    {
        FormattableString heading = lens.Lens is { } key
            ? (FormattableString)$"{key.Make} {key.Model}, {key.FocalMm ?? 0:0.##} mm, {lens.Width} x {lens.Height} pixels"
            : $"A camera that EXIF does not name, {lens.Width} x {lens.Height} pixels";
        Line(heading);
        int name = Math.Min(40, lens.Photos.Max(p => p.Photo.Name.Length));
        foreach (LensPhotoSaid p in lens.Photos)
        {
            string tilt = p.TiltDegrees is { } t ? string.Create(CultureInfo.InvariantCulture, $"{t,3:0}°") : "    ";
            string rms = p.RmsPx is { } r ? string.Create(CultureInfo.InvariantCulture, $"{r,5:0.00} px") : "        ";
            Line($"  {p.Photo.Name.PadRight(name)}  {p.Photo.Corners.Count,3} corners  tilt {tilt}  {rms}  {p.Say}");
        }

        Line($"Covered: {lens.Covered.Count(c => c)} of {lens.Covered.Count} parts of the picture.");
        if (lens.HoldOut is { } held)
        {
            Line($"In photos it was not learnt from, corners miss by {held.Learnt:0.00} px; with the EXIF data alone by {held.Exif:0.00} px.");
        }

        if (lens.Profile is not { } profile)
        {
            return;
        }

        CameraIntrinsics k = profile.Intrinsics;
        IReadOnlyList<double> sd = [.. profile.Covariance!.Select((row, i) => Math.Sqrt(row[i]))];
        Line($"Focal length {k.Focal:0.0} ± {2 * sd[0]:0.0} px, centre ({k.Cx:0.0} ± {2 * sd[1]:0.0}, {k.Cy:0.0} ± {2 * sd[2]:0.0}) px, k1 {k.K1:0.0000} ± {2 * sd[3]:0.0000}, k2 {k.K2:0.0000} ± {2 * sd[4]:0.0000}.");
        Line($"That is enough. Saved as {file}");
        terminal.Out.WriteLine(lens.Lens is null
            ? "EXIF names no camera in these photos: give the file to a check with --camera."
            : "Checks of this camera's photos at this zoom now use it by themselves when it lies in calibration or in your own folder.");

        void Line(FormattableString text) => terminal.Out.WriteLine(FormattableString.Invariant(text));
    }

    private static string Json(IReadOnlyList<LensLearnt> lenses, IReadOnlyList<string?> saved, IReadOnlyList<(string File, Problem Problem)> unread) => JsonText.Write(writer =>
    {
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.camera/1");
        writer.WriteStartArray("lenses");
        for (int i = 0; i < lenses.Count; i++)
        {
            LensLearnt lens = lenses[i];
            writer.WriteStartObject();
            writer.WriteString("make", lens.Lens?.Make);
            writer.WriteString("model", lens.Lens?.Model);
            writer.WriteNumber("width", lens.Width);
            writer.WriteNumber("height", lens.Height);
            writer.WriteString("file", saved[i]);
            writer.WriteString("problem", lens.Problem?.Kind.Code);
            writer.WriteString("say", lens.Problem?.Say);
            writer.WriteNumber("coveredParts", lens.Covered.Count(c => c));
            writer.WriteNumber("parts", lens.Covered.Count);
            writer.WriteRounded("heldOutPx", lens.HoldOut?.Learnt ?? double.NaN, 3);
            writer.WriteRounded("heldOutExifPx", lens.HoldOut?.Exif ?? double.NaN, 3);
            if (lens.Profile is { } profile)
            {
                writer.WritePropertyName("profile");
                writer.WriteRawValue(CameraFile.Write(profile).ReplaceLineEndings(""));
            }
            else
            {
                writer.WriteNull("profile");
            }

            writer.WriteStartArray("photos");
            foreach (LensPhotoSaid p in lens.Photos)
            {
                writer.WriteStartObject();
                writer.WriteString("file", p.Photo.Name);
                writer.WriteNumber("corners", p.Photo.Corners.Count);
                writer.WriteBoolean("used", p.Used);
                writer.WriteRounded("tiltDeg", p.TiltDegrees ?? double.NaN, 1);
                writer.WriteRounded("rmsPx", p.RmsPx ?? double.NaN, 3);
                writer.WriteRounded("gain", p.Gain ?? double.NaN, 3);
                writer.WriteString("say", p.Say);
                writer.WriteEndObject();
            }

            writer.WriteEndArray();
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("unread");
        foreach ((string file, Problem problem) in unread)
        {
            writer.WriteStartObject();
            writer.WriteString("file", file);
            writer.WriteString("code", problem.Kind.Code);
            writer.WriteString("say", problem.Say);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteEndObject();
    });
}
