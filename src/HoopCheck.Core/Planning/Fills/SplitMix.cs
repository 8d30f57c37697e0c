namespace HoopCheck.Planning.Fills;

/// <summary>SplitMix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014).</summary>
/// <param name="seed">Where the sequence begins.</param>
internal sealed class SplitMix(ulong seed)
{
    private ulong _state = seed;

    /// <summary>The next 64 bits.</summary>
    public ulong Next()
    {
        ulong z = unchecked(_state += 0x9E3779B97F4A7C15);
        z = unchecked((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9);
        z = unchecked((z ^ (z >> 27)) * 0x94D049BB133111EB);
        return z ^ (z >> 31);
    }

    /// <summary>0 up to, not including, <paramref name="n"/>.</summary>
    public int Below(int n) => (int)(Next() % (ulong)n);
}
