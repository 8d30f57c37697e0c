using System.Numerics.Tensors;
using HoopCheck.Geometry;
using MathNet.Numerics.LinearAlgebra;

namespace HoopCheck.Vision.Frame;

/// <summary>
/// Chooses among candidate readings of the ring's lines: the combination of least Σ innovationᵀS⁻¹innovation + costs, line after line
/// as in a Kalman filter's measurement updates (the gains do not depend on which reading is taken, only on which lines are used), keeping
/// the cheapest partial combinations at each step (a beam search).
/// </summary>
internal static class Combination
{
    /// <summary>Independent uncertainty of a line's offset at one of three places, mm; what the whole line errs by is in the model's shifts.</summary>
    private const double PlaceSd = 0.07;

    /// <summary>How much dearer than the cheapest a partial combination may be and still be carried on.</summary>
    private const double Hopeless = 80;

    /// <summary>How much dearer than the cheapest a combination may be and still be worth a fit of its own.</summary>
    private const double WorthTrying = 30;

    /// <summary>A line of the ring and its candidate readings: offsets (mm outward) at three places and a cost for faintness, in squared standard deviations; and what it costs to take the line for not seen at all.</summary>
    public sealed record Choice(Side Side, RingLine Kind, double[] S, List<(double[] Offsets, double Cost)> Readings, double MissingCost);

    /// <summary>The cheapest combinations, cheapest first: index of the reading for each choice, -1 where the line is better left out; and the cost, in squared standard deviations.</summary>
    /// <param name="model">The ring model.</param>
    /// <param name="p">Parameters to linearise at.</param>
    /// <param name="prior">Prior means.</param>
    /// <param name="priorSd">Prior standard deviations; 0 for fixed parameters.</param>
    /// <param name="choices">The lines and their candidate readings.</param>
    /// <param name="clash">Whether reading i of choice a and reading j of choice b exclude each other.</param>
    /// <param name="most">Number of combinations wanted.</param>
    /// <param name="beamWidth">Partial combinations kept at each step.</param>
    public static List<(int[] Pick, double Cost)> Best(RingModel model, double[] p, double[] prior, double[] priorSd, List<Choice> choices, Func<int, int, int, int, bool> clash, int most, int beamWidth)
    {
        int[] free = [.. Enumerable.Range(0, p.Length).Where(i => priorSd[i] > 0)];
        double[][] slopes = Slopes(model, p, priorSd, free, choices);
        double[] start = new double[free.Length * free.Length];
        for (int i = 0; i < free.Length; i++)
        {
            start[(i * free.Length) + i] = Variance(free[i]);
        }

        // Rotation and translation have no prior of their own; everything else is pulled towards its prior mean.
        double[] state = [.. free.Select(i => i < RingModel.LogFocal ? 0 : prior[i] - p[i])];
        bool[,]?[,] tables = Clashes(choices, clash);
        var updates = new Dictionary<(int Line, int Used), Update>();
        List<Partial> beam = [new Partial(0, [], 0, state, start)];
        for (int at = 0; at < choices.Count; at++)
        {
            Choice choice = choices[at];
            var next = new List<(Partial From, int Reading, Update? Update)>();
            var costs = new List<double>();
            foreach (Partial from in beam)
            {
                if (!updates.TryGetValue((at, from.Used), out Update? update))
                {
                    update = Update.Of(slopes[at], from.Covariance, free.Length);
                    updates[(at, from.Used)] = update;
                }

                (double X, double Y, double Z) predicted = update.Predict(from.State);
                for (int k = 0; k < choice.Readings.Count; k++)
                {
                    if (!Clashing(from.Pick, at, k))
                    {
                        next.Add((from, k, update));
                        costs.Add(from.Cost + choice.Readings[k].Cost + update.Surprise(Innovation(choice, k, predicted)));
                    }
                }

                next.Add((from, -1, null));
                costs.Add(from.Cost + choice.MissingCost);
            }

            double[] keys = [.. costs];
            int[] order = [.. Enumerable.Range(0, keys.Length)];
            Array.Sort(keys, order);
            beam = [];
            for (int i = 0; i < order.Length && i < beamWidth && keys[i] < keys[0] + Hopeless; i++)
            {
                (Partial from, int k, Update? update) = next[order[i]];
                beam.Add(update is null
                    ? new Partial(keys[i], [.. from.Pick, -1], from.Used, from.State, from.Covariance)
                    : new Partial(keys[i], [.. from.Pick, k], from.Used | (1 << at), update.Apply(from.State, Innovation(choice, k, update.Predict(from.State))), update.After));
            }
        }

        // Of combinations that mean the same ring only the cheapest is kept.
        var best = new List<(int[] Pick, double Cost)>();
        foreach (Partial p1 in beam)
        {
            if (best.Count < most && p1.Cost < beam[0].Cost + WorthTrying && best.All(b => !Alike(b.Pick, p1.Pick)))
            {
                best.Add((p1.Pick, p1.Cost));
            }
        }

        return best;

        static (double X, double Y, double Z) Innovation(Choice choice, int reading, (double X, double Y, double Z) predicted)
        {
            double[] z = choice.Readings[reading].Offsets;
            return (z[0] - predicted.X, z[1] - predicted.Y, z[2] - predicted.Z);
        }

        // The rough frame is good to a few degrees and millimetres.
        double Variance(int i) => i < RingModel.Translation ? 0.06 * 0.06 : i < RingModel.LogFocal ? 30 * 30 : priorSd[i] * priorSd[i];

        bool Alike(int[] one, int[] other)
        {
            for (int c = 0; c < choices.Count; c++)
            {
                if (choices[c].Kind is RingLine.Top or RingLine.Outer || (one[c] < 0 && other[c] < 0))
                {
                    continue;
                }

                if (one[c] < 0 || other[c] < 0 || choices[c].Readings[one[c]].Offsets.Zip(choices[c].Readings[other[c]].Offsets, (a, b) => Math.Abs(a - b)).Max() > 0.4)
                {
                    return false;
                }
            }

            return true;
        }

        bool Clashing(int[] pick, int at, int reading)
        {
            for (int b = 0; b < at; b++)
            {
                if (pick[b] >= 0 && tables[b, at] is { } table && table[pick[b], reading])
                {
                    return true;
                }
            }

            return false;
        }
    }

