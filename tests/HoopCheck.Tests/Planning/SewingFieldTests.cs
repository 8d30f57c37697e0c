using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Tests.Planning;

public class SewingFieldTests
{
    private static readonly HoopSpec s_hoop = new("a", 360, 240, 11, null, null, 349.25, 228.6);

    [Theory]
    [InlineData(0, 0, 349.25, 228.6)]
    [InlineData(0, 0, 349.25 + 1e-6, 228.6)]
    [InlineData(-50, 20, 200, 150)]
    public void Check_FillInside_IsFine(double x, double y, double width, double height) =>
        Assert.Null(SewingField.Check(s_hoop, new(new(x, y), width, height)));

    [Theory]
    [Trait("problem", "HC121")]
    [InlineData(0, 0, 349.26, 228.6, "left by 0.1 mm (<1/64 in), right by 0.1 mm")]
    [InlineData(10, 0, 349.25, 228.6, "right by 10.0 mm (13/32 in).")]
    [InlineData(0, -3.2, 349.25, 228.6, "bottom by 3.2 mm (1/8 in).")]
    [InlineData(0, 3.2, 349.25, 228.6, "top by 3.2 mm (1/8 in).")]
    public void Check_FillOutside_NamesSideAndLength(double x, double y, double width, double height, string said)
    {
        Problem problem = SewingField.Check(s_hoop, new(new(x, y), width, height))!;
        Assert.Same(Problems.FillOutsideField, problem.Kind);
        Assert.Contains(said, problem.Say, StringComparison.Ordinal);
    }
}
