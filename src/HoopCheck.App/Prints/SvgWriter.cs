using System.Globalization;
using System.Text;
using System.Xml.Linq;
using HoopCheck.Planning.Sheets;

namespace HoopCheck.App.Prints;

/// <summary>A sheet as SVG in real units: one user unit is one millimetre.</summary>
internal static class SvgWriter
{
    private static readonly XNamespace s_svg = "http://www.w3.org/2000/svg";

    /// <summary>The whole file.</summary>
    public static byte[] Write(SheetPage page, string title)
    {
        (double left, double top, double width, double height) = page.Room;
        var root = new XElement(
            s_svg + "svg",
            new XAttribute("width", $"{N(page.Width)}mm"),
            new XAttribute("height", $"{N(page.Height)}mm"),
            new XAttribute("viewBox", $"0 0 {N(page.Width)} {N(page.Height)}"),
            new XElement(s_svg + "title", title),
            new XElement(
                s_svg + "clipPath",
                new XAttribute("id", "window"),
                new XElement(s_svg + "rect", Box(left, top, width, height))),
            new XElement(s_svg + "g", new XAttribute("clip-path", "url(#window)"), page.Drawn.Select(Element)),
            new XElement(s_svg + "g", page.Around.Select(Element)));
        return Encoding.UTF8.GetBytes(root + "\n");
    }

    private static XElement Element(Mark mark) => mark switch
    {
        BlockMark b => new(s_svg + "rect", Box(b.Left, b.Top, b.Width, b.Height)),
        LineMark line => new(
            s_svg + "path",
            new XAttribute("d", "M" + string.Join(' ', line.Points.Select(p => $"{N(p.X)},{N(p.Y)}")) + (line.Closed ? " Z" : "")),
            new XAttribute("fill", "none"),
            new XAttribute("stroke", "#000"),
            new XAttribute("stroke-width", N(line.Width)),
            line.Dash > 0 ? new XAttribute("stroke-dasharray", $"{N(line.Dash)} {N(line.Dash)}") : null),
        WordMark words => new(
            s_svg + "text",
            new XAttribute("x", N(words.At.X)),
            new XAttribute("y", N(words.At.Y)),
            new XAttribute("font-size", N(words.Size)),
            new XAttribute("font-family", "sans-serif"),
            words.Middle ? new XAttribute("text-anchor", "middle") : null,
            words.Upwards ? new XAttribute("transform", $"rotate(-90 {N(words.At.X)} {N(words.At.Y)})") : null,
            words.Text),
        _ => throw new ArgumentException("An unknown mark.", nameof(mark)),
    };

    private static XAttribute[] Box(double left, double top, double width, double height) =>
        [new("x", N(left)), new("y", N(top)), new("width", N(width)), new("height", N(height))];

    private static string N(double value) => (Math.Round(value, 5) + 0.0).ToString("0.#####", CultureInfo.InvariantCulture);
}
