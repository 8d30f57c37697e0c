using System.Diagnostics;
using System.Globalization;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;

namespace HoopCheck.Tests.Checking;

/// <summary>Nothing else of this project runs beside what is timed.</summary>
[CollectionDefinition("Timed", DisableParallelization = true)]
public sealed class TimedAlone;

[Collection("Timed")]
public class FreeFillTimeTests
{
    /// <summary>Reach: a path of 200 000 points adds less than 30 ms to a check, the index included. Smallest of several, because other work shares the machine.</summary>
    [Fact]
    public void Measure_TwoHundredThousandPoints_AddsLittle()
    {
        var points = new HoopPoint[200_000];
        for (int i = 0; i < points.Length; i++)
        {
            // Rows of 2 mm stitches, 0.4 mm apart.
            int row = i / 175, k = i % 175;
            points[i] = new(row % 2 == 0 ? 2 * k : 348 - (2 * k), row * 0.2);
        }

        TapeEdge[] tapes = [.. SideExtensions.All.Select(side => FreeFillTests.Tape(side, s => (side is Side.Left or Side.Right ? 174 : 114.3) + 3 + (0.01 * s)))];
        double least = double.PositiveInfinity;
        for (int round = 0; round < 30 && least >= 30; round++)
        {
            PlannedFill fill = PlannedFill.Of(FillShape.Of([points], FillKind.Stitches, 0.4).Shape, new(0, 0));
            var watch = Stopwatch.StartNew();
            ClearanceCheck.Measure(tapes, fill, 1.6, 12.7);
            least = Math.Min(least, watch.Elapsed.TotalMilliseconds);
        }

        Assert.True(least < 30, string.Create(CultureInfo.InvariantCulture, $"{least:0.0} ms"));
    }
}
