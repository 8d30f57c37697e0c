using System.Globalization;
using HoopCheck.Rules;
using NetTopologySuite.Geometries;
using NetTopologySuite.Geometries.Utilities;

namespace HoopCheck.Planning.Fills;

/// <summary>One line of a drawing, in mm.</summary>
/// <param name="Xs">x of its points.</param>
/// <param name="Ys">y of its points.</param>
/// <param name="Closed">Whether its end is joined to its beginning.</param>
internal readonly record struct DrawnLine(double[] Xs, double[] Ys, bool Closed);

/// <summary>
/// Draws lines, curves and arcs in user units as lines in mm. Curves are cut so that no chord is farther than
/// <see cref="Tolerances.CurveFlatnessMm"/> from its curve.
/// </summary>
/// <param name="limits">Flatness and the most points.</param>
internal sealed class FillPen(Tolerances limits)
{
    private readonly List<DrawnLine> _lines = [];
    private readonly List<double> _xs = [], _ys = [];
    private readonly Coordinate _mapped = new();
    private double _x, _y, _startX, _startY;
    private bool _open;

    /// <summary>From user units to mm.</summary>
    public AffineTransformation ToMm { get; set; } = new();

    /// <summary>Points drawn up to now.</summary>
    public int Points { get; private set; }

    /// <summary>Ends the line in hand and gives all lines up to now, at least two points each.</summary>
    public List<DrawnLine> Lines()
    {
        End(closed: false);
        return _lines;
    }

    /// <summary>Begins a line.</summary>
    public void Move(double x, double y)
    {
        End(closed: false);
        (_x, _y, _startX, _startY) = (x, y, x, y);
    }

    /// <summary>Joins the end to the beginning.</summary>
    public void Close()
    {
        End(closed: true);
        (_x, _y) = (_startX, _startY);
    }

    /// <summary>A straight line.</summary>
    public void Line(double x, double y)
    {
        Begin();
        Put(Map(x, y));
        (_x, _y) = (x, y);
    }

    private (double X, double Y) Map(double x, double y)
    {
        (_mapped.X, _mapped.Y) = (x, y);
        ToMm.Transform(_mapped, _mapped);
        return (_mapped.X, _mapped.Y);
    }

    /// <summary>A cubic Bézier curve.</summary>
    public void Cubic(double x1, double y1, double x2, double y2, double x, double y)
    {
        Begin();
        (double px, double py) = Map(_x, _y);
        (double ax, double ay) = Map(x1, y1);
        (double bx, double by) = Map(x2, y2);
        (double qx, double qy) = Map(x, y);

        // n chords stay within max|second difference|·6/8/n² of the curve (Wang's formula, degree 3).
        double bend = Math.Max(
            Hypot(px - (2 * ax) + bx, py - (2 * ay) + by),
            Hypot(ax - (2 * bx) + qx, ay - (2 * by) + qy));
        int n = Pieces(0.75 * bend);
        for (int i = 1; i <= n; i++)
        {
            double t = (double)i / n, u = 1 - t, b0 = u * u * u, b1 = 3 * u * u * t, b2 = 3 * u * t * t, b3 = t * t * t;
            Put(i == n ? (qx, qy) : ((b0 * px) + (b1 * ax) + (b2 * bx) + (b3 * qx), (b0 * py) + (b1 * ay) + (b2 * by) + (b3 * qy)));
        }

        (_x, _y) = (x, y);
    }

    /// <summary>A quadratic Bézier curve: raised to a cubic one, which is exact.</summary>
    public void Quadratic(double cx, double cy, double x, double y) => Cubic(
        _x + (2 * (cx - _x) / 3), _y + (2 * (cy - _y) / 3), x + (2 * (cx - x) / 3), y + (2 * (cy - y) / 3), x, y);

