using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.Vision.Frame;

/// <summary>
/// Finds the side of the ring that carries the attachment bar. Outside each side the picture is unrolled into cells of the plane at
/// the bar's height, and every cell is asked how much likelier its colour is on a bar (the colour of that side's ring top, or dark
/// and neutral) than on the cloth about it. The best box of a bar's measures is then sought on each side; a bar is either dark, or
/// of ring colour with rows that are dark along most of their length (the strip).
/// </summary>
internal static class AttachmentFinder
{
    /// <summary>Size of a cell, mm.</summary>
    private const double Cell = 1.5;

    /// <summary>Where the first row of cells lies outside the ring's outer edge, mm: past its rounding and the ruler's error.</summary>
    private const double Clear = 2;

    /// <summary>Breadth of a ring that nobody measured, mm.</summary>
    private const double UsualBreadth = 20;

    /// <summary>Depth of a bar, smallest, largest, and how far beyond it the picture is looked at, mm outside the ring.</summary>
    private const double Shallowest = 14, Deepest = 36, Reach = 64;

    /// <summary>Shortest and longest bar, and how far from the side's middle its own may lie, in lengths of the side.</summary>
    private const double Shortest = 0.33, Longest = 0.53, OffCentre = 0.09;

    /// <summary>A latch with its knob, the other thing a ring carries: shortest, longest, shallowest and deepest, mm; how far from the side's middle, in lengths of the side.</summary>
    private const double LatchShortest = 20, LatchLongest = 40, Knob = 12, LatchShallowest = 8, LatchDeepest = 18, LatchOffCentre = 0.36;

    /// <summary>Part of a bar's length that its dark strip takes.</summary>
    private const double StripLength = 0.8;

    /// <summary>Breadth of the margin in which a bar must have ended, mm.</summary>
    private const double Margin = 6;

    /// <summary>Most that one cell can say, nats: print, screws and glare are in no model.</summary>
    private const double Most = 4;

    /// <summary>Lightness (L of CIELAB) that black plastic reaches in bright light, and how far above the darkest seen it may lie in haze.</summary>
    private const double DarkUpTo = 30, Haze = 12;

    /// <summary>Area over which neighbouring cells say the same thing over again, mm². Set by how often confident answers are right.</summary>
    private const double Patch = 90;

    /// <summary>Share of photos in which the bar does not show as such: under a fold or a hand. Where every side speaks against a bar, it may be any.</summary>
    private const double Hidden = 0.03;

    /// <summary>Share of photos in which something other than colour decides, so that no answer is surer than this leaves.</summary>
    private const double Doubt = 0.01;

    /// <summary>Where the bar is.</summary>
    /// <param name="QuarterTurns">Quarter turns counter-clockwise by which the hoop's axes must be turned for the bar to be at the left.</param>
    /// <param name="Confidence">About the probability of that being right, 0 to 1.</param>
    /// <param name="ScoreBySide">Evidence for a bar, nats, by (int)Side of the labelling given; negative speaks against one; NaN where the opening's shape allows none.</param>
    internal sealed record Found(int QuarterTurns, double Confidence, double[] ScoreBySide);

    /// <summary>Finds the bar.</summary>
    /// <param name="picture">The photo at working size.</param>
    /// <param name="camera">The fitted camera, right up to quarter turns of the hoop.</param>
    /// <param name="hoop">The hoop as measured.</param>
    internal static Found Find(LabPicture picture, CameraPose camera, HoopSpec hoop)
    {
        bool square = Math.Abs(hoop.OpeningWidth - hoop.OpeningHeight) < 0.5;
        Side[] sides = square ? [Side.Left, Side.Right, Side.Top, Side.Bottom] : [Side.Left, Side.Right];
        var strips = sides.Select(s => new Unrolled(picture, camera, hoop, s)).ToArray();
        var everywhere = new Colours();
        Lab[] ring = [.. strips.SelectMany(s => s.Ring)];
        foreach (Unrolled strip in strips)
        {
            everywhere.Add(strip.Cloth, 1.0 / strips.Length);
        }

        double black = Math.Min(Darkest(strips), 40);
        double[] scores = [double.NaN, double.NaN, double.NaN, double.NaN];
        foreach (Unrolled strip in strips)
        {
            scores[(int)strip.Side] = strip.Evidence(everywhere, ring, black) * Cell * Cell / Patch;
        }

        Side best = sides.MaxBy(s => scores[(int)s]);
        double Chance(Side s) => Math.Exp(scores[(int)s] - Math.Max(0, scores[(int)best])) + (Hidden * Math.Exp(-Math.Max(0, scores[(int)best])));
        double confidence = ((1 - Doubt) * Chance(best) / sides.Sum(Chance)) + (Doubt / sides.Length);
        return new(TurnsTo(best), confidence, scores);
    }

