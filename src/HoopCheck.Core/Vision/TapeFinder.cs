using HoopCheck.Planning;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Vision.Frame;
using HoopCheck.Vision.Tape;

namespace HoopCheck.Vision;

/// <summary>Finds tape on the fabric and reads its inner edge.</summary>
public static class TapeFinder
{
    /// <summary>Finds the tape on each side of the opening.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="frame">The frame and camera found in it.</param>
    /// <param name="colour">The tape's colour where the person named it; null: any.</param>
    /// <param name="trace">Takes the strips found and dropped, and the flat picture with the edges drawn in.</param>
    /// <returns>An edge for each side that has tape; empty when there is none.</returns>
    public static IReadOnlyList<TapeEdge> Find(Photograph photo, FrameFit frame, TapeColour? colour, ITrace trace)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(frame);
        ArgumentNullException.ThrowIfNull(trace);
        return Find(photo, frame, colour, new FrameUncertainty(frame.StandardUncertaintyAcross), trace);
    }

    /// <summary>The same with the frame's own uncertainty carried into that of the edge.</summary>
    internal static IReadOnlyList<TapeEdge> Find(Photograph photo, FrameFit frame, TapeColour? colour, FrameUncertainty unsure, ITrace trace)
    {
        var height = new ClothHeight(frame.Ring);
        FlatColours flat = FlatColours.Of(photo, frame, height);
        var dropped = new List<Strip>();
        List<Strip> strips = StripSearch.Find(flat, frame.Ring, colour, dropped);
        var sampler = new LinearSampler(photo.Pixels);
        var edges = new List<TapeEdge>();
        foreach (Strip strip in strips)
        {
            if (EdgeReader.Read(sampler, frame, height, strip, unsure) is { } edge)
            {
                edges.Add(edge);
            }
            else
            {
                dropped.Add(strip);
            }
        }

        trace.Data(40, "tape", new
        {
            strips,
            dropped = dropped.OrderByDescending(s => s.Score).Take(12),
            edges = edges.Select(e => new { side = e.Side.Name(), e.Colour, e.ColourRgb, e.AngleDegrees, e.Samples }),
        });
        if (trace.Wanted)
        {
            trace.Picture(40, "tape", TapePicture.Draw(sampler, frame, height, edges));
        }

        return edges;
    }
}
