using HoopCheck.Checking;
using HoopCheck.Geometry;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>What is written beside the lines, the same way in both pictures: a card for each judged side and a name for each limit line.</summary>
internal static class Callouts
{
    /// <summary>Tells the placement what labels must not hide.</summary>
    public static void Reserve(Placement place, CheckResult result, Func<HoopPoint, SKPoint?> map)
    {
        place.Keep(Overlay.Outline(result.Request.Fill).Select(map), 6);
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

    /// <summary>A card for each judged side: its telling place magnified, with the number below and a leader to the place.</summary>
    public static void Cards(SKCanvas canvas, SKImage image, CheckResult result, Func<HoopPoint, SKPoint?> map, Placement place, SKRect area, float unit)
    {
        float side = unit * (result.Sides.Count > 1 ? 10f : 12f);
        var spots = new List<(SideClearance Side, SKPoint At, float Half, SKRect Box)>();
        foreach (SideClearance s in result.Sides.OrderByDescending(s => s == Labels.Deciding(result)))
        {
            (HoopPoint at, double mm) = Labels.Telling(s);
            HoopVector n = s.Side.Normal();
            if (map(at + (n * (-mm / 2))) is not { } centre || map(at) is not { } tape || map(at + n) is not { } next)
            {
                continue;
            }

            // Shows the marked distance with as much again around it, and at least 18 mm.
            float half = (next - tape).Length * (float)Math.Max(9, (Math.Abs(mm) * 0.75) + 4);
            spots.Add((s, centre, half, SKRect.Create(centre.X - half, centre.Y - half, 2 * half, 2 * half)));
            place.Take(new(centre, half * 2, half * 2, 0));
        }

        var cards = new List<(SideClearance Side, SKPoint At, float Half, SKRect Box, SKRect Card)>();
        foreach ((SideClearance s, SKPoint at, float half, SKRect box) in spots)
        {
            float high = side + TextHeight(unit);
            IEnumerable<(Plate, float)> Candidates()
            {
                for (float y = area.Top + (high / 2) + (unit * 0.6f); y < area.Bottom - (high / 2); y += unit * 0.8f)
                {
                    for (float x = (side / 2) + (unit * 0.6f); x < area.Right - (side / 2); x += unit * 0.8f)
                    {
                        float dx = MathF.Max(0, MathF.Abs(x - at.X) - (side / 2) - half), dy = MathF.Max(0, MathF.Abs(y - at.Y) - (high / 2) - half);
                        yield return (new(new(x, y), side, high, 0), MathF.Sqrt((dx * dx) + (dy * dy)) * 0.6f);
                    }
                }
            }

            if (place.Best(Candidates(), unit * 0.9f) is { } plate)
            {
                place.Take(plate);
                cards.Add((s, at, half, box, SKRect.Create(plate.Centre.X - (side / 2), plate.Centre.Y - (high / 2), side, high)));
            }
        }

        foreach ((SideClearance _, SKPoint at, float _, SKRect box, SKRect card) in cards)
        {
            Leader(canvas, box, card, unit);
        }

        foreach ((SideClearance s, SKPoint at, float half, SKRect box, SKRect card) in cards)
        {
            Frame(canvas, box, unit * 0.1f);
            Card(canvas, image, result, s, map, at, half, card, area, unit);
        }
    }

    private static float TextHeight(float unit) => unit * 5.6f;

    private static void Card(SKCanvas canvas, SKImage image, CheckResult result, SideClearance side, Func<HoopPoint, SKPoint?> map, SKPoint at, float half, SKRect card, SKRect area, float unit)
    {
        using var paint = new SKPaint { IsAntialias = true, Color = Palette.Ink };
        float round = unit * 0.5f, rim = unit * 0.18f;
        canvas.DrawRoundRect(SKRect.Inflate(card, rim, rim), round + rim, round + rim, paint);
        paint.Color = SKColors.White;
        paint.Style = SKPaintStyle.Stroke;
        paint.StrokeWidth = rim;
        canvas.DrawRoundRect(card, round, round, paint);

        var lens = SKRect.Create(card.Left, card.Top, card.Width, card.Width);
        float zoom = card.Width / (2 * half);
        canvas.Save();
        using (SKPath clip = Rounded(card, round))
        {
            canvas.ClipPath(clip, SKClipOperation.Intersect, true);
        }

        canvas.ClipRect(lens);
        canvas.Save();
        canvas.Translate(lens.MidX, lens.MidY);
        canvas.Scale(zoom);
        canvas.Translate(-at.X, -at.Y);
        canvas.DrawImage(image, area, new SKSamplingOptions(SKCubicResampler.Mitchell));
        canvas.Restore();
        var overlay = new Overlay(
            canvas,
            p => map(p) is { } c ? new SKPoint(lens.MidX + ((c.X - at.X) * zoom), lens.MidY + ((c.Y - at.Y) * zoom)) : null,
            unit * 0.2f);
        overlay.Draw(result);
        overlay.Dimension(side);
        canvas.Restore();

        string[] lines = Labels.Card(side);
        float room = card.Width - (unit * 1.2f), left = card.Left + (unit * 0.6f);
        float big = Lettering.Fit(lines[0], unit * 1.8f, unit, room);
        Lettering.Write(canvas, lines[0], left, lens.Bottom + (unit * 1.95f), big, SKColors.White);
        string second = $"{lines[1]}   {lines[2]}";
        Lettering.Write(canvas, second, left, lens.Bottom + (unit * 3.5f), Lettering.Fit(second, unit * 1.15f, unit * 0.7f, room), SKColors.White);
        Lettering.Write(canvas, lines[3], left, lens.Bottom + (unit * 4.9f), Lettering.Fit(lines[3], unit, unit * 0.7f, room), Palette.Soft);
    }

    private static void Frame(SKCanvas canvas, SKRect box, float width)
    {
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, Color = Palette.Casing, StrokeWidth = width * 3 };
        canvas.DrawRoundRect(box, width * 3, width * 3, paint);
        paint.Color = SKColors.White;
        paint.StrokeWidth = width * 1.4f;
        canvas.DrawRoundRect(box, width * 3, width * 3, paint);
    }

