namespace HoopCheck.Vision;

/// <summary>Receives what each stage saw. The result of a check is the same whoever listens.</summary>
public interface ITrace
{
    /// <summary>Whether pictures are wanted; when false, stages do not draw any.</summary>
    bool Wanted { get; }

    /// <summary>Takes a record (saved as JSON).</summary>
    /// <param name="number">Place in the order of stages, with gaps: 10, 20, …</param>
    /// <param name="name">Short name in lower case.</param>
    /// <param name="record">Plain data.</param>
    void Data(int number, string name, object record);

    /// <summary>Takes a picture.</summary>
    /// <param name="number">Place in the order of stages, with gaps: 10, 20, …</param>
    /// <param name="name">Short name in lower case.</param>
    /// <param name="picture">8-bit BGR pixels.</param>
    void Picture(int number, string name, Pixels picture);
}

/// <summary>Listens to nothing.</summary>
public sealed class NoTrace : ITrace
{
    /// <summary>The one instance.</summary>
    public static NoTrace Instance { get; } = new();

    /// <inheritdoc/>
    public bool Wanted => false;

    /// <inheritdoc/>
    public void Data(int number, string name, object record)
    {
    }

    /// <inheritdoc/>
    public void Picture(int number, string name, Pixels picture)
    {
    }
}
