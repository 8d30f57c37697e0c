namespace HoopCheck.Tests;

/// <summary>Finds files of the repository from wherever the tests run.</summary>
public static class Repo
{
    /// <summary>The folder that holds HoopCheck.sln.</summary>
    public static string Root { get; } = FindRoot();

    /// <summary>A path below the root.</summary>
    public static string Path(params string[] parts) => System.IO.Path.Combine([Root, .. parts]);

    private static string FindRoot()
    {
        for (DirectoryInfo? d = new(AppContext.BaseDirectory); d is not null; d = d.Parent)
        {
            if (File.Exists(System.IO.Path.Combine(d.FullName, "HoopCheck.sln")))
            {
                return d.FullName;
            }
        }

        throw new InvalidOperationException("HoopCheck.sln was not found above the tests.");
    }
}