    /// <summary>Lightness that a hundredth of the cells lies below. Haze and stray light lift black: this tells how much.</summary>
    private static double Darkest(Unrolled[] strips)
    {
        int[] count = new int[101];
        int all = strips.Sum(s => s.CountLightness(count)), below = 0;
        for (int l = 0; l < count.Length; l++)
        {
            below += count[l];
            if (100 * below > all)
            {
                return l;
            }
        }

        return 0;
    }

    /// <summary>Quarter turns counter-clockwise that bring the axes' left to a side: after one, the hoop's left is what was its bottom.</summary>
    private static int TurnsTo(Side side) => side switch
    {
        Side.Left => 0,
        Side.Bottom => 1,
        Side.Right => 2,
        _ => 3,
    };

    /// <summary>Share of colours by cells of CIELAB, read and written with linear weights so that no border of a cell matters.</summary>
    private sealed class Colours
    {
        /// <summary>Size of a cell in L and in a and b, and their numbers.</summary>
        private const float StepL = 6, StepC = 5;
        private const int NumberL = 19, NumberC = 54;

        /// <summary>Share of any colour that no model foresees: all colours of photographed things, equally.</summary>
        public const double Any = 1.0 / 4000;

        private readonly float[] cells = new float[NumberL * NumberC * NumberC];
        private double total;

        public bool Empty => total <= 0;

        public void Add(in Lab c)
        {
            Span<int> at = stackalloc int[8];
            Span<float> weight = stackalloc float[8];
            Corners(c, at, weight);
            for (int i = 0; i < 8; i++)
            {
                cells[at[i]] += weight[i];
            }

            total++;
        }

        public void Add(Colours other, double weight)
        {
            if (other.Empty)
            {
                return;
            }

            float w = (float)(weight / other.total);
            for (int i = 0; i < cells.Length; i++)
            {
                cells[i] += w * other.cells[i];
            }

            total += weight;
        }

        /// <summary>The share of a colour, by its <see cref="Corners"/>.</summary>
        public double Share(ReadOnlySpan<int> at, ReadOnlySpan<float> weight)
        {
            float sum = 0;
            for (int i = 0; i < 8; i++)
            {
                sum += weight[i] * cells[at[i]];
            }

            return Empty ? 0 : sum / total;
        }

        /// <summary>The eight cells about a colour, and how much each counts.</summary>
        public static void Corners(in Lab c, Span<int> at, Span<float> weight)
        {
            float l = (c.L / StepL) + 0.5f, a = ((c.A + 128) / StepC) + 0.5f, b = ((c.B + 128) / StepC) + 0.5f;
            int li = (int)l, ai = (int)a, bi = (int)b;
            float fl = l - li, fa = a - ai, fb = b - bi;
            int p = (((li * NumberC) + ai) * NumberC) + bi;
            for (int i = 0; i < 8; i++)
            {
                int dl = i & 1, da = (i >> 1) & 1, db = i >> 2;
                at[i] = p + (((dl * NumberC) + da) * NumberC) + db;
                weight[i] = (dl == 0 ? 1 - fl : fl) * (da == 0 ? 1 - fa : fa) * (db == 0 ? 1 - fb : fb);
            }
        }
    }

    private readonly record struct Lab(float L, float A, float B);

    /// <summary>The neighbourhood of one side, in rows of cells outward from the ring.</summary>
    private sealed class Unrolled
    {
        private readonly double length;
        private readonly int rows, columns, middle;
        private readonly Lab[] colours;
        private readonly bool[] seen;

