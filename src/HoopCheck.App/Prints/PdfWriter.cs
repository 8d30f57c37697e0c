using HoopCheck.App.Pictures;
using HoopCheck.Planning.Sheets;
using SkiaSharp;

namespace HoopCheck.App.Prints;

/// <summary>Sheets as a PDF of the same size to the fraction of a point; its typeface is embedded.</summary>
internal static class PdfWriter
{
    /// <summary>PDF's unit is 1/72 in (ISO 32000-1, 8.3.2.3).</summary>
    private const double PointsPerMm = 72 / 25.4;

    /// <summary>A hundred dots a millimetre. The drawing library rounds a page's size to whole dots; at its usual 72 an A4 page would be 0.1 mm out.</summary>
    private const float FineDpi = 2540;

    /// <summary>The whole file.</summary>
    public static byte[] Write(IReadOnlyList<SheetPage> pages, string title)
    {
        using var stream = new MemoryStream();
        var about = new SKDocumentPdfMetadata { Title = title, Creator = "HoopCheck", RasterDpi = FineDpi, EncodingQuality = 101 };
        using (SKDocument document = SKDocument.CreatePdf(stream, about))
        {
            foreach (SheetPage page in pages)
            {
                SKCanvas canvas = document.BeginPage((float)(page.Width * PointsPerMm), (float)(page.Height * PointsPerMm));
                canvas.Scale((float)PointsPerMm);
                canvas.Save();
                canvas.ClipRect(SKRect.Create((float)page.Room.Left, (float)page.Room.Top, (float)page.Room.Width, (float)page.Room.Height));
                Draw(canvas, page.Drawn);
                canvas.Restore();
                Draw(canvas, page.Around);
                document.EndPage();
            }

            document.Close();
        }

        return stream.ToArray();
    }

    /// <summary>Draws marks on a canvas whose unit is one millimetre.</summary>
    public static void Draw(SKCanvas canvas, IReadOnlyList<Mark> marks)
    {
        using var ink = new SKPaint { Color = SKColors.Black, IsAntialias = true };
        foreach (Mark mark in marks)
        {
            switch (mark)
            {
                case BlockMark b:
                    canvas.DrawRect((float)b.Left, (float)b.Top, (float)b.Width, (float)b.Height, ink);
                    break;
                case LineMark line:
                    Stroke(canvas, line);
                    break;
                case WordMark words:
                    Write(canvas, words, ink);
                    break;
            }
        }
    }

    private static void Stroke(SKCanvas canvas, LineMark line)
    {
        using SKPathEffect? dashes = line.Dash > 0 ? SKPathEffect.CreateDash([(float)line.Dash, (float)line.Dash], 0) : null;
        using var pen = new SKPaint
        {
            Color = SKColors.Black, Style = SKPaintStyle.Stroke, StrokeWidth = (float)line.Width, StrokeJoin = SKStrokeJoin.Round, PathEffect = dashes,
        };
        using var builder = new SKPathBuilder();
        builder.MoveTo((float)line.Points[0].X, (float)line.Points[0].Y);
        foreach (SheetPoint p in line.Points.Skip(1))
        {
            builder.LineTo((float)p.X, (float)p.Y);
        }

        if (line.Closed)
        {
            builder.Close();
        }

        using SKPath path = builder.Detach();
        canvas.DrawPath(path, pen);
    }

    private static void Write(SKCanvas canvas, WordMark words, SKPaint ink)
    {
        using SKFont font = Lettering.Font((float)words.Size);

        // Sizes here are mm: widths rounded to whole units would be far too wide.
        (font.Hinting, font.LinearMetrics) = (SKFontHinting.None, true);
        canvas.Save();
        canvas.Translate((float)words.At.X, (float)words.At.Y);
        if (words.Upwards)
        {
            canvas.RotateDegrees(-90);
        }

        canvas.DrawText(words.Text, 0, 0, words.Middle ? SKTextAlign.Center : SKTextAlign.Left, font, ink);
        canvas.Restore();
    }
}
