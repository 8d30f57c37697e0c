using HoopCheck.Rules;

namespace HoopCheck.Planning.Fills;

/// <summary>Carries a problem out of the depths of a drawing; never leaves this part.</summary>
internal sealed class SvgFailureException(ProblemKind kind, string detail) : Exception(detail)
{
    /// <summary>What a person is told.</summary>
    public Problem Problem { get; } = new(kind, detail);

    /// <summary>A piece of the drawing for a message: short and on one line, because it comes from a stranger's file.</summary>
    public static string Quote(ReadOnlySpan<char> text)
    {
        Span<char> kept = stackalloc char[Math.Min(text.Length, 40)];
        for (int i = 0; i < kept.Length; i++)
        {
            kept[i] = char.IsControl(text[i]) ? ' ' : text[i];
        }

        return $"\"{kept}{(text.Length > 40 ? "…" : "")}\"";
    }
}
