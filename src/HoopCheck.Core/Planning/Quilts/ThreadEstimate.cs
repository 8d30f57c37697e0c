namespace HoopCheck.Planning.Quilts;

/// <summary>Thread and stitches before a stitch is made: the line's length is the area over the spacing.</summary>
public static class ThreadEstimate
{
    /// <summary>Reckons hooping by hooping, with a full bobbin at the start and a new one wherever the old would run out.</summary>
    /// <param name="hoopings">In the order of stitching.</param>
    /// <param name="spacingMm">Between neighbouring lines, mm, above 0.</param>
    /// <param name="thread">Stitch length, factors, bobbin.</param>
    public static IReadOnlyList<ThreadUse> Of(IReadOnlyList<PlannedHooping> hoopings, double spacingMm, ThreadSpec thread)
    {
        ArgumentNullException.ThrowIfNull(hoopings);
        ArgumentNullException.ThrowIfNull(thread);
        var uses = new List<ThreadUse>(hoopings.Count);
        double? left = thread.BobbinMetres;
        foreach (PlannedHooping hooping in hoopings)
        {
            double line = hooping.Width * hooping.Height / spacingMm;
            double bobbin = line * thread.BobbinFactor / 1000;
            bool change = left < bobbin;
            uses.Add(new(
                (int)Math.Ceiling(line / thread.StitchMm), line, line * thread.TopFactor / 1000, bobbin,
                left, change && left < thread.BobbinMetres, bobbin > thread.BobbinMetres));
            if (change)
            {
                left = thread.BobbinMetres;
            }

            left = left is { } full ? bobbin <= full ? full - bobbin : 0 : null;
        }

        return uses;
    }
}
