using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>Small pictures for a page.</summary>
internal static class Thumbnail
{
    private const int LongSide = 640, Quality = 72;

    /// <summary>A picture file made small.</summary>
    /// <param name="path">A JPEG, PNG or WebP file.</param>
    /// <returns>A JPEG file's bytes; null where the file is missing or no picture.</returns>
    public static byte[]? Of(string path)
    {
        if (!File.Exists(path))
        {
            return null;
        }

        using SKCodec? codec = SKCodec.Create(path);
        if (codec is null)
        {
            return null;
        }

        // The decoder leaves out what is not needed, in eighths of the size: half an eighth more, and it does not end below what is wanted.
        float scale = Math.Min(1, (float)LongSide / Math.Max(codec.Info.Width, codec.Info.Height));
        SKSizeI near = codec.GetScaledDimensions(Math.Min(1, scale + 0.0625f));
        using SKBitmap? decoded = SKBitmap.Decode(codec, new SKImageInfo(near.Width, near.Height, SKColorType.Rgba8888, SKAlphaType.Opaque));
        if (decoded is null)
        {
            return null;
        }

        float rest = Math.Min(1, (float)LongSide / Math.Max(decoded.Width, decoded.Height));
        var size = new SKImageInfo(Math.Max(1, (int)(decoded.Width * rest)), Math.Max(1, (int)(decoded.Height * rest)), SKColorType.Rgba8888, SKAlphaType.Opaque);
        using SKBitmap small = decoded.Resize(size, new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear));
        using SKData data = small.Encode(SKEncodedImageFormat.Jpeg, Quality);
        return data.ToArray();
    }
}
