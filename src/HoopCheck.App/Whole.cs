namespace HoopCheck.App;

/// <summary>Files that appear whole or not at all.</summary>
internal static class Whole
{
    /// <summary>Writes beside the file, flushes, and renames over it.</summary>
    public static void Write(string file, byte[] content)
    {
        string beside = $"{file}.{Guid.NewGuid():N}.part";
        try
        {
            using (var stream = new FileStream(beside, FileMode.CreateNew, FileAccess.Write))
            {
                stream.Write(content);
                stream.Flush(true);
            }

            File.Move(beside, file, overwrite: true);
        }
        finally
        {
            File.Delete(beside);
        }
    }
}
