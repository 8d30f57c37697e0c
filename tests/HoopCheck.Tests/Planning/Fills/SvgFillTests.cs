using System.Globalization;
using System.Text;
using HoopCheck.Planning.Fills;
using HoopCheck.Rules;
using SkiaSharp;

namespace HoopCheck.Tests.Planning.Fills;

public class SvgFillTests
{
    private static Outcome<SvgFillRead> Read(string svg, FillKind? kind = null) => SvgFill.Read(new MemoryStream(Encoding.UTF8.GetBytes(svg)), kind);

    private static string Drawing(string inside, string more = "") =>
        $"""<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100mm" height="80mm" viewBox="0 0 100 80" {more}>{inside}</svg>""";

    private static string Path(string d) => Drawing($"<path d=\"{d}\"/>");

    private static (double X, double Y, double Width, double Height) Box(string svg)
    {
        Outcome<SvgFillRead> read = Read(svg);
        Assert.True(read.Value is not null, read.Problem?.Say);
        return (read.Value.FromViewBoxCentre.X, read.Value.FromViewBoxCentre.Y, read.Value.Shape.CoreWidth, read.Value.Shape.CoreHeight);
    }

    private static void Refused(ProblemKind kind, string svg)
    {
        Outcome<SvgFillRead> read = Read(svg);
        Assert.Null(read.Value);
        Assert.Same(kind, read.Problem!.Kind);
        Assert.DoesNotContain('\n', read.Problem.Say);
    }

    /// <summary>Reference: SkiaSharp's path data reader and its measures of the same path (another code, by others). Close enough: 0.02 mm of box, 0.1 % of length.</summary>
    [Theory]
    [InlineData("M 10 10 L 90 10 L 40 60 z")]
    [InlineData("M10,10 20,30 40,5")]
    [InlineData("m10 10 20 20 10-15h5 3v-2 9H50V20")]
    [InlineData("M10 20C10 0 40 0 40 20S70 40 70 20")]
    [InlineData("M10 20c0-20 30-20 30 0s30 20 30 0 20-5 20 10")]
    [InlineData("M10 40Q30 0 50 40T90 40")]
    [InlineData("M10 40q20-40 40 0t40 0")]
    [InlineData("M20 40T60 20S70 60 80 30")]
    [InlineData("M60,35 a25,25 -30 0,1 5,-2.5 l5 -2.5 a25,50 -30 0 1 5-2.5")]
    [InlineData("M20 40a10 10 0 0120 0")]
    [InlineData("M20 40a10 10 0 1120 0 5 5 0 00-10 0")]
    [InlineData("M20 40A8 20 30 1 0 60 50")]
    [InlineData("M20 40A1 1 0 0 0 60 40")]
    [InlineData("M30 30L.5.5.6-.25e1")]
    [InlineData("M1e1 2E+1 3.5e1 40.0e-0")]
    [InlineData("M10 10L40 10 40 40zl-5 30")]
    [InlineData("M10 10h30v30zm20 5h5v9z")]
    public void Read_PathData_IsWhatAnotherReaderDraws(string d)
    {
        using SKPath path = SKPath.ParseSvgPathData(d);
        SKRect box = path.TightBounds;
        double length = 0;
        using (var measure = new SKPathMeasure(path, false, 64))
        {
            do
            {
                length += measure.Length;
            }
            while (measure.NextContour());
        }

        FillShape shape = Read(Path(d), FillKind.Stitches).Value!.Shape;
        (double x, double y, double width, double height) = Box(Path(d));
        Assert.Equal(box.Width, width, 0.02);
        Assert.Equal(box.Height, height, 0.02);
        Assert.Equal(box.MidX - 50, x, 0.02);
        Assert.Equal(40 - box.MidY, y, 0.02);
        double drawn = shape.Lines.Sum(r => Enumerable.Range(r.Start.Value + 1, r.End.Value - r.Start.Value - 1)
            .Sum(i => Math.Sqrt(Math.Pow(shape.Xs[i] - shape.Xs[i - 1], 2) + Math.Pow(shape.Ys[i] - shape.Ys[i - 1], 2))));
        Assert.Equal(length, drawn, 0.001 * length);
    }

    /// <summary>Reference: SVG 2, 9.3.9, the grammar's own remarks: "M 100-200" needs no space, "M 0.6.5" is 0.6 and 0.5.</summary>
    [Fact]
    public void Read_NumbersWithoutSeparators_AreTheGrammars()
    {
        (double, double, double, double) a = Box(Path("M10-20.5L.6.5 30-1")), b = Box(Path("M 10 -20.5 L 0.6 0.5 L 30 -1"));
        Assert.Equal(b, a);
    }

