using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using HoopCheck.Vision;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>
/// The drawing that lies over the fabric, the same in the photo, in its magnified pieces and in the flat view:
/// only the map from hoop millimetres to the canvas differs.
/// </summary>
/// <param name="canvas">Drawn on.</param>
/// <param name="map">Canvas place of a hoop point; null where it has none.</param>
/// <param name="stroke">Width of the main lines, px.</param>
internal sealed class Overlay(SKCanvas canvas, Func<HoopPoint, SKPoint?> map, float stroke)
{
    /// <summary>Largest distance between the points a line is drawn through, so that the lens's bending shows, mm.</summary>
    private const double StepMm = 3;

    /// <summary>Dashes of the fill as it was before its correction.</summary>
    public static readonly float[] Before = [3f, 3f];

    /// <summary>Fill, limits, tape edges and, where the frame is known, the opening.</summary>
    /// <param name="result">The check.</param>
    /// <param name="near">Where a magnified picture looks; null for a picture of the whole.</param>
    /// <param name="halfMm">How far it looks to each side, mm.</param>
    public void Draw(CheckResult result, HoopPoint? near = null, double halfMm = 0)
    {
        CheckRequest request = result.Request;
        if (result.Frame is { } frame)
        {
            Line(Opening(frame.Ring), SKColors.White, stroke * 0.5f, closed: true);
        }

        foreach (SideClearance side in result.Sides)
        {
            Band(side.Side, request, result.Frame);
        }

        // With a correction: dashed as it is, solid as it should be.
        PlannedFill? corrected = result.Correction is { IsPossible: true } c ? c.After : null;
        Fill(corrected ?? request.Fill, near, halfMm, dashed: false);
        if (corrected is not null)
        {
            Fill(request.Fill, near, halfMm, dashed: true);
        }

        foreach (SideClearance side in result.Sides)
        {
            foreach ((double mm, bool least) in Limits(side.Side, request, result.Frame))
            {
                Line(Limit(side.Side, request.Fill, mm), SKColors.White, stroke * (least ? 0.7f : 0.6f), dash: least ? [0.1f, 2.2f] : [4.5f, 3f]);
            }
        }

        foreach (SideClearance side in result.Sides)
        {
            Tape(side.Tape);
        }
    }

    /// <summary>The marked clearance: two arrow heads that meet the fill's edge and the tape's edge.</summary>
    public void Dimension(SideClearance side, CheckRequest request)
    {
        (HoopPoint at, double mm) = Labels.Telling(side, request);
        HoopVector n = side.Side.Normal();
        if (request.Fill.Outline is { } shape && mm > 0)
        {
            // A free shape's clearance runs to its nearest part, whatever the direction.
            HoopVector to = at - FillLines.Of(request.Fill).Closest(at);
            (n, mm) = to.Length > 1e-6 ? (to * (1 / to.Length), to.Length - (shape.ThreadMm / 2)) : (n, mm);
        }

        if (map(at) is not { } tape || map(at + (n * -mm)) is not { } fill || map(at + n) is not { } outward || map(at) is not { } origin)
        {
            return;
        }

        SKPoint u = outward - origin;
        float unit = u.Length;
        if (unit < 1e-3f)
        {
            return;
        }

        u = new(u.X / unit, u.Y / unit);
        float gap = (tape - fill).Length, head = stroke * 3.2f;
        bool inside = gap > head * 3.2f;
        float sign = mm >= 0 ? 1 : -1;
        SKPoint outTape = Move(tape, u, sign * head * 2.6f), outFill = Move(fill, u, -sign * head * 2.6f);
        SKPoint[][] lines = inside ? [[fill, tape]] : [[outFill, fill], [outTape, tape]];
        (SKPoint Tip, float Way)[] heads = inside
            ? [(fill, -sign), (tape, sign)]
            : [(fill, sign), (tape, -sign)];

        using var paint = new SKPaint { IsAntialias = true, StrokeCap = SKStrokeCap.Round, StrokeJoin = SKStrokeJoin.Round };
        foreach ((SKColor colour, float grow) in new[] { (SKColors.White, stroke * 0.75f), (Palette.Dimension, 0f) })
        {
            paint.Color = colour;
            paint.Style = SKPaintStyle.Stroke;
            paint.StrokeWidth = (stroke * 0.9f) + (2 * grow);
            foreach (SKPoint[] l in lines)
            {
                canvas.DrawLine(Short(l[0], l[1], inside), Short(l[1], l[0], true), paint);
            }

            paint.Style = grow > 0 ? SKPaintStyle.StrokeAndFill : SKPaintStyle.Fill;
            paint.StrokeWidth = 2 * grow;
            foreach ((SKPoint tip, float way) in heads)
            {
                SKPoint back = Move(tip, u, -way * head), across = new(-u.Y, u.X);
                using SKPath triangle = Path([tip, Move(back, across, head * 0.5f), Move(back, across, -head * 0.5f)], true);
                canvas.DrawPath(triangle, paint);
            }
        }

        SKPoint Short(SKPoint p, SKPoint towards, bool really)
        {
            SKPoint d = towards - p;
            return really && d.Length > head ? Move(p, new(d.X / d.Length, d.Y / d.Length), head * 0.8f) : p;
        }
    }

