using HoopCheck.Geometry;
using HoopCheck.Rules;

namespace HoopCheck.Planning;

/// <summary>Where the needle may go: a rectangle about the centre of the opening. A needle that meets the frame breaks.</summary>
public static class SewingField
{
    /// <summary>Checks that a fill stays inside the field.</summary>
    /// <param name="hoop">The hoop; its field in mm.</param>
    /// <param name="fill">The fill, mm.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    /// <returns>HC121 naming the sides and by how much, or null when the fill is inside.</returns>
    public static Problem? Check(HoopSpec hoop, PlannedFill fill, Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(hoop);
        ArgumentNullException.ThrowIfNull(fill);
        double slack = (tolerances ?? Tolerances.Default).FieldRoundingMm;
        var over = new List<string>();
        foreach (Side side in SideExtensions.All)
        {
            double half = (side is Side.Left or Side.Right ? hoop.FieldWidth : hoop.FieldHeight) / 2;
            double beyond = fill.FacingEdge(side) - half;
            if (beyond > slack)
            {
                // Rounded up: "by 0.0 mm" would puzzle.
                double shown = Math.Ceiling((beyond - slack) * 10) / 10;
                over.Add($"{side.Name()} by {Length.Millimetres(shown)} ({Length.Inches(shown)})");
            }
        }

        return over.Count == 0 ? null : new(Problems.FillOutsideField, $"Too far {string.Join(", ", over)}.");
    }
}
