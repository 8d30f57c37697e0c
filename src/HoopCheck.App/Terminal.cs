namespace HoopCheck.App;

/// <summary>Where words go.</summary>
/// <param name="Out">Results.</param>
/// <param name="Error">Words about what went wrong.</param>
/// <param name="Colour">Whether results may be coloured. Colour never says anything that the words do not.</param>
internal sealed record Terminal(TextWriter Out, TextWriter Error, bool Colour)
{
    /// <summary>The process's own standard output and error.</summary>
    public static Terminal OfProcess() => new(Console.Out, Console.Error, MayColour()) { In = Console.In, Cameras = CameraShelf.OfProcess() };

    /// <summary>Where answers come from.</summary>
    public TextReader In { get; init; } = TextReader.Null;

    /// <summary>Where camera profiles lie; none unless it is said.</summary>
    public CameraShelf Cameras { get; init; } = CameraShelf.None;

    /// <summary>Colour only on a screen, and not when NO_COLOR is set to anything.</summary>
    private static bool MayColour() =>
        !Console.IsOutputRedirected
        && string.IsNullOrEmpty(Environment.GetEnvironmentVariable("NO_COLOR"))
        && Environment.GetEnvironmentVariable("TERM") != "dumb";
}
