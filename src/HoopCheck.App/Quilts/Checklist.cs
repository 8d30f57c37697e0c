namespace HoopCheck.App.Quilts;

/// <summary>What to see to before stitching. Common practice, no source; the machine's manual has the last word.</summary>
internal static class Checklist
{
    /// <summary>Key and words of each point.</summary>
    public static IReadOnlyList<(string Key, string Words)> Points { get; } =
    [
        ("back", "The back lies flat: no fold under the hoop."),
        ("weight", "The table carries the quilt's weight: nothing pulls at the hoop."),
        ("under", "Nothing lies between hoop and machine."),
        ("roll", "The rolled part stays clear of the arm on the hoop's whole way."),
        ("field", "The fill lies inside the sewing field: the machine's own trace went round without touching the frame."),
        ("bobbin", "The bobbin thread is brought up and held, and there is enough of it."),
    ];
}
