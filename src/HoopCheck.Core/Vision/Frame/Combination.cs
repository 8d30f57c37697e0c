using HoopCheck.Geometry;
using MathNet.Numerics.LinearAlgebra;

namespace HoopCheck.Vision.Frame;

/// <summary>
/// Chooses among candidate readings of the ring's lines by the linearised maximum-a-posteriori fit. All candidates of a line have the
/// same derivatives, so the least sum of squares of every combination is a quadratic form rᵀ(I − J(JᵀJ + P)⁻¹Jᵀ)r of the offsets,
/// and thousands of combinations cost microseconds each.
/// </summary>
internal static class Combination
{
    /// <summary>Independent uncertainty of a line's offset at one of three places, mm; what the whole line errs by is in the model's shifts.</summary>
    private const double PlaceSd = 0.07;

    /// <summary>A line of the ring and its candidate readings: offsets (mm outward) at three places and a cost for faintness, in squared standard deviations; and what it costs to take the line for not seen at all.</summary>
    public sealed record Choice(Side Side, RingLine Kind, double[] S, List<(double[] Offsets, double Cost)> Readings, double MissingCost);

    /// <summary>Index of the reading for each choice; -1 where the line is better left out.</summary>
    /// <param name="model">The ring model.</param>
    /// <param name="p">Parameters to linearise at.</param>
    /// <param name="prior">Prior means.</param>
    /// <param name="priorSd">Prior standard deviations; 0 for fixed parameters.</param>
    /// <param name="choices">The lines and their candidate readings.</param>
    /// <param name="clash">Whether reading i of choice a and reading j of choice b exclude each other.</param>
    public static int[] Best(RingModel model, double[] p, double[] prior, double[] priorSd, List<Choice> choices, Func<int, int, int, int, bool> clash)
    {
        int[] free = [.. Enumerable.Range(0, p.Length).Where(i => priorSd[i] > 0)];
        int rows = choices.Count * 3;
        Matrix<double> jac = Matrix<double>.Build.Dense(rows, free.Length);
        double[] baseline = Offsets(model, p, p, choices);
        for (int j = 0; j < free.Length; j++)
        {
            double h = Math.Max(1e-6, 1e-3 * Math.Min(priorSd[free[j]], 1));
            double[] q = (double[])p.Clone();
            q[free[j]] += h;
            double[] moved = Offsets(model, q, p, choices);
            for (int i = 0; i < rows; i++)
            {
                jac[i, j] = (moved[i] - baseline[i]) / h / PlaceSd;
            }
        }

        int[] bestPick = [.. Enumerable.Repeat(-1, choices.Count)];
        double bestCost = double.MaxValue;
        bool[,]?[,] clashing = Clashes(choices, clash);
        int[] sides = [.. Enumerable.Range(0, choices.Count).Where(i => choices[i].Kind != RingLine.Top)];
        List<int[]> absences = [[], .. sides.Select(i => new[] { i })];
        absences.AddRange(from a in sides from b in sides where a < b select new[] { a, b });
        foreach (int[] gone in absences)
        {
            Matrix<double> j = jac.Clone();
            foreach (int g in gone)
            {
                for (int r = 0; r < 3; r++)
                {
                    j.ClearRow((g * 3) + r);
                }
            }

            Matrix<double> a = j.TransposeThisAndMultiply(j);
            var pull = MathNet.Numerics.LinearAlgebra.Vector<double>.Build.Dense(free.Length);
            double priorCost = 0;
            for (int k = 0; k < free.Length; k++)
            {
                double sd = priorSd[free[k]], d = (prior[free[k]] - p[free[k]]) / sd;
                if (free[k] < RingModel.LogFocal)
                {
                    // Rotation and translation are free: their prior follows the current values.
                    d = 0;
                }

                a[k, k] += 1 / (sd * sd);
                pull[k] = d / sd;
                priorCost += d * d;
            }

            Matrix<double> inverse = a.Inverse();
            var inversePull = inverse * pull;
            Matrix<double> gain = j * inverse;
            Matrix<double> form = Matrix<double>.Build.DenseIdentity(rows) - (gain * j.Transpose());
            var linear = j * inversePull;
            double constant = priorCost - (pull * inversePull);

            int[] pick = new int[choices.Count];
            Walk(0, gone.Sum(g => choices[g].MissingCost));

            void Walk(int at, double cost)
            {
                if (cost > bestCost)
                {
                    return;
                }

                if (at == choices.Count)
                {
                    double total = cost + constant;
                    double[] r = new double[rows];
                    for (int c = 0; c < choices.Count; c++)
                    {
                        for (int k = 0; k < 3 && !gone.Contains(c); k++)
                        {
                            r[(3 * c) + k] = choices[c].Readings[pick[c]].Offsets[k] / PlaceSd;
                        }
                    }

                    for (int x = 0; x < rows; x++)
                    {
                        double sum = 0;
                        for (int y = 0; y < rows; y++)
                        {
                            sum += form[x, y] * r[y];
                        }

                        total += r[x] * (sum - (2 * linear[x]));
                    }

                    if (total < bestCost)
                    {
                        bestCost = total;
                        bestPick = [.. pick];
                        foreach (int g in gone)
                        {
                            bestPick[g] = -1;
                        }
                    }

                    return;
                }

                if (gone.Contains(at))
                {
                    Walk(at + 1, cost);
                    return;
                }

                for (int k = 0; k < choices[at].Readings.Count; k++)
                {
                    bool clashes = false;
                    for (int b = 0; b < at && !clashes; b++)
                    {
                        clashes = !gone.Contains(b) && clashing[b, at] is { } table && table[pick[b], k];
                    }

                    if (clashes)
                    {
                        continue;
                    }

                    pick[at] = k;
                    Walk(at + 1, cost + choices[at].Readings[k].Cost);
                }
            }
        }

        return bestPick;
    }

