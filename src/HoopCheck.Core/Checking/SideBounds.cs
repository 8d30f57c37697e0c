using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Checking;

/// <summary>A box of changes as one side sees it, mm: every change between the ends, both included. Moves are from where the fill is, growths of its whole size.</summary>
/// <param name="MoveFrom">Move outward, towards the side.</param>
/// <param name="MoveTo">Its other end.</param>
/// <param name="AlongFrom">Move along the side.</param>
/// <param name="AlongTo">Its other end.</param>
/// <param name="DeepFrom">Growth of the size that lies across the side.</param>
/// <param name="DeepTo">Its other end.</param>
/// <param name="LongFrom">Growth of the size that lies along the side.</param>
/// <param name="LongTo">Its other end.</param>
internal readonly record struct SideBox(
    double MoveFrom, double MoveTo, double AlongFrom, double AlongTo, double DeepFrom, double DeepTo, double LongFrom, double LongTo);

/// <summary>
/// What one side leaves of a box of changes at one turn: bounds that no change of the box can be outside of and hold. They are a relaxation,
/// never wrong and seldom wide: who is left inside is measured.
/// </summary>
internal abstract class SideBounds
{
    /// <summary>What must be left over everywhere, mm, so that numbers rounded to three decimals in a report still hold.</summary>
    public const double SlackMm = 0.001;

    private readonly TapeRow _row;
    private readonly double _enough;

    /// <param name="row">The tape.</param>
    /// <param name="fill">The fill at this turn, in its present size and place.</param>
    /// <param name="t">Limits.</param>
    protected SideBounds(TapeRow row, PlannedFill fill, Tolerances t)
    {
        (_row, _enough) = (row, t.EnoughSeenShare);
        Side side = row.Side;
        HoopVector n = side.Normal(), along = side.Along();
        CentreQ = (fill.Centre.X * n.X) + (fill.Centre.Y * n.Y);
        CentreS = (fill.Centre.X * along.X) + (fill.Centre.Y * along.Y);

        // What the turn beyond whole quarters makes of the facing edge.
        double angle = (fill.TurnDegrees - (90 * fill.QuarterTurns)) * Math.PI / 180;
        (double sin, Cos) = Math.SinCos(angle);
        Lean = side is Side.Left or Side.Top ? sin : -sin;
    }

    /// <summary>The samples.</summary>
    protected TapeSample[] Samples => _row.Samples;

    /// <summary>The fill's centre, outward, mm.</summary>
    protected double CentreQ { get; }

    /// <summary>The fill's centre along the side, mm.</summary>
    protected double CentreS { get; }

    /// <summary>Cosine of the turn beyond whole quarters.</summary>
    protected double Cos { get; }

    /// <summary>How much of a length along the facing edge goes outward: the sine, with the side's sign.</summary>
    protected double Lean { get; }

    /// <summary>Between which moves outward all changes of the box that hold must lie, mm; from is above to where there is none.</summary>
    public abstract (double From, double To) Room(in SideBox box);

    /// <summary>The samples around a stretch, one before and one behind it, where all of them and what lies between was read; otherwise null.</summary>
    protected (int Before, int After)? ReadBetween(double from, double to) => _row.ReadBetween(from, to);

    /// <summary>Nothing holds.</summary>
    protected static (double From, double To) Nothing => (double.PositiveInfinity, double.NegativeInfinity);

    /// <summary>
    /// The samples that every change of the box faces, trimmed to seen ones; false where too little is seen for any of them.
    /// </summary>
    /// <param name="coreFrom">The stretch that all face.</param>
    /// <param name="coreTo">Its other end.</param>
    /// <param name="wideFrom">The stretch that some face.</param>
    /// <param name="wideTo">Its other end.</param>
    /// <param name="shortest">The shortest stretch that any of them faces, mm.</param>
    /// <param name="first">First sample of the core; beyond <paramref name="last"/> where there is none.</param>
    /// <param name="last">Last one.</param>
    protected bool Facing(double coreFrom, double coreTo, double wideFrom, double wideTo, double shortest, out int first, out int last)
    {
        (first, last) = _row.SeenWithin(coreFrom, coreTo);
        return _row.SeenAtMost(wideFrom, wideTo) >= (_enough * shortest) - 1e-6;
    }
}

/// <summary>Largest value of any stretch of a row (a sparse table, made as far as it is asked for).</summary>
/// <param name="row">The values; not to be changed any more.</param>
internal sealed class StretchMax(double[] row)
{
    /// <summary>Questions that a plain look along the row answers before a table is worth its making.</summary>
    private const int Few = 3;

