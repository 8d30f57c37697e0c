using System.Globalization;
using System.Runtime.InteropServices;
using HoopCheck.Planning;
using HoopCheck.Rules;
using ImageMagick;
using OpenCvSharp;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.Formats.Jpeg;
using SixLabors.ImageSharp.Formats.Png;
using SixLabors.ImageSharp.Formats.Webp;
using SixLabors.ImageSharp.Metadata.Profiles.Exif;
using ExifProfile = SixLabors.ImageSharp.Metadata.Profiles.Exif.ExifProfile;
using ExifTag = SixLabors.ImageSharp.Metadata.Profiles.Exif.ExifTag;

namespace HoopCheck.Vision;

/// <summary>
/// Turns a photo file's bytes into upright pixels at the scale the check works on. Knows no files and no screen.
/// Size, orientation and lens are read from the header and checked against the limits before any pixel is decoded.
/// </summary>
/// <remarks>
/// The header is read with ImageSharp and the pixels are decoded with OpenCV (JPEG, PNG, WebP) or Magick.NET (HEIC):
/// ImageSharp's free line has known faults in decoding crafted pixels, so it never gets to see any.
/// Colour profiles are not applied: edges are judged by contrast, and tape by colour differences within one photo.
/// </remarks>
public static class Intake
{
    private static readonly Configuration s_headers = new(new JpegConfigurationModule(), new PngConfigurationModule(), new WebpConfigurationModule());

    /// <summary>Takes in a photo from a stream; reads no more than the limit.</summary>
    /// <param name="stream">A readable stream, at the file's first byte.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    /// <returns>As <see cref="Read(byte[], Tolerances?)"/>.</returns>
    /// <exception cref="IOException">The stream cannot be read.</exception>
    public static Outcome<Photograph> Read(Stream stream, Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(stream);
        long limit = (tolerances ?? Tolerances.Default).LargestFileBytes;
        if (stream.CanSeek)
        {
            long left = stream.Length - stream.Position;
            if (left > limit)
            {
                return TooManyBytes();
            }

            byte[] whole = new byte[left];
            int read = stream.ReadAtLeast(whole, whole.Length, throwOnEndOfStream: false);
            return Read(read == whole.Length ? whole : whole[..read], tolerances);
        }

        using var collected = new MemoryStream();
        byte[] piece = new byte[1 << 16];
        for (int count; (count = stream.Read(piece)) > 0;)
        {
            if (collected.Length + count > limit)
            {
                return TooManyBytes();
            }

            collected.Write(piece, 0, count);
        }

        return Read(collected.ToArray(), tolerances);
    }

    /// <summary>Takes in a photo.</summary>
    /// <param name="file">The whole file.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    /// <returns>
    /// The upright photo, or HC102 (no picture), HC103 (damaged), HC104 (too large), HC105 (too small), HC902 (a native
    /// library is missing). Never throws for what is in the file.
    /// </returns>
    public static Outcome<Photograph> Read(byte[] file, Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(file);
        Tolerances t = tolerances ?? Tolerances.Default;
        if (file.LongLength > t.LargestFileBytes)
        {
            return TooManyBytes();
        }

        PictureKind kind = PictureBytes.Kind(file);
        if (kind == PictureKind.Unknown)
        {
            return new Problem(Problems.NotAPicture, file.Length == 0 ? "It is empty." : "");
        }

        // The header readers and decoders throw whatever they like on crafted bytes (null references and index errors
        // among them): everything but a missing library comes down to "damaged".
        try
        {
            if (ReadHeader(kind, file) is not { } header)
            {
                return new Problem(Problems.PictureDamaged, "Its header cannot be read.");
            }

            long pixels = (long)header.StoredWidth * header.StoredHeight;
            if (pixels > t.LargestPhotoPixels)
            {
                return new Problem(Problems.PictureTooLarge, string.Create(CultureInfo.InvariantCulture, $"It has {pixels / 1e6:0} megapixels."));
            }

            if (Math.Max(header.StoredWidth, header.StoredHeight) < t.SmallestLongSidePx)
            {
                return new Problem(Problems.PictureTooSmall, string.Create(CultureInfo.InvariantCulture, $"It is {header.Width} x {header.Height} pixels."));
            }

            if (!PictureBytes.IsComplete(kind, file))
            {
                return new Problem(Problems.PictureDamaged, "The file ends too early.");
            }

            return kind == PictureKind.Heic ? DecodeHeic(header, file, t) : Decode(kind, header, file, t);
        }
        catch (Exception missing) when (IsMissingLibrary(missing))
        {
            return new Problem(Problems.NativeMissing, kind == PictureKind.Heic ? "HEIC photos also need the library of Magick.NET: give a JPEG instead." : "");
        }
        catch (OutOfMemoryException)
        {
            return new Problem(Problems.PictureTooLarge, "There is not enough memory for it.");
        }
        catch (Exception)
        {
            return new Problem(Problems.PictureDamaged, "Its pixels cannot be decoded.");
        }
    }

