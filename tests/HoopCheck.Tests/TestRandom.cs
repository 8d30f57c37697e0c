namespace HoopCheck.Tests;

/// <summary>Random numbers that come out the same on every run; the seed follows from the test's name.</summary>
public sealed class TestRandom
{
    private readonly Random random;

    private TestRandom(int seed) => (Seed, random) = (seed, new(seed));

    /// <summary>For the message of a failing test.</summary>
    public int Seed { get; }

    public static TestRandom For(string test)
    {
        // FNV-1a: string.GetHashCode differs from run to run.
        uint hash = 2166136261;
        foreach (char c in test)
        {
            hash = unchecked((hash ^ c) * 16777619);
        }

        return new((int)(hash & 0x7fffffff));
    }

    public double Between(double from, double to) => from + ((to - from) * random.NextDouble());
}
