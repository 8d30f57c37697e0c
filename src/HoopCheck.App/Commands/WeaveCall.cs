using System.Diagnostics;
using HoopCheck.App.Pictures;
using HoopCheck.App.Reports;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Commands;

/// <summary><c>--weave FILE</c>: how straight the fabric lies in a photo without a hoop.</summary>
internal static class WeaveCall
{
    /// <summary>Measures one photo and reports.</summary>
    /// <returns>The exit code.</returns>
    public static int Run(string file, string? output, FolderTrace? trace, bool json, Terminal terminal)
    {
        long start = Stopwatch.GetTimestamp();
        Outcome<Photograph> taken = PhotoFile.Read(file);
        if (taken.Value is not { } photo)
        {
            return ErrorReport.Write(taken.Problem!, json, terminal);
        }

        double decode = Stopwatch.GetElapsedTime(start).TotalMilliseconds;
        WeaveFound found = WeaveFinder.Find(photo, (ITrace?)trace ?? NoTrace.Instance);
        double total = Stopwatch.GetElapsedTime(start).TotalMilliseconds;
        var times = new Dictionary<string, double> { ["decode"] = decode, ["weave"] = total - decode, ["total"] = total };
        trace?.Finish(times);
        Problem? unwritten = output is null ? null : PictureWriter.WriteWeave(output, photo, found.Weave, WeaveReport.Notes(found));
        if (unwritten is not null)
        {
            return ErrorReport.Write(unwritten, json, terminal);
        }

        return WeaveReport.Write(photo, file, found, times, json, terminal);
    }
}
