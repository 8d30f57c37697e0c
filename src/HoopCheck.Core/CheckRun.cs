using System.Diagnostics;
using HoopCheck.Checking;
using HoopCheck.Rules;
using HoopCheck.Vision;
using HoopCheck.Vision.Frame;

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
        var notes = new List<string>(request.Notes);
        WeaveMeasure? measured = null;
        Problem? scale = null;
        CardFound? card = null;
        var watch = Stopwatch.StartNew();

        Outcome<FrameFound> search = FrameFinder.Find(photo, request.Hoop, request.Up, request.Camera, Tolerances.Default, trace);
        times["frame"] = watch.Elapsed.TotalMilliseconds;
        if (search.Value is not { } found)
        {
            return Answer(Decision.Retake, [], null, [search.Problem!]);
        }

        watch.Restart();
        Outcome<FrameFit> fit = FrameFinder.Fit(photo, found, request.Hoop, Tolerances.Default, trace);
        times["fit"] = watch.Elapsed.TotalMilliseconds;
        if (fit.Value is not { } frame)
        {
            return Answer(Decision.Retake, [], null, [fit.Problem!]);
        }

        if (frame.UpFrom == UpSource.Assumed)
        {
            notes.Add("The attachment bar was not found, so the hoop's top is taken to be at the photo's top. Say where it is with --up.");
        }

        if (request.ScaleByCard)
        {
            watch.Restart();
            card = CardFinder.Find(photo, frame);
            times["scale"] = watch.Elapsed.TotalMilliseconds;
            scale = ScaleSaid.Problem(card);
            notes.AddRange(card is { Agrees: true } ? [ScaleSaid.Agreement(card)] : []);
        }

        watch.Restart();
        IReadOnlyList<TapeEdge> tapes = TapeFinder.Find(photo, frame, request.TapeColour, trace);
        times["tape"] = watch.Elapsed.TotalMilliseconds;

        watch.Restart();
        WeaveFound weave = WeaveFinder.Find(photo, frame, tapes, trace);
        times["weave"] = watch.Elapsed.TotalMilliseconds;
        measured = weave.Weave;
        notes.AddRange(measured is null ? [] : WeaveAdvice.Say(measured));
        notes.AddRange(new[] { measured is null ? null : WeaveAdvice.AgainstTape(measured, tapes), weave.Reason }.OfType<string>());
        if (tapes.Count == 0)
        {
            return Answer(Decision.NoTape, [], frame, [new Problem(Problems.NoTape, "")]);
        }

        watch.Restart();
        ClearanceFound clearance = ClearanceCheck.Measure(tapes, request.Fill, request.MinGapMm, request.SpacingMm);
        Correction? correction = CorrectionFinder.Find(
            tapes,
            clearance,
            new(request.Fill, request.Planned ?? request.Fill, request.Hoop, request.MachineInUse, request.MostResizePercent, request.MinGapMm, request.SpacingMm));
        times["correction"] = watch.Elapsed.TotalMilliseconds;
        return Answer(clearance.Decision, clearance.Sides, frame, clearance.Problems) with { Correction = correction };

        CheckResult Answer(Decision decision, IReadOnlyList<SideClearance> sides, FrameFit? fitted, IReadOnlyList<Problem> problems)
        {
            times["total"] = times.Values.Sum();
            IReadOnlyList<Problem> all = scale is null ? problems : [.. problems, scale];

            // Clearances in a scale that is known to be wrong decide nothing.
            Decision told = scale?.Kind == Problems.ScaleDisagrees && decision is not (Decision.Retake or Decision.NoTape) ? Decision.Undecided : decision;
            return new(request, photo.Header, told, sides, fitted, all, notes, times) { Weave = measured, Card = card };
        }
    }
}