        public Unrolled(LabPicture picture, CameraPose camera, HoopSpec hoop, Side side)
        {
            Side = side;
            bool upright = side is Side.Left or Side.Right;
            length = upright ? hoop.OpeningHeight : hoop.OpeningWidth;
            double half = (upright ? hoop.OpeningWidth : hoop.OpeningHeight) / 2, breadth = hoop.FrameWidth ?? UsualBreadth, z = 0.9 * hoop.FrameHeight;
            rows = (int)Math.Ceiling((Reach - Clear) / Cell);
            middle = (int)Math.Ceiling(length / 2 / Cell);
            columns = (2 * middle) + 1;
            colours = new Lab[rows * columns];
            seen = new bool[rows * columns];
            for (int i = 0; i < rows; i++)
            {
                for (int j = 0; j < columns; j++)
                {
                    HoopPoint at = side.At(half + breadth + Clear + ((i + 0.5) * Cell), (j - middle) * Cell);
                    seen[(i * columns) + j] = See(picture, camera, at, z, out colours[(i * columns) + j]);
                }
            }

            var top = new List<Lab>();
            for (int i = 0; i < 24; i++)
            {
                double s = (((i + 0.5) / 24) - 0.5) * 0.6 * length;
                foreach (double q in new[] { 0.25, 0.75 })
                {
                    if (See(picture, camera, side.At(half + (q * breadth), s), hoop.FrameHeight, out Lab c))
                    {
                        top.Add(c);
                    }
                }
            }

            Ring = [.. top];
            int farthest = (int)((Deepest + Margin) / Cell), free = (int)((OffCentre + (Longest / 2)) * length / Cell);
            for (int i = 0; i < rows; i++)
            {
                for (int j = 0; j < columns; j++)
                {
                    if (seen[(i * columns) + j] && (i >= farthest || Math.Abs(j - middle) > free))
                    {
                        Cloth.Add(colours[(i * columns) + j]);
                    }
                }
            }
        }

        public Side Side { get; }

        /// <summary>Colours where no bar can be: beyond its depth and beyond its ends.</summary>
        public Colours Cloth { get; } = new();

        /// <summary>Colours of the ring's top along this side.</summary>
        public Lab[] Ring { get; }

        /// <summary>Counts the lightness of the cells that are seen.</summary>
        /// <returns>Their number.</returns>
        public int CountLightness(int[] count)
        {
            int all = 0;
            for (int i = 0; i < colours.Length; i++)
            {
                if (seen[i])
                {
                    count[Math.Clamp((int)colours[i].L, 0, count.Length - 1)]++;
                    all++;
                }
            }

            return all;
        }

        /// <summary>Log-likelihood ratio of the best bar against cloth alone, or cloth and a latch, in cells · nats.</summary>
        public double Evidence(Colours everywhere, Lab[] allRing, double black)
        {
            var top = new Colours();
            foreach (Lab c in Ring.Concat(allRing))
            {
                // The bar's top is lit much as the ring's, not exactly: glare and shadow move its lightness, hardly its colour.
                foreach (float d in new[] { -6f, 0f, 6f })
                {
                    top.Add(c with { L = Math.Clamp(c.L + d, 0, 100) });
                }
            }

            Span<int> at = stackalloc int[8];
            Span<float> weight = stackalloc float[8];
            int deep = (int)((Deepest + Margin) / Cell);
            double darkUpTo = Math.Max(DarkUpTo, black + Haze);
            double[] asRing = new double[deep * (columns + 1)], asDark = new double[deep * (columns + 1)], like = new double[deep * (columns + 1)];
            for (int i = 0; i < deep; i++)
            {
                int o = i * (columns + 1);
                for (int j = 0; j < columns; j++)
                {
                    double r = 0, d = 0;
                    int p = (i * columns) + j;
                    if (seen[p])
                    {
                        Lab c = colours[p];
                        Colours.Corners(c, at, weight);
                        double cloth = (0.7 * Cloth.Share(at, weight)) + (0.15 * everywhere.Share(at, weight)) + (0.15 * Colours.Any);
                        double dark = Dark(c, darkUpTo), ringTop = top.Empty ? Colours.Any : top.Share(at, weight);
                        r = Math.Clamp(Math.Log(((0.85 * ringTop) + (0.05 * dark) + (0.1 * Colours.Any)) / cloth), -Most, Most);
                        d = Math.Clamp(Math.Log(((0.9 * dark) + (0.1 * Colours.Any)) / cloth), -Most, Most);
                    }

                    asRing[o + j + 1] = asRing[o + j] + r;
                    asDark[o + j + 1] = asDark[o + j] + d;
                    like[o + j + 1] = like[o + j] + Math.Max(0, Math.Max(r, d));
                }
            }

            double best = double.NegativeInfinity;
            int margin = (int)(Margin / Cell), shallowest = (int)((Shallowest - Clear) / Cell), deepest = (int)((Deepest - Clear) / Cell);
            for (double l = Shortest; l <= Longest; l += Math.Max(0.01, Cell / length))
            {
                for (double m = -OffCentre; m <= OffCentre; m += Math.Max(0.01, Cell / length))
                {
                    int a = middle + (int)Math.Round((m - (l / 2)) * length / Cell), b = middle + (int)Math.Round((m + (l / 2)) * length / Cell);
                    int inset = (int)Math.Round((b - a) * (1 - StripLength) / 2);
                    double plain = 0, dark = 0, against = 0;
                    for (int i = 0; i < deepest; i++)
                    {
                        double row = Sum(asRing, i, a, b);
                        double strip = row + Sum(asDark, i, a + inset, b - inset) - Sum(asRing, i, a + inset, b - inset);
                        plain += Math.Max(row, strip);
                        dark += Sum(asDark, i, a, b);
                        against += Sum(like, i, a - margin, a) + Sum(like, i, b, b + margin) + Elsewhere(like, i, a, b);
                        if (i + 1 < shallowest)
                        {
                            continue;
                        }

                        double beyond = 0;
                        for (int k = i + 1; k <= i + margin; k++)
                        {
                            beyond += Sum(like, k, a, b);
                        }

                        best = Math.Max(best, Math.Max(plain, dark) - against - beyond);
                    }
                }
            }

            return best - Math.Max(BestLatch(asRing, like), BestLatch(asDark, like));
        }