    private static Problem TooManyBytes() => new(Problems.PictureTooLarge, "The file is too long.");

    private static bool IsMissingLibrary(Exception e) =>
        e is DllNotFoundException or EntryPointNotFoundException or BadImageFormatException
        || (e is TypeInitializationException && (e.InnerException is null || IsMissingLibrary(e.InnerException) || e.TypeName().StartsWith("OpenCvSharp", StringComparison.Ordinal)));

    private static string TypeName(this Exception e) => (e as TypeInitializationException)?.TypeName ?? "";

    /// <summary>How much the picture is reduced for the check: 1, 2, 4 or 8.</summary>
    private static int ReductionFor(PhotoHeader header, Tolerances t)
    {
        int longSide = Math.Max(header.StoredWidth, header.StoredHeight), reduction = 1;
        while (reduction < 8 && longSide > t.WorkingLongSidePx * reduction)
        {
            reduction *= 2;
        }

        return reduction;
    }

    private static PhotoHeader? ReadHeader(PictureKind kind, byte[] file)
    {
        if (kind == PictureKind.Heic)
        {
            var ping = new MagickImageInfo(file);
            return Sized("HEIC", (int)ping.Width, (int)ping.Height, 1, null);
        }

        IImageInfo? info;
        try
        {
            using var stream = new MemoryStream(file, writable: false);
            info = SixLabors.ImageSharp.Image.Identify(s_headers, stream);
        }
        catch (Exception)
        {
            return null;
        }

        return info is null ? null : Sized(
            kind switch { PictureKind.Jpeg => "JPEG", PictureKind.Png => "PNG", _ => "WebP" },
            info.Width,
            info.Height,
            Orientation(info.Metadata?.ExifProfile),
            info.Metadata?.ExifProfile);
    }

    private static PhotoHeader? Sized(string format, int width, int height, int orientation, ExifProfile? exif) =>
        width < 1 || height < 1 ? null : new(format, width, height, orientation, Focal(exif), Focal35(exif), Taken(exif)) { Lens = Lens(exif) };

    private static int Orientation(ExifProfile? exif) =>
        exif?.GetValue(ExifTag.Orientation)?.Value is { } o and >= 1 and <= 8 ? o : 1;

    private static double? Focal(ExifProfile? exif) =>
        exif?.GetValue(ExifTag.FocalLength)?.Value.ToDouble() is { } mm && double.IsFinite(mm) && mm > 0 ? mm : null;

    private static double? Focal35(ExifProfile? exif) =>
        exif?.GetValue(ExifTag.FocalLengthIn35mmFilm)?.Value is { } mm and > 0 ? mm : null;

    private static LensKey? Lens(ExifProfile? exif) =>
        exif?.GetValue(ExifTag.Make)?.Value?.Trim('\0', ' ') is { Length: > 0 } make && exif.GetValue(ExifTag.Model)?.Value?.Trim('\0', ' ') is { Length: > 0 } model
            ? new(make, model, Focal(exif), Focal35(exif))
            : null;

