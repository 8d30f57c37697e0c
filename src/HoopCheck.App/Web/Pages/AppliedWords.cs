using System.Globalization;
using HoopCheck.App.Reports;
using HoopCheck.Planning;

namespace HoopCheck.App.Web.Pages;

/// <summary>Changes already made, as a person says them.</summary>
internal static class AppliedWords
{
    /// <summary>"moved down 2 mm, height 4 mm less" for "nudge y -2mm, shorten y 4mm"; what cannot be read stays as it is.</summary>
    public static string Of(string applied, Wishes wishes) =>
        FillChange.TryParseList(applied, out IReadOnlyList<FillChange> changes, out _) ? string.Join(", ", changes.Select(c => Of(c, wishes))) : applied;

    private static string Of(FillChange change, Wishes wishes)
    {
        string length = wishes.Inches ? wishes.Say(Math.Abs(change.Mm)) : string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(change.Mm):0.##} mm");
        string size = change.Axis == FillAxis.X ? "width" : "height";
        return change.Kind switch
        {
            FillChangeKind.Nudge => $"moved {ChangeWords.Way(change)} {length}",
            FillChangeKind.Shorten => $"{size} {length} less",
            FillChangeKind.Lengthen => $"{size} {length} more",
            _ => string.Create(CultureInfo.InvariantCulture, $"turned {Math.Abs(change.Degrees):0.##}° {(change.Degrees > 0 ? "counter-clockwise" : "clockwise")}"),
        };
    }
}
