using System.Globalization;

namespace HoopCheck.Planning;

/// <summary>What has been learnt of a camera's lens, and from what.</summary>
/// <param name="Intrinsics">The lens.</param>
public sealed record CameraProfile(CameraIntrinsics Intrinsics)
{
    /// <summary>For the person; null when not given.</summary>
    public string? Name { get; init; }

    /// <summary>The photos it belongs to; null: it is only used when it is named.</summary>
    public LensKey? Lens { get; init; }

    /// <summary>Number of photos it was learnt from; null when not told.</summary>
    public int? Photos { get; init; }

    /// <summary>Root mean square of the corners' distances from where the lens sees them, px; null when not told.</summary>
    public double? RmsPx { get; init; }

    /// <summary>Day it was learnt, yyyy-MM-dd; null when not told.</summary>
    public string? Date { get; init; }

    /// <summary>Covariance of focal length, cx, cy (px), k1 and k2, as the calibration alone gives it: five rows of five; null when not told.</summary>
    public IReadOnlyList<IReadOnlyList<double>>? Covariance { get; init; }

    /// <summary>Sides whose proportions differ by less are those of one picture, larger or smaller.</summary>
    private const double SameProportions = 0.005;

    /// <summary>How many standard deviations a profile's focal length may lie off the photo's EXIF data.</summary>
    internal const double FarthestOff = 3;

    /// <summary>One standard deviation of the focal length from EXIF data, relative: it is rounded to whole mm of 35 mm film, and phones crop.</summary>
    internal const double ExifFocalSd = 0.02;

    /// <summary>Whether the profile belongs to a photo, at this size or at another of the same proportions.</summary>
    /// <param name="lens">What the photo's EXIF data tell; null: nothing.</param>
    /// <param name="storedWidth">The photo's stored width, px.</param>
    /// <param name="storedHeight">The photo's stored height, px.</param>
    public bool Fits(LensKey? lens, int storedWidth, int storedHeight) =>
        lens is not null && Lens is not null && Lens.IsSame(lens)
        && Math.Abs(((double)storedWidth / storedHeight * Intrinsics.Height / Intrinsics.Width) - 1) < SameProportions;

    /// <summary>Why its focal length cannot be that of a photo with such EXIF data, as a sentence; null when it can.</summary>
    /// <param name="exifFocalPx">Focal length of the EXIF data, px at the photo's size; null: not told.</param>
    /// <param name="longSide">The photo's long side, px.</param>
    public string? AgainstExif(double? exifFocalPx, int longSide)
    {
        double scale = (double)longSide / Math.Max(Intrinsics.Width, Intrinsics.Height);
        double focal = Intrinsics.Focal * scale, sd = Intrinsics.FocalUncertainty * scale;
        return exifFocalPx is { } exif && Math.Abs(focal - exif) > FarthestOff * Math.Sqrt((ExifFocalSd * exif * ExifFocalSd * exif) + (sd * sd))
            ? string.Create(CultureInfo.InvariantCulture, $"Its focal length is {focal:0} px, the photo's EXIF data say {exif:0} px: that is another lens or zoom.")
            : null;
    }
}
