using System.Globalization;
using HoopCheck.Vision;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>A flat view and its scale.</summary>
/// <param name="Bitmap">The picture, rulers and title included.</param>
/// <param name="Area">Where in it the fabric is, px.</param>
/// <param name="MmPerPixel">Its scale.</param>
/// <param name="TopLeft">Hoop point at the area's top left corner, mm.</param>
internal sealed record FlatPicture(SKBitmap Bitmap, SKRect Area, double MmPerPixel, HoopPoint TopLeft) : IDisposable
{
    /// <summary>Place of a hoop point in the picture, px; pixel (i, j) covers i to i + 1 and j to j + 1.</summary>
    public SKPoint ToPicture(HoopPoint p) => new(
        Area.Left + (float)((p.X - TopLeft.X) / MmPerPixel),
        Area.Top + (float)((TopLeft.Y - p.Y) / MmPerPixel));

    /// <inheritdoc/>
    public void Dispose() => Bitmap.Dispose();
}

/// <summary>
/// The fabric plane seen squarely from above, to scale, the hoop's top up: the opening and a margin around it, a ruler in mm below,
/// one in inches at the left, both from the centre of the opening. Only what lies in the fabric plane is to scale; the ring stands above it.
/// </summary>
internal static class FlatView
{
    /// <summary>Fabric shown around the opening, mm.</summary>
    private const double MarginMm = 12;

    /// <summary>Longest side of the fabric's part of the picture, px.</summary>
    private const int LongestSide = 2300;

    /// <summary>Scales to choose from, mm a pixel; the first is for hoops that would come out small.</summary>
    private static readonly double[] Scales = [0.1, 0.2, 0.25, 0.5, 1, 2];

    /// <summary>Steps between numbered ticks to choose from, mm.</summary>
    private static readonly int[] Numbered = [10, 20, 50];

    private static readonly SKColor Paper = new(0xF5, 0xF2, 0xEA);

    /// <summary>Draws the flat view. The caller disposes of it.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="result">Its check.</param>
    /// <param name="frame">The check's frame.</param>
    public static FlatPicture Draw(Photograph photo, CheckResult result, FrameFit frame)
    {
        double mmWide = frame.Ring.OpeningWidth + (2 * MarginMm), mmHigh = frame.Ring.OpeningHeight + (2 * MarginMm), mmLong = Math.Max(mmWide, mmHigh);
        double scale = Scales.FirstOrDefault(s => mmLong / s <= (s < 0.2 ? 1600 : LongestSide), mmLong / LongestSide);
        int width = Math.Max(1, (int)Math.Round(mmWide / scale)), height = Math.Max(1, (int)Math.Round(mmHigh / scale));
        float unit = Lettering.Unit(width, height);
        float ruler = MathF.Ceiling(unit * 3.2f);

        string extra = string.Create(CultureInfo.InvariantCulture, $"Flat view to scale: 1 mm = {1 / scale:0.##} px. Hoop's top is up.");
        var banner = new Banner(result, extra, width + ruler, unit);
        var key = new Key(result, width + ruler, unit, flat: true);
        var area = SKRect.Create(ruler, banner.Height, width, height);
        var bitmap = new SKBitmap((int)ruler + width, (int)(banner.Height + height + ruler + key.Height), SKColorType.Bgra8888, SKAlphaType.Opaque);
        var flat = new FlatPicture(bitmap, area, scale, new(-width * scale / 2, height * scale / 2));

        using var canvas = new SKCanvas(bitmap);
        canvas.Clear(Paper);
        using SKBitmap fabric = Rectify(photo.Pixels, frame.Camera, width, height, flat.TopLeft, scale);
        using SKImage image = SKImage.FromBitmap(fabric);
        canvas.DrawImage(image, area, SKSamplingOptions.Default);

        canvas.Save();
        canvas.ClipRect(area);
        SKPoint? Map(HoopPoint p) => flat.ToPicture(p);
        float stroke = Math.Clamp((float)(0.8 / scale), unit * 0.08f, unit * 0.15f);
        var overlay = new Overlay(canvas, Map, stroke);
        if (result.Weave is { } weave)
        {
            WeaveLines.Draw(overlay, weave, stroke);
        }

        overlay.Draw(result);
        Centre(canvas, flat.ToPicture(new(0, 0)), unit);
        var place = new Placement(SKRect.Inflate(area, -unit * 0.5f, -unit * 0.5f));
        Callouts.Reserve(place, result, Map);
        Action<SKCanvas> change = Callouts.Change(result, Map, place, unit);
        Callouts.Cards(canvas, image, result, Map, place, area, unit);
        change(canvas);
        Callouts.LimitLabels(canvas, result, Map, place, unit);
        canvas.Restore();

        Rulers(canvas, flat, ruler, unit);
        banner.Draw(canvas);
        canvas.Translate(0, bitmap.Height - key.Height);
        key.Draw(canvas);
        canvas.Flush();
        return flat;
    }

