using MathNet.Numerics.LinearAlgebra;

namespace HoopCheck.Checking;

/// <summary>What a linear least-squares fit found.</summary>
/// <param name="Solution">The parameters, in the order of the design's columns.</param>
/// <param name="Covariance">Of the parameters, in their units.</param>
/// <param name="ResidualVariance">Weighted sum of squared residuals over the degrees of freedom; NaN when none is left.</param>
/// <param name="DegreesOfFreedom">Observations less parameters.</param>
public sealed record LeastSquaresFit(double[] Solution, double[,] Covariance, double ResidualVariance, int DegreesOfFreedom)
{
    /// <summary>The value of a linear function of the parameters.</summary>
    /// <param name="gradient">The function's derivative by each parameter.</param>
    public double Predict(double[] gradient)
    {
        Check(gradient);
        double sum = 0;
        for (int i = 0; i < gradient.Length; i++)
        {
            sum += gradient[i] * Solution[i];
        }

        return sum;
    }

    /// <summary>Standard uncertainty of a function of the parameters (JCGM 100:2008, 5.2.2), correlations included.</summary>
    /// <param name="gradient">The function's derivative by each parameter.</param>
    public double Propagate(double[] gradient)
    {
        Check(gradient);
        double sum = 0;
        for (int i = 0; i < gradient.Length; i++)
        {
            for (int j = 0; j < gradient.Length; j++)
            {
                sum += gradient[i] * Covariance[i, j] * gradient[j];
            }
        }

        return Math.Sqrt(Math.Max(0, sum));
    }

    private void Check(double[] gradient)
    {
        ArgumentNullException.ThrowIfNull(gradient);
        if (gradient.Length != Solution.Length)
        {
            throw new ArgumentException($"{Solution.Length} derivatives are needed, not {gradient.Length}.", nameof(gradient));
        }
    }
}

/// <summary>General linear least squares with covariance.</summary>
public static class LeastSquares
{
    /// <summary>Finds the parameters p that make design·p nearest to the values.</summary>
    /// <param name="design">One row an observation, one column a parameter.</param>
    /// <param name="values">The observations.</param>
    /// <param name="sigmas">
    /// Each observation's standard uncertainty. Where given, they are believed and the covariance follows from them alone;
    /// null: all alike and unknown, and the covariance takes their size from the residuals.
    /// </param>
    /// <returns>The fit, or null where the observations do not determine every parameter (and, without sigmas, its uncertainty).</returns>
    public static LeastSquaresFit? Solve(double[,] design, double[] values, double[]? sigmas = null)
    {
        ArgumentNullException.ThrowIfNull(design);
        ArgumentNullException.ThrowIfNull(values);
        int rows = design.GetLength(0), columns = design.GetLength(1);
        if (values.Length != rows || (sigmas is not null && sigmas.Length != rows))
        {
            throw new ArgumentException($"The design has {rows} rows; values and sigmas must have as many.", nameof(values));
        }

        if (sigmas is not null && sigmas.Any(s => !(s > 0)))
        {
            throw new ArgumentException("Standard uncertainties must be above zero.", nameof(sigmas));
        }

        int freedom = rows - columns;
        if (columns == 0 || freedom < (sigmas is null ? 1 : 0))
        {
            return null;
        }

        var a = Matrix<double>.Build.Dense(rows, columns, (i, j) => design[i, j] / (sigmas?[i] ?? 1));
        var b = Vector<double>.Build.Dense(rows, i => values[i] / (sigmas?[i] ?? 1));

        // Columns in very different units (mm beside mm²) must not look like a lack of rank.
        var norms = a.ColumnNorms(2);
        if (norms.Any(n => !(n > 0) || !double.IsFinite(n)))
        {
            return null;
        }

        for (int j = 0; j < columns; j++)
        {
            a.SetColumn(j, a.Column(j) / norms[j]);
        }

        var qr = a.QR(MathNet.Numerics.LinearAlgebra.Factorization.QRMethod.Thin);
        var r = qr.R;
        if (r.Diagonal().AbsoluteMinimum() < 1e-10)
        {
            return null;
        }

        var scaled = r.Solve(qr.Q.TransposeThisAndMultiply(b));
        double squares = (b - (a * scaled)).L2Norm();
        squares *= squares;
        double variance = freedom > 0 ? squares / freedom : double.NaN;
        var inverse = r.Inverse();
        var covariance = inverse * inverse.Transpose() * (sigmas is null ? variance : 1);

        var solution = new double[columns];
        var result = new double[columns, columns];
        for (int i = 0; i < columns; i++)
        {
            solution[i] = scaled[i] / norms[i];
            for (int j = 0; j < columns; j++)
            {
                result[i, j] = covariance[i, j] / (norms[i] * norms[j]);
            }
        }

        return new(solution, result, variance, freedom);
    }
}
