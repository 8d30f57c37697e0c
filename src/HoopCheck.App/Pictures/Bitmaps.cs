using System.Runtime.InteropServices;
using HoopCheck.Vision;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>The way from the check's pixels to the drawing library's.</summary>
internal static class Bitmaps
{
    /// <summary>A copy of the pixels as an opaque bitmap. The caller disposes of it.</summary>
    public static SKBitmap From(Pixels pixels)
    {
        var bitmap = new SKBitmap(pixels.Width, pixels.Height, SKColorType.Bgra8888, SKAlphaType.Opaque);
        var row = new byte[pixels.Width * 4];
        for (int y = 0; y < pixels.Height; y++)
        {
            int from = y * pixels.Width * 3;
            for (int x = 0; x < pixels.Width; x++)
            {
                row[4 * x] = pixels.Bgr[from++];
                row[(4 * x) + 1] = pixels.Bgr[from++];
                row[(4 * x) + 2] = pixels.Bgr[from++];
                row[(4 * x) + 3] = 255;
            }

            Marshal.Copy(row, 0, bitmap.GetPixels() + (y * bitmap.RowBytes), row.Length);
        }

        return bitmap;
    }
}
