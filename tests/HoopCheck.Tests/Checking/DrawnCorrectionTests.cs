using CsCheck;
using HoopCheck.Checking;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using HoopCheck.Rules;
using Case = HoopCheck.Tests.Checking.CorrectionTests.Case;
using Cost = HoopCheck.Tests.Checking.CorrectionTests.Cost;

namespace HoopCheck.Tests.Checking;

/// <summary>Corrections of drawn fills. That a change holds is asked of the clearance stage, whose distances NetTopologySuite checks in <see cref="FreeFillTests"/>.</summary>
public class DrawnCorrectionTests
{
    private const double MinGap = 1.6, Spacing = 12.7;

    /// <summary>A wavy rectangle, as an outline or as stitches with empty places between them; tape on both axes.</summary>
    private static readonly Gen<Case> s_case =
        from width in Gen.Int[36, 60]
        from height in Gen.Int[30, 50]
        from deep in Gen.Double[0, 2.5]
        from waves in Gen.Int[2, 7]
        from stitches in Gen.Bool
        from x in Gen.Int[-3, 3]
        from y in Gen.Int[-3, 3]
        from across in Gen.Int[1, 3]
        from up in Gen.Int[1, 3]
        from anywhere in Gen.Double[-2, 12].Array[4]
        from steep in Gen.Int[0, 2]
        from slopes in Gen.Double[-0.03, 0.03].Array[4]
        from leans in Gen.Double[0.12, 0.2]
        from leftwards in Gen.Bool
        let lean = leftwards ? -leans : leans
        let offsets = steep == 0 ? (double[])[.. anywhere.Select(a => 5 + (a / 8))] : anywhere
        from bends in Gen.Double[0, 0.8].Array[4]
        from u in Gen.Double[0.02, 0.4]
        from uSlope in Gen.Double[0, 0.004]
        from hole in Gen.Double[-60, 60]
        from room in Gen.Int[3, 5]
        from most in Gen.Int[0, 2].Select(n => new[] { 0.0, 3, 5 }[n])
        from turn in Gen.Int[0, 1].Select(n => new double?[] { null, 5 }[n])
        let fill = Wavy(width, height, steep == 0 ? deep / 4 : deep, waves, stitches, new(x, y))
        let sides = across | (up << 2)
        select new Case(
            fill,
            new("a", 300, 300, 11, null, null, fill.Width + (2 * (Math.Abs(x) + room)), fill.Height + (2 * (Math.Abs(y) + room))),
            new(1, 1, false, turn),
            most,
            [.. SideExtensions.All.Where(side => (sides & (1 << (int)side)) != 0).Select(side => new TapeEdge(
                side,
                [.. Enumerable.Range(-30, 61).Select(i => 2.0 * i).Select(s => new TapeSample(
                    s,
                    fill.FacingEdge(side) + offsets[(int)side] + ((slopes[(int)side] + (steep == 0 ? lean * (side is Side.Left or Side.Bottom ? 1 : -1) * (side is Side.Top or Side.Bottom ? -1 : 1) : 0)) * s) + (bends[(int)side] * Math.Sin((s / 11) + (int)side)),
                    u + (uSlope * Math.Abs(s)),
                    Math.Abs(s - hole) > 3))],
                0, "blue", "#2F7FC1"))]);

    private static PlannedFill Wavy(double width, double height, double deep, int waves, bool stitches, HoopPoint centre)
    {
        var line = new List<HoopPoint>();
        HoopPoint[] corners = [new(-width / 2, -height / 2), new(width / 2, -height / 2), new(width / 2, height / 2), new(-width / 2, height / 2)];
        for (int i = 0; i < 4; i++)
        {
            HoopPoint a = corners[i];
            HoopVector along = corners[(i + 1) % 4] - a, inward = new(-along.Y / along.Length, along.X / along.Length);
            for (int k = 0; k < 24; k++)
            {
                line.Add(a + (along * (k / 24.0)) + (inward * (deep * Math.Sin(k / 24.0 * Math.PI * waves))));
            }
        }

        line.Add(line[0]);
        return PlannedFill.Of(FillShape.Of([line], stitches ? FillKind.Stitches : FillKind.Outline, 0.4).Shape, centre);
    }

    private static string Told(Case c) => $"{c.Fill} field {c.Hoop.FieldWidth}x{c.Hoop.FieldHeight} most {c.Most} turn {c.Machine.TurnStepDegrees}";

