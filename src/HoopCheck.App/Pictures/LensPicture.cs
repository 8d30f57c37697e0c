using System.Globalization;
using HoopCheck.Vision.Lens;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>What a lens was learnt from: where in the picture corners were seen, and how far they miss, much enlarged.</summary>
internal static class LensPicture
{
    /// <summary>Width of each of the two views, px.</summary>
    private const int ViewWidth = 900;

    /// <summary>How long the drawing makes the root mean square of the residuals, px.</summary>
    private const double RmsLength = 14;

    private static readonly SKColor s_paper = new(0xF5, 0xF2, 0xEA), s_ink = new(0x22, 0x22, 0x22), s_empty = new(0xE8, 0xC9, 0xC0), s_dot = new(0x1B, 0x5E, 0x9C);

    /// <summary>The picture as PNG.</summary>
    public static byte[] Draw(LensLearnt lens)
    {
        const float Margin = 30, Head = 70;
        double scale = (double)ViewWidth / lens.Width;
        float high = (float)(lens.Height * scale);
        using var bitmap = new SKBitmap((int)((3 * Margin) + (2 * ViewWidth)), (int)(Head + high + Margin), SKColorType.Bgra8888, SKAlphaType.Opaque);
        using var canvas = new SKCanvas(bitmap);
        canvas.Clear(s_paper);
        LensPhotoSaid[] used = [.. lens.Photos.Where(p => p.Used)];
        double rms = Math.Sqrt(used.SelectMany(p => p.Residuals).Select(r => r.Dot(r)).DefaultIfEmpty(0).Average());
        double longer = rms > 0 ? RmsLength / (rms * scale) : 0;
        Lettering.Write(canvas, $"Where corners were seen, {used.Sum(p => p.Photo.Corners.Count)} in {used.Length} photos. Red: not covered yet.", Margin, 45, 22, s_ink);
        Lettering.Write(
            canvas, string.Create(CultureInfo.InvariantCulture, $"How far they miss, {longer:0} times enlarged: {rms:0.00} px root mean square."), (2 * Margin) + ViewWidth, 45, 22, s_ink);
        using var paint = new SKPaint { IsAntialias = true, StrokeWidth = 1.5f };
        for (int view = 0; view < 2; view++)
        {
            float left = Margin + (view * (ViewWidth + Margin));
            SKPoint On(PhotoPoint p) => new(left + (float)((p.X + 0.5) * scale), Head + (float)((p.Y + 0.5) * scale));
            (paint.Style, paint.Color) = (SKPaintStyle.Fill, SKColors.White);
            canvas.DrawRect(left, Head, ViewWidth, high, paint);
            if (view == 0)
            {
                Cells(canvas, lens, left, Head, high, paint);
            }

            foreach (LensPhotoSaid photo in used)
            {
                for (int i = 0; i < photo.Photo.Corners.Count; i++)
                {
                    SKPoint at = On(photo.Photo.Corners[i].Seen);
                    paint.Color = s_dot;
                    if (view == 0)
                    {
                        canvas.DrawCircle(at, 3, paint);
                    }
                    else
                    {
                        var r = photo.Residuals[i];
                        canvas.DrawLine(at, new(at.X + (float)(r.X * scale * longer), at.Y + (float)(r.Y * scale * longer)), paint);
                    }
                }
            }

            (paint.Style, paint.Color) = (SKPaintStyle.Stroke, s_ink);
            canvas.DrawRect(left, Head, ViewWidth, high, paint);
        }

        using SKData data = bitmap.Encode(SKEncodedImageFormat.Png, 90) ?? throw new InvalidOperationException("The picture could not be encoded.");
        return data.ToArray();
    }

    private static void Cells(SKCanvas canvas, LensLearnt lens, float left, float top, float high, SKPaint paint)
    {
        (int across, int down) = lens.Width >= lens.Height ? (LensRun.CellsAcross, LensRun.CellsDown) : (LensRun.CellsDown, LensRun.CellsAcross);
        for (int i = 0; i < lens.Covered.Count; i++)
        {
            if (!lens.Covered[i])
            {
                paint.Color = s_empty;
                canvas.DrawRect(left + ((float)ViewWidth / across * (i % across)), top + (high / down * (i / across)), (float)ViewWidth / across, high / down, paint);
            }
        }
    }
}