    /// <summary>An elliptical arc, from end points to centre after SVG 2, B.2.4, radii corrected after B.2.5.</summary>
    public void Arc(double rx, double ry, double degrees, bool large, bool sweep, double x, double y)
    {
        (rx, ry) = (Math.Abs(rx), Math.Abs(ry));
        if (x == _x && y == _y)
        {
            return;
        }

        if (rx == 0 || ry == 0)
        {
            Line(x, y);
            return;
        }

        (double sin, double cos) = Math.SinCos(degrees % 360 * Math.PI / 180);
        double dx = (_x - x) / 2, dy = (_y - y) / 2, x1 = (cos * dx) + (sin * dy), y1 = (cos * dy) - (sin * dx);
        double grow = Math.Sqrt((x1 * x1 / (rx * rx)) + (y1 * y1 / (ry * ry)));
        if (grow > 1)
        {
            (rx, ry) = (rx * grow, ry * grow);
        }

        double down = (rx * rx * y1 * y1) + (ry * ry * x1 * x1);
        double root = Math.Sqrt(Math.Max(0, ((rx * rx * ry * ry) - down) / down)) * (large == sweep ? -1 : 1);
        double cx1 = root * rx * y1 / ry, cy1 = -root * ry * x1 / rx;
        double cx = (cos * cx1) - (sin * cy1) + ((_x + x) / 2), cy = (sin * cx1) + (cos * cy1) + ((_y + y) / 2);
        double from = Math.Atan2((y1 - cy1) / ry, (x1 - cx1) / rx), to = Math.Atan2((-y1 - cy1) / ry, (-x1 - cx1) / rx);
        double turn = to - from;
        turn += sweep && turn < 0 ? 2 * Math.PI : !sweep && turn > 0 ? -2 * Math.PI : 0;

        // Eighths of a circle: a cubic then leaves the circle by 4 millionths of its radius.
        int n = Math.Max(1, (int)Math.Ceiling(Math.Abs(turn) / (Math.PI / 4)));
        double step = turn / n, k = 4.0 / 3 * Math.Tan(step / 4);
        for (int i = 0; i < n; i++)
        {
            (double s0, double c0) = Math.SinCos(from + (i * step));
            (double s1, double c1) = Math.SinCos(from + ((i + 1) * step));
            (double ax, double ay) = On(c0 - (k * s0), s0 + (k * c0));
            (double bx, double by) = On(c1 + (k * s1), s1 - (k * c1));
            (double ex, double ey) = i == n - 1 ? (x, y) : On(c1, s1);
            Cubic(ax, ay, bx, by, ex, ey);
        }

        (double, double) On(double u, double v) => ((cos * rx * u) - (sin * ry * v) + cx, (sin * rx * u) + (cos * ry * v) + cy);
    }

    private static double Hypot(double x, double y) => Math.Sqrt((x * x) + (y * y));

    private int Pieces(double bend)
    {
        double n = Math.Ceiling(Math.Sqrt(bend / limits.CurveFlatnessMm));
        return n < limits.LargestFillPoints ? Math.Max(1, (int)n) : throw TooMany();
    }

    private void Begin()
    {
        if (!_open)
        {
            _open = true;
            Put(Map(_x, _y));
        }
    }

    private void Put((double X, double Y) p)
    {
        if (++Points > limits.LargestFillPoints)
        {
            throw TooMany();
        }

        if (!(Math.Abs(p.X) < 1e6 && Math.Abs(p.Y) < 1e6))
        {
            throw new SvgFailureException(Problems.FillFileAbsurd, "It reaches a kilometre and more from its middle.");
        }

        _xs.Add(p.X);
        _ys.Add(p.Y);
    }

    private void End(bool closed)
    {
        if (_open && _xs.Count > 1)
        {
            _lines.Add(new([.. _xs], [.. _ys], closed));
        }

        _open = false;
        _xs.Clear();
        _ys.Clear();
    }

    private SvgFailureException TooMany() => new(
        Problems.FillFileTooLarge,
        string.Create(CultureInfo.InvariantCulture, $"It has more than {limits.LargestFillPoints} points."));
}
