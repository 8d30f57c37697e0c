using HoopCheck.App.Reports;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>What is written beside the lines, the same way in both pictures: a card for each judged side and a name for each limit line.</summary>
internal static class Callouts
{
    /// <summary>Magnified less than this, a place is better marked where it is.</summary>
    private const float LeastZoom = 2;

    /// <summary>Tells the placement what labels must not hide.</summary>
    public static void Reserve(Placement place, CheckResult result, Func<HoopPoint, SKPoint?> map)
    {
        place.Keep(Overlay.Outline(result.Request.Fill).Select(map), 6);
        if (result.Correction is { IsPossible: true } correction)
        {
            place.Keep(Overlay.Outline(correction.After).Select(map), 6);
        }

        place.Keep(Overlay.Opening(result.Frame!.Ring).Select(map), 2);
        foreach (SideClearance side in result.Sides)
        {
            foreach ((_, List<HoopPoint> points) in Overlay.Stretches(side.Tape))
            {
                place.Keep(points.Select(map), 400);
            }

            foreach ((double mm, _) in Overlay.Limits(side.Side, result.Request, result.Frame))
            {
                place.Keep(Overlay.Limit(side.Side, result.Request.Fill, mm).Select(map), 20);
            }
        }
    }

    /// <summary>What to change, in the middle of the fill: each step on a line of its own, and an arrow the way the fill is to be moved.</summary>
    /// <returns>Draws it; to be called after the cards, whose leaders must not cross the words.</returns>
    public static Action<SKCanvas> Change(CheckResult result, Func<HoopPoint, SKPoint?> map, Placement place, float unit)
    {
        if (result.Correction is not { IsPossible: true } correction || map(result.Request.Fill.Centre) is not { } centre)
        {
            return _ => { };
        }

        double x = Total(FillAxis.X), y = Total(FillAxis.Y), way = Math.Sqrt((x * x) + (y * y));
        float arrow = unit * 4.4f, size = unit * 1.25f;
        // The hoop may lie turned in the photo: the words are the machine's, the arrow is the photo's.
        string[] lines = ["On the machine:", .. correction.Steps.Select(step => ChangeWords.Short(step, result.Request))];
        float wide = lines.Max(line => Lettering.Width(line, size)) + (size * 1.4f), high = (lines.Length * size * 1.3f) + (size * 0.7f);
        SKPoint middle = centre;
        (SKPoint Tail, SKPoint Tip)? shown = null;
        if (way > 0 && map(result.Request.Fill.Centre + (new HoopVector(x, y) * (1 / way))) is { } next && (next - centre).Length is > 1e-3f and var length)
        {
            SKPoint u = new((next.X - centre.X) / length, (next.Y - centre.Y) / length);
            var tail = new SKPoint(centre.X - (u.X * arrow / 2), centre.Y - (u.Y * arrow / 2));
            var tip = new SKPoint(centre.X + (u.X * arrow / 2), centre.Y + (u.Y * arrow / 2));
            shown = (tail, tip);
            place.Take(new(centre, arrow + unit, unit * 4, MathF.Atan2(u.Y, u.X) * 180 / MathF.PI));

            // The words stand below the arrow, clear of it whichever way it points.
            middle = new(centre.X, centre.Y + (MathF.Abs(u.Y) * arrow / 2) + (MathF.Abs(u.X) * unit * 1.7f) + (high / 2) + (unit * 0.8f));
        }

        var box = SKRect.Create(middle.X - (wide / 2), middle.Y - (high / 2), wide, high);
        place.Take(new(middle, wide, high, 0));
        return canvas =>
        {
            if (shown is { } arrowLine)
            {
                new Overlay(canvas, map, unit * 0.2f).Arrow(arrowLine.Tail, arrowLine.Tip, unit * 1.1f);
            }

            using var paint = new SKPaint { IsAntialias = true, Color = Palette.Ink };
            canvas.DrawRoundRect(box, size * 0.4f, size * 0.4f, paint);
            for (int i = 0; i < lines.Length; i++)
            {
                Lettering.Write(canvas, lines[i], box.Left + (size * 0.7f), box.Top + (size * (1.25f + (1.3f * i))), size, i == 0 ? Palette.Soft : SKColors.White);
            }
        };

        double Total(FillAxis axis) => correction.Steps.Where(s => s.Kind == FillChangeKind.Nudge && s.Axis == axis).Sum(s => s.Mm);
    }

