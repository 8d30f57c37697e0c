using HoopCheck.Planning.Fills;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.App;

/// <summary>Files on the disk, for the library that knows none.</summary>
internal static class PhotoFile
{
    /// <summary>Reads and takes in a photo file.</summary>
    /// <returns>The photo, or HC101 or what <see cref="Intake"/> found wrong.</returns>
    public static Outcome<Photograph> Read(string path)
    {
        try
        {
            using FileStream stream = new(path, FileMode.Open, FileAccess.Read, FileShare.Read, bufferSize: 0);
            return Intake.Read(stream);
        }
        catch (Exception e) when (IsFileTrouble(e))
        {
            return new Problem(Problems.PhotoUnreadable, Reason(path, e));
        }
    }

    /// <summary>Reads a photo file whole, for keeping it byte for byte, and takes it in.</summary>
    /// <param name="path">Its path.</param>
    /// <param name="bytes">The file; empty where it could not be read.</param>
    /// <returns>As <see cref="Read(string)"/>.</returns>
    public static Outcome<Photograph> Read(string path, out byte[] bytes)
    {
        bytes = [];
        try
        {
            if (new FileInfo(path) is { Exists: true } file && file.Length > Tolerances.Default.LargestFileBytes)
            {
                return Read(path);
            }

            bytes = File.ReadAllBytes(path);
            return Intake.Read(bytes);
        }
        catch (Exception e) when (IsFileTrouble(e))
        {
            return new Problem(Problems.PhotoUnreadable, Reason(path, e));
        }
    }

    /// <summary>Reads a small text file.</summary>
    /// <param name="path">Its path.</param>
    /// <param name="kind">The problem to report when it cannot be read.</param>
    public static Outcome<string> ReadText(string path, ProblemKind kind)
    {
        // A hoop or camera file has some hundred bytes; a photo given in its place should not be read to its end.
        const int Largest = 1_000_000;
        try
        {
            if (new FileInfo(path) is { Exists: true, Length: > Largest })
            {
                return new Problem(kind, $"{path} is far too long for such a file.");
            }

            return File.ReadAllText(path);
        }
        catch (Exception e) when (IsFileTrouble(e))
        {
            return new Problem(kind, Reason(path, e));
        }
    }

    /// <summary>Reads a drawing of a fill.</summary>
    /// <returns>The fill, HC130, or what <see cref="SvgFill"/> found wrong.</returns>
    public static Outcome<SvgFillRead> ReadFill(string path, FillKind? kind, double threadMm)
    {
        try
        {
            using FileStream stream = new(path, FileMode.Open, FileAccess.Read, FileShare.Read);
            return SvgFill.Read(stream, kind, threadMm);
        }
        catch (Exception e) when (IsFileTrouble(e))
        {
            return new Problem(Problems.FillFileUnreadable, Reason(path, e));
        }
    }

    /// <summary>Whether an exception is about a file or folder, and no fault of the program's.</summary>
    public static bool IsFileTrouble(Exception e) =>
        e is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException or System.Security.SecurityException;

    /// <summary>One sentence about why a file or folder cannot be used.</summary>
    public static string Reason(string path, Exception e) => e switch
    {
        FileNotFoundException => $"There is no file {path}.",
        DirectoryNotFoundException => $"There is no file {path}, or no folder for it.",
        ArgumentException when path.Trim().Length == 0 => "A file's name is missing.",
        _ when Directory.Exists(path) => $"{path} is a folder.",
        UnauthorizedAccessException => $"{path} may not be read or written.",
        _ => $"{path} cannot be read or written: the disk may be full, or the name impossible.",
    };
}
