namespace HoopCheck.Planning;

/// <summary>A tape colour the person named.</summary>
/// <param name="Name">The name or "#RRGGBB" as given.</param>
/// <param name="R">sRGB red, 0 to 255.</param>
public sealed record TapeColour(string Name, byte R, byte G, byte B);
