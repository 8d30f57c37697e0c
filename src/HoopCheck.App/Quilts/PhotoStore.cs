using System.Runtime.InteropServices;
using System.Security.Cryptography;

namespace HoopCheck.App.Quilts;

/// <summary>Files named by their content. A name that is there stands for a file that is whole and on the disk.</summary>
internal static partial class PhotoStore
{
    /// <summary>Puts content into a folder: beside, flushed, renamed, and the folder flushed too, so that the name survives a power cut.</summary>
    /// <returns>The file's name.</returns>
    public static string Put(string folder, byte[] content, string ending)
    {
        string name = Hash(content) + ending, file = Path.Combine(folder, name);
        if (!IsWhole(file, content))
        {
            Whole.Write(file, content);
        }

        Flush(folder);
        return name;
    }

    /// <summary>SHA-256, hexadecimal, small letters.</summary>
    public static string Hash(ReadOnlySpan<byte> content) => Convert.ToHexStringLower(SHA256.HashData(content));

    /// <summary>SHA-256 of a file.</summary>
    public static string HashOf(string file)
    {
        using FileStream stream = new(file, FileMode.Open, FileAccess.Read, FileShare.Read, 1 << 16, FileOptions.SequentialScan);
        return Convert.ToHexStringLower(SHA256.HashData(stream));
    }

    /// <summary>Sees that a folder's names are on the disk. On Windows a rename is written through by itself, and folders cannot be opened.</summary>
    public static void Flush(string folder)
    {
        if (OperatingSystem.IsWindows())
        {
            return;
        }

        int handle = Open(folder, 0);
        if (handle < 0)
        {
            throw new IOException($"The folder {folder} cannot be opened.");
        }

        try
        {
            if (Fsync(handle) != 0)
            {
                throw new IOException($"The folder {folder} cannot be flushed.");
            }
        }
        finally
        {
            _ = Close(handle);
        }
    }

    private static bool IsWhole(string file, byte[] content) =>
        new FileInfo(file) is { Exists: true } there && there.Length == content.LongLength && HashOf(file) == Hash(content);

    [LibraryImport("libc", EntryPoint = "open", StringMarshalling = StringMarshalling.Utf8, SetLastError = true)]
    private static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    private static partial int Fsync(int handle);

    [LibraryImport("libc", EntryPoint = "close")]
    private static partial int Close(int handle);
}