    /// <summary>A broad arrow, as seen on the fabric: which way to move the fill. Its length says nothing.</summary>
    /// <param name="from">Its tail.</param>
    /// <param name="to">Its tip.</param>
    /// <param name="wide">Breadth of the shaft, px.</param>
    public void Arrow(SKPoint from, SKPoint to, float wide)
    {
        SKPoint d = to - from;
        if (d.Length < 1e-3f)
        {
            return;
        }

        SKPoint u = new(d.X / d.Length, d.Y / d.Length), across = new(-u.Y, u.X), neck = Move(to, u, -wide * 1.8f);
        using SKPath path = Path(
            [
                Move(from, across, wide / 2), Move(neck, across, wide / 2), Move(neck, across, wide * 1.5f), to,
                Move(neck, across, -wide * 1.5f), Move(neck, across, -wide / 2), Move(from, across, -wide / 2),
            ],
            true);
        using var paint = new SKPaint { IsAntialias = true, Color = Palette.Casing, Style = SKPaintStyle.StrokeAndFill, StrokeWidth = wide * 0.6f, StrokeJoin = SKStrokeJoin.Round };
        canvas.DrawPath(path, paint);
        paint.Style = SKPaintStyle.Fill;
        paint.Color = SKColors.White;
        canvas.DrawPath(path, paint);
    }

    /// <summary>A line with dark casing.</summary>
    public void Line(IEnumerable<HoopPoint> points, SKColor colour, float width, float[]? dash = null, bool closed = false)
    {
        foreach (List<SKPoint> run in Runs(points))
        {
            using SKPath path = Path(run, closed);
            using var paint = new SKPaint
            {
                IsAntialias = true,
                Style = SKPaintStyle.Stroke,
                StrokeCap = dash is null ? SKStrokeCap.Butt : SKStrokeCap.Round,
                StrokeJoin = SKStrokeJoin.Round,
                Color = Palette.Casing,
                StrokeWidth = width + Math.Max(2f, stroke * 0.9f),
            };
            using SKPathEffect? effect = dash is null ? null : SKPathEffect.CreateDash([.. dash.Select(d => d * stroke)], 0);
            paint.PathEffect = effect;
            canvas.DrawPath(path, paint);
            paint.Color = colour;
            paint.StrokeWidth = width;
            canvas.DrawPath(path, paint);
        }
    }

    /// <summary>Slanted lines: a tint alone is lost on fabric of the opposite colour.</summary>
    public static void Hatch(SKCanvas canvas, SKPath area, float stroke)
    {
        SKRect box = area.Bounds;
        float step = stroke * 3.6f;
        if (box.Width / step > 2000)
        {
            return;
        }

        using var paint = new SKPaint { IsAntialias = true, Color = Palette.BluishGreen.WithAlpha(0xD0), StrokeWidth = stroke * 0.8f };
        canvas.Save();
        canvas.ClipPath(area, SKClipOperation.Intersect, true);
        for (float x = box.Left - box.Height; x < box.Right; x += step)
        {
            canvas.DrawLine(x, box.Bottom, x + box.Height, box.Top, paint);
        }

        canvas.Restore();
    }

