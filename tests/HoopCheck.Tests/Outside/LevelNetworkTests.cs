using HoopCheck.Checking.Drift;

namespace HoopCheck.Tests.Outside;

/// <summary>
/// The worked level net of Ghilani and Wolf, Adjustment Computations (chapter on the adjustment of level nets), from memory: bench marks X 100.00 and
/// Y 107.50 ft, points A, B, C, seven lines. The answers were worked again by hand from the data as given here, with fractions: the normal equations of
/// the seven lines with weights 1, and with weights 12 over the length in miles, so that they are whole numbers.
/// </summary>
public class LevelNetworkTests
{
    private const double X = 100.00, Y = 107.50;

    // A, B, C are points 0, 1, 2. A bench mark's height is added, since a mark stands for 0.
    private static readonly (int? From, int To, double Rise, double Miles)[] Lines =
    [
        (null, 0, X + 5.10, 4),      // X to A
        (null, 0, Y - 2.34, 3),      // A to Y
        (null, 2, Y - 1.25, 2),      // Y to C
        (null, 2, X + 6.13, 3),      // C to X
        (0, 1, -0.68, 2),            // A to B
        (null, 1, Y - 3.00, 2),      // B to Y
        (1, 2, 1.70, 2),             // B to C
    ];

    [Fact]
    public void Adjust_HandbookNetEqualWeights_HasItsHeights()
    {
        LevelAdjusted net = LevelNetwork.Adjust(3, [.. Lines.Select(l => new LevelLine(l.From, l.To, l.Rise, 1))])!;

        // 3A − B = 210.94; −A + 3B − C = 102.12; −B + 3C = 214.08: A = 55199/525, B = 36569/350, C = 111497/1050.
        // Written "A to Y +2.34" the line says A = Y − 2.34, and "C to X −6.13" says C = X + 6.13.
        Assert.Equal([55199 / 525.0, 36569 / 350.0, 111497 / 1050.0], net.Values.Select(v => v), (a, b) => Math.Abs(a - b) < 1e-9);
        Assert.Equal([105.141, 104.483, 106.188], net.Values.Select(v => Math.Round(v, 3)));
        Assert.Equal(4, net.DegreesOfFreedom);
        Assert.Equal(0.050, Math.Sqrt(net.VarianceFactor), 0.0005);

        // The inverse of the normal matrix: 8/21, 3/7, 8/21 on its diagonal, 1/7 and 1/21 beside.
        Assert.Equal([8 / 21.0, 3 / 7.0, 8 / 21.0, 1 / 7.0, 1 / 21.0], new[] { net.Covariance[0, 0], net.Covariance[1, 1], net.Covariance[2, 2], net.Covariance[0, 1], net.Covariance[0, 2] }, (a, b) => Math.Abs(a - b) < 1e-12);
        Assert.Equal(Math.Sqrt((8 / 21.0) + (3 / 7.0) - (2 / 7.0)), net.SigmaOfDifference(0, 1), 1e-12);
    }

    [Fact]
    public void Adjust_HandbookNetWeightedByLength_HasItsHeightsAndUncertainties()
    {
        LevelAdjusted net = LevelNetwork.Adjust(3, [.. Lines.Select(l => new LevelLine(l.From, l.To, l.Rise, Math.Sqrt(l.Miles / 12)))])!;
        Assert.Equal([65719 / 625.0, 261223 / 2500.0, 265493 / 2500.0], net.Values, (a, b) => Math.Abs(a - b) < 1e-9);
        Assert.Equal([105.150, 104.489, 106.197], net.Values.Select(v => Math.Round(v, 3)));
        double s0 = Math.Sqrt(net.VarianceFactor);
        Assert.Equal(0.107, s0, 0.0005);
        Assert.Equal([0.033, 0.030, 0.029], Enumerable.Range(0, 3).Select(i => Math.Round(s0 * net.Sigma(i), 3)));
    }

    [Fact]
    public void Adjust_PointWithoutAMark_IsNoAnswer()
    {
        LevelLine[] lines = [new(null, 0, 1, 1), new(1, 2, 1, 1), new(2, 3, 1, 1)];
        Assert.Null(LevelNetwork.Adjust(4, lines));
        Assert.Equal([1], LevelNetwork.Unmarked(4, lines));
        Assert.Equal([1, 3], LevelNetwork.Unmarked(4, lines[..2]));
        Assert.Throws<ArgumentException>(() => LevelNetwork.Adjust(1, [new(null, 0, 1, 0)]));
    }
}
