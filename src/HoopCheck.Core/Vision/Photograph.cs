using HoopCheck.Planning;

namespace HoopCheck.Vision;

/// <summary>What the file's header says of the photo, read before any pixel.</summary>
/// <param name="Format">"JPEG", "PNG", "WebP" or "HEIC".</param>
/// <param name="StoredWidth">Stored size, before orientation is applied.</param>
/// <param name="StoredHeight">Stored size, before orientation is applied.</param>
/// <param name="Orientation">EXIF orientation 1 to 8; 1 when not given.</param>
/// <param name="FocalMm">EXIF focal length; null when not given.</param>
/// <param name="Focal35Mm">EXIF 35 mm equivalent; null when not given.</param>
/// <param name="Taken">EXIF date and time as ISO 8601 without zone; null when not given.</param>
public sealed record PhotoHeader(
    string Format,
    int StoredWidth,
    int StoredHeight,
    int Orientation,
    double? FocalMm,
    double? Focal35Mm,
    string? Taken)
{
    /// <summary>Camera, lens and zoom as EXIF tells them; null when it names no camera.</summary>
    public LensKey? Lens { get; init; }

    /// <summary>Width of the upright photo.</summary>
    public int Width => Orientation >= 5 ? StoredHeight : StoredWidth;

    /// <summary>Height of the upright photo.</summary>
    public int Height => Orientation >= 5 ? StoredWidth : StoredHeight;

    /// <summary>Focal length in full-size pixels from the 35 mm equivalent over the picture's diagonal (43.2666 mm for 36 x 24 mm), or null.</summary>
    public double? FocalPixels => Focal35Mm is > 5 and < 400
        ? Focal35Mm / 43.2666 * Math.Sqrt(((double)StoredWidth * StoredWidth) + ((double)StoredHeight * StoredHeight))
        : null;
}

/// <summary>
/// The upright photo's pixels at the scale the check works on: 8-bit sRGB, blue-green-red, row after row without padding.
/// Full-size coordinates follow as full = (x + 0.5)·Reduction − 0.5.
/// </summary>
/// <param name="Bgr">Width·Height·3 bytes.</param>
/// <param name="Width">Of these pixels.</param>
/// <param name="Height">Of these pixels.</param>
/// <param name="Reduction">1 when full size, 2 when decoded at half scale …</param>
public sealed record Pixels(byte[] Bgr, int Width, int Height, int Reduction);

/// <summary>A photo ready to be measured.</summary>
public sealed record Photograph(PhotoHeader Header, Pixels Pixels);