    /// <summary>Samples the fabric plane from the photo, bilinearly; black where the photo does not reach.</summary>
    private static unsafe SKBitmap Rectify(Pixels pixels, CameraPose camera, int width, int height, HoopPoint topLeft, double scale)
    {
        var bitmap = new SKBitmap(width, height, SKColorType.Bgra8888, SKAlphaType.Opaque);
        nint start = bitmap.GetPixels();
        int stride = bitmap.RowBytes;
        byte[] bgr = pixels.Bgr;
        Parallel.For(0, height, j =>
        {
            byte* to = (byte*)(start + (j * stride));
            for (int i = 0; i < width; i++, to += 4)
            {
                to[0] = to[1] = to[2] = 0;
                to[3] = 255;
                HoopPoint p = new(topLeft.X + ((i + 0.5) * scale), topLeft.Y - ((j + 0.5) * scale));
                if (camera.Project(p, 0) is not { } full)
                {
                    continue;
                }

                double x = ((full.X + 0.5) / pixels.Reduction) - 0.5, y = ((full.Y + 0.5) / pixels.Reduction) - 0.5;
                if (!(x >= 0 && y >= 0 && x <= pixels.Width - 1 && y <= pixels.Height - 1))
                {
                    continue;
                }

                int x0 = Math.Min((int)x, Math.Max(0, pixels.Width - 2)), y0 = Math.Min((int)y, Math.Max(0, pixels.Height - 2));
                double fx = x - x0, fy = y - y0;
                int a = ((y0 * pixels.Width) + x0) * 3, right = pixels.Width > 1 ? 3 : 0, down = pixels.Height > 1 ? pixels.Width * 3 : 0;
                for (int c = 0; c < 3; c++)
                {
                    double above = bgr[a + c] + (fx * (bgr[a + right + c] - bgr[a + c]));
                    double below = bgr[a + down + c] + (fx * (bgr[a + down + right + c] - bgr[a + down + c]));
                    to[c] = (byte)(above + (fy * (below - above)) + 0.5);
                }
            }
        });
        return bitmap;
    }

    private static void Centre(SKCanvas canvas, SKPoint c, float unit)
    {
        using var paint = new SKPaint { IsAntialias = true, StrokeCap = SKStrokeCap.Round };
        foreach ((SKColor colour, float wide) in new[] { (Palette.Casing, 0.3f), (SKColors.White, 0.12f) })
        {
            (paint.Color, paint.StrokeWidth) = (colour, unit * wide);
            canvas.DrawLine(c.X - (unit * 0.7f), c.Y, c.X + (unit * 0.7f), c.Y, paint);
            canvas.DrawLine(c.X, c.Y - (unit * 0.7f), c.X, c.Y + (unit * 0.7f), paint);
        }
    }

    /// <summary>mm below (every 1, 5 and 10, numbered) and inches at the left (every 1/16, 1/8, 1/2 and 1, numbered).</summary>
    private static void Rulers(SKCanvas canvas, FlatPicture flat, float ruler, float unit)
    {
        SKRect area = flat.Area;
        using var paint = new SKPaint { Color = Palette.Ink, IsAntialias = true, StrokeWidth = MathF.Max(1.5f, unit * 0.07f) };
        float pxPerMm = (float)(1 / flat.MmPerPixel), size = unit * 0.95f;
        canvas.DrawLine(area.Left, area.Bottom, area.Right, area.Bottom, paint);
        canvas.DrawLine(area.Left, area.Top, area.Left, area.Bottom, paint);

        int every = Numbered.FirstOrDefault(n => n * pxPerMm > Lettering.Width("-1000", size), 100);
        int ends = (int)(-flat.TopLeft.X);
        for (int mm = -ends; mm <= ends; mm++)
        {
            bool ten = mm % 10 == 0, five = mm % 5 == 0;
            if (pxPerMm < 3 && !five)
            {
                continue;
            }

            float x = flat.ToPicture(new(mm, 0)).X, length = unit * (ten ? 1.25f : five ? 0.9f : 0.5f);
            canvas.DrawLine(x, area.Bottom, x, area.Bottom + length, paint);
            if (mm % every == 0)
            {
                string text = Number(mm);
                float half = Lettering.Width(text, size) / 2;
                if (x - half > area.Left && x + half < area.Right)
                {
                    Lettering.Write(canvas, text, x - half, area.Bottom + (unit * 2.5f), size, Palette.Ink);
                }
            }
        }

        int sixteenths = (int)(flat.TopLeft.Y / 25.4 * 16);
        for (int n = -sixteenths; n <= sixteenths; n++)
        {
            bool inch = n % 16 == 0, half = n % 8 == 0, eighth = n % 2 == 0;
            if (pxPerMm * 25.4 / 16 < 5 && !eighth)
            {
                continue;
            }

            float y = flat.ToPicture(new(0, n / 16.0 * 25.4)).Y, length = unit * (inch ? 1.25f : half ? 0.95f : eighth ? 0.65f : 0.4f);
            canvas.DrawLine(area.Left - length, y, area.Left, y, paint);
            if (inch && y > area.Top + size && y < area.Bottom - size)
            {
                string text = Number(n / 16);
                Lettering.Write(canvas, text, area.Left - (unit * 1.5f) - Lettering.Width(text, size), y + (size * 0.36f), size, Palette.Ink);
            }
        }

        Lettering.Write(canvas, "in", unit * 0.35f, area.Bottom + (unit * 1.1f), size, Palette.Ink);
        Lettering.Write(canvas, "mm", ruler - (unit * 0.35f) - Lettering.Width("mm", size), area.Bottom + (unit * 2.5f), size, Palette.Ink);
    }

    private static string Number(int n) => (n < 0 ? "−" : "") + Math.Abs(n).ToString(CultureInfo.InvariantCulture);
}
