namespace HoopCheck.Rules;

/// <summary>Something that stops a check: its catalogue entry and what exactly was seen.</summary>
/// <param name="Kind">The catalogue entry: code, title, what to do, exit code.</param>
/// <param name="Detail">What was seen, one line; may be empty.</param>
public sealed record Problem(ProblemKind Kind, string Detail)
{
    /// <summary>One line: what is wrong.</summary>
    public string Say => Detail.Length == 0 ? Kind.Title : $"{Kind.Title} {Detail}";
}

/// <summary>A value or the problem that prevented it; exactly one of the two is present.</summary>
public sealed class Outcome<T> where T : class
{
    private Outcome(T? value, Problem? problem) => (Value, Problem) = (value, problem);

    /// <summary>The value, or null when there is a problem.</summary>
    public T? Value { get; }

    /// <summary>The problem, or null when there is a value.</summary>
    public Problem? Problem { get; }

    /// <summary>Goes on with the value, or carries the problem along.</summary>
    public Outcome<TNext> Then<TNext>(Func<T, Outcome<TNext>> next) where TNext : class =>
        Value is { } v ? next(v) : Problem!;

    /// <summary>A success.</summary>
    public static implicit operator Outcome<T>(T value) => new(value, null);

    /// <summary>A failure.</summary>
    public static implicit operator Outcome<T>(Problem problem) => new(null, problem);
}