    private static bool Holds(Case c, PlannedFill fill) =>
        SewingField.Check(c.Hoop, fill) is null && c.Tapes.All(tape =>
        {
            SideClearance side = ClearanceCheck.Measure([tape], fill, MinGap, Spacing).Sides[0];
            if (side.Decision != Decision.Clear)
            {
                return false;
            }

            // Not the narrowest place's uncertainty alone: at every place its own.
            TapeSample[] sound = ClearanceCheck.Sound(tape);
            SideFigures f = ClearanceCheck.Figures(sound, tape.Side, fill, Tolerances.Default, new TapeSample[sound.Length + 2]);
            return f.LeastSureMm - 0.001 >= MinGap && f.MostSureMm + 0.001 <= Spacing && f.MaxMm + f.UncertaintyMm + 0.001 <= Spacing;
        });

    [Fact]
    public void Find_GeneratedDrawings_IsTheSmallestOnTheGrid()
    {
        int possible = 0, none = 0;
        int[] kinds = new int[5];
        s_case.Sample(
            c =>
            {
                Correction? found = c.Find();
                if (found is null || found.Obstacle?.Kind == ObstacleKind.TooLittleSeen)
                {
                    return;
                }

                Cost? suggested = found.IsPossible ? CorrectionTests.CostOf(c, found.Steps) : null;
                Interlocked.Increment(ref found.IsPossible ? ref possible : ref none);
                if (found.IsPossible)
                {
                    Assert.True(Holds(c, c.Fill.After(found.Steps)), Told(c));
                    Interlocked.Increment(ref kinds[suggested!.Value.Kind]);
                }

                double[] turns = c.Machine.TurnStepDegrees is { } t ? [-t, 0, t] : [0];
                double[] Sizes(double planned) => [.. Enumerable.Range(-3, 7).Select(i => (double)i).Where(mm => Math.Abs(mm) <= planned * c.Most / 100)];
                foreach (double turn in turns)
                {
                    foreach (double x in Sizes(c.Fill.Width))
                    {
                        foreach (double y in Sizes(c.Fill.Height))
                        {
                            for (int i = -9; i <= 9; i++)
                            {
                                for (int j = -9; j <= 9; j++)
                                {
                                    Cost cost = Cost.Of(x, y, turn, i, j, 1);
                                    PlannedFill fill = c.Fill with
                                    {
                                        Width = c.Fill.Width + x, Height = c.Fill.Height + y, TurnDegrees = turn, Centre = new(c.Fill.Centre.X + i, c.Fill.Centre.Y + j),
                                    };
                                    if (suggested is not { } s || cost.CompareTo(s) < 0)
                                    {
                                        Assert.False(Holds(c, fill), $"{cost} is smaller than {suggested} ({x} {y} {turn} {i} {j}): {Told(c)}");
                                    }
                                }
                            }
                        }
                    }
                }
            },
            iter: 200, seed: "0000KmzHG1b2");
        Assert.True(possible > 50 && none > 30 && kinds.Count(k => k > 0) >= 4, $"{possible} possible ({string.Join(' ', kinds)}), {none} not");
    }

    [Fact]
    public void Find_GeneratedDrawingsMirrored_GiveTheMirroredSuggestion() =>
        s_case.Sample(
            c =>
            {
                if (ClearanceCheck.Measure(c.Tapes, c.Fill, MinGap, Spacing).Sides.Any(s => CorrectionTests.OnALimit(s.MinMm, s.MaxMm, s.UncertaintyMm)))
                {
                    return;
                }

                FillShape shape = c.Fill.Outline!;
                HoopPoint[] line = new HoopPoint[shape.Xs.Length];
                for (int i = 0; i < line.Length; i++)
                {
                    line[i] = new(-shape.Xs[i], shape.Ys[i]);
                }

                Case mirrored = c.Mirrored();
                mirrored = mirrored with { Fill = mirrored.Fill with { Outline = FillShape.Of([line], shape.Kind, 0.4).Shape } };
                Assert.Equal(
                    c.Find()?.Steps.Select(s => s.Kind == FillChangeKind.Turn ? s with { Degrees = -s.Degrees } : s is { Kind: FillChangeKind.Nudge, Axis: FillAxis.X } ? s with { Mm = -s.Mm } : s),
                    mirrored.Find()?.Steps);
            },
            iter: 2000, seed: "0000KmzHG1b2", print: Told);
}
