using HoopCheck.Checking;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>A shape for each verdict, so that it is understood without its colour and before its words are read.</summary>
internal static class Icon
{
    /// <summary>Draws the verdict's shape in black into a coloured tile.</summary>
    public static void Draw(SKCanvas canvas, Decision decision, SKRect tile)
    {
        using var line = new SKPaint
        {
            Color = Palette.Ink,
            IsAntialias = true,
            Style = SKPaintStyle.Stroke,
            StrokeWidth = 0.12f,
            StrokeCap = SKStrokeCap.Round,
            StrokeJoin = SKStrokeJoin.Round,
        };
        using var solid = new SKPaint { Color = Palette.Ink, IsAntialias = true };
        canvas.Save();
        canvas.Translate(tile.Left, tile.Top);
        canvas.Scale(tile.Width);
        switch (decision)
        {
            case Decision.Clear:
                Strokes(canvas, line, [(0.22f, 0.54f), (0.42f, 0.74f), (0.79f, 0.29f)]);
                break;
            case Decision.Overlap:
                Strokes(canvas, line, [(0.27f, 0.27f), (0.73f, 0.73f)]);
                Strokes(canvas, line, [(0.73f, 0.27f), (0.27f, 0.73f)]);
                break;
            case Decision.Tight:
                Bars(0.42f, 0.58f);
                line.StrokeWidth = 0.07f;
                Arrow(0.12f, 0.31f);
                Arrow(0.88f, 0.69f);
                break;
            case Decision.Wide:
                Bars(0.16f, 0.84f);
                line.StrokeWidth = 0.07f;
                Arrow(0.5f, 0.28f);
                Arrow(0.5f, 0.72f);
                break;
            case Decision.Undecided:
                using (SKPath hook = Hook())
                {
                    canvas.DrawPath(hook, line);
                }

                canvas.DrawCircle(0.5f, 0.80f, 0.075f, solid);
                break;
            case Decision.NoTape:
                line.StrokeWidth = 0.06f;
                using (SKPathEffect dash = SKPathEffect.CreateDash([0.09f, 0.10f], 0))
                {
                    line.PathEffect = dash;
                    canvas.DrawRect(SKRect.Create(0.18f, 0.37f, 0.64f, 0.26f), line);
                    line.PathEffect = null;
                }

                line.StrokeWidth = 0.09f;
                Strokes(canvas, line, [(0.24f, 0.80f), (0.76f, 0.20f)]);
                break;
            default:
                canvas.DrawRoundRect(SKRect.Create(0.14f, 0.32f, 0.72f, 0.48f), 0.07f, 0.07f, solid);
                canvas.DrawRoundRect(SKRect.Create(0.37f, 0.22f, 0.26f, 0.2f), 0.05f, 0.05f, solid);
                solid.Color = Palette.Of(decision);
                canvas.DrawCircle(0.5f, 0.56f, 0.165f, solid);
                solid.Color = Palette.Ink;
                canvas.DrawCircle(0.5f, 0.56f, 0.1f, solid);
                break;
        }

        canvas.Restore();

        void Bars(float a, float b)
        {
            line.StrokeWidth = 0.1f;
            Strokes(canvas, line, [(a, 0.2f), (a, 0.8f)]);
            Strokes(canvas, line, [(b, 0.2f), (b, 0.8f)]);
        }

        void Arrow(float from, float to)
        {
            float back = from < to ? -0.1f : 0.1f;
            Strokes(canvas, line, [(from, 0.5f), (to, 0.5f)]);
            Strokes(canvas, line, [(to + back, 0.4f), (to, 0.5f), (to + back, 0.6f)]);
        }
    }

    private static SKPath Hook()
    {
        using var b = new SKPathBuilder();
        b.MoveTo(0.32f, 0.36f);
        b.CubicTo(0.32f, 0.12f, 0.70f, 0.12f, 0.70f, 0.36f);
        b.CubicTo(0.70f, 0.50f, 0.50f, 0.48f, 0.50f, 0.64f);
        return b.Detach();
    }

    private static void Strokes(SKCanvas canvas, SKPaint paint, (float X, float Y)[] points)
    {
        for (int i = 1; i < points.Length; i++)
        {
            canvas.DrawLine(points[i - 1].X, points[i - 1].Y, points[i].X, points[i].Y, paint);
        }
    }
}
