using System.Diagnostics;
using HoopCheck.Checking;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck;

/// <summary>The order of the stages: the file to read first.</summary>
public static class CheckRun
{
    /// <summary>Checks one photo that has been taken in. Never throws for a bad photo.</summary>
    /// <param name="photo">The decoded photo.</param>
    /// <param name="request">What is asked.</param>
    /// <param name="decodeMilliseconds">Time the intake took, for the record.</param>
    /// <param name="trace">Listener for what the stages saw.</param>
    public static CheckResult Run(Photograph photo, CheckRequest request, double decodeMilliseconds, ITrace trace)
    {
        var times = new Dictionary<string, double> { ["decode"] = decodeMilliseconds };
        var notes = new List<string>();
        WeaveMeasure? measured = null;
        var watch = Stopwatch.StartNew();

        Outcome<FrameFit> found = FrameFinder.Find(photo, request.Hoop, request.Up, request.Camera, Tolerances.Default, trace);
        times["frame"] = watch.Elapsed.TotalMilliseconds;
        if (found.Value is not { } frame)
        {
            return Answer(Decision.Retake, [], null, [found.Problem!]);
        }

        if (frame.UpFrom == UpSource.Assumed)
        {
            notes.Add("The attachment bar was not found, so the hoop's top is taken to be at the photo's top. Say where it is with --up.");
        }

        watch.Restart();
        IReadOnlyList<TapeEdge> tapes = TapeFinder.Find(photo, frame, request.TapeColour, trace);
        times["tape"] = watch.Elapsed.TotalMilliseconds;

        watch.Restart();
        WeaveFound weave = WeaveFinder.Find(photo, frame, tapes, trace);
        times["weave"] = watch.Elapsed.TotalMilliseconds;
        measured = weave.Weave;
        notes.AddRange(measured is null ? [] : [.. WeaveAdvice.Say(measured), .. WeaveAdvice.AgainstTape(measured, tapes)]);
        notes.AddRange(weave.Reason is { } reason ? [reason] : []);
        if (tapes.Count == 0)
        {
            return Answer(Decision.NoTape, [], frame, [new Problem(Problems.NoTape, "")]);
        }

        ClearanceFound clearance = ClearanceCheck.Measure(tapes, request.Fill, request.MinGapMm, request.SpacingMm);
        return Answer(clearance.Decision, clearance.Sides, frame, clearance.Problems);

        CheckResult Answer(Decision decision, IReadOnlyList<SideClearance> sides, FrameFit? fit, IReadOnlyList<Problem> problems)
        {
            times["total"] = times.Values.Sum();
            return new(request, photo.Header, decision, sides, fit, problems, notes, times) { Weave = measured };
        }
    }
}
