using HoopCheck.Geometry;
using HoopCheck.Vision;

namespace HoopCheck.Tests.Scenes;

/// <summary>What a ray meets.</summary>
public enum Face
{
    Fabric,
    Tape,
    RingTop,
    Bevel,
    InnerWall,
    OuterWall,
    Bar,
    BarStrip,
    Cover,
    Card,
}

/// <summary>
/// Draws a <see cref="Scene"/> by casting rays: four a pixel, sixteen where those four differ; light is summed linear,
/// blurred linear, and only then coded as sRGB, with noise added to the codes. The same scene and seed give the same bytes.
/// The lens's distortion is inverted by Newton's method on the radius, not by the code under test.
/// </summary>
public static class SceneRenderer
{
    private static readonly (double X, double Y)[] Four = [(-0.125, -0.375), (0.375, -0.125), (0.125, 0.375), (-0.375, 0.125)];

    private static readonly (double X, double Y)[] Sixteen =
        [.. from i in Enumerable.Range(0, 16) select (((i % 4) + 0.5 + ((i / 4) - 1.5) / 8) / 4 - 0.5, ((i / 4) + 0.5 + ((i % 4) - 1.5) / 8) / 4 - 0.5)];

    private static readonly float[] Codes = [.. Enumerable.Range(0, 65536).Select(i => (float)(255 * Coded(i / 65535.0)))];

    private static readonly float[] Normal = MakeNormal();

    /// <summary>Takes the photo.</summary>
    public static Photograph Render(Scene scene, int seed)
    {
        int width = scene.PhotoWidth, height = scene.PhotoHeight;
        var light = new float[width * height * 3];
        var tracer = new Tracer(scene);
        Parallel.For(0, height, y =>
        {
            Span<Paint> few = stackalloc Paint[4];
            for (int x = 0; x < width; x++)
            {
                double r = 0, g = 0, b = 0, spread = 0;
                for (int i = 0; i < 4; i++)
                {
                    few[i] = tracer.Colour(x + Four[i].X, y + Four[i].Y);
                    (r, g, b) = (r + few[i].R, g + few[i].G, b + few[i].B);
                    spread = Math.Max(spread, Math.Abs(few[i].R - few[0].R) + Math.Abs(few[i].G - few[0].G) + Math.Abs(few[i].B - few[0].B));
                }

                double n = 4;
                if (spread > 0.01)
                {
                    (r, g, b, n) = (0, 0, 0, 16);
                    foreach ((double dx, double dy) in Sixteen)
                    {
                        Paint p = tracer.Colour(x + dx, y + dy);
                        (r, g, b) = (r + p.R, g + p.G, b + p.B);
                    }
                }

                int at = ((y * width) + x) * 3;
                light[at] = (float)(b / n);
                light[at + 1] = (float)(g / n);
                light[at + 2] = (float)(r / n);
            }
        });

        Blur(light, width, height, scene.BlurPx);
        byte[] bgr = Code(light, width, height, scene.NoiseCodes, seed);
        return new(new("JPEG", width, height, 1, null, scene.Focal35Mm, null), new(bgr, width, height, 1));
    }

    /// <summary>What is seen at a place in the photo.</summary>
    public static Face FaceAt(Scene scene, PhotoPoint p) => new Tracer(scene).Meet(p.X, p.Y).Face;

    private static void Blur(float[] light, int width, int height, double sigma)
    {
        if (sigma <= 0)
        {
            return;
        }

        int reach = (int)Math.Ceiling(3.5 * sigma);
        float[] kernel = [.. Enumerable.Range(-reach, (2 * reach) + 1).Select(i => (float)Math.Exp(-i * i / (2 * sigma * sigma)))];
        float sum = kernel.Sum();
        kernel = [.. kernel.Select(k => k / sum)];
        var middle = new float[light.Length];
        Pass(light, middle, height, width, width * 3, 3);
        Pass(middle, light, width, height, 3, width * 3);

        void Pass(float[] from, float[] to, int lines, int length, int lineStep, int step) => Parallel.For(0, lines, line =>
        {
            for (int i = 0; i < length; i++)
            {
                float b = 0, g = 0, r = 0;
                for (int k = -reach; k <= reach; k++)
                {
                    int at = (line * lineStep) + (Math.Clamp(i + k, 0, length - 1) * step);
                    float w = kernel[k + reach];
                    b += w * from[at];
                    g += w * from[at + 1];
                    r += w * from[at + 2];
                }

                int target = (line * lineStep) + (i * step);
                (to[target], to[target + 1], to[target + 2]) = (b, g, r);
            }
        });
    }

