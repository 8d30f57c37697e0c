using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.Tests.Planning;

public class CameraFileTests
{
    [Fact]
    public void Parse_WholeFile_GivesEveryNumber() =>
        Assert.Equal(
            new CameraIntrinsics(4032, 3024, 2912.5, 2010, 1515, -0.02, 0.003, 6),
            CameraFile.Parse("""{"name":"mine","width":4032,"height":3024,"fx":2912.5,"cx":2010,"cy":1515,"k1":-0.02,"k2":0.003,"focalUncertainty":6}""").Value);

    [Fact]
    public void Parse_ShortestFile_TakesMiddleAndNoDistortion() =>
        Assert.Equal(
            new CameraIntrinsics(4000, 3000, 3000, 1999.5, 1499.5, 0, 0, 15),
            CameraFile.Parse("""{"width":4000,"height":3000,"focal":3000}""").Value);

    [Theory]
    [Trait("problem", "HC113")]
    [InlineData("", "no JSON")]
    [InlineData("{\"width\":4000,", "no JSON")]
    [InlineData("[]", "one JSON object")]
    [InlineData("""{"height":3000,"fx":3000}""", "\"width\" is missing")]
    [InlineData("""{"width":4000,"height":3000}""", "\"fx\" is missing")]
    [InlineData("""{"width":4000,"height":3000,"fx":3000,"focal":3000}""", "give one")]
    [InlineData("""{"width":4000,"height":3000,"fx":"3000"}""", "\"fx\" must be a number")]
    [InlineData("""{"width":4000,"height":3000,"fx":1e999}""", "\"fx\" must be a number")]
    [InlineData("""{"width":4000,"height":3000,"fx":26}""", "\"fx\" must be in pixels")]
    [InlineData("""{"width":4000.5,"height":3000,"fx":3000}""", "\"width\" must be a whole number")]
    [InlineData("""{"width":4000,"width":4000,"height":3000,"fx":3000}""", "twice")]
    [InlineData("""{"width":4000,"height":3000,"fx":3000,"cx":1}""", "\"cx\"")]
    [InlineData("""{"width":4000,"height":3000,"fx":3000,"cy":2999}""", "\"cy\"")]
    [InlineData("""{"width":4000,"height":3000,"fx":3000,"k1":3}""", "\"k1\"")]
    [InlineData("""{"width":4000,"height":3000,"fx":3000,"focalUncertainty":0}""", "\"focalUncertainty\"")]
    [InlineData("""{"width":4000,"height":3000,"fx":3000,"focalUncertanty":9}""", "is \"focalUncertainty\" meant?")]
    public void Parse_BrokenFile_NamesTheEntry(string text, string named)
    {
        Problem problem = CameraFile.Parse(text).Problem!;
        Assert.Same(Problems.CameraFileBroken, problem.Kind);
        Assert.Contains(named, problem.Say, StringComparison.Ordinal);
    }
}
