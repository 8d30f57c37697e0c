using System.Globalization;
using System.Xml.Linq;
using HoopCheck.App;
using HoopCheck.Planning.Sheets;
using HoopCheck.Vision.Lens;
using OpenCvSharp;
using OpenCvSharp.Aruco;
using Box = HoopCheck.Tests.Prints.PdfReader.Box;

namespace HoopCheck.Tests.Prints;

/// <summary>
/// Sizes on printed sheets, read back from the files by a PDF library that had no part in writing them. Close enough: 0.05 mm, a tenth
/// of a pencil line; paper sizes after ISO 216 and ANSI/ASME Y14.1.
/// </summary>
public sealed class PrintTests : IDisposable
{
    private const double CloseEnough = 0.05;

    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Theory]
    [InlineData("a4", 210, 297)]
    [InlineData("letter", 215.9, 279.4)]
    public void Board_OnEitherPaper_HasItsSizeAndItsBars(string paper, double width, double height)
    {
        PdfReader page = Assert.Single(Print($"board FILE.pdf --paper {paper}"));

        Near(width, page.Width);
        Near(height, page.Height);
        List<Box> squares = [.. page.Filled.Where(b => Is(21, b.Width) && Is(21, b.Height))];
        Assert.Equal(44, squares.Count);
        Near(8 * 21, squares.Max(b => b.Right) - squares.Min(b => b.Left));
        Near(11 * 21, squares.Max(b => b.Bottom) - squares.Min(b => b.Top));
        Bars(page, 100, 100);
        Assert.All(page.Filled.Concat(page.Stroked), b => Assert.True(
            b.Left > 4 && b.Top > 4 && b.Right < width - 4 && b.Bottom < height - 4, $"{b} lies where printers do not print"));
        Assert.Contains("Print at 100 %", page.Text, StringComparison.Ordinal);
        Assert.All(page.EmbeddedFonts, f => Assert.Contains("DejaVuSansCondensed-Bold", f, StringComparison.Ordinal));
        Assert.NotEmpty(page.EmbeddedFonts);
    }

    /// <summary>A printer that makes 99.2 mm of 100 mm must be given 100.806 mm.</summary>
    [Theory]
    [InlineData("99.2mm", 99.2, 99.2)]
    [InlineData("99.2x101mm", 99.2, 101)]
    public void Board_MeasuredPrinter_IsDrawnSoThatItComesOutTrue(string measured, double across, double down)
    {
        PdfReader page = Assert.Single(Print($"board FILE.pdf --measured {measured}"));

        Near(210, page.Width);
        Near(297, page.Height);
        List<Box> squares = [.. page.Filled.Where(b => Is(21 * 100 / across, b.Width) && Is(21 * 100 / down, b.Height))];
        Assert.Equal(44, squares.Count);
        Near(168, (squares.Max(b => b.Right) - squares.Min(b => b.Left)) * across / 100);
        Near(231, (squares.Max(b => b.Bottom) - squares.Min(b => b.Top)) * down / 100);
        Bars(page, across, down);
        Assert.Contains("Corrected for a printer", page.Text, StringComparison.Ordinal);
    }

    /// <summary>What stands in the file is painted and given to OpenCV's own detector, not to ours: markers, order and all.</summary>
    [Fact]
    public void Board_ItsOwnRenderedPage_IsDetectedWithEveryCornerInPlace()
    {
        PdfReader page = Assert.Single(Print("board FILE.pdf"));
        const double PxPerMm = 6;
        using Mat picture = Painted(page, PxPerMm);
        using OpenCvSharp.Aruco.Dictionary dictionary = CvAruco.GetPredefinedDictionary(PredefinedDictionaryType.Dict5X5_50);
        using var board = new CharucoBoard(8, 11, 21, 15, dictionary);
        using var detector = new CharucoDetector(board);
        detector.DetectBoard(picture, out Point2f[] corners, out int[] ids, out _, out int[] markers);

        Assert.Equal(44, markers.Length);
        Assert.Equal(Enumerable.Range(0, 70), ids.Order());
        Box first = page.Filled.Where(b => Is(21, b.Width) && Is(21, b.Height)).MinBy(b => b.Left + b.Top);
        double[] errors = new double[2 * ids.Length];
        for (int i = 0; i < ids.Length; i++)
        {
            // Corner number n lies between squares: seven in a row, the first at the end of the first square. The detector counts from pixels' edges.
            double x = (first.Left + (21 * ((ids[i] % 7) + 1))) * PxPerMm, y = (first.Top + (21 * ((ids[i] / 7) + 1))) * PxPerMm;
            (errors[2 * i], errors[(2 * i) + 1]) = (corners[i].X - x, corners[i].Y - y);
        }

        Assert.True(errors.Max(Math.Abs) < 0.05, string.Join(' ', errors.Select(e => e.ToString("0.00", CultureInfo.InvariantCulture))));
    }

    /// <summary>The bits come from OpenCV's dictionary, the arrangement from ours: OpenCV's own picture of the board is the reference.</summary>
    [Fact]
    public void Board_CellByCell_IsOpenCvsOwnPictureOfIt()
    {
        PdfReader page = Assert.Single(Print("board FILE.pdf"));
        using OpenCvSharp.Aruco.Dictionary dictionary = CvAruco.GetPredefinedDictionary(PredefinedDictionaryType.Dict5X5_50);
        using var board = new CharucoBoard(8, 11, 21, 15, dictionary);
        using var theirs = new Mat();

        // 147 px to a square is 7 px to the mm and 15 px to a marker's cell.
        board.GenerateImage(new(8 * 147, 11 * 147), theirs);
        using Mat ours = Painted(page, 7);
        Box first = page.Filled.Where(b => Is(21, b.Width) && Is(21, b.Height)).MinBy(b => b.Left + b.Top);
        int different = 0, cells = 0;
        for (double y = 1; y < 231; y += 1)
        {
            for (double x = 1; x < 168; x += 1)
            {
                // Not within 0.3 mm of a border between cells.
                if (Edge(x) || Edge(y))
                {
                    continue;
                }

                cells++;
                bool black = ours.At<byte>((int)((first.Top + y) * 7), (int)((first.Left + x) * 7)) < 128;
                different += black == theirs.At<byte>((int)(y * 7), (int)(x * 7)) < 128 ? 0 : 1;
            }
        }

        Assert.InRange(cells, 10_000, 100_000);
        Assert.Equal(0, different);

        static bool Edge(double at)
        {
            double within = at % 21;
            double cell = (within - 3) / (15 / 7.0);
            return within < 0.3 || within > 20.7 || (within > 2.7 && within < 18.3 && Math.Abs(cell - Math.Round(cell)) < 0.15);
        }
    }

    [Fact]
    public void Template_LargerThanThePaper_IsTiledSoThatAllOfItIsThereAndNeighboursMeet()
    {
        IReadOnlyList<PdfReader> pages = Print("template FILE.pdf --hoop HOOP --fill 300x200 --fill-at=5,-3 --paper letter");
        Assert.Equal(4, pages.Count);
        Assert.All(pages, p => Bars(p, 100, 100));

        // The opening's box on each sheet, although most of it lies outside the sheet: its size, and how it moves from sheet to sheet.
        Box[] openings = [.. pages.Select(p => Assert.Single(p.Stroked, b => Is(360, b.Width) && Is(240, b.Height)))];
        Box[] fills = [.. pages.Select(p => Assert.Single(p.Stroked, b => Is(300, b.Width) && Is(200, b.Height)))];
        for (int i = 0; i < pages.Count; i++)
        {
            // The sewing field, 5 mm within the opening, is dashed: each dash stands in the file by itself, as a thin filled piece.
            bool right = i % 2 == 1;
            double field = right ? openings[i].Right - 5 : openings[i].Left + 5;
            Assert.InRange(pages[i].Filled.Count(b => Is(field, (b.Left + b.Right) / 2) && b.Width < 0.3 && Is(1.5, b.Height)), 35, 80);
            Near(openings[i].Left + 180 + 5 - 150, fills[i].Left);

            // y runs up in the hoop: a centre at −3 lies 3 mm lower on paper.
            Near(openings[i].Top + 120 + 3 - 100, fills[i].Top);
        }

        // The line to cut along is the same place of the drawing on both neighbours.
        double Cut(int page) => pages[page].Filled.Where(b => b.Width < 0.17 && Is(2, b.Height)).GroupBy(b => Math.Round(b.Left, 2)).Single(g => g.Count() > 30).First().Left;
        Near(Cut(0) - openings[0].Left, Cut(1) - openings[1].Left);
        Assert.NotEqual(openings[0].Left, openings[1].Left, 1.0);
        Assert.Contains("Sheet 1 of 4", pages[0].Text, StringComparison.Ordinal);
        Assert.Contains("Sheet 4 of 4", pages[3].Text, StringComparison.Ordinal);

        // Together the sheets' windows reach over all of the opening.
        Assert.True(openings[0].Left > 15 && openings[0].Top > 8);
        Assert.True(openings[3].Right < pages[3].Width - 8 && openings[3].Bottom < pages[3].Height - 8 - 27);
    }

    [Fact]
    public void Ruler_Marks_AreAMillimetreAndASixteenthApart()
    {
        PdfReader page = Assert.Single(Print("ruler FILE.pdf --length 200mm"));
        Box strip = Assert.Single(page.Stroked, b => Is(30, b.Width) && Is(210, b.Height));
        double[] left = [.. page.Stroked.Where(b => b.Height < 0.01 && Is(strip.Left, b.Left) && b.Width < 10).Select(b => b.Top - strip.Top - 5).Order()];
        double[] right = [.. page.Stroked.Where(b => b.Height < 0.01 && Is(strip.Right, b.Right) && b.Width < 10).Select(b => b.Top - strip.Top - 5).Order()];
        Assert.Equal(201, left.Length);
        Assert.Equal(126, right.Length);
        for (int i = 0; i < left.Length; i++)
        {
            Near(i, left[i]);
        }

        for (int i = 0; i < right.Length; i++)
        {
            Near(i * 25.4 / 16, right[i]);
        }
    }

    [Fact]
    public void Svg_OfATemplate_IsOneSheetInMillimetres()
    {
        string file = Path.Combine(_folder, "t.svg");
        Assert.Equal(0, Run($"template {file} --hoop HOOP --fill 300x200").Exit);
        XElement svg = XDocument.Load(file).Root!;
        double width = double.Parse(((string)svg.Attribute("width")!)[..^2], CultureInfo.InvariantCulture);
        Assert.EndsWith("mm", (string)svg.Attribute("width")!, StringComparison.Ordinal);
        Assert.Equal($"0 0 {width.ToString(CultureInfo.InvariantCulture)}", ((string)svg.Attribute("viewBox")!)[..^((string)svg.Attribute("viewBox")!).Split(' ')[3].Length].TrimEnd());

        // The fill, the last line of the drawing: a corner-to-corner path in user units, which are mm.
        XNamespace ns = svg.Name.Namespace;
        double[] xs = [.. svg.Elements(ns + "g").First().Elements(ns + "path").Select(p => (string)p.Attribute("d")!).Last()
            .Replace("M", "", StringComparison.Ordinal).Split(' ').Select(p => double.Parse(p.Split(',')[0], CultureInfo.InvariantCulture))];
        Near(300, xs.Max() - xs.Min());
    }

    [Theory]
    [Trait("problem", "HC120")]
    [InlineData("board sheet.txt", "HC120", 64)]
    [InlineData("board FILE.pdf --paper a3", "HC120", 64)]
    [InlineData("board FILE.pdf --measured 80mm", "HC120", 64)]
    [InlineData("board FILE.pdf --measured long", "HC120", 64)]
    [InlineData("ruler FILE.pdf --length 2in --measured 99x0", "HC120", 64)]
    [InlineData("ruler FILE.pdf --length 5000", "HC120", 64)]
    [InlineData("template FILE.pdf", "HC120", 64)]
    [InlineData("template FILE.pdf --hoop no-such.toml", "HC110", 65)]
    [InlineData("template FILE.pdf --hoop HOOP --fill 355x100", "HC121", 64)]
    [InlineData("template FILE.pdf --hoop HOOP --fill-at 3,3", "HC120", 64)]
    [InlineData("board FILE/below.pdf", "HC122", 65)]
    public void Print_WhatCannotBe_IsSaidAndNothingIsWritten(string call, string code, int exit)
    {
        (int got, string error) = Run(call);
        Assert.Equal(exit, got);
        Assert.StartsWith(code + ": ", error, StringComparison.Ordinal);
        Assert.Empty(Directory.GetFiles(_folder, "*.pdf"));
    }

    [Fact]
    public void Charuco_Bits_AreFortyFourDifferentMarkersWithABlackBorder()
    {
        BoardMarkers bits = Charuco.Bits();
        Assert.Equal(44, bits.Black.Select(b => string.Concat(b.Select(x => x ? '1' : '0'))).Distinct().Count());
        Assert.All(bits.Black, b => Assert.All(Enumerable.Range(0, 7), i => Assert.True(b[i] && b[42 + i] && b[7 * i] && b[(7 * i) + 6])));
    }

    private static void Near(double expected, double actual) => Assert.InRange(actual, expected - CloseEnough, expected + CloseEnough);

    private static bool Is(double expected, double actual) => Math.Abs(expected - actual) <= CloseEnough;

    /// <summary>The bars: their parts, filled, and the line up the side, as long as a printer that makes so much of 100 mm must be given.</summary>
    private static void Bars(PdfReader page, double across, double down)
    {
        double kx = 100 / across, ky = 100 / down;
        List<Box> tens = [.. page.Filled.Where(b => Is(10 * kx, b.Width) && Is(2 * ky, b.Height))], inches = [.. page.Filled.Where(b => Is(25.4 * kx, b.Width) && Is(2 * ky, b.Height))];
        Assert.Equal(5, tens.Count);
        Assert.Equal(2, inches.Count);
        double left = tens.Min(b => b.Left);
        Assert.Contains(page.Stroked, b => Is(left, b.Left) && Is(100 * kx, b.Width) && b.Height < 0.01);
        Assert.Contains(page.Stroked, b => Is(left, b.Left) && Is(101.6 * kx, b.Width) && b.Height < 0.01);
        Assert.Contains(page.Stroked, b => Is(100 * ky, b.Height) && b.Width < 0.01);
    }

    private static Mat Painted(PdfReader page, double pxPerMm)
    {
        var picture = new Mat((int)(page.Height * pxPerMm), (int)(page.Width * pxPerMm), MatType.CV_8UC1, Scalar.White);
        foreach (Box b in page.Filled)
        {
            int x0 = (int)Math.Round(b.Left * pxPerMm), x1 = (int)Math.Round(b.Right * pxPerMm), y0 = (int)Math.Round(b.Top * pxPerMm), y1 = (int)Math.Round(b.Bottom * pxPerMm);
            if (x1 > x0 && y1 > y0)
            {
                using Mat part = picture[y0, y1, x0, x1];
                part.SetTo(Scalar.Black);
            }
        }

        return picture;
    }

    private IReadOnlyList<PdfReader> Print(string call)
    {
        (int exit, string error) = Run(call);
        Assert.Equal("", error);
        Assert.Equal(0, exit);
        return PdfReader.Pages(Path.Combine(_folder, "sheet.pdf"));
    }

    private (int Exit, string Error) Run(string call)
    {
        string hoop = Path.Combine(_folder, "hoop.toml");
        File.WriteAllText(hoop, "name = \"a\"\nopening = \"360x240mm\"\ncorner-radius = \"20mm\"\nframe-height = \"11mm\"\n");
        using StringWriter output = new(), error = new();
        string[] words = ["print", .. call.Split(' ').Select(w => w
            .Replace("HOOP", hoop, StringComparison.Ordinal)
            .Replace("FILE", Path.Combine(_folder, "sheet"), StringComparison.Ordinal)
            .Replace("sheet.txt", Path.Combine(_folder, "sheet.txt"), StringComparison.Ordinal))];
        return (Cli.Run(words, new Terminal(output, error, false)), error.ToString());
    }
}