    /// <summary>A card for each judged side: its telling place magnified, with the number below and a leader to the place.</summary>
    public static void Cards(SKCanvas canvas, SKImage image, CheckResult result, Func<HoopPoint, SKPoint?> map, Placement place, SKRect area, float unit)
    {
        float wide = unit * (result.Sides.Count > 1 ? 10f : 12f);
        var spots = new List<Spot>();
        foreach (SideClearance side in result.Sides.Where(Labels.IsMeasured).OrderByDescending(s => s == Labels.Deciding(result)))
        {
            (HoopPoint at, double mm) = Labels.Telling(side, result.Request);
            HoopVector n = side.Side.Normal();
            if (map(at + (n * (-mm / 2))) is { } centre && map(at) is { } tape && map(at + n) is { } next)
            {
                float half = (next - tape).Length * (float)SeenMm(mm);
                var spot = new Spot(side, centre, half, wide / (2 * half) >= LeastZoom);
                spots.Add(spot);
                place.Take(new(centre, half * 2, half * 2, 0));
            }
        }

        var cards = new List<(Spot Spot, SKRect Card)>();
        foreach (Spot spot in spots)
        {
            float Leading(Plate plate)
            {
                (SKPoint from, SKPoint to) = Leader(spot, Rect(plate), unit);
                return place.Crossed(from, to, unit * 0.3f) * 0.2f;
            }

            if (place.Best(Shapes(spot, wide, unit).SelectMany(s => Around(spot, s.Wide, s.High, s.Cost, area, unit)), unit * 0.9f, Leading) is { } plate)
            {
                place.Take(plate);
                SKRect card = Rect(plate);
                cards.Add((spot, card));
                (SKPoint from, SKPoint to) = Leader(spot, card, unit);
                place.Keep([from, to], 200);
            }
        }

        foreach ((Spot spot, SKRect card) in cards)
        {
            DrawLeader(canvas, Leader(spot, card, unit), unit);
        }

        foreach (Spot spot in spots)
        {
            if (!spot.Magnified)
            {
                new Overlay(canvas, map, unit * 0.2f).Dimension(spot.Side, result.Request);
            }
        }

        foreach ((Spot spot, SKRect card) in cards)
        {
            if (spot.Magnified)
            {
                Frame(canvas, spot.Box, unit * 0.1f);
            }

            Card(canvas, image, result, spot, map, card, area, unit);
        }
    }

    /// <summary>Half of what a card shows, mm: the marked distance with as much again around it, and at least 18 mm in all.</summary>
    private static double SeenMm(double mm) => Math.Max(9, (Math.Abs(mm) * 0.75) + 4);

    /// <summary>A place that a card is about.</summary>
    /// <param name="Side">The judged side.</param>
    /// <param name="At">Middle of the marked distance, px.</param>
    /// <param name="Half">Half the side of the square that the card shows, px.</param>
    /// <param name="Magnified">Whether the card shows it larger; otherwise it is large enough where it is.</param>
    private sealed record Spot(SideClearance Side, SKPoint At, float Half, bool Magnified)
    {
        public SKRect Box => SKRect.Create(At.X - Half, At.Y - Half, 2 * Half, 2 * Half);
    }

    private static SKRect Rect(Plate plate) =>
        SKRect.Create(plate.Centre.X - (plate.Width / 2), plate.Centre.Y - (plate.Height / 2), plate.Width, plate.Height);

    /// <summary>A card's possible shapes: text below the magnified piece, or beside it; and both a size smaller.</summary>
    private static IEnumerable<(float Wide, float High, float Cost)> Shapes(Spot spot, float wide, float unit)
    {
        if (!spot.Magnified)
        {
            return [(wide, TextHeight(unit), 0)];
        }

        float small = wide * 0.8f, beside = unit * 10.5f;
        return
        [
            (wide, wide + TextHeight(unit), 0),
            (wide + beside, wide, unit),
            (small, small + TextHeight(unit), 2 * unit),
            (small + beside, small, 3 * unit),
        ];
    }