    private static bool[,]?[,] Clashes(List<Choice> choices, Func<int, int, int, int, bool> clash)
    {
        var result = new bool[,]?[choices.Count, choices.Count];
        for (int a = 0; a < choices.Count; a++)
        {
            for (int b = a + 1; b < choices.Count; b++)
            {
                if (choices[a].Side != choices[b].Side)
                {
                    continue;
                }

                bool[,] table = new bool[choices[a].Readings.Count, choices[b].Readings.Count];
                for (int i = 0; i < table.GetLength(0); i++)
                {
                    for (int j = 0; j < table.GetLength(1); j++)
                    {
                        table[i, j] = clash(a, i, b, j);
                    }
                }

                result[a, b] = table;
            }
        }

        return result;
    }

    /// <summary>Outward offsets, mm, of the lines that parameters <paramref name="q"/> predict from those that <paramref name="p"/> predict.</summary>
    private static double[] Offsets(RingModel model, double[] q, double[] p, List<Choice> choices)
    {
        CameraPose from = model.Camera(p), to = model.Camera(q);
        (double X, double Y, double Z) eyeFrom = from.Centre, eyeTo = to.Centre;
        double[] result = new double[choices.Count * 3];
        for (int c = 0; c < choices.Count; c++)
        {
            Choice choice = choices[c];
            for (int k = 0; k < 3; k++)
            {
                double s = choice.S[k];
                (double q0, double z0) = RingModel.LineAt(p, eyeFrom, choice.Side, choice.Kind, s);
                (double q1, double z1) = RingModel.LineAt(q, eyeTo, choice.Side, choice.Kind, s);
                if (from.Project(choice.Side.At(q0, s), z0) is { } a && from.Project(choice.Side.At(q0 + 1, s), z0) is { } b
                    && to.Project(choice.Side.At(q1, s), z1) is { } m)
                {
                    PhotoVector across = b - a;
                    result[(3 * c) + k] = (m - a).Dot(across) / across.Dot(across);
                }
            }
        }

        return result;
    }
}
