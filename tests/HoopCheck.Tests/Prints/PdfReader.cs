using UglyToad.PdfPig;
using UglyToad.PdfPig.Content;
using UglyToad.PdfPig.Core;
using UglyToad.PdfPig.Graphics;

namespace HoopCheck.Tests.Prints;

/// <summary>A PDF read back by an independent library, in mm from the page's top left corner, y down.</summary>
internal sealed class PdfReader
{
    private const double MmPerPoint = 25.4 / 72;

    private PdfReader(Page page)
    {
        (Width, Height) = (page.Width * MmPerPoint, page.Height * MmPerPoint);
        Text = string.Join(' ', page.GetWords().Select(w => w.Text));
        EmbeddedFonts = page.Letters.Select(l => l.FontName ?? "").Distinct().ToList();
        foreach (PdfPath path in page.Paths)
        {
            // A dashed line is one path of many pieces.
            foreach (PdfSubpath piece in path)
            {
                if (piece.GetBoundingRectangle() is { } box)
                {
                    Box mm = new(box.Left * MmPerPoint, Height - (box.Top * MmPerPoint), box.Width * MmPerPoint, box.Height * MmPerPoint);
                    (path.IsStroked ? Stroked : path.IsFilled ? Filled : []).Add(mm);
                }
            }
        }
    }

    public double Width { get; }

    public double Height { get; }

    public string Text { get; }

    public IReadOnlyList<string> EmbeddedFonts { get; }

    /// <summary>Bounding boxes of filled shapes.</summary>
    public List<Box> Filled { get; } = [];

    /// <summary>Bounding boxes of stroked lines, without the stroke's own width.</summary>
    public List<Box> Stroked { get; } = [];

    public static IReadOnlyList<PdfReader> Pages(string file)
    {
        using PdfDocument document = PdfDocument.Open(file);
        return [.. document.GetPages().Select(p => new PdfReader(p))];
    }

    internal readonly record struct Box(double Left, double Top, double Width, double Height)
    {
        public double Right => Left + Width;

        public double Bottom => Top + Height;
    }
}
