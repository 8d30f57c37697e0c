using HoopCheck.Geometry;
using NetTopologySuite.Algorithm;
using NetTopologySuite.Geometries;
using NetTopologySuite.Index.Strtree;

namespace HoopCheck.Planning.Fills;

/// <summary>What the lines of a drawing stand for.</summary>
public enum FillKind
{
    /// <summary>The border of the stitched area.</summary>
    Outline,

    /// <summary>The stitches themselves: where the needle goes; the thread has a width.</summary>
    Stitches,
}

/// <summary>
/// A free shape in mm, x right and y up, about the middle of its own bounding box (thread not counted). Where it lies in the hoop
/// is <see cref="PlannedFill"/>'s to say. Never changes.
/// </summary>
public sealed class FillShape
{
    /// <summary>Segments in a run: short enough that its box says where it is, long enough that there are few of them.</summary>
    private const int RunLength = 16;

    private readonly double[] _xs, _ys;
    private readonly Lazy<STRtree<int>> _tree;
    private readonly Lazy<IReadOnlyList<HoopPoint>> _hull;

    private FillShape(double[] xs, double[] ys, IReadOnlyList<Range> lines, FillKind kind, double threadMm, double width, double height)
    {
        (_xs, _ys, Lines, Kind, ThreadMm, CoreWidth, CoreHeight) = (xs, ys, lines, kind, threadMm, width, height);
        Runs = [.. Cut(lines)];
        _tree = new(() =>
        {
            var tree = new STRtree<int>();
            for (int i = 0; i < Runs.Length; i++)
            {
                FillRun run = Runs[i];
                tree.Insert(new(run.Left, run.Right, run.Bottom, run.Top), i);
            }

            tree.Build();
            return tree;
        });
        _hull = new(() =>
        {
            var points = new Coordinate[_xs.Length];
            for (int i = 0; i < points.Length; i++)
            {
                points[i] = new(_xs[i], _ys[i]);
            }

            return [.. new ConvexHull(points, GeometryFactory.Default).GetConvexHull().Coordinates.Select(c => new HoopPoint(c.X, c.Y))];
        });
    }

    /// <summary>Outline or stitches.</summary>
    public FillKind Kind { get; }

    /// <summary>Width of the thread, mm; 0 for an outline. Half of it lies on either side of a stitch.</summary>
    public double ThreadMm { get; }

    /// <summary>Width of all points' bounding box, thread not counted, mm.</summary>
    public double CoreWidth { get; }

    /// <summary>Height of all points' bounding box, thread not counted, mm.</summary>
    public double CoreHeight { get; }

    /// <summary>Which points belong to one line. A closed line's first point stands again at its end.</summary>
    public IReadOnlyList<Range> Lines { get; }

    /// <summary>x of every point, mm.</summary>
    public ReadOnlySpan<double> Xs => _xs;

    /// <summary>y of every point, mm.</summary>
    public ReadOnlySpan<double> Ys => _ys;

    /// <summary>Pieces of lines that together hold every segment once.</summary>
    internal FillRun[] Runs { get; }

    /// <summary>Corners of the convex hull, mm.</summary>
    public IReadOnlyList<HoopPoint> Hull => _hull.Value;

    /// <summary>Makes a shape of lines in mm, y up, and says where the middle of their bounding box is.</summary>
    /// <param name="lines">At least one, of at least two points each; closed ones end where they begin.</param>
    /// <param name="kind">Outline or stitches.</param>
    /// <param name="threadMm">Width of the thread, mm, 0 or more; not used for an outline.</param>
    /// <exception cref="ArgumentException">No line, a line of one point, or a coordinate that is not finite.</exception>
    public static (FillShape Shape, HoopPoint Middle) Of(IReadOnlyList<IReadOnlyList<HoopPoint>> lines, FillKind kind, double threadMm)
    {
        ArgumentNullException.ThrowIfNull(lines);
        ArgumentOutOfRangeException.ThrowIfNegative(threadMm);
        if (lines.Count == 0 || lines.Any(line => line.Count < 2))
        {
            throw new ArgumentException("A shape needs a line, and a line two points.", nameof(lines));
        }

        int n = lines.Sum(line => line.Count), at = 0;
        double[] xs = new double[n], ys = new double[n];
        var ranges = new List<Range>(lines.Count);
        foreach (IReadOnlyList<HoopPoint> line in lines)
        {
            ranges.Add(at..(at + line.Count));
            for (int i = 0; i < line.Count; i++, at++)
            {
                (xs[at], ys[at]) = (line[i].X, line[i].Y);
            }
        }

        double left = xs.Min(), right = xs.Max(), bottom = ys.Min(), top = ys.Max();
        if (!double.IsFinite(right - left) || !double.IsFinite(top - bottom))
        {
            throw new ArgumentException("A coordinate is not finite.", nameof(lines));
        }

        HoopPoint middle = new((left + right) / 2, (bottom + top) / 2);
        for (int i = 0; i < n; i++)
        {
            xs[i] -= middle.X;
            ys[i] -= middle.Y;
        }

        return (new(xs, ys, ranges, kind, kind == FillKind.Stitches ? threadMm : 0, right - left, top - bottom), middle);
    }

    /// <summary>The runs whose box meets a box, in the shape's own mm.</summary>
    internal IList<int> RunsNear(double left, double bottom, double right, double top) => _tree.Value.Query(new Envelope(left, right, bottom, top));

    private IEnumerable<FillRun> Cut(IReadOnlyList<Range> lines)
    {
        foreach (Range line in lines)
        {
            for (int from = line.Start.Value, last = line.End.Value - 1; from < last; from += RunLength)
            {
                int to = Math.Min(from + RunLength, last);
                (double left, double right, double bottom, double top) = (_xs[from], _xs[from], _ys[from], _ys[from]);
                for (int k = from + 1; k <= to; k++)
                {
                    (left, right) = (Math.Min(left, _xs[k]), Math.Max(right, _xs[k]));
                    (bottom, top) = (Math.Min(bottom, _ys[k]), Math.Max(top, _ys[k]));
                }

                yield return new(from, to, left, right, bottom, top);
            }
        }
    }
}

/// <summary>A piece of a line with its box, mm.</summary>
/// <param name="From">Its first point.</param>
/// <param name="To">Its last point; the segments between are the run's.</param>
internal readonly record struct FillRun(int From, int To, double Left, double Right, double Bottom, double Top);
