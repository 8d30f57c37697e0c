using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Vision;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>
/// The upright photo with the measurement drawn on it: verdict above, the fill, the limits and the tape's edge where they lie on the fabric,
/// the telling place of each side magnified, and a key below.
/// </summary>
internal static class MarkedPhoto
{
    private const int LongestSide = 2016;
    private const int ShortestLongSide = 1600;

    /// <summary>Draws the picture. The caller disposes of it.</summary>
    public static SKBitmap Draw(Photograph photo, CheckResult result)
    {
        Pixels pixels = photo.Pixels;
        int longSide = Math.Max(pixels.Width, pixels.Height);
        float scale = (float)Math.Clamp(longSide, ShortestLongSide, LongestSide) / longSide;
        int width = Math.Max(1, (int)MathF.Round(pixels.Width * scale)), height = Math.Max(1, (int)MathF.Round(pixels.Height * scale));
        float unit = Lettering.Unit(width, height);

        var banner = new Banner(result, null, width, unit);
        Key? key = result.Frame is null ? null : new Key(result, width, unit);
        var picture = new SKBitmap(width, height + (int)banner.Height + (int)(key?.Height ?? 0), SKColorType.Bgra8888, SKAlphaType.Opaque);
        using var canvas = new SKCanvas(picture);
        canvas.Clear(Palette.Ink);
        using SKBitmap source = Bitmaps.From(pixels);
        using SKImage image = SKImage.FromBitmap(source);
        var area = SKRect.Create(0, (int)banner.Height, width, height);
        canvas.DrawImage(image, area, new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear));

        if (result.Frame is { } frame)
        {
            SKPoint? Map(HoopPoint p) => OnPhoto(p, 0);
            SKPoint? OnPhoto(HoopPoint p, double z) => frame.Camera.Project(p, z) is { } f
                ? new SKPoint(
                    (float)((f.X + 0.5) / pixels.Reduction * scale),
                    (float)((f.Y + 0.5) / pixels.Reduction * scale) + area.Top)
                : null;

            canvas.Save();
            canvas.ClipRect(area);
            float stroke = Math.Clamp((float)(frame.PxPerMm / pixels.Reduction * scale * 1.2), unit * 0.10f, unit * 0.17f);
            new Overlay(canvas, Map, stroke).Draw(result);
            var place = new Placement(SKRect.Inflate(area, -unit * 0.5f, -unit * 0.5f));
            Callouts.Reserve(place, result, Map);
            Action<SKCanvas> change = Callouts.Change(result, Map, place, unit);
            Callouts.Cards(canvas, image, result, Map, place, area, unit);
            change(canvas);
            TopMark(canvas, frame, OnPhoto, place, area, unit);
            Callouts.LimitLabels(canvas, result, Map, place, unit);
            canvas.Restore();
        }

        banner.Draw(canvas);
        if (key is not null)
        {
            canvas.Translate(0, picture.Height - key.Height);
            key.Draw(canvas);
        }

        canvas.Flush();
        return picture;
    }

    /// <summary>An arrow on the ring's top side that points to the hoop's top: at its middle, or beside that where a card lies there.</summary>
    private static void TopMark(SKCanvas canvas, FrameFit frame, Func<HoopPoint, double, SKPoint?> map, Placement place, SKRect area, float unit)
    {
        RingShape ring = frame.Ring;
        float size = unit * 1.05f, high = size * 1.6f, wide = Lettering.Width("TOP", size) + (size * 2.35f);
        double middle = (ring.OpeningHeight / 2) + ring.TopOffset + (ring.Width / 2);
        var places = new List<(Plate Plate, float Cost)>();
        for (int i = 0; i <= 8; i++)
        {
            double x = ring.OpeningWidth * 0.05 * (i % 2 == 0 ? i : -i - 1);
            if (map(new(x, middle), ring.Height) is { } on && map(new(x, middle + 5), ring.Height) is { } beyond && (beyond - on).Length is > 1e-3f and var length)
            {
                // Pushed outward where the ring is narrower than the mark, then back into the picture.
                SKPoint way = new((beyond.X - on.X) / length, (beyond.Y - on.Y) / length);
                float half = (MathF.Abs(way.X) * wide / 2) + (MathF.Abs(way.Y) * high / 2);
                float push = MathF.Max(0, half - (float)(ring.Width / 2 * length / 5));
                float inset = unit * 0.6f;
                places.Add((
                    new(
                        new(
                            Math.Clamp(on.X + (way.X * push), area.Left + (wide / 2) + inset, area.Right - (wide / 2) - inset),
                            Math.Clamp(on.Y + (way.Y * push), area.Top + (high / 2) + inset, area.Bottom - (high / 2) - inset)),
                        wide,
                        high,
                        0),
                    i));
            }
        }

        if (places.Count == 0
            || map(new(0, middle), ring.Height) is not { } from
            || map(new(0, middle + 5), ring.Height) is not { } to
            || (to - from).Length is not (> 1e-3f and var length5))
        {
            return;
        }

        SKPoint centre = (place.Best(places, unit * 0.2f) ?? places[0].Plate).Centre, d = new((to.X - from.X) / length5, (to.Y - from.Y) / length5);
        place.Take(new(centre, wide, high, 0));

        using var paint = new SKPaint { IsAntialias = true, Color = Palette.Ink };
        var box = SKRect.Create(centre.X - (wide / 2), centre.Y - (high / 2), wide, high);
        canvas.DrawRoundRect(box, high * 0.28f, high * 0.28f, paint);
        Lettering.Write(canvas, "TOP", box.Left + (size * 1.8f), centre.Y + (size * 0.36f), size, SKColors.White);
        paint.Color = SKColors.White;
        paint.StrokeWidth = size * 0.17f;
        paint.StrokeCap = SKStrokeCap.Round;
        var c = new SKPoint(box.Left + (size * 0.95f), centre.Y);
        float l = size * 0.5f;
        SKPoint tip = new(c.X + (d.X * l), c.Y + (d.Y * l)), across = new(-d.Y, d.X);
        canvas.DrawLine(c.X - (d.X * l), c.Y - (d.Y * l), tip.X, tip.Y, paint);
        foreach (float s in new[] { -0.75f, 0.75f })
        {
            canvas.DrawLine(tip.X, tip.Y, c.X + (across.X * l * s), c.Y + (across.Y * l * s), paint);
        }
    }
}
