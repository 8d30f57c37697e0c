using System.Security;
using HoopCheck.Checking;
using HoopCheck.Rules;
using HoopCheck.Vision;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>Writes the pictures of a check.</summary>
public static class PictureWriter
{
    /// <summary>The marked-up photo's file name.</summary>
    public const string MarkedName = "marked.jpg";

    /// <summary>The flat view's file name.</summary>
    public const string FlatName = "flat.png";

    /// <summary>The file name of the picture of fabric without a hoop.</summary>
    public const string WeaveName = "weave.jpg";

    private const int JpegQuality = 88;

    /// <summary>
    /// Writes <see cref="MarkedName"/> and, where a frame was found, <see cref="FlatName"/>. Each appears whole or not at all.
    /// A flat view left by an earlier check is removed when this one has none, so that the folder never shows two checks at once.
    /// </summary>
    /// <param name="folder">Created when missing.</param>
    /// <param name="photo">The photo.</param>
    /// <param name="result">Its check.</param>
    /// <returns>null, or why the pictures cannot be written.</returns>
    public static Problem? Write(string folder, Photograph photo, CheckResult result)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(result);
        return Into(folder, () =>
        {
            Whole.Write(Path.Combine(folder, MarkedName), Marked(photo, result));

            string flatFile = Path.Combine(folder, FlatName);
            if (result.Frame is not { } frame)
            {
                File.Delete(flatFile);
                return;
            }

            using FlatPicture flat = FlatView.Draw(photo, result, frame);
            byte[] png = Encoded(flat.Bitmap, p => p.Encode(new SKPngEncoderOptions(SKPngEncoderFilterFlags.Sub, 3)));
            Whole.Write(flatFile, PngScale.With(png, flat.MmPerPixel));
        });
    }

    /// <summary>Writes <see cref="WeaveName"/>, or removes one that is left there when nothing was measured.</summary>
    /// <param name="folder">Created when missing.</param>
    /// <param name="photo">The photo.</param>
    /// <param name="weave">What was measured of it; null when nothing was.</param>
    /// <param name="notes">The findings in words.</param>
    /// <returns>null, or why the picture cannot be written.</returns>
    public static Problem? WriteWeave(string folder, Photograph photo, WeaveMeasure? weave, IEnumerable<string> notes)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(notes);
        return Into(folder, () =>
        {
            string file = Path.Combine(folder, WeaveName);
            if (weave is null)
            {
                File.Delete(file);
                return;
            }

            using SKBitmap picture = WeavePicture.Draw(photo, weave, notes);
            Whole.Write(file, Jpeg(picture));
        });
    }

    private static Problem? Into(string folder, Action write)
    {
        try
        {
            Directory.CreateDirectory(folder);
            write();
            return null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or SecurityException or ArgumentException or NotSupportedException)
        {
            return new(Problems.CannotWrite, e.Message);
        }
    }

    /// <summary>The marked-up photo as a JPEG file.</summary>
    public static byte[] Marked(Photograph photo, CheckResult result)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(result);
        using SKBitmap marked = MarkedPhoto.Draw(photo, result);
        return Jpeg(marked);
    }

    private static byte[] Jpeg(SKBitmap picture)
    {
        var options = new SKJpegEncoderOptions(JpegQuality, SKJpegEncoderDownsample.Downsample420, SKJpegEncoderAlphaOption.Ignore);
        return Encoded(picture, p => p.Encode(options));
    }

    /// <summary>The flat view as a JPEG file, for a screen; null where no frame was found.</summary>
    public static byte[]? Flat(Photograph photo, CheckResult result)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(result);
        if (result.Frame is not { } frame)
        {
            return null;
        }

        using FlatPicture flat = FlatView.Draw(photo, result, frame);
        var options = new SKJpegEncoderOptions(JpegQuality, SKJpegEncoderDownsample.Downsample420, SKJpegEncoderAlphaOption.Ignore);
        return Encoded(flat.Bitmap, p => p.Encode(options));
    }

    private static byte[] Encoded(SKBitmap bitmap, Func<SKPixmap, SKData?> encode)
    {
        using SKPixmap? pixels = bitmap.PeekPixels();
        using SKData? data = pixels is null ? null : encode(pixels);
        return data?.ToArray() ?? throw new InvalidOperationException("The picture could not be encoded.");
    }
}