    private static string? Taken(ExifProfile? exif)
    {
        string? written = exif?.GetValue(ExifTag.DateTimeOriginal)?.Value ?? exif?.GetValue(ExifTag.DateTime)?.Value;
        return DateTime.TryParseExact(written?.Trim('\0', ' '), "yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateTime taken)
            ? taken.ToString("yyyy-MM-ddTHH:mm:ss", CultureInfo.InvariantCulture)
            : null;
    }

    private static Outcome<Photograph> Decode(PictureKind kind, PhotoHeader header, byte[] file, Tolerances t)
    {
        int reduction = ReductionFor(header, t);

        // A reduced JPEG decode starts its blocks at the stored top-left corner. Turned or mirrored, the grid starts at
        // the other end, which is the same grid only when the size divides: otherwise decode whole and reduce upright.
        bool reduceInDecoder = kind == PictureKind.Jpeg && reduction > 1
            && (header.Orientation == 1 || (header.StoredWidth % reduction == 0 && header.StoredHeight % reduction == 0));
        ImreadModes mode = kind != PictureKind.Jpeg ? ImreadModes.Unchanged
            : ImreadModes.IgnoreOrientation | (!reduceInDecoder ? ImreadModes.Color : reduction switch
            {
                2 => ImreadModes.ReducedColor2,
                4 => ImreadModes.ReducedColor4,
                _ => ImreadModes.ReducedColor8,
            });

        using Mat stored = Cv2.ImDecode(file, mode);
        int by = reduceInDecoder ? reduction : 1;
        if (stored.Empty() || stored.Width != (header.StoredWidth + by - 1) / by || stored.Height != (header.StoredHeight + by - 1) / by)
        {
            return new Problem(Problems.PictureDamaged, "Its pixels cannot be decoded.");
        }

        using Mat colour = ToBgr(stored);
        using Mat upright = Turn(colour, header.Orientation);
        if (reduceInDecoder)
        {
            // The last column or row of an odd size stands for a part of a block only.
            using Mat wholeBlocks = upright[new OpenCvSharp.Rect(0, 0, header.Width / reduction, header.Height / reduction)];
            return new Photograph(header, Copy(wholeBlocks, reduction));
        }

        using Mat working = Reduce(upright, reduction);
        return new Photograph(header, Copy(working, reduction));
    }

    /// <remarks>
    /// The HEIF library turns the picture by the file's own irot and imir boxes while it decodes; the EXIF orientation in
    /// a HEIC file only repeats these (ISO/IEC 23008-12, annex A) and must not be applied again. The header therefore
    /// gives the upright size and orientation 1.
    /// </remarks>
    private static Outcome<Photograph> DecodeHeic(PhotoHeader header, byte[] file, Tolerances t)
    {
        using var image = new MagickImage(file);
        byte[]? raw = image.GetExifProfile()?.ToByteArray();
        ExifProfile? exif = raw is null ? null : ParseExif(raw);
        if (Sized("HEIC", (int)image.Width, (int)image.Height, 1, exif) is not { } whole
            || (whole.StoredWidth, whole.StoredHeight) != (header.StoredWidth, header.StoredHeight))
        {
            return new Problem(Problems.PictureDamaged, "Its pixels cannot be decoded.");
        }

        if (image.HasAlpha)
        {
            image.BackgroundColor = MagickColors.White;
            image.Alpha(AlphaAction.Remove);
        }

        image.ColorSpace = ColorSpace.sRGB;
        using IPixelCollection<byte> pixels = image.GetPixels();
        byte[] bgr = pixels.ToByteArray(PixelMapping.BGR.ToString()) ?? [];
        if (bgr.Length != whole.StoredWidth * whole.StoredHeight * 3)
        {
            return new Problem(Problems.PictureDamaged, "Its pixels cannot be decoded.");
        }

        int reduction = ReductionFor(whole, t);
        if (reduction == 1)
        {
            return new Photograph(whole, new Pixels(bgr, whole.Width, whole.Height, 1));
        }

        using Mat stored = Mat.FromPixelData(whole.StoredHeight, whole.StoredWidth, MatType.CV_8UC3, bgr);
        using Mat working = Reduce(stored, reduction);
        return new Photograph(whole, Copy(working, reduction));
    }

    private static ExifProfile? ParseExif(byte[] raw)
    {
        try
        {
            // The decoder hands out the profile with the six letters that JPEG puts before it.
            var profile = new ExifProfile(raw.AsSpan().StartsWith("Exif\0\0"u8) ? raw[6..] : raw);
            _ = profile.Values.Count;
            return profile;
        }
        catch (Exception)
        {
            return null;
        }
    }

    /// <summary>Any number of channels and bits to 8-bit blue-green-red; what is transparent becomes white.</summary>
    private static Mat ToBgr(Mat stored)
    {
        if (stored.Type() == MatType.CV_8UC3)
        {
            return All(stored);
        }

        using var bytes = new Mat();
        if (stored.Depth() == MatType.CV_16U)
        {
            stored.ConvertTo(bytes, MatType.CV_8U, 1 / 257.0);
        }
        else if (stored.Depth() == MatType.CV_8U)
        {
            stored.CopyTo(bytes);
        }
        else
        {
            throw new NotSupportedException("Pixels of an unforeseen depth.");
        }

        var colour = new Mat();
        switch (bytes.Channels())
        {
            case 1:
                Cv2.CvtColor(bytes, colour, ColorConversionCodes.GRAY2BGR);
                break;
            case 3:
                bytes.CopyTo(colour);
                break;
            case 4:
                using (Mat alpha = bytes.ExtractChannel(3))
                using (var alphas = new Mat())
                using (var over = new Mat())
                using (var rest = new Mat())
                using (var white = new Mat(bytes.Size(), MatType.CV_8UC3, Scalar.White))
                {
                    Cv2.CvtColor(bytes, over, ColorConversionCodes.BGRA2BGR);
                    Cv2.CvtColor(alpha, alphas, ColorConversionCodes.GRAY2BGR);
                    Cv2.Multiply(over, alphas, over, 1 / 255.0);
                    Cv2.Subtract(white, alphas, rest);
                    Cv2.Add(over, rest, colour);
                }

                break;
            default:
                colour.Dispose();
                throw new NotSupportedException("Pixels with an unforeseen number of channels.");
        }

        return colour;
    }

    /// <summary>Undoes a stored orientation (EXIF tag 0x0112: where row 0 and column 0 of the stored picture belong).</summary>
    private static Mat Turn(Mat stored, int orientation)
    {
        var upright = new Mat();
        switch (orientation)
        {
            case 2:
                Cv2.Flip(stored, upright, FlipMode.Y);
                break;
            case 3:
                Cv2.Rotate(stored, upright, RotateFlags.Rotate180);
                break;
            case 4:
                Cv2.Flip(stored, upright, FlipMode.X);
                break;
            case 5:
                Cv2.Transpose(stored, upright);
                break;
            case 6:
                Cv2.Rotate(stored, upright, RotateFlags.Rotate90Clockwise);
                break;
            case 7:
                using (var turned = new Mat())
                {
                    Cv2.Transpose(stored, turned);
                    Cv2.Rotate(turned, upright, RotateFlags.Rotate180);
                }

                break;
            case 8:
                Cv2.Rotate(stored, upright, RotateFlags.Rotate90Counterclockwise);
                break;
            default:
                upright.Dispose();
                return All(stored);
        }

        return upright;
    }

    /// <summary>Means over whole blocks, so that full = (x + 0.5)·reduction − 0.5 holds exactly; an odd remainder at the right and below is left away.</summary>
    private static Mat Reduce(Mat upright, int reduction)
    {
        int width = upright.Width / reduction, height = upright.Height / reduction;
        using Mat wholeBlocks = upright[new OpenCvSharp.Rect(0, 0, width * reduction, height * reduction)];
        if (reduction == 1)
        {
            return All(wholeBlocks);
        }

        var working = new Mat();
        Cv2.Resize(wholeBlocks, working, new OpenCvSharp.Size(width, height), 0, 0, InterpolationFlags.Area);
        return working;
    }

    /// <summary>The same pixels under a second handle, to be disposed on its own.</summary>
    private static Mat All(Mat picture) => picture[new OpenCvSharp.Rect(0, 0, picture.Width, picture.Height)];

    private static Pixels Copy(Mat picture, int reduction)
    {
        int width = picture.Width, height = picture.Height, row = width * 3;
        byte[] bgr = GC.AllocateUninitializedArray<byte>(row * height);
        for (int y = 0; y < height; y++)
        {
            Marshal.Copy(picture.Ptr(y), bgr, y * row, row);
        }

        return new(bgr, width, height, reduction);
    }
}
