using HoopCheck.Checking;

namespace HoopCheck.Tests.Outside;

/// <summary>
/// Against JCGM 100:2008 (the GUM), H.3, calibration of a thermometer: table H.6's readings and corrections and the results
/// in H.3.3 to H.3.4. The table's numbers were compared with those in the documentation of the GTC package (example GUM H3);
/// the results are from memory of the GUM and are given here to the digits printed there.
/// </summary>
public class LeastSquaresTests
{
    private static readonly double[] Readings = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
    private static readonly double[] Corrections = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];

    [Fact]
    public void Solve_Thermometer_AsTheGuideHasIt()
    {
        LeastSquaresFit fit = Thermometer();

        Assert.Equal(-0.1712, fit.Solution[0], 0.00005);
        Assert.Equal(0.00218, fit.Solution[1], 0.000005);
        Assert.Equal(0.0029, Math.Sqrt(fit.Covariance[0, 0]), 0.00005);
        Assert.Equal(0.00067, Math.Sqrt(fit.Covariance[1, 1]), 0.000005);
        Assert.Equal(-0.930, fit.Covariance[0, 1] / Math.Sqrt(fit.Covariance[0, 0] * fit.Covariance[1, 1]), 0.0005);
        Assert.Equal(0.0035, Math.Sqrt(fit.ResidualVariance), 0.00005);
        Assert.Equal(9, fit.DegreesOfFreedom);
    }

    [Fact]
    public void Propagate_ThermometerAt30Degrees_AsTheGuideHasIt()
    {
        LeastSquaresFit fit = Thermometer();

        Assert.Equal(-0.1494, fit.Predict([1, 10]), 0.00005);
        Assert.Equal(0.0041, fit.Propagate([1, 10]), 0.00005);
    }

    [Fact]
    public void Solve_KnownSigmas_GiveTheWeightedMean()
    {
        // Two readings of one quantity: weights 1/0.01 and 1/0.04, so (100·1 + 25·2)/125 and 1/sqrt(125).
        LeastSquaresFit fit = LeastSquares.Solve(new double[,] { { 1 }, { 1 } }, [1, 2], [0.1, 0.2])!;

        Assert.Equal(1.2, fit.Solution[0], 1e-12);
        Assert.Equal(1 / Math.Sqrt(125), fit.Propagate([1]), 1e-12);
    }

    [Fact]
    public void Solve_ColumnsAlike_HasNoAnswer() =>
        Assert.Null(LeastSquares.Solve(new double[,] { { 1, 2 }, { 2, 4 }, { 3, 6 } }, [1, 2, 3]));

    [Fact]
    public void Solve_NothingLeftOver_HasNoUncertaintyAndSoNoAnswer() =>
        Assert.Null(LeastSquares.Solve(new double[,] { { 1, 0 }, { 1, 1 } }, [1, 2]));

    [Fact]
    public void Solve_ColumnsOfVeryDifferentSize_AreStillTold()
    {
        LeastSquaresFit fit = LeastSquares.Solve(new double[,] { { 1, 0 }, { 1, 1e9 }, { 1, 2e9 } }, [1, 2, 3], [1, 1, 1])!;

        Assert.Equal(1, fit.Solution[0], 1e-9);
        Assert.Equal(1e-9, fit.Solution[1], 1e-18);
    }

    private static LeastSquaresFit Thermometer()
    {
        // H.3.1: b(t) = y1 + y2 (t - t0) with t0 = 20 °C.
        var design = new double[Readings.Length, 2];
        for (int i = 0; i < Readings.Length; i++)
        {
            (design[i, 0], design[i, 1]) = (1, Readings[i] - 20);
        }

        return LeastSquares.Solve(design, Corrections)!;
    }
}