    private static void Leader(SKCanvas canvas, SKRect box, SKRect card, float unit)
    {
        SKPoint to = new(Math.Clamp(box.MidX, card.Left + unit, card.Right - unit), Math.Clamp(box.MidY, card.Top + unit, card.Bottom - unit));
        SKPoint from = new(Math.Clamp(to.X, box.Left, box.Right), Math.Clamp(to.Y, box.Top, box.Bottom));
        using var paint = new SKPaint { IsAntialias = true, Color = Palette.Casing, StrokeWidth = unit * 0.3f };
        canvas.DrawLine(from, to, paint);
        paint.Color = SKColors.White;
        paint.StrokeWidth = unit * 0.14f;
        canvas.DrawLine(from, to, paint);
    }

    /// <summary>Names each limit line once, along the line, where the name hides least.</summary>
    public static void LimitLabels(SKCanvas canvas, CheckResult result, Func<HoopPoint, SKPoint?> map, Placement place, float unit)
    {
        float size = unit * 0.95f;
        foreach (SideClearance side in result.Sides)
        {
            foreach ((double mm, bool least) in Overlay.Limits(side.Side, result.Request, result.Frame))
            {
                string text = least ? $"least gap {Labels.Inches(mm)}" : $"widest gap {Labels.Inches(mm)}";
                float wide = Lettering.Width(text, size) + (size * 0.7f), high = size * 1.35f;
                List<SKPoint> line = [.. Overlay.Limit(side.Side, result.Request.Fill, mm).Select(map).OfType<SKPoint>()];
                var candidates = new List<(Plate, float)>();
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
                            candidates.Add((new(new(line[i].X + (across.X * by), line[i].Y + (across.Y * by)), wide, high, angle), off * 40));
                        }
                    }
                }

                if (place.Best(candidates, unit * 0.15f) is { } plate)
                {
                    place.Take(plate);
                    Tag(canvas, text, plate, size);
                }
            }
        }
    }

    private static void Tag(SKCanvas canvas, string text, Plate plate, float size)
    {
        canvas.Save();
        canvas.Translate(plate.Centre.X, plate.Centre.Y);
        canvas.RotateDegrees(plate.Degrees);
        using var paint = new SKPaint { IsAntialias = true, Color = Palette.Casing };
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
