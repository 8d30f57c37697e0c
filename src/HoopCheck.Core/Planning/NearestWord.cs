namespace HoopCheck.Planning;

/// <summary>Finds what a misspelt entry was meant to be.</summary>
internal static class NearestWord
{
    /// <summary>The word with the fewest single-letter changes (Levenshtein), the earlier one of equals.</summary>
    /// <param name="written">What was written.</param>
    /// <param name="known">What could have been meant; not empty.</param>
    public static string Of(string written, IReadOnlyList<string> known) =>
        known.MinBy(word => Distance(written, word))!;

    private static int Distance(string a, string b)
    {
        int[] row = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 0; i < a.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i + 1;
            for (int j = 0; j < b.Length; j++)
            {
                int change = diagonal + (a[i] == b[j] ? 0 : 1);
                diagonal = row[j + 1];
                row[j + 1] = Math.Min(change, Math.Min(row[j], diagonal) + 1);
            }
        }

        return row[^1];
    }
}
