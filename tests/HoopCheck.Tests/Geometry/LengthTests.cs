using System.Globalization;
using HoopCheck.Geometry;

namespace HoopCheck.Tests.Geometry;

public class LengthTests
{
    [Theory]
    [InlineData("12.7", 12.7)]
    [InlineData("12.7mm", 12.7)]
    [InlineData(" 12.7 mm ", 12.7)]
    [InlineData("1.27cm", 12.7)]
    [InlineData("1/2in", 12.7)]
    [InlineData("1/16in", 1.5875)]
    [InlineData("10 5/8in", 269.875)]
    [InlineData("10-5/8\"", 269.875)]
    [InlineData("9 inches", 228.6)]
    [InlineData(".5in", 12.7)]
    [InlineData("-3mm", -3)]
    [InlineData("−3mm", -3)]
    [InlineData("0", 0)]
    public void TryParse_Length_IsMillimetres(string text, double expected)
    {
        Assert.True(Length.TryParse(text, out double mm, out string why), why);
        Assert.Equal(expected, mm, 12);
    }

    [Theory]
    [InlineData("")]
    [InlineData("mm")]
    [InlineData("NaN")]
    [InlineData("Infinity")]
    [InlineData("1e3")]
    [InlineData("12,7")]
    [InlineData("1/2")]
    [InlineData("1/0in")]
    [InlineData("1 5/4in")]
    [InlineData("12.7m")]
    [InlineData("12.7 mm mm")]
    [InlineData("--3")]
    [InlineData("10001mm")]
    [InlineData("400in")]
    [InlineData("99999999999999999999")]
    [InlineData("١٢")]
    public void TryParse_Nonsense_SaysWhy(string text)
    {
        Assert.False(Length.TryParse(text, out double mm, out string why));
        Assert.Equal(0, mm);
        Assert.NotEmpty(why);
    }

    [Theory]
    [InlineData("350x230", 350, 230)]
    [InlineData("350x230mm", 350, 230)]
    [InlineData("350mm x 230mm", 350, 230)]
    [InlineData("13 3/4x9in", 349.25, 228.6)]
    [InlineData("13 3/4in x 9in", 349.25, 228.6)]
    [InlineData("10inx200mm", 254, 200)]
    [InlineData("35×23cm", 350, 230)]
    public void TryParseSize_Size_IsMillimetres(string text, double width, double height)
    {
        Assert.True(Length.TryParseSize(text, out double w, out double h, out string why), why);
        Assert.Equal(width, w, 12);
        Assert.Equal(height, h, 12);
    }

    [Theory]
    [InlineData("350")]
    [InlineData("350x")]
    [InlineData("350x0")]
    [InlineData("-350x230")]
    [InlineData("350inx230")]
    [InlineData("350x230x10")]
    [InlineData("outline.svg")]
    public void TryParseSize_Nonsense_SaysWhy(string text)
    {
        Assert.False(Length.TryParseSize(text, out double w, out double h, out string why));
        Assert.Equal((0, 0), (w, h));
        Assert.NotEmpty(why);
    }

    [Fact]
    public void TryParsePlace_NegativeNumbers_AreUnderstood()
    {
        Assert.True(Length.TryParsePlace("-12.5mm,-1/2in", out var place, out _));
        Assert.Equal(-12.5, place.X, 12);
        Assert.Equal(-12.7, place.Y, 12);
        Assert.True(Length.TryParsePlace("-1,2in", out place, out _));
        Assert.Equal(-25.4, place.X, 12);
        Assert.False(Length.TryParsePlace("3", out _, out string why));
        Assert.NotEmpty(why);
    }

    // Expected values: n/32 · 25.4 mm by hand.
    [Theory]
    [InlineData(0, "0 in")]
    [InlineData(0.0001, "0 in")]
    [InlineData(0.39, "<1/64 in")]
    [InlineData(-0.39, "<1/64 in")]
    [InlineData(0.396875, "1/32 in")]
    [InlineData(0.79375, "1/32 in")]
    [InlineData(1.5875, "1/16 in")]
    [InlineData(1.6, "1/16 in")]
    [InlineData(10.31875, "13/32 in")]
    [InlineData(12.7, "1/2 in")]
    [InlineData(25.2, "1 in")]
    [InlineData(28.575, "1 1/8 in")]
    [InlineData(-4.7625, "−3/16 in")]
    [InlineData(349.25, "13 3/4 in")]
    public void Inches_Millimetres_AreNearestReducedFraction(double mm, string expected) =>
        Assert.Equal(expected, Length.Inches(mm));

    [Fact]
    public void Inches_EveryFraction_ReadsBackAsItself()
    {
        for (int parts = 1; parts < 400; parts++)
        {
            double mm = parts * 25.4 / 32;
            Assert.True(Length.TryParse(Length.Inches(mm), out double back, out string why), why);
            Assert.Equal(mm, back, 9);
        }
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(1e20)]
    public void Inches_NoLength_IsRefused(double mm) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Length.Inches(mm));

    [Theory]
    [InlineData(-1.24, "−1.2 mm")]
    [InlineData(-0.04, "0.0 mm")]
    [InlineData(12.7, "12.7 mm")]
    public void Millimetres_Length_HasOneDecimalAndRealMinus(double mm, string expected) =>
        Assert.Equal(expected, Length.Millimetres(mm));

    [Fact]
    public void Everything_CultureWithDecimalComma_ReadsAndWritesTheSame()
    {
        CultureInfo before = CultureInfo.CurrentCulture;
        var comma = (CultureInfo)CultureInfo.InvariantCulture.Clone();
        comma.NumberFormat.NumberDecimalSeparator = ",";
        comma.NumberFormat.NumberGroupSeparator = ".";
        comma.NumberFormat.NegativeSign = "~";
        try
        {
            CultureInfo.CurrentCulture = comma;
            Assert.Equal("12,5", $"{12.5}");
            Assert.True(Length.TryParse("-12.7", out double mm, out _));
            Assert.Equal(-12.7, mm, 12);
            Assert.Equal("12.7 mm", Length.Millimetres(12.7));
            Assert.Equal("13/32 in", Length.Inches(10.31875));
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
    }

    [Theory]
    [InlineData(1.5, 1.6, "1.5 mm", "1.6 mm")]
    [InlineData(1.57, 1.6, "1.57 mm", "1.60 mm")]
    [InlineData(1.598, 1.6, "1.598 mm", "1.600 mm")]
    [InlineData(1.6, 1.6, "1.600 mm", "1.600 mm")]
    [InlineData(-0.004, 0, "−0.004 mm", "0.000 mm")]
    [InlineData(12.74, 12.7, "12.74 mm", "12.70 mm")]
    public void Apart_LengthNearALimit_HasAsManyDecimalsAsItTakes(double mm, double limit, string length, string shown) =>
        Assert.Equal((length, shown), Length.Apart(mm, limit));
}
