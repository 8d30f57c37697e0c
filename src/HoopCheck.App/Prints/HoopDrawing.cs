using HoopCheck.App.Pictures;
using HoopCheck.Planning.Sheets;
using SkiaSharp;

namespace HoopCheck.App.Prints;

/// <summary>Where to lay the ruler on a hoop: for the terminal as text, for looking at as a drawing.</summary>
internal static class HoopDrawing
{
    /// <summary>The drawing in letters.</summary>
    public const string Text = """
                        top (far side when the bar is at the left)
                    +-----------------------------+
                    |   .---------------------.   |
                    |   |          ^          |   |      A  opening, width: inner edge to inner edge
             +------|   |          |          |   |      B  opening, height
        bar  |      |   |<---------A--------->|   |         both at the fabric, close to a corner where
             |      |   |          B          |   |         the frame does not bow
             +------|   |          |          |   |      D  corner radius: put coins or jar lids into the corner
                    |   |          v          |  D|      E  breadth of the ring, seen from above
                    |   '---------------------'   |
                    +-----------------------------+
                                              |<E>|
        from the side:
                     ___                       ___
                    |   |                     |   | C    C  height of the ring's top over the fabric,
        fabric -----+---+---------------------+---+---      stood on the fabric inside the hoop
        """;

    private const double Width = 210, Height = 150;

    /// <summary>The drawing as SVG.</summary>
    public static byte[] Svg() => SvgWriter.Write(new(Width, Height, (0, 0, Width, Height), Marks(), []), "What to measure on a hoop");

    /// <summary>The drawing as PNG.</summary>
    public static byte[] Png()
    {
        const float PxPerMm = 7;
        using var bitmap = new SKBitmap((int)(Width * PxPerMm), (int)(Height * PxPerMm), SKColorType.Bgra8888, SKAlphaType.Opaque);
        using var canvas = new SKCanvas(bitmap);
        canvas.Clear(SKColors.White);
        canvas.Scale(PxPerMm);
        PdfWriter.Draw(canvas, Marks());
        canvas.Flush();
        using SKData data = bitmap.Encode(SKEncodedImageFormat.Png, 90) ?? throw new InvalidOperationException("The picture could not be encoded.");
        return data.ToArray();
    }

    private static List<Mark> Marks()
    {
        var marks = new List<Mark>
        {
            Box(35, 18, 95, 75, 8, 0.5),
            Box(45, 28, 75, 55, 5, 0.5),
            new LineMark([new(35, 40), new(12, 40), new(12, 71), new(35, 71)], 0.5),
            Words("bar", 14, 57),
            Words("top: the far side when the bar is at the left", 45, 13),
            Words("A", 95, 53.5), Words("B", 78, 47), Words("D", 113.5, 79), Words("E", 124, 60.5), Words("C", 134, 123.5),
            new LineMark([new(116.5, 79.5), new(118.6, 81.6)], 0.3),
        };
        Arrow(45.5, 55, 119.5, 55);
        Arrow(82, 28.5, 82, 82.5);
        Arrow(120.5, 62, 129.5, 62);

        // From the side: fabric, both sides of the ring, the height.
        marks.Add(new LineMark([new(20, 130), new(145, 130)], 0.5));
        marks.Add(new LineMark([new(35, 130), new(35, 115), new(45, 115), new(45, 130)], 0.5));
        marks.Add(new LineMark([new(120, 130), new(120, 115), new(130, 115), new(130, 130)], 0.5));
        Arrow(132.5, 115.3, 132.5, 129.7);
        marks.Add(Words("fabric", 70, 135));
        string[] key =
        [
            "A  opening, width", "B  opening, height", "    at the fabric, near a", "    corner: frames bow", "C  height of the ring's", "    top over the fabric",
            "D  corner radius", "E  breadth of the ring",
        ];
        for (int i = 0; i < key.Length; i++)
        {
            marks.Add(Words(key[i], 148, 25 + (i * 7)));
        }

        return marks;

        static WordMark Words(string text, double x, double y) => new(text, new(x, y), 4.2);

        void Arrow(double x0, double y0, double x1, double y1)
        {
            double length = Math.Sqrt(((x1 - x0) * (x1 - x0)) + ((y1 - y0) * (y1 - y0))), ux = (x1 - x0) / length, uy = (y1 - y0) / length;
            marks.Add(new LineMark([new(x0, y0), new(x1, y1)], 0.3));
            foreach ((double x, double y, double way) in new[] { (x0, y0, 1.0), (x1, y1, -1.0) })
            {
                marks.Add(new LineMark(
                    [new(x + (way * ((2.5 * ux) - (1.1 * uy))), y + (way * ((2.5 * uy) + (1.1 * ux)))), new(x, y), new(x + (way * ((2.5 * ux) + (1.1 * uy))), y + (way * ((2.5 * uy) - (1.1 * ux))))], 0.3));
            }
        }
    }

    private static LineMark Box(double left, double top, double width, double height, double radius, double stroke)
    {
        var points = new List<SheetPoint>();
        foreach ((double x, double y, int quarter) in new[] { (left + width - radius, top + radius, -1), (left + width - radius, top + height - radius, 0), (left + radius, top + height - radius, 1), (left + radius, top + radius, 2) })
        {
            for (int i = 0; i <= 8; i++)
            {
                (double sin, double cos) = Math.SinCos((quarter + (i / 8.0)) * Math.PI / 2);
                points.Add(new(x + (radius * cos), y + (radius * sin)));
            }
        }

        return new(points, stroke, Closed: true);
    }
}