    [Theory]
    [Trait("problem", "HC131")]
    [InlineData("M10-20.5.5")]
    [InlineData("L1 1")]
    [InlineData("M0 0 L 5")]
    [InlineData("M0 0 L 5 5 X 3 3")]
    [InlineData("M0 0,,1 1")]
    [InlineData("M0 0 L1 1,")]
    [InlineData("M,0 0L1 1")]
    [InlineData("M0 0 L1. 2")]
    [InlineData("M0 0 L1e999 2")]
    [InlineData("M0 0 L1 2e")]
    [InlineData("M0 0 a1 1 0 2 1 1 1")]
    [InlineData("M0 0 a1 1 0 01 1")]
    [InlineData("M0 0 L٣ 4")]
    [InlineData("M0 0 Lnan 4")]
    [InlineData("M0 0 L1 1 Z 5 5")]
    public void Read_MistakeInPathData_IsRefusedNotCutOff(string d) => Refused(Problems.FillFileBroken, Path(d));

    [Theory]
    [InlineData("<rect x='10' y='20' width='30' height='40'/>", -25, 0, 30, 40)]
    [InlineData("<rect x='10%' y='25%' width='30%' height='50%' rx='50%'/>", -25, 0, 30, 40)]
    [InlineData("<circle cx='40' cy='30' r='10'/>", -10, 10, 20, 20)]
    [InlineData("<ellipse cx='50' cy='40' rx='20' ry='10'/>", 0, 0, 40, 20)]
    [InlineData("<line x1='10' y1='10' x2='20' y2='40'/>", -35, 15, 10, 30)]
    [InlineData("<polyline points='0,0 10,0 10-20'/>", -45, 50, 10, 20)]
    [InlineData("<polygon points='0 0 10 0 10 20'/>", -45, 30, 10, 20)]
    [InlineData("<g transform='translate(10)'><g transform='scale(2 3)'><rect width='5' height='5'/></g></g>", -35, 32.5, 10, 15)]
    [InlineData("<rect width='20' height='10' transform='rotate(90 50 40)'/>", 35, 40, 10, 20)] // corner (0, 0) goes to (90, -10)
    [InlineData("<rect width='20' height='10' transform='translate(50,40),rotate(90)'/>", -5, -10, 10, 20)]
    [InlineData("<rect width='20' height='10' transform='matrix(1 0 .5 1 0 0)'/>", -37.5, 35, 25, 10)]
    [InlineData("<rect width='20' height='10' transform='skewY(45)'/>", -40, 25, 20, 30)]
    [InlineData("<rect width='10mm' height='1cm'/>", -50 + (480 / 25.4), 40 - (480 / 25.4), 960 / 25.4, 960 / 25.4)] // 10 mm are 960/25.4 user units, SVG 2, 8.9
    [InlineData("<rect width='10' height='10' display='none'/><g style='display:none'><circle r='9'/></g><circle cx='50' cy='40' r='5'/>", 0, 0, 10, 10)]
    [InlineData("<defs><rect width='90' height='70'/></defs><title>t</title><metadata><x xmlns='urn:y' href='http://example.org'/></metadata><circle cx='50' cy='40' r='5'/>", 0, 0, 10, 10)]
    public void Read_Shape_LiesWhereItIsDrawn(string inside, double x, double y, double width, double height)
    {
        (double bx, double by, double bw, double bh) = Box(Drawing(inside));
        Assert.Equal(width, bw, 0.01);
        Assert.Equal(height, bh, 0.01);
        Assert.Equal(x, bx, 0.01);
        Assert.Equal(y, by, 0.01);
    }

    /// <summary>Reference: CSS Values and Units 3, 6.2: 1 in = 2.54 cm = 96 px = 72 pt = 6 pc; 1 Q = 1/40 cm.</summary>
    [Theory]
    [InlineData("2in", 50.8, true)]
    [InlineData("5cm", 50, true)]
    [InlineData("50mm", 50, true)]
    [InlineData("144pt", 50.8, true)]
    [InlineData("12pc", 50.8, true)]
    [InlineData("200Q", 50, true)]
    [InlineData("192px", 50.8, false)]
    [InlineData("192", 50.8, false)]
    public void Read_Units_AreReal(string size, double mm, bool physical)
    {
        SvgFillRead read = Read($"<svg xmlns='http://www.w3.org/2000/svg' width='{size}' height='{size}' viewBox='-1 -1 2 2'><rect x='-1' y='-1' width='2' height='2'/></svg>").Value!;
        Assert.Equal(mm, read.Shape.CoreWidth, 1e-6);
        Assert.Equal(mm, read.Shape.CoreHeight, 1e-6);
        Assert.Equal(0, read.FromViewBoxCentre.Length, 1e-9);
        Assert.Equal(physical, read.PhysicalSize);
    }

