namespace HoopCheck.App.Quilts;

/// <summary>What an entry of the log tells.</summary>
internal enum EntryKind
{
    /// <summary>The plan that the entries after it belong to.</summary>
    Plan,

    /// <summary>A photo was checked.</summary>
    Check,

    /// <summary>The hooping was stitched.</summary>
    Stitched,

    /// <summary>The hooping was stitched and has to be stitched again.</summary>
    Redo,

    /// <summary>A remark.</summary>
    Note,

    /// <summary>The checklist before stitching.</summary>
    Checklist,

    /// <summary>An earlier entry counts no more.</summary>
    Withdrawn,
}

/// <summary>A file that belongs to an entry, in the folder of the photos.</summary>
/// <param name="Role">photo or marked.</param>
/// <param name="Name">Its name: the SHA-256 of its content in hexadecimal, and an ending.</param>
/// <param name="Bytes">Its length.</param>
internal sealed record LogFile(string Role, string Name, long Bytes)
{
    /// <summary>The original photo, byte for byte.</summary>
    public const string Photo = "photo";

    /// <summary>The marked-up picture.</summary>
    public const string Marked = "marked";

    /// <summary>SHA-256 of the content, hexadecimal.</summary>
    public string Hash => Path.GetFileNameWithoutExtension(Name);
}

/// <summary>One entry of the log. Never changed and never removed; a correction is a new entry.</summary>
/// <param name="Number">From 1, without gaps.</param>
/// <param name="Kind">What it tells.</param>
/// <param name="Hooping">The hooping's number; null where it is about the whole quilt.</param>
/// <param name="At">When it was confirmed, UTC.</param>
/// <param name="Program">The program's version.</param>
/// <param name="Body">What it tells, as JSON; one of the records of <see cref="EntryBody"/>.</param>
/// <param name="Files">Its files.</param>
/// <param name="Hash">SHA-256 over the entry before and all of this one, hexadecimal: a change anywhere shows.</param>
internal sealed record LogEntry(
    long Number, EntryKind Kind, int? Hooping, DateTimeOffset At, string Program, string Body, IReadOnlyList<LogFile> Files, string Hash);

/// <summary>An entry's bulk, read only when asked for.</summary>
/// <param name="Report">The report <c>hoopcheck.check/1</c>.</param>
/// <param name="Settings">Hoop file, machine and limits in use, as JSON.</param>
internal sealed record EntryPapers(string Report, string Settings);

/// <summary>Content for a file of a new entry.</summary>
/// <param name="Role">photo or marked.</param>
/// <param name="Ending">Of the name, with the point: ".jpg".</param>
/// <param name="Content">The bytes.</param>
internal sealed record NewFile(string Role, string Ending, byte[] Content);