    private static byte[] Code(float[] light, int width, int height, double noise, int seed)
    {
        var bgr = new byte[light.Length];
        Parallel.For(0, height, y =>
        {
            ulong state = (unchecked((ulong)((seed * 7919) + y)) * 0x9E3779B97F4A7C15) | 1;
            for (int i = y * width * 3; i < (y + 1) * width * 3; i++)
            {
                // Xorshift: quick, and its high bits are good enough to pick from a table.
                state ^= state << 13;
                state ^= state >> 7;
                state ^= state << 17;
                double coded = Codes[(int)Math.Clamp((light[i] * 65535) + 0.5, 0, 65535)];
                bgr[i] = (byte)Math.Clamp(coded + (noise * Normal[(int)(state >> 51)]) + 0.5, 0, 255);
            }
        });
        return bgr;
    }

    /// <summary>IEC 61966-2-1, written out here so that a mistake in the library's table cannot hide.</summary>
    private static double Coded(double v) => v <= 0 ? 0 : v >= 1 ? 1 : v <= 0.0031308 ? 12.92 * v : (1.055 * Math.Pow(v, 1 / 2.4)) - 0.055;

    private static float[] MakeNormal()
    {
        // Box and Muller, 8192 fixed draws.
        var random = new Random(1);
        return [.. Enumerable.Range(0, 8192).Select(_ => (float)(Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble())))];
    }

    private sealed class Tracer
    {
        private const double BarDepth = 25;
        private readonly Scene scene;
        private readonly Ring ring;
        private readonly Paint ringColour;
        private readonly double cx, cy, cz, fabricCos, fabricSin;
        private readonly double outerOffset, barRight, barLeft, barHalf;

        public Tracer(Scene scene)
        {
            this.scene = scene;
            ring = scene.Ring;
            ringColour = ring.Colour ?? Paint.White;
            (cx, cy, cz) = scene.Camera.Centre;
            fabricCos = Math.Cos(scene.Fabric.AngleDegrees * Math.PI / 180);
            fabricSin = Math.Sin(scene.Fabric.AngleDegrees * Math.PI / 180);
            outerOffset = ring.TopOffset + ring.Width;
            barRight = -(ring.OpeningWidth / 2) - (outerOffset / 2);
            barLeft = -(ring.OpeningWidth / 2) - outerOffset - BarDepth;
            barHalf = 0.2 * ring.OpeningHeight;
        }

        public Paint Colour(double px, double py)
        {
            (Face face, double x, double y) = Meet(px, py);
            Paint p = face switch
            {
                Face.Fabric => Print(x, y),
                Face.Tape => scene.Tapes.First(t => On(t, x, y)).Colour,
                Face.Card => scene.Cards.First(c => c.Covers(x, y)).Colour,
                Face.RingTop or Face.Bar => ringColour,
                Face.Bevel => ringColour * 1.2,
                Face.Cover => Shaded(scene.Covers.First(c => c.Outward(x, y) <= 1), x, y),

                // A lamp at the upper right: walls that face it are brighter.
                Face.InnerWall => ringColour * (0.55 + (0.1 * Lit(-x, -y))),
                Face.OuterWall => ringColour * (0.5 + (0.1 * Lit(x, y))),
                _ => Paint.Dark,
            };
            if (scene.Shadow is { } shadow && face is Face.Fabric or Face.Tape)
            {
                // Between the two outlines of the ring, moved: towards the lamp lies ring.
                double fromX = x - shadow.X, fromY = y - shadow.Y;
                double within = Math.Min(ring.Outside(fromX, fromY, 0), -ring.Outside(fromX, fromY, outerOffset));
                double t = Math.Clamp((within / shadow.SoftMm) + 0.5, 0, 1);
                p *= 1 - (shadow.Depth * t * t * (3 - (2 * t)));
            }

            return p * (scene.Exposure * Math.Max(0.1, 1 + (scene.LightGradient * (x - (y / 2)) / 100)));
        }

        public (Face Face, double X, double Y) Meet(double px, double py)
        {
            CameraPose c = scene.Camera;
            double xd = (px - c.Cx) / c.Focal, yd = (py - c.Cy) / c.Focal;
            double rd = Math.Sqrt((xd * xd) + (yd * yd)), r = rd;
            for (int i = 0; i < 5 && rd > 0; i++)
            {
                double r2 = r * r;
                r -= ((r * (1 + (r2 * (c.K1 + (c.K2 * r2))))) - rd) / (1 + (r2 * ((3 * c.K1) + (5 * c.K2 * r2))));
            }

            double k = rd > 0 ? r / rd : 1, x = xd * k, y = yd * k;
            double dx = (c.R[0] * x) + (c.R[3] * y) + c.R[6], dy = (c.R[1] * x) + (c.R[4] * y) + c.R[7], dz = (c.R[2] * x) + (c.R[5] * y) + c.R[8];
            if (dz > -1e-3)
            {
                return (Face.Fabric, 0, 0);
            }

            foreach (Cover cover in scene.Covers)
            {
                double over = (cover.HeightMm - cz) / dz;
                if (cover.Outward(cx + (over * dx), cy + (over * dy)) <= 1)
                {
                    return (Face.Cover, cx + (over * dx), cy + (over * dy));
                }
            }

            double top = (ring.Height - cz) / dz, floor = -cz / dz;
            double tx = cx + (top * dx), ty = cy + (top * dy), fx = cx + (floor * dx), fy = cy + (floor * dy);
            double inner = ring.Outside(tx, ty, ring.TopOffset);
            if (inner >= 0)
            {
                if (ring.Outside(tx, ty, outerOffset) <= 0)
                {
                    return (inner < ring.BevelMm ? Face.Bevel : Face.RingTop, tx, ty);
                }

                if (InBar(tx, ty))
                {
                    bool strip = Math.Abs(tx - ((barLeft - (ring.OpeningWidth / 2) - outerOffset) / 2)) < 5 && Math.Abs(ty) < 0.75 * barHalf;
                    return (strip ? Face.BarStrip : Face.Bar, tx, ty);
                }

                for (int i = 1; i <= 4; i++)
                {
                    double sx = tx + ((fx - tx) * i / 4), sy = ty + ((fy - ty) * i / 4);
                    if (ring.Outside(sx, sy, outerOffset) < 0 || InBar(sx, sy))
                    {
                        return (Face.OuterWall, sx, sy);
                    }
                }

                return OnCard() ?? (Face.Fabric, fx, fy);
            }

            if (ring.Outside(fx, fy, 0) > 0)
            {
                return (Face.InnerWall, fx, fy);
            }

            if (OnCard() is { } card)
            {
                return card;
            }

            foreach (Tape tape in scene.Tapes)
            {
                if (On(tape, fx, fy))
                {
                    return (Face.Tape, fx, fy);
                }
            }

            return (Face.Fabric, fx, fy);

            (Face, double, double)? OnCard()
            {
                double above = (Card.Thick - cz) / dz, x = cx + (above * dx), y = cy + (above * dy);
                return scene.Cards.Any(c => c.Covers(x, y)) ? (Face.Card, x, y) : null;
            }
        }

        private static bool On(Tape tape, double x, double y)
        {
            HoopVector n = tape.Side.Normal(), t = tape.Side.Along();
            double q = (x * n.X) + (y * n.Y), s = (x * t.X) + (y * t.Y);
            double from = tape.InnerEdge(s);
            return q >= from && q <= from + tape.WidthMm && s >= tape.From && s <= tape.To;
        }

        private static Paint Shaded(Cover cover, double x, double y) => cover.Colour * (1 - (0.5 * Math.Pow(cover.Outward(x, y), 3)));

        private static double Lit(double x, double y) => (x + y) / Math.Max(1, Math.Sqrt(2 * ((x * x) + (y * y))));

        private bool InBar(double x, double y) => x >= barLeft && x <= barRight && Math.Abs(y) <= barHalf;

        private Paint Print(double x, double y)
        {
            Fabric f = scene.Fabric;
            if (f.Kind == PatternKind.Plain)
            {
                return f.Ground;
            }

            double u = ((x * fabricCos) + (y * fabricSin)) / f.PeriodMm, v = ((y * fabricCos) - (x * fabricSin)) / f.PeriodMm;
            u -= Math.Floor(u);
            v -= Math.Floor(v);
            double share = f.Kind switch
            {
                PatternKind.Stripes => u < 0.4 ? 1 : 0,
                PatternKind.Checks => (u < 0.5) == (v < 0.5) ? 1 : 0,
                PatternKind.Dots => ((u - 0.5) * (u - 0.5)) + ((v - 0.5) * (v - 0.5)) < 0.06 ? 1 : 0,
                _ => (Bands(u) + Bands(v)) / 2,
            };
            return new(
                f.Ground.R + (share * (f.Print.R - f.Ground.R)),
                f.Ground.G + (share * (f.Print.G - f.Ground.G)),
                f.Ground.B + (share * (f.Print.B - f.Ground.B)));
        }

        private static double Bands(double u) => u < 0.35 || (u > 0.6 && u < 0.68) ? 1 : 0;
    }
}
