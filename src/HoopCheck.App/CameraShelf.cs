using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App;

/// <summary>Where camera profiles lie on the disk.</summary>
/// <param name="Folders">The first folder that has a fitting profile wins; a new profile goes into the last.</param>
internal sealed record CameraShelf(IReadOnlyList<string> Folders)
{
    /// <summary>No folder at all.</summary>
    public static readonly CameraShelf None = new([]);

    /// <summary>
    /// The folder <c>calibration</c> where the program is called, then the person's own: below XDG_DATA_HOME or ~/.local/share on Linux, ~/Library/Application Support
    /// on macOS, %LOCALAPPDATA% on Windows.
    /// </summary>
    public static CameraShelf OfProcess() => new(
    [
        "calibration",
        Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify), "hoopcheck", "cameras"),
    ]);

    /// <summary>The request with the lens of the photo's own camera, where it names none and a profile lies at hand.</summary>
    /// <param name="request">What is asked.</param>
    /// <param name="header">The photo's header.</param>
    public CheckRequest Known(CheckRequest request, PhotoHeader header)
    {
        if (request.Camera is not null)
        {
            return request;
        }

        CameraIntrinsics? lens = For(header, out string? say);
        return request with { Camera = lens, Notes = say is null ? request.Notes : [.. request.Notes, say] };
    }

    /// <summary>The profile for a photo.</summary>
    /// <param name="header">The photo's header.</param>
    /// <param name="say">What the person should know; null when there is nothing.</param>
    /// <returns>The lens, or null when no profile fits.</returns>
    public CameraIntrinsics? For(PhotoHeader header, out string? say)
    {
        say = null;
        if (header.Lens is null)
        {
            return null;
        }

        foreach (string file in Folders.SelectMany(Files))
        {
            if (PhotoFile.ReadText(file, Problems.CameraFileBroken).Then(CameraFile.ParseProfile) is not { Value: { } profile })
            {
                continue;
            }

            if (!profile.Fits(header.Lens, header.StoredWidth, header.StoredHeight))
            {
                continue;
            }

            if (profile.AgainstExif(header.FocalPixels, Math.Max(header.StoredWidth, header.StoredHeight)) is { } against)
            {
                say = $"The camera profile {file} is not used. {against}";
                continue;
            }

            string learnt = profile.Date is { } date ? $", learnt on {date}" : "";
            say = $"The lens is taken from the camera profile {file}{learnt}.";
            return profile.Intrinsics;
        }

        return null;
    }

    private static IEnumerable<string> Files(string folder)
    {
        try
        {
            return Directory.Exists(folder) ? Directory.GetFiles(folder, "*.json").Order(StringComparer.Ordinal) : [];
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return [];
        }
    }
}