    /// <summary>The limit lines worth drawing: those that lie inside the opening.</summary>
    public static IEnumerable<(double Mm, bool Least)> Limits(Side side, CheckRequest request, FrameFit? frame)
    {
        double facing = request.Fill.FacingEdge(side), wall = Wall(side, request, frame);
        if (facing + request.MinGapMm < wall)
        {
            yield return (request.MinGapMm, true);
        }

        if (facing + request.SpacingMm < wall)
        {
            yield return (request.SpacingMm, false);
        }
    }

    /// <summary>A line parallel to the fill's facing edge, <paramref name="mm"/> outside of it.</summary>
    public static IEnumerable<HoopPoint> Limit(Side side, PlannedFill fill, double mm)
    {
        (double from, double to) = fill.FacingStretch(side);
        return Steps(from, to).Select(s => side.At(fill.FacingEdgeAt(side, s) + mm, s));
    }

    /// <summary>The fill's rectangle; of a free shape the one it just fits into.</summary>
    public static IEnumerable<HoopPoint> Outline(PlannedFill fill)
    {
        IReadOnlyList<HoopPoint> corners = fill.Corners;
        for (int i = 0; i < corners.Count; i++)
        {
            HoopPoint from = corners[i];
            HoopVector edge = corners[(i + 1) % corners.Count] - from;
            foreach (double part in Steps(0, edge.Length))
            {
                yield return from + (edge * (part / edge.Length));
            }
        }
    }

    /// <summary>The opening at the fabric, with its rounded corners and bowed sides.</summary>
    public static IEnumerable<HoopPoint> Opening(RingShape ring)
    {
        double w = ring.OpeningWidth / 2, h = ring.OpeningHeight / 2;
        double r = Math.Clamp(ring.CornerRadius, 0, Math.Min(w, h));
        Side[] order = [Side.Top, Side.Right, Side.Bottom, Side.Left];
        foreach (Side side in order)
        {
            bool flat = side is Side.Top or Side.Bottom;
            double half = flat ? w : h, q = flat ? h : w, sign = side is Side.Top or Side.Left ? 1 : -1;
            double bow = ring.Bow.Length > (int)side ? ring.Bow[(int)side] : 0;
            foreach (double s in Steps(-(half - r), half - r))
            {
                yield return side.At(q + (bow * (1 - (s / half * s / half))), s * sign);
            }

            HoopVector n = side.Normal(), t = side.Along() * sign;
            HoopPoint centre = new((n.X * (q - r)) + (t.X * (half - r)), (n.Y * (q - r)) + (t.Y * (half - r)));
            for (int i = 1; i < 12; i++)
            {
                (double sin, double cos) = Math.SinCos(i * Math.PI / 24);
                yield return centre + (((n * cos) + (t * sin)) * r);
            }
        }
    }

    /// <summary>The tape's edge as hoop points, in stretches that were all seen or all bridged.</summary>
    public static IEnumerable<(bool Seen, List<HoopPoint> Points)> Stretches(TapeEdge tape)
    {
        for (int i = 0; i < tape.Samples.Count;)
        {
            bool seen = tape.Samples[i].Seen;
            var run = new List<HoopPoint>();
            for (; i < tape.Samples.Count && tape.Samples[i].Seen == seen; i++)
            {
                run.Add(tape.Side.At(tape.Samples[i].Q, tape.Samples[i].S));
            }

            if (i < tape.Samples.Count)
            {
                run.Add(tape.Side.At(tape.Samples[i].Q, tape.Samples[i].S));
            }

            yield return (seen, run);
        }
    }