    /// <summary>The lines decided so far: their readings and cost, and the state they leave.</summary>
    private sealed record Partial(double Cost, int[] Pick, int Used, double[] State, double[] Covariance);

    /// <summary>What using a line does to the state: independent of which of its readings is taken. Matrices are row by row, of 3 rows or of the state's size.</summary>
    private sealed record Update(double[] Slope, double[] Gain, double[] Weight, Func<double[]> Reduce)
    {
        private double[]? after;

        /// <summary>The state's covariance once the line is used.</summary>
        public double[] After => after ??= Reduce();

        public static Update Of(double[] slope, double[] covariance, int n)
        {
            // cross = slope·covariance (3 x n), the same as covariance·slopeᵀ turned: a covariance is symmetric.
            double[] cross = new double[3 * n];
            for (int i = 0; i < 3; i++)
            {
                Span<double> row = cross.AsSpan(i * n, n);
                for (int j = 0; j < n; j++)
                {
                    if (slope[(i * n) + j] != 0)
                    {
                        TensorPrimitives.MultiplyAdd(covariance.AsSpan(j * n, n), slope[(i * n) + j], row, row);
                    }
                }
            }

            Matrix<double> s = Matrix<double>.Build.Dense(3, 3, (i, k) => TensorPrimitives.Dot(slope.AsSpan(i * n, n), cross.AsSpan(k * n, n)) + (i == k ? PlaceSd * PlaceSd : 0));
            double[] weight = s.Inverse().ToRowMajorArray(), gain = new double[3 * n];
            for (int i = 0; i < 3; i++)
            {
                for (int k = 0; k < 3; k++)
                {
                    Span<double> row = gain.AsSpan(i * n, n);
                    TensorPrimitives.MultiplyAdd(cross.AsSpan(k * n, n), weight[(3 * i) + k], row, row);
                }
            }

            return new(slope, gain, weight, () =>
            {
                double[] after = (double[])covariance.Clone();
                for (int j = 0; j < n; j++)
                {
                    Span<double> row = after.AsSpan(j * n, n);
                    for (int i = 0; i < 3; i++)
                    {
                        TensorPrimitives.MultiplyAdd(cross.AsSpan(i * n, n), -gain[(i * n) + j], row, row);
                    }
                }

                return after;
            });
        }

        public (double X, double Y, double Z) Predict(double[] x) =>
            (TensorPrimitives.Dot(Slope.AsSpan(0, x.Length), x), TensorPrimitives.Dot(Slope.AsSpan(x.Length, x.Length), x), TensorPrimitives.Dot(Slope.AsSpan(2 * x.Length, x.Length), x));

        public double Surprise((double X, double Y, double Z) e) =>
            (e.X * ((Weight[0] * e.X) + (Weight[1] * e.Y) + (Weight[2] * e.Z)))
            + (e.Y * ((Weight[3] * e.X) + (Weight[4] * e.Y) + (Weight[5] * e.Z)))
            + (e.Z * ((Weight[6] * e.X) + (Weight[7] * e.Y) + (Weight[8] * e.Z)));

        public double[] Apply(double[] x, (double X, double Y, double Z) e)
        {
            int n = x.Length;
            double[] y = new double[n];
            for (int i = 0; i < n; i++)
            {
                y[i] = x[i] + (Gain[i] * e.X) + (Gain[n + i] * e.Y) + (Gain[(2 * n) + i] * e.Z);
            }

            return y;
        }
    }

    /// <summary>Derivatives of each line's three offsets with respect to the free parameters: one 3 x n matrix a line, row by row.</summary>
    private static double[][] Slopes(RingModel model, double[] p, double[] priorSd, int[] free, List<Choice> choices)
    {
        double[][] slopes = [.. choices.Select(_ => new double[3 * free.Length])];
        for (int j = 0; j < free.Length; j++)
        {
            double h = Math.Max(1e-6, 1e-3 * Math.Min(priorSd[free[j]], 1));
            double[] q = (double[])p.Clone();
            q[free[j]] += h;
            double[] moved = Offsets(model, q, p, choices);
            for (int i = 0; i < moved.Length; i++)
            {
                slopes[i / 3][((i % 3) * free.Length) + j] = moved[i] / h;
            }
        }

        return slopes;
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