    /// <summary>Reference: SVG 2, 8.2 preserveAspectRatio: meet is the default and scales evenly, none does not.</summary>
    [Theory]
    [InlineData("", 50, 50)]
    [InlineData("preserveAspectRatio='none'", 100, 50)]
    [InlineData("preserveAspectRatio='xMidYMid slice'", 100, 100)]
    public void Read_ViewBoxOfOtherProportions_IsFitted(string fit, double width, double height)
    {
        SvgFillRead read = Read($"<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='50mm' viewBox='0 0 10 10' {fit}><rect width='10' height='10'/></svg>").Value!;
        Assert.Equal(width, read.Shape.CoreWidth, 1e-6);
        Assert.Equal(height, read.Shape.CoreHeight, 1e-6);
    }

    [Theory]
    [InlineData("<path d='M0 0H50V50z'/>", null, FillKind.Outline)]
    [InlineData("<path d='M0 0H50V50L0 0'/>", null, FillKind.Outline)]
    [InlineData("<path d='M0 0H50V50'/>", null, FillKind.Stitches)]
    [InlineData("<path d='M0 0H50V50' fill='none' stroke='#000'/>", null, FillKind.Stitches)]
    [InlineData("<g fill='#abc'><path d='M0 0H50V50'/></g>", null, FillKind.Outline)]
    [InlineData("<path style='stroke:red; fill : #abc' d='M0 0H50V50'/>", null, FillKind.Outline)]
    [InlineData("<path d='M0 0H50V50z'/><path d='M0 0H50'/>", null, FillKind.Stitches)]
    [InlineData("<path d='M0 0H50V50z'/>", FillKind.Stitches, FillKind.Stitches)]
    public void Read_Kind_FollowsTheLinesUnlessSaid(string inside, FillKind? asked, FillKind expected)
    {
        FillShape shape = Read(Drawing(inside), asked).Value!.Shape;
        Assert.Equal(expected, shape.Kind);
        Assert.Equal(expected == FillKind.Stitches ? 0.4 : 0, shape.ThreadMm);
    }

    [Theory]
    [Trait("problem", "HC132")]
    [InlineData("<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'><text>&x;</text></svg>")]
    [InlineData("<!DOCTYPE svg [<!ENTITY a 'aaaa'><!ENTITY b '&a;&a;&a;'>]><svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'><path d='&b;'/></svg>")]
    [InlineData("<!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' 'http://example.org/svg11.dtd'><svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'><path d='M0 0h50'/></svg>")]
    [InlineData("<?xml-stylesheet href='http://example.org/a.css'?><svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'><path d='M0 0h50'/></svg>")]
    public void Read_DocumentThatReachesOut_IsRefused(string svg) => Refused(Problems.FillFileUnsafe, svg);

    [Theory]
    [Trait("problem", "HC132")]
    [InlineData("<script>1</script>")]
    [InlineData("<g><script href='a.js'/></g>")]
    [InlineData("<defs><script>1</script></defs>")]
    [InlineData("<metadata><script>1</script></metadata>")]
    [InlineData("<path d='M0 0h50' onclick='1'/>")]
    [InlineData("<image href='a.png'/>")]
    [InlineData("<foreignObject><p xmlns='http://www.w3.org/1999/xhtml'>a</p></foreignObject>")]
    [InlineData("<p xmlns='http://www.w3.org/1999/xhtml'>a</p>")]
    [InlineData("<a xlink:href='http://example.org'><path d='M0 0h50'/></a>")]
    [InlineData("<use href='other.svg#a'/>")]
    [InlineData("<g xml:base='file:///'><path d='M0 0h50'/></g>")]
    [InlineData("<path d='M0 0h50' style='fill:url(http://example.org/a#b)'/>")]
    [InlineData("<path d='M0 0h50' fill='url( \"a.svg#b\")'/>")]
    [InlineData("<defs><linearGradient xlink:href='a.svg#b'/></defs><path d='M0 0h50'/>")]
    [InlineData("<style>@import 'a.css';</style><path d='M0 0h50'/>")]
    [InlineData("<path d='M0 0h50'/><?php 1 ?>")]
    public void Read_ContentThatCouldDoHarm_IsRefused(string inside) => Refused(Problems.FillFileUnsafe, Drawing(inside));