    private static double Wall(Side side, CheckRequest request, FrameFit? frame)
    {
        double w = frame?.Ring.OpeningWidth ?? request.Hoop.OpeningWidth, h = frame?.Ring.OpeningHeight ?? request.Hoop.OpeningHeight;
        return (side is Side.Left or Side.Right ? w : h) / 2;
    }

    private static IEnumerable<double> Steps(double from, double to)
    {
        int n = Math.Max(1, (int)Math.Ceiling(Math.Abs(to - from) / StepMm));
        return Enumerable.Range(0, n + 1).Select(i => from + ((to - from) * i / n));
    }

    private static SKPoint Move(SKPoint p, SKPoint direction, float by) => new(p.X + (direction.X * by), p.Y + (direction.Y * by));

    private static SKPath Path(List<SKPoint> points, bool closed)
    {
        using var b = new SKPathBuilder();
        b.MoveTo(points[0]);
        for (int i = 1; i < points.Count; i++)
        {
            b.LineTo(points[i]);
        }

        if (closed)
        {
            b.Close();
        }

        return b.Detach();
    }

    /// <summary>The stretch in which the tape's edge may lie, lightly tinted.</summary>
    private void Band(Side side, CheckRequest request, FrameFit? frame)
    {
        double wall = Wall(side, request, frame), facing = request.Fill.FacingEdge(side);
        double near = Math.Min(request.MinGapMm, wall - facing), far = Math.Min(request.SpacingMm, wall - facing);
        if (far > near)
        {
            Area([.. Limit(side, request.Fill, near), .. Limit(side, request.Fill, far).Reverse()], Palette.BluishGreen.WithAlpha(0x48), hatched: true);
        }
    }

    /// <summary>Tints an area; leaves it when a part of its border is not in the picture's plane.</summary>
    private void Area(IEnumerable<HoopPoint> border, SKColor colour, bool hatched = false)
    {
        List<List<SKPoint>> runs = Runs(border);
        if (runs.Count != 1)
        {
            return;
        }

        using SKPath path = Path(runs[0], true);
        using var paint = new SKPaint { Color = colour, IsAntialias = true };
        canvas.DrawPath(path, paint);
        if (hatched)
        {
            Hatch(canvas, path, stroke);
        }
    }

    private void Fill(PlannedFill fill, HoopPoint? near, double halfMm, bool dashed)
    {
        FillLines lines = FillLines.Of(fill);
        if (fill.Outline?.Kind == FillKind.Stitches)
        {
            if (dashed)
            {
                // All stitches twice would be a tangle: of the fill as it was, its bounds are enough.
                Line(Outline(fill), Palette.Fill, stroke * 0.8f, Before, closed: true);
                return;
            }

            foreach (IReadOnlyList<HoopPoint> line in near is { } place ? lines.Near(place, halfMm) : lines.Whole)
            {
                Line(line, Palette.Fill, stroke * 0.55f);
            }

            return;
        }

        foreach (IReadOnlyList<HoopPoint> line in lines.Whole)
        {
            if (dashed)
            {
                Line(line, Palette.Fill, stroke * 0.8f, Before, closed: true);
                continue;
            }

            Area(line, Palette.Fill.WithAlpha(0x20));
            Line(line, Palette.Fill, stroke, closed: true);
        }
    }

    private void Tape(TapeEdge tape)
    {
        foreach ((bool seen, List<HoopPoint> points) in Stretches(tape))
        {
            Line(points, Palette.Tape, stroke * 0.9f, seen ? null : [2.5f, 2.5f]);
        }
    }

    private List<List<SKPoint>> Runs(IEnumerable<HoopPoint> points)
    {
        var runs = new List<List<SKPoint>>();
        List<SKPoint>? run = null;
        foreach (HoopPoint p in points)
        {
            if (map(p) is { } c && float.IsFinite(c.X) && float.IsFinite(c.Y))
            {
                if (run is null)
                {
                    run = [];
                    runs.Add(run);
                }

                run.Add(c);
            }
            else
            {
                run = null;
            }
        }

        runs.RemoveAll(r => r.Count < 2);
        return runs;
    }
}
