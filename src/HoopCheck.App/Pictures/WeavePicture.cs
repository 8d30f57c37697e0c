using HoopCheck.Checking;
using HoopCheck.Vision;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>A photo of fabric without a hoop with some of its lines drawn beside straight ones; the findings above, what is what below.</summary>
internal static class WeavePicture
{
    private const int LongestSide = 2016;

    /// <summary>Draws the picture. The caller disposes of it.</summary>
    /// <param name="photo">The photo.</param>
    /// <param name="weave">Its measure: lines in mm from the picture's middle, y up.</param>
    /// <param name="notes">The findings in words.</param>
    public static SKBitmap Draw(Photograph photo, WeaveMeasure weave, IEnumerable<string> notes)
    {
        Pixels pixels = photo.Pixels;
        float scale = Math.Min(1, (float)LongestSide / Math.Max(pixels.Width, pixels.Height));
        int width = Math.Max(1, (int)MathF.Round(pixels.Width * scale)), height = Math.Max(1, (int)MathF.Round(pixels.Height * scale));
        float unit = Lettering.Unit(width, height), row = unit * 1.5f;
        List<string> words = [.. notes.SelectMany(note => Lettering.Wrap(note, unit, width - (2 * unit)))];
        int above = (int)MathF.Ceiling((words.Count * row) + unit), below = (int)MathF.Ceiling(unit * 2.4f);

        var picture = new SKBitmap(width, above + height + below, SKColorType.Bgra8888, SKAlphaType.Opaque);
        using var canvas = new SKCanvas(picture);
        canvas.Clear(Palette.Ink);
        for (int i = 0; i < words.Count; i++)
        {
            Lettering.Write(canvas, words[i], unit, (i + 1) * row, unit, Palette.Soft);
        }

        using SKBitmap source = Bitmaps.From(pixels);
        using SKImage image = SKImage.FromBitmap(source);
        var area = SKRect.Create(0, above, width, height);
        canvas.DrawImage(image, area, new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear));

        canvas.Save();
        canvas.ClipRect(area);
        double perMm = width / weave.WidthMm;
        WeaveLines.Draw(new Overlay(canvas, p => new SKPoint(area.MidX + (float)(p.X * perMm), area.MidY - (float)(p.Y * perMm)), unit * 0.17f), weave, unit * 0.17f);
        canvas.Restore();

        var key = new Overlay(canvas, p => new SKPoint((float)p.X, (float)p.Y), unit * 0.17f);
        float x = unit, y = above + height + (unit * 1.2f);
        foreach ((string text, SKColor colour, float[]? dash) in new[] { ("line of the fabric", WeaveLines.Measured, (float[]?)null), ("straight in the picture", WeaveLines.Straight, [3f, 3f]) })
        {
            key.Line([new(x, y), new(x + (3 * unit), y)], colour, unit * 0.13f, dash);
            Lettering.Write(canvas, text, x + (3.6f * unit), y + (unit * 0.35f), unit, Palette.Soft);
            x += (5.2f * unit) + Lettering.Width(text, unit);
        }

        canvas.Flush();
        return picture;
    }
}