    private static IEnumerable<(Plate Plate, float Cost)> Around(Spot spot, float wide, float high, float cost, SKRect area, float unit)
    {
        for (float y = area.Top + (high / 2) + (unit * 0.6f); y < area.Bottom - (high / 2); y += unit * 0.8f)
        {
            for (float x = area.Left + (wide / 2) + (unit * 0.6f); x < area.Right - (wide / 2); x += unit * 0.8f)
            {
                float dx = MathF.Max(0, MathF.Abs(x - spot.At.X) - (wide / 2) - spot.Half), dy = MathF.Max(0, MathF.Abs(y - spot.At.Y) - (high / 2) - spot.Half);
                yield return (new(new(x, y), wide, high, 0), cost + MathF.Sqrt((dx * dx) + (dy * dy)));
            }
        }
    }

    private static float TextHeight(float unit) => unit * 5.6f;

    private static void Card(SKCanvas canvas, SKImage image, CheckResult result, Spot spot, Func<HoopPoint, SKPoint?> map, SKRect card, SKRect area, float unit)
    {
        using var paint = new SKPaint { IsAntialias = true, Color = Palette.Ink };
        float round = unit * 0.5f, rim = unit * 0.18f;
        canvas.DrawRoundRect(SKRect.Inflate(card, rim, rim), round + rim, round + rim, paint);
        paint.Color = SKColors.White;
        paint.Style = SKPaintStyle.Stroke;
        paint.StrokeWidth = rim;
        canvas.DrawRoundRect(card, round, round, paint);

        SKRect text = card;
        if (spot.Magnified)
        {
            float size = MathF.Min(card.Width, card.Height);
            var lens = SKRect.Create(card.Left, card.Top, size, size);
            text = card.Width > card.Height
                ? new SKRect(lens.Right, card.MidY - (TextHeight(unit) / 2), card.Right, card.Bottom)
                : new SKRect(card.Left, lens.Bottom, card.Right, card.Bottom);
            float zoom = size / (2 * spot.Half);
            canvas.Save();
            using (SKPath clip = Rounded(card, round))
            {
                canvas.ClipPath(clip, SKClipOperation.Intersect, true);
            }

            canvas.ClipRect(lens);
            canvas.Save();
            canvas.Translate(lens.MidX, lens.MidY);
            canvas.Scale(zoom);
            canvas.Translate(-spot.At.X, -spot.At.Y);
            canvas.DrawImage(image, area, new SKSamplingOptions(SKCubicResampler.Mitchell));
            canvas.Restore();
            var overlay = new Overlay(
                canvas,
                p => map(p) is { } c ? new SKPoint(lens.MidX + ((c.X - spot.At.X) * zoom), lens.MidY + ((c.Y - spot.At.Y) * zoom)) : null,
                unit * 0.2f);
            (HoopPoint telling, double gap) = Labels.Telling(spot.Side, result.Request);
            overlay.Draw(result, telling, 2 * SeenMm(gap));
            overlay.Dimension(spot.Side, result.Request);
            canvas.Restore();
        }

        string[] lines = Labels.Card(spot.Side, result.Request);
        float room = text.Width - (unit * 1.2f), left = text.Left + (unit * 0.6f);
        Lettering.Write(canvas, lines[0], left, text.Top + (unit * 1.95f), Lettering.Fit(lines[0], unit * 1.8f, unit, room), SKColors.White);
        string second = $"{lines[1]}   {lines[2]}";
        Lettering.Write(canvas, second, left, text.Top + (unit * 3.5f), Lettering.Fit(second, unit * 1.15f, unit * 0.7f, room), SKColors.White);
        Lettering.Write(canvas, lines[3], left, text.Top + (unit * 4.9f), Lettering.Fit(lines[3], unit, unit * 0.7f, room), Palette.Soft);
    }

