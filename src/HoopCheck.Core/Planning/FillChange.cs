using System.Globalization;
using HoopCheck.Geometry;

namespace HoopCheck.Planning;

/// <summary>What a machine can do to a fill.</summary>
public enum FillChangeKind
{
    /// <summary>Make it smaller along one of its own axes, about its centre.</summary>
    Shorten,

    /// <summary>Make it larger along one of its own axes, about its centre.</summary>
    Lengthen,

    /// <summary>Move it along one of the hoop's axes.</summary>
    Nudge,

    /// <summary>Turn it about its centre.</summary>
    Turn,
}

/// <summary>An axis: of the fill itself for its size, of the hoop for a move.</summary>
public enum FillAxis
{
    /// <summary>Width; to the right.</summary>
    X,

    /// <summary>Height; up.</summary>
    Y,
}

/// <summary>One change of the fill on the machine.</summary>
/// <param name="Kind">What is done.</param>
/// <param name="Axis">Along what; null for a turn.</param>
/// <param name="Mm">Shorten, lengthen: how much the whole size changes, above 0. Nudge: how far, to the right or up positive. Turn: 0.</param>
/// <param name="Degrees">Turn: counter-clockwise positive; otherwise 0.</param>
public sealed record FillChange(FillChangeKind Kind, FillAxis? Axis, double Mm, double Degrees)
{
    /// <summary>The change as <see cref="TryParseList"/> reads it.</summary>
    public override string ToString() => Kind == FillChangeKind.Turn
        ? string.Create(CultureInfo.InvariantCulture, $"turn {Degrees:0.##}")
        : string.Create(CultureInfo.InvariantCulture, $"{Kind.ToString().ToLowerInvariant()} {(Axis == FillAxis.X ? "x" : "y")} {Mm:0.###}mm");

    /// <summary>A change of size: above 0 lengthens, below 0 shortens.</summary>
    public static FillChange Resize(FillAxis axis, double mm) =>
        new(mm < 0 ? FillChangeKind.Shorten : FillChangeKind.Lengthen, axis, Math.Abs(mm), 0);

    /// <summary>A move.</summary>
    public static FillChange Nudge(FillAxis axis, double mm) => new(FillChangeKind.Nudge, axis, mm, 0);

    /// <summary>A turn, counter-clockwise positive.</summary>
    public static FillChange Turn(double degrees) => new(FillChangeKind.Turn, null, 0, degrees);

    /// <summary>
    /// Reads a list of changes: <c>shorten y 4mm, nudge y -2mm, turn 1</c>, moves also as <c>down 2mm</c>. Lengths as everywhere, degrees plain.
    /// </summary>
    /// <param name="text">What was written.</param>
    /// <param name="changes">The changes in their order; empty when not understood.</param>
    /// <param name="why">What is wrong, as a piece of a sentence; empty when understood.</param>
    /// <returns>Whether the text is such a list.</returns>
    public static bool TryParseList(string text, out IReadOnlyList<FillChange> changes, out string why)
    {
        ArgumentNullException.ThrowIfNull(text);
        var list = new List<FillChange>();
        changes = [];
        foreach (string piece in text.Split([',', ';'], StringSplitOptions.TrimEntries))
        {
            if (TryParse(piece, out why) is not { } change)
            {
                return false;
            }

            list.Add(change);
        }

        (changes, why) = (list, "");
        return true;
    }

    private static FillChange? TryParse(string piece, out string why)
    {
        const string Shape = "a change such as \"shorten y 4mm\", \"nudge x -2mm\" or \"turn 1\"";
        string[] words = piece.Split(' ', 3, StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        why = $"\"{(piece.Length <= 40 ? piece : piece[..40] + "…")}\" is not {Shape}";
        if (words is ["turn", var angle])
        {
            bool number = double.TryParse(angle, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double degrees);
            return number && Math.Abs(degrees) <= 360 ? Turn(degrees) : null;
        }

        words = words switch
        {
            ["right", var far] => ["nudge", "x", far],
            ["left", var far] => ["nudge", "x", $"-{far}"],
            ["up", var far] => ["nudge", "y", far],
            ["down", var far] => ["nudge", "y", $"-{far}"],
            _ => words,
        };
        if (words is not [var kind, "x" or "y", var length])
        {
            return null;
        }

        if (!Length.TryParse(length, out double mm, out string wrong))
        {
            why = wrong;
            return null;
        }

        FillAxis axis = words[1] == "x" ? FillAxis.X : FillAxis.Y;
        return (kind, mm) switch
        {
            ("nudge", _) => Nudge(axis, mm),
            ("shorten", > 0) => Resize(axis, -mm),
            ("lengthen", > 0) => Resize(axis, mm),
            _ => null,
        };
    }
}
