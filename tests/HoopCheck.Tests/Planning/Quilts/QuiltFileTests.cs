using HoopCheck.Planning.Quilts;

namespace HoopCheck.Tests.Planning.Quilts;

public class QuiltFileTests
{
    private static readonly Dictionary<string, string> Given = new() { ["name"] = "Stars \"and\" \\ stripes\t1", ["size"] = "63x47 1/4in", ["fill"] = "350x230", ["bobbin-metres"] = "60" };

    [Fact]
    public void Parse_WhatWriteWrote_IsWhatWasGiven()
    {
        QuiltSpec quilt = QuiltFile.Parse(QuiltFile.Write(Given)).Value!;
        Assert.Equal("Stars \"and\" \\ stripes\t1", quilt.Name);
        Assert.Equal((1600.2, 1200.15), (Math.Round(quilt.Width, 9), Math.Round(quilt.Height, 9)));
        Assert.Equal((350, 230), (quilt.FillWidth, quilt.FillHeight));
        Assert.Equal(60, quilt.Thread.BobbinMetres);
        Assert.Equal((12.7, 1.5875, 6.35, 0), (Math.Round(quilt.SpacingMm, 9), Math.Round(quilt.MinGapMm, 9), Math.Round(quilt.GapMm, 9), quilt.EdgeMm));
        Assert.Equal(("hoop.toml", null, null), (quilt.HoopFile, quilt.Tape, quilt.FillFile));
        Assert.True(quilt.TurnFills);
    }

    [Fact]
    [Trait("problem", "HC152")]
    public void Parse_NewFileNotFilledIn_SaysWhatIsMissing() =>
        Assert.Equal("The quilt file cannot be understood. \"size\" is missing or still empty.", QuiltFile.Parse(QuiltFile.Write(new Dictionary<string, string>())).Problem!.Say);

    [Theory]
    [InlineData("size = \"63x47 1/4in\"\nfill = \"350x230\"", "\"hoop\"")]
    [InlineData("size = \"63\"\nhoop = \"h\"\nfill = \"350x230\"", "\"size\"")]
    [InlineData("size = \"63x47\"\nhoop = \"../h\"\nfill = \"350x230\"", "\"hoop\"")]
    [InlineData("size = \"63x47\"\nhoop = \"h\"\nfill = \"/tmp/a.svg\"", "\"fill\"")]
    [InlineData("size = \"63x47\"\nhoop = \"h\"\nfill = \"large\"", "\"fill\"")]
    [InlineData("size = \"63x47\"\nhoop = \"h\"\nfill = \"9x9\"\norder = \"spiral\"", "\"order\" is \"spiral\"; it can be \"rows\" or \"columns\".")]
    [InlineData("size = \"63x47\"\nhoop = \"h\"\nfill = \"9x9\"\nlayuot = \"full\"", "\"layuot\" is not known; is \"layout\" meant?")]
    [InlineData("size = \"63x47\"\nhoop = \"h\"\nfill = \"9x9\"\ngap = \"-1\"", "\"gap\" must not be negative.")]
    [InlineData("size = \"63x47\"\nhoop = \"h\"\nfill = \"9x9\"\nturn-fills = \"no\"", "\"turn-fills\"")]
    [InlineData("size = \"63x47\"\nhoop = \"h\"\nfill = \"9x9\"\ntape = \"bluish\"", "\"tape\"")]
    [InlineData("size = \"63x47\"\nhoop = \"h\"\nfill = \"9x9\"\nbobbin-metres = \"60\"", "\"bobbin-metres\"")]
    [InlineData("size = \"63x47\"\nsize = \"63x47\"", "Line 2")]
    [InlineData("not toml", "Line 1")]
    [InlineData("size = 63", "\"size\"")]
    public void Parse_WrongEntry_IsNamed(string text, string start)
    {
        HoopCheck.Rules.Problem problem = QuiltFile.Parse(text).Problem!;
        Assert.Equal("HC152", problem.Kind.Code);
        Assert.StartsWith(start, problem.Detail, StringComparison.Ordinal);
    }
}
