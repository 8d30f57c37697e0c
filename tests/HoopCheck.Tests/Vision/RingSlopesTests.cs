using HoopCheck.Geometry;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Tests.Vision;

public class RingSlopesTests
{
    /// <summary>Against central differences of the model itself, the way any textbook on numerical differentiation has it.</summary>
    [Theory]
    [InlineData(RingLine.Foot)]
    [InlineData(RingLine.Top)]
    [InlineData(RingLine.Outer)]
    [InlineData(RingLine.Silhouette)]
    internal void Of_EveryLineOfEverySide_AgreesWithCentralDifferences(RingLine line)
    {
        TestRandom random = TestRandom.For(nameof(Of_EveryLineOfEverySide_AgreesWithCentralDifferences) + line);
        for (int round = 0; round < 50; round++)
        {
            // A camera about half a metre above the hoop, leaning by up to 30 degrees.
            double tilt = 0.5 * random.Between(0, 1), turn = 6 * random.Between(0, 1);
            double[] down = RingModel.Multiply([1, 0, 0, 0, -1, 0, 0, 0, -1], RingModel.RotationOf(tilt * Math.Cos(turn), tilt * Math.Sin(turn), 0));
            var model = new RingModel(down, 20, 2000, 1500);
            double[] p = new double[RingModel.Count];
            for (int i = 0; i < p.Length; i++)
            {
                p[i] = 0.05 * (random.Between(0, 1) - 0.5);
            }

            p[RingModel.Translation + 2] = 500 + (200 * random.Between(0, 1));
            p[RingModel.LogFocal] = Math.Log(3000);
            p[RingModel.Height] = 11;
            (p[RingModel.Width], p[RingModel.Depth], p[RingModel.FrameWidth]) = (360, 240, 20);
            (p[RingModel.TopOffset], p[RingModel.Rounding], p[RingModel.FootHeight]) = (0.4, 1.3, 0.2);
            for (int i = 0; i < 4; i++)
            {
                p[RingModel.Bow + i] = random.Between(0, 1);
                p[RingModel.TopAngle + i] = 0.7 + (0.2 * random.Between(0, 1));
            }

            Side side = SideExtensions.All[round % 4];
            double angle = 2 * Math.PI * random.Between(0, 1);
            var e = new EdgePoint(side, line, (random.Between(0, 1) - 0.5) * 0.9 * RingModel.Length(p, side), 2000, 1500, Math.Cos(angle), Math.Sin(angle), 0.7);

            // Of an outline only movement across it is asked for: what moves it along itself is not seen.
            if (line == RingLine.Silhouette)
            {
                (double X, double Y, double Z) eye = model.Camera(p).Centre;
                (double q, double z) = RingModel.LineAt(p, eye, side, line, e.S);
                PhotoPoint a = model.Camera(p).Project(side.At(q, e.S - 1), z)!.Value, b = model.Camera(p).Project(side.At(q, e.S + 1), z)!.Value;
                double length = a.DistanceTo(b);
                e = e with { Nx = -(b.Y - a.Y) / length, Ny = (b.X - a.X) / length };
            }

            double[] row = new double[RingModel.Count];
            new RingSlopes(model, p).Of(e, row);
            for (int i = 0; i < p.Length; i++)
            {
                double h = i is RingModel.K1 or RingModel.K2 or < RingModel.Translation ? 1e-6 : 1e-4;
                double numeric = (Residual(model, Moved(p, i, h), e) - Residual(model, Moved(p, i, -h), e)) / (2 * h);

                // The outline runs a little along the side as its angle changes: a thousandth of what a millimetre outward does.
                double close = (1e-4 * Math.Abs(numeric)) + (line == RingLine.Silhouette ? 0.02 : 1e-4);
                Assert.True(Math.Abs(numeric - row[i]) <= close, $"{side} {RingModel.Names[i]}: {row[i]} against {numeric}, round {round}");
            }
        }
    }

    private static double[] Moved(double[] p, int at, double by)
    {
        double[] q = (double[])p.Clone();
        q[at] += by;
        return q;
    }

    private static double Residual(RingModel model, double[] p, EdgePoint e)
    {
        (double q, double z) = RingModel.LineAt(p, model.Camera(p).Centre, e.Side, e.Line, e.S);
        PhotoPoint m = model.Camera(p).Project(e.Side.At(q, e.S), z)!.Value;
        return (((m.X - e.X) * e.Nx) + ((m.Y - e.Y) * e.Ny)) / e.Sigma;
    }
}
