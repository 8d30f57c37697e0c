using HoopCheck.Rules;
using HoopCheck.Vision;
using OpenCvSharp;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.Metadata.Profiles.Exif;

namespace HoopCheck.Tests.TestImages;

/// <summary>
/// Stands in for the library's intake until that is there: replace the body of Read by a call of it and delete the rest.
/// It does not notice a file that is cut short, so that must-refuse picture fails until then.
/// </summary>
public static class PhotoIntake
{
    public static Outcome<Photograph> Read(byte[] bytes)
    {
        IImageInfo? info = Image.Identify(bytes);
        if (info is null)
        {
            return new Problem(Problems.NotAPicture, "");
        }

        ExifProfile? exif = info.Metadata.ExifProfile;
        int orientation = exif?.GetValue(ExifTag.Orientation)?.Value ?? 1;
        double? f35 = exif?.GetValue(ExifTag.FocalLengthIn35mmFilm)?.Value;
        using Mat upright = Cv2.ImDecode(bytes, ImreadModes.Color);
        upright.GetArray(out Vec3b[] pixels);
        var bgr = new byte[pixels.Length * 3];
        for (int i = 0; i < pixels.Length; i++)
        {
            (bgr[3 * i], bgr[(3 * i) + 1], bgr[(3 * i) + 2]) = (pixels[i].Item0, pixels[i].Item1, pixels[i].Item2);
        }

        return new Photograph(new("JPEG", info.Width, info.Height, orientation, null, f35, null), new(bgr, upright.Width, upright.Height, 1));
    }
}