        /// <summary>The most that a latch on cloth explains of this side, in cells · nats; 0 when there is none.</summary>
        private double BestLatch(double[] body, double[] like)
        {
            double best = 0;
            int shallowest = (int)((LatchShallowest - Clear) / Cell), deepest = (int)((LatchDeepest - Clear) / Cell);
            int off = (int)(LatchOffCentre * length / Cell), first = (int)(LatchShortest / Cell), last = (int)(LatchLongest / Cell), knob = (int)(Knob / Cell);
            int margin = (int)(Margin / Cell);
            for (int n = first; n <= last; n += 2)
            {
                for (int m = -off; m <= off; m += 2)
                {
                    int a = middle + m - (n / 2), b = a + n;
                    if (a < 0 || b > columns)
                    {
                        continue;
                    }

                    double sum = 0, left = 0, right = 0;
                    for (int i = 0; i < deepest; i++)
                    {
                        sum += Sum(body, i, a, b) - Elsewhere(like, i, a, b);
                        left += Sum(like, i, a - knob, a) - Sum(like, i, a - knob - margin, a - knob) - Sum(like, i, b, b + margin);
                        right += Sum(like, i, b, b + knob) - Sum(like, i, b + knob, b + knob + margin) - Sum(like, i, a - margin, a);
                        if (i + 1 >= shallowest)
                        {
                            double beyond = 0;
                            for (int k = i + 1; k <= i + margin; k++)
                            {
                                beyond += Sum(like, k, a, b);
                            }

                            best = Math.Max(best, sum + Math.Max(left, right) - beyond);
                        }
                    }
                }
            }

            return best;
        }

        /// <summary>Sum over a stretch of a row, from sums that run along it.</summary>
        private double Sum(double[] running, int row, int from, int to)
        {
            int o = row * (columns + 1);
            return running[o + Math.Clamp(to, 0, columns)] - running[o + Math.Clamp(from, 0, columns)];
        }

        /// <summary>What a stretch of a row would hold if it were like the rest of the row: shadows, the ring's wall and print run on.</summary>
        private double Elsewhere(double[] running, int row, int from, int to)
        {
            double rest = Sum(running, row, 0, columns) - Sum(running, row, from, to);
            return rest * (to - from) / Math.Max(1, columns - (to - from));
        }

        /// <summary>Share of a colour among dark neutral things: black plastic in any light, a little glare on it.</summary>
        private static double Dark(in Lab c, double upTo)
        {
            double l = Math.Max(0, c.L - upTo) / 8, chroma = ((c.A * c.A) + (c.B * c.B)) / (7.0 * 7.0);
            return Math.Exp(-0.5 * ((l * l) + chroma)) / 82;
        }

        private static bool See(LabPicture picture, CameraPose camera, HoopPoint at, double z, out Lab colour)
        {
            if (camera.Project(at, z) is { } p && picture.Sample(p.X, p.Y, out float l, out float a, out float b))
            {
                colour = new(l, a, b);
                return true;
            }

            colour = default;
            return false;
        }
    }
}