    [Theory]
    [Trait("problem", "HC134")]
    [InlineData("<text x='10' y='10'>a</text>")]
    [InlineData("<g id='a'/><use href='#a'/>")]
    [InlineData("<svg><path d='M0 0h50'/></svg>")]
    [InlineData("<animate/>")]
    [InlineData("<path d='M0 0h50' style='transform:scale(2)'/>")]
    [InlineData("<path d='M0 0h50' visibility='hidden'/>")]
    [InlineData("<style>.a{display:none}</style><path class='a' d='M0 0h50'/>")]
    [InlineData("<rect width=\"10\" height=\"10\" transform=\"scale(.5)\" transform-origin=\"-60 0\"/>")]
    [InlineData("<rect width=\"10\" height=\"10\" style=\"transform-box:fill-box\"/>")]
    [InlineData("<rect width=\"10\" height=\"10\" style=\"clip-path:circle(3px)\"/>")]
    [InlineData("<rect width=\"10\" height=\"10\" style=\"tr\\61nsform:scale(2)\"/>")]
    [InlineData("<rect width=\"10\" height=\"10\" mask=\"url(#m)\"/>")]
    [InlineData("<switch><rect width=\"10\" height=\"10\"/></switch>")]
    public void Read_PartOfSvgNotRead_IsRefusedNotPassedOver(string inside) => Refused(Problems.FillFileUnsupported, Drawing(inside));

    [Theory]
    [Trait("problem", "HC131")]
    [InlineData("")]
    [InlineData("hello")]
    [InlineData("<html/>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'><path d='M0 0h5'/>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='1furlong' height='1in'/>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in' viewBox='0 0 1'/>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'><g transform='turn(3)'/></svg>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'><g transform='rotate(3'/></svg>")]
    public void Read_NotSvg_IsRefused(string text) => Refused(Problems.FillFileBroken, text);

    [Theory]
    [Trait("problem", "HC135")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 350 230'><path d='M0 0h50'/></svg>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='100%' height='100%' viewBox='0 0 350 230'><path d='M0 0h50'/></svg>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='35mm' height='23mm'/>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='35mm' height='23mm'><path d='M0 0h2'/></svg>")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg' width='35mm' height='23mm'><path d='M0 0h500000000'/></svg>")]
    public void Read_NoFillsMeasures_AreRefused(string svg) => Refused(Problems.FillFileAbsurd, svg);

    [Fact]
    [Trait("problem", "HC133")]
    public void Read_TooMuch_IsRefusedAtOnce()
    {
        Refused(Problems.FillFileTooLarge, Path("M0 0" + string.Concat(Enumerable.Repeat("l1 1-1-1", 130_000))));
        Refused(Problems.FillFileTooLarge, Drawing(string.Concat(Enumerable.Repeat("<g/>", 20_001))));
        Refused(Problems.FillFileTooLarge, Drawing(string.Concat(Enumerable.Repeat("<g>", 1000)) + string.Concat(Enumerable.Repeat("</g>", 1000))));
        Refused(Problems.FillFileTooLarge, Drawing("<defs>" + string.Concat(Enumerable.Repeat("<g>", 1000)) + string.Concat(Enumerable.Repeat("</g>", 1000)) + "</defs>"));
        Refused(Problems.FillFileTooLarge, Path("M0 0" + string.Concat(Enumerable.Repeat("C9e5 0 0 9e5 9e5 9e5 9e5 0 0 9e5 0 0", 40))));
        Refused(Problems.FillFileTooLarge, new string(' ', 20_000_001));
    }

    /// <summary>A pipe that never ends: no length to ask for, and one attribute that goes on for a gigabyte.</summary>
    [Fact]
    [Trait("problem", "HC133")]
    public void Read_EndlessStream_EndsAtTheLimit()
    {
        using var endless = new Endless(Encoding.UTF8.GetBytes("<svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'><path d='M0 0"), "l1 1"u8.ToArray());
        Outcome<SvgFillRead> read = SvgFill.Read(endless);
        Assert.Same(Problems.FillFileTooLarge, read.Problem!.Kind);
        Assert.InRange(endless.Given, 0, 2 * Tolerances.Default.LargestFillFileBytes);
    }

    private sealed class Endless(byte[] first, byte[] then) : Stream
    {
        public long Given { get; private set; }

        public override bool CanRead => true;

        public override bool CanSeek => false;

        public override bool CanWrite => false;

        public override long Length => throw new NotSupportedException();

        public override long Position { get => Given; set => throw new NotSupportedException(); }

        public override int Read(byte[] buffer, int offset, int count)
        {
            for (int i = 0; i < count; i++, Given++)
            {
                buffer[offset + i] = Given < first.Length ? first[Given] : then[(Given - first.Length) % then.Length];
            }

            return Given > 1_000_000_000 ? 0 : count;
        }

        public override void Flush()
        {
        }

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }
}