    private readonly List<double[]> _levels = [row];
    private int _asked;

    /// <summary>How many values there are.</summary>
    public int Length => row.Length;

    /// <summary>Largest value from one index to another, both included.</summary>
    public double Of(int first, int last)
    {
        if (last == first)
        {
            return row[first];
        }

        if (last - first > 8 && _asked++ < Few)
        {
            double most = row[first];
            for (int i = first + 1; i <= last; i++)
            {
                most = Math.Max(most, row[i]);
            }

            return most;
        }

        int k = System.Numerics.BitOperations.Log2((uint)(last - first + 1));
        while (_levels.Count <= k)
        {
            int wide = 1 << (_levels.Count - 1);
            double[] below = _levels[^1], level = new double[row.Length - (2 * wide) + 1];
            for (int i = 0; i < level.Length; i++)
            {
                level[i] = Math.Max(below[i], below[i + wide]);
            }

            _levels.Add(level);
        }

        double[] at = _levels[k];
        return Math.Max(at[first], at[last + 1 - (1 << k)]);
    }
}

/// <summary>A tape's samples as every search asks them.</summary>
internal sealed class TapeRow
{
    private readonly double[] _at, _seen;
    private readonly int[] _nextSeen, _lastSeen, _gaps;

    /// <param name="tape">The tape's edge.</param>
    /// <param name="t">Limits.</param>
    public TapeRow(TapeEdge tape, Tolerances t)
    {
        (Side, Samples) = (tape.Side, ClearanceCheck.Sound(tape));
        int count = Samples.Length;
        Within = new TapeSample[count + 2];
        _at = [.. Samples.Select(s => s.S)];
        (_seen, _nextSeen, _lastSeen, _gaps) = (new double[count + 1], new int[count + 1], new int[count + 1], new int[count]);
        _nextSeen[count] = count;
        _lastSeen[0] = -1;
        for (int i = 0; i < count; i++)
        {
            double step = i == 0 ? 0 : _at[i] - _at[i - 1];
            bool read = i > 0 && step <= t.LongestSampleStepMm;
            _seen[i + 1] = _seen[i] + (read ? step * ((Samples[i].Seen ? 0.5 : 0) + (Samples[i - 1].Seen ? 0.5 : 0)) : 0);
            _gaps[i] = (i == 0 ? 0 : _gaps[i - 1]) + (Samples[i].Seen && (i == 0 || (read && Samples[i - 1].Seen)) ? 0 : 1);
            _lastSeen[i + 1] = Samples[i].Seen ? i : _lastSeen[i];
            int k = count - 1 - i;
            _nextSeen[k] = Samples[k].Seen ? k : _nextSeen[k + 1];
        }
    }

    /// <summary>The tape's side.</summary>
    public Side Side { get; }

    /// <summary>Those that can be used, by rising S.</summary>
    public TapeSample[] Samples { get; }

    /// <summary>Room for the samples of a stretch, see <see cref="ClearanceCheck.Figures(ReadOnlySpan{TapeSample}, Side, PlannedFill, Tolerances, Span{TapeSample}, double)"/>.</summary>
    public TapeSample[] Within { get; }

    /// <summary>Places at which free shapes failed, the last one first: see <see cref="ShapeClearance.FailsAgain"/>.</summary>
    public List<int> Failed { get; } = [];

    /// <summary>The samples between two places, trimmed to seen ones; last is below first where there is none.</summary>
    public (int First, int Last) SeenWithin(double from, double to) => (_nextSeen[From(from)], _lastSeen[From(Math.BitIncrement(to))]);

    /// <summary>The samples around a stretch, one before and one behind it, where all of them and what lies between was read; otherwise null.</summary>
    public (int Before, int After)? ReadBetween(double from, double to)
    {
        int before = From(Math.BitIncrement(from)) - 1, after = Math.Max(From(to), before + 1);
        return before >= 0 && after < _at.Length && _gaps[after] == _gaps[before] ? (before, after) : null;
    }

    /// <summary>No less than the length that is seen between two places, mm.</summary>
    public double SeenAtMost(double from, double to)
    {
        int low = Math.Max(0, From(from) - 1), high = Math.Min(_at.Length - 1, From(to));
        return high > low ? _seen[high + 1] - _seen[low + 1] : 0;
    }

    /// <summary>The first sample at or beyond a place.</summary>
    private int From(double s)
    {
        int low = 0, high = _at.Length;
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = _at[middle] < s ? (middle + 1, high) : (low, middle);
        }

        return low;
    }
}
