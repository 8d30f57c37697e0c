using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>A turned rectangle on the canvas.</summary>
/// <param name="Centre">Its centre, px.</param>
/// <param name="Width">Along its own x, px.</param>
/// <param name="Height">Along its own y, px.</param>
/// <param name="Degrees">Turn, clockwise as the canvas sees it.</param>
internal readonly record struct Plate(SKPoint Centre, float Width, float Height, float Degrees)
{
    /// <summary>Whether a point lies inside, or no further than <paramref name="margin"/> px outside.</summary>
    public bool Contains(SKPoint p, float margin)
    {
        (float sin, float cos) = MathF.SinCos(Degrees * MathF.PI / 180);
        float dx = p.X - Centre.X, dy = p.Y - Centre.Y;
        return MathF.Abs((dx * cos) + (dy * sin)) <= (Width / 2) + margin && MathF.Abs((dy * cos) - (dx * sin)) <= (Height / 2) + margin;
    }

    /// <summary>Points spread over the plate, its corners among them.</summary>
    public IEnumerable<SKPoint> Spread()
    {
        (float sin, float cos) = MathF.SinCos(Degrees * MathF.PI / 180);
        int nx = Math.Max(2, (int)(Width / 24)), ny = Math.Max(2, (int)(Height / 24));
        for (int j = 0; j <= ny; j++)
        {
            for (int i = 0; i <= nx; i++)
            {
                float x = Width * (((float)i / nx) - 0.5f), y = Height * (((float)j / ny) - 0.5f);
                yield return new(Centre.X + (x * cos) - (y * sin), Centre.Y + (x * sin) + (y * cos));
            }
        }
    }
}

/// <summary>Finds places for labels where they hide the least: a choice among candidates by what each would cover.</summary>
/// <param name="bounds">Labels stay inside, px.</param>
internal sealed class Placement(SKRect bounds)
{
    private readonly List<Plate> _taken = [];
    private readonly List<(SKPoint Point, float Weight)> _keep = [];

    /// <summary>Names a line to be left free, with a weight for each 8 px of it that a label covers.</summary>
    public void Keep(IEnumerable<SKPoint?> line, float weight)
    {
        SKPoint? last = null;
        foreach (SKPoint? p in line)
        {
            if (p is { } b)
            {
                int n = last is { } a ? Math.Max(1, (int)((b - a).Length / 8)) : 1;
                for (int i = 1; i <= n; i++)
                {
                    SKPoint from = last ?? b;
                    _keep.Add((new(from.X + ((b.X - from.X) * i / n), from.Y + ((b.Y - from.Y) * i / n)), weight));
                }
            }

            last = p;
        }
    }

    /// <summary>Reserves a place.</summary>
    public void Take(Plate plate) => _taken.Add(plate);

    /// <summary>What of the lines to be left free a straight leader would run over.</summary>
    public float Crossed(SKPoint from, SKPoint to, float margin)
    {
        SKPoint d = to - from;
        var strip = new Plate(new((from.X + to.X) / 2, (from.Y + to.Y) / 2), d.Length, 0, MathF.Atan2(d.Y, d.X) * 180 / MathF.PI);
        return _keep.Where(k => strip.Contains(k.Point, margin)).Sum(k => k.Weight);
    }

    /// <summary>The cheapest candidate, or null when every one leaves the picture or lies on another label.</summary>
    /// <param name="candidates">Plates, each with a cost of its own.</param>
    /// <param name="margin">Free space wanted around it, px.</param>
    /// <param name="further">Further cost, asked only of candidates that may still win.</param>
    public Plate? Best(IEnumerable<(Plate Plate, float Cost)> candidates, float margin, Func<Plate, float>? further = null)
    {
        Plate? best = null;
        float least = float.MaxValue;
        foreach ((Plate plate, float own) in candidates)
        {
            if (own >= least)
            {
                continue;
            }

            List<SKPoint> spread = [.. plate.Spread()];
            if (spread.Exists(p => p.X < bounds.Left || p.X > bounds.Right || p.Y < bounds.Top || p.Y > bounds.Bottom)
                || _taken.Exists(t => Near(t, plate, margin) && spread.Exists(p => t.Contains(p, margin))))
            {
                continue;
            }

            float cost = own;
            foreach ((SKPoint p, float weight) in _keep)
            {
                if (plate.Contains(p, margin))
                {
                    cost += weight;
                }
            }

            if (cost < least && further is not null)
            {
                cost += further(plate);
            }

            if (cost < least)
            {
                (best, least) = (plate, cost);
            }
        }

        return best;
    }

    private static bool Near(Plate a, Plate b, float margin) =>
        (a.Centre - b.Centre).Length <= (MathF.Sqrt((a.Width * a.Width) + (a.Height * a.Height)) + MathF.Sqrt((b.Width * b.Width) + (b.Height * b.Height))) / 2 + (2 * margin);
}
