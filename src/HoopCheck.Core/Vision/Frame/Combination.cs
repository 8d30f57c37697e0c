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
        Matrix<double>[] slopes = Slopes(model, p, priorSd, free, choices);
        Matrix<double> start = Matrix<double>.Build.DenseOfDiagonalArray([.. free.Select(Variance)]);

        // Rotation and translation have no prior of their own; everything else is pulled towards its prior mean.
        double[] state = [.. free.Select(i => i < RingModel.LogFocal ? 0 : prior[i] - p[i])];
        bool[,]?[,] tables = Clashes(choices, clash);
        var updates = new Dictionary<(int Line, int Used), Update>();
        List<Partial> beam = [new Partial(0, [], 0, state, start)];
        for (int at = 0; at < choices.Count; at++)
        {
            Choice choice = choices[at];
            var next = new List<(double Cost, Partial From, int Reading, Update? Update, double[]? Innovation)>();
            foreach (Partial from in beam)
            {
                if (!updates.TryGetValue((at, from.Used), out Update? update))
                {
                    update = Update.Of(slopes[at], from.Covariance);
                    updates[(at, from.Used)] = update;
                }

                double[] predicted = update.Predict(from.State);
                for (int k = 0; k < choice.Readings.Count; k++)
                {
                    if (!Clashing(from.Pick, at, k))
                    {
                        double[] z = choice.Readings[k].Offsets;
                        double[] innovation = [z[0] - predicted[0], z[1] - predicted[1], z[2] - predicted[2]];
                        next.Add((from.Cost + choice.Readings[k].Cost + update.Surprise(innovation), from, k, update, innovation));
                    }
                }

                next.Add((from.Cost + choice.MissingCost, from, -1, null, null));
            }

            next.Sort((a, b) => a.Cost.CompareTo(b.Cost));
            beam = [.. next.Take(beamWidth).Where(c => c.Cost < next[0].Cost + Hopeless).Select(c => c.Update is { } u
                ? new Partial(c.Cost, [.. c.From.Pick, c.Reading], c.From.Used | (1 << at), u.Apply(c.From.State, c.Innovation!), u.After)
                : new Partial(c.Cost, [.. c.From.Pick, -1], c.From.Used, c.From.State, c.From.Covariance))];
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
    private sealed record Partial(double Cost, int[] Pick, int Used, double[] State, Matrix<double> Covariance);

    /// <summary>What using a line does to the state: independent of which of its readings is taken.</summary>
    private sealed record Update(Matrix<double> Slope, double[,] Gain, double[,] Weight, Matrix<double> After)
    {
        public static Update Of(Matrix<double> slope, Matrix<double> covariance)
        {
            Matrix<double> cross = covariance * slope.Transpose();
            Matrix<double> s = slope * cross;
            for (int i = 0; i < 3; i++)
            {
                s[i, i] += PlaceSd * PlaceSd;
            }

            Matrix<double> weight = s.Inverse(), gain = cross * weight;
            return new(slope, gain.ToArray(), weight.ToArray(), covariance - (gain * cross.Transpose()));
        }

        public double[] Predict(double[] x)
        {
            double[] y = new double[3];
            for (int i = 0; i < 3; i++)
            {
                for (int j = 0; j < x.Length; j++)
                {
                    y[i] += Slope[i, j] * x[j];
                }
            }

            return y;
        }

        public double Surprise(double[] e)
        {
            double sum = 0;
            for (int i = 0; i < 3; i++)
            {
                for (int j = 0; j < 3; j++)
                {
                    sum += e[i] * Weight[i, j] * e[j];
                }
            }

            return sum;
        }

        public double[] Apply(double[] x, double[] e)
        {
            double[] y = new double[x.Length];
            for (int i = 0; i < x.Length; i++)
            {
                y[i] = x[i] + (Gain[i, 0] * e[0]) + (Gain[i, 1] * e[1]) + (Gain[i, 2] * e[2]);
            }

            return y;
        }
    }

    /// <summary>Derivatives of each line's three offsets with respect to the free parameters: one 3 x n matrix a line.</summary>
    private static Matrix<double>[] Slopes(RingModel model, double[] p, double[] priorSd, int[] free, List<Choice> choices)
    {
        Matrix<double>[] slopes = [.. choices.Select(_ => Matrix<double>.Build.Dense(3, free.Length))];
        for (int j = 0; j < free.Length; j++)
        {
            double h = Math.Max(1e-6, 1e-3 * Math.Min(priorSd[free[j]], 1));
            double[] q = (double[])p.Clone();
            q[free[j]] += h;
            double[] moved = Offsets(model, q, p, choices);
            for (int i = 0; i < moved.Length; i++)
            {
                slopes[i / 3][i % 3, j] = moved[i] / h;
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
