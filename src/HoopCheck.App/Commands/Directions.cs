using HoopCheck.Vision;

namespace HoopCheck.App.Commands;

/// <summary>The words of <c>--up</c>.</summary>
internal static class Directions
{
    /// <summary>Reads a direction; null for auto.</summary>
    /// <returns>Whether it was understood.</returns>
    public static bool TryParse(string text, out PhotoDirection? up)
    {
        up = text switch
        {
            "top" => PhotoDirection.Top,
            "right" => PhotoDirection.Right,
            "bottom" => PhotoDirection.Bottom,
            "left" => PhotoDirection.Left,
            _ => null,
        };
        return up is not null || text == "auto";
    }
}