    private static void Frame(SKCanvas canvas, SKRect box, float width)
    {
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, Color = Palette.Casing, StrokeWidth = width * 3 };
        canvas.DrawRoundRect(box, width * 3, width * 3, paint);
        paint.Color = SKColors.White;
        paint.StrokeWidth = width * 1.4f;
        canvas.DrawRoundRect(box, width * 3, width * 3, paint);
    }

    private static (SKPoint From, SKPoint To) Leader(Spot spot, SKRect card, float unit)
    {
        SKPoint to = new(Math.Clamp(spot.At.X, card.Left + unit, card.Right - unit), Math.Clamp(spot.At.Y, card.Top + unit, card.Bottom - unit));
        return (spot.Magnified ? new(Math.Clamp(to.X, spot.Box.Left, spot.Box.Right), Math.Clamp(to.Y, spot.Box.Top, spot.Box.Bottom)) : spot.At, to);
    }

    private static void DrawLeader(SKCanvas canvas, (SKPoint From, SKPoint To) leader, float unit)
    {
        using var paint = new SKPaint { IsAntialias = true, Color = Palette.Casing, StrokeWidth = unit * 0.3f };
        canvas.DrawLine(leader.From, leader.To, paint);
        paint.Color = SKColors.White;
        paint.StrokeWidth = unit * 0.14f;
        canvas.DrawLine(leader.From, leader.To, paint);
    }

    /// <summary>Names each limit line once, along the line, where the name hides least.</summary>
    public static void LimitLabels(SKCanvas canvas, CheckResult result, Func<HoopPoint, SKPoint?> map, Placement place, float unit)
    {
        float size = unit * 0.95f;
        foreach (SideClearance side in result.Sides)
        {
            foreach ((double mm, bool least) in Overlay.Limits(side.Side, result.Request, result.Frame))
            {
                List<SKPoint> line = [.. Overlay.Limit(side.Side, result.Request.Fill, mm).Select(map).OfType<SKPoint>()];
                if (line.Count < 3 || map(result.Request.Fill.Centre) is not { } middle)
                {
                    continue;
                }

                float length = (line[^1] - line[0]).Length;
                string[] names = Labels.Limit(mm, least);
                foreach (string text in names.SkipWhile(n => n != names[^1] && Lettering.Width(n, size) > length * 0.6f))
                {
                    var candidates = Beside(line, middle, least, Lettering.Width(text, size) + (size * 0.7f), size * 1.35f);
                    if (place.Best(candidates, unit * 0.3f) is { } plate)
                    {
                        place.Take(plate);
                        Tag(canvas, text, plate, line.MinBy(p => (p - plate.Centre).Length), size);
                        break;
                    }
                }
            }
        }
    }

    /// <summary>Places along a line, on either side of it; the nearer ones are cheaper, and those on the line's own side: the least gap's towards the fill, the widest gap's away from it.</summary>
    private static IEnumerable<(Plate Plate, float Cost)> Beside(List<SKPoint> line, SKPoint middle, bool inward, float wide, float high)
    {
        for (int i = 1; i < line.Count - 1; i++)
        {
            SKPoint d = line[i + 1] - line[i - 1];
            float angle = MathF.Atan2(d.Y, d.X) * 180 / MathF.PI;
            angle = angle > 90 ? angle - 180 : angle <= -90 ? angle + 180 : angle;
            SKPoint across = new(-d.Y / d.Length, d.X / d.Length);
            foreach (float off in new[] { 0.75f, 1.1f, 1.8f, 2.8f, 4f })
            {
                foreach (float way in new[] { -1f, 1f })
                {
                    float by = way * high * off;
                    var centre = new SKPoint(line[i].X + (across.X * by), line[i].Y + (across.Y * by));
                    bool nearer = (centre - middle).Length < (line[i] - middle).Length;
                    yield return (new(centre, wide, high, angle), (off * 40) + (nearer == inward ? 0 : 150));
                }
            }
        }
    }

    private static void Tag(SKCanvas canvas, string text, Plate plate, SKPoint on, float size)
    {
        DrawLeader(canvas, (on, plate.Centre), size * 0.8f);
        using (var dot = new SKPaint { IsAntialias = true, Color = SKColors.White })
        {
            canvas.DrawCircle(on, size * 0.16f, dot);
        }

        canvas.Save();
        canvas.Translate(plate.Centre.X, plate.Centre.Y);
        canvas.RotateDegrees(plate.Degrees);
        using var paint = new SKPaint { IsAntialias = true, Color = Palette.Ink };
        canvas.DrawRoundRect(SKRect.Create(-plate.Width / 2, -plate.Height / 2, plate.Width, plate.Height), size * 0.3f, size * 0.3f, paint);
        Lettering.Write(canvas, text, (-plate.Width / 2) + (size * 0.35f), size * 0.36f, size, SKColors.White);
        canvas.Restore();
    }

    private static SKPath Rounded(SKRect rect, float radius)
    {
        using var b = new SKPathBuilder();
        b.AddRoundRect(rect, radius, radius, SKPathDirection.Clockwise);
        return b.Detach();
    }
}
