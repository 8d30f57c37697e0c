using HoopCheck.Rules;

namespace HoopCheck.Tests.Rules;

public class TolerancesTests
{
    [Fact]
    public void Default_Numbers_ArePinned()
    {
        Tolerances t = Tolerances.Default;
        Assert.Null(t.Check());
        Assert.Equal((1.6, 12.7), (Tolerances.UsualMinGapMm, Tolerances.UsualSpacingMm));
        Assert.Equal((2, 0.60, 0.15, 10), (t.CoverageFactor, t.EnoughSeenShare, t.LeastSeenShare, t.LeastSeenMm));
        Assert.Equal((4, 5, 1e-6, 5), (t.LongestSampleStepMm, t.ProfileStepMm, t.FieldRoundingMm, t.FieldMarginMm));
        Assert.Equal((3, 12.5, 1, 0.5, 3, 2), (t.LeastLineStrength, t.LeastFourthLineStrength, t.LargestWeaveUncertaintyDeg, t.LargestUnevennessMm, t.UsualSkewPercent, t.UsualBowPercent));
        Assert.Equal((40, 600, 3, 40, 5, 60), (t.SmallestOpeningMm, t.LargestOpeningMm, t.LowestFrameMm, t.HighestFrameMm, t.NarrowestFrameMm, t.BroadestFrameMm));
        Assert.Equal((100_000_000, 200_000_000, 1000, 3000), (t.LargestFileBytes, t.LargestPhotoPixels, t.SmallestLongSidePx, t.WorkingLongSidePx));
    }

    [Fact]
    public void Check_NumbersThatCannotBe_AreNamed()
    {
        Assert.Contains("CoverageFactor", new Tolerances { CoverageFactor = 0 }.Check(), StringComparison.Ordinal);
        Assert.Contains("SeenShare", new Tolerances { EnoughSeenShare = 0.1 }.Check(), StringComparison.Ordinal);
        Assert.Contains("ProfileStepMm", new Tolerances { ProfileStepMm = 6 }.Check(), StringComparison.Ordinal);
    }
}
