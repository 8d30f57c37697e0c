using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>The one typeface of the pictures, shipped inside the program, and the few things done with it.</summary>
internal static class Lettering
{
    private static readonly Lazy<SKTypeface> Face = new(Load);

    /// <summary>Height of small text, px, that is still read when the picture is shown as wide as a phone's screen.</summary>
    public static float Unit(int width, int height) => MathF.Max(14, MathF.Max(width * 0.019f, MathF.Min(width, height) * 0.0215f));

    /// <summary>A font of the given height in pixels. The caller disposes of it.</summary>
    public static SKFont Font(float size) => new(Face.Value, size) { Edging = SKFontEdging.Antialias, Subpixel = true };

    /// <summary>Width of a line of text, px.</summary>
    public static float Width(string text, float size)
    {
        using SKFont font = Font(size);
        return font.MeasureText(text);
    }

    /// <summary>Writes a line; (x, y) is its left end on the baseline.</summary>
    public static void Write(SKCanvas canvas, string text, float x, float y, float size, SKColor colour)
    {
        using SKFont font = Font(size);
        using var paint = new SKPaint { Color = colour, IsAntialias = true };
        canvas.DrawText(text, x, y, SKTextAlign.Left, font, paint);
    }

    /// <summary>The largest size, between <paramref name="smallest"/> and <paramref name="wanted"/>, at which the text fits the width.</summary>
    public static float Fit(string text, float wanted, float smallest, float width)
    {
        float w = Width(text, wanted);
        return w <= width ? wanted : Math.Max(smallest, wanted * width / w);
    }

    /// <summary>Breaks a text at spaces into lines no wider than <paramref name="width"/> px; a single longer word stays whole.</summary>
    public static List<string> Wrap(string text, float size, float width)
    {
        var lines = new List<string>();
        using SKFont font = Font(size);
        string line = "";
        foreach (string word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            string longer = line.Length == 0 ? word : $"{line} {word}";
            if (line.Length > 0 && font.MeasureText(longer) > width)
            {
                lines.Add(line);
                line = word;
            }
            else
            {
                line = longer;
            }
        }

        if (line.Length > 0)
        {
            lines.Add(line);
        }

        return lines;
    }

    private static SKTypeface Load()
    {
        using Stream? stream = typeof(Lettering).Assembly.GetManifestResourceStream("DejaVuSansCondensed-Bold.ttf");
        using var copy = new MemoryStream();
        stream?.CopyTo(copy);
        using SKData data = SKData.CreateCopy(copy.ToArray());
        return SKTypeface.FromData(data) ?? throw new InvalidOperationException("The program's own typeface is missing or damaged.");
    }
}
