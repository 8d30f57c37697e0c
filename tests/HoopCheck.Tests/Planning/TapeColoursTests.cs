using HoopCheck.Planning;

namespace HoopCheck.Tests;

public class TapeColoursTests
{
    [Fact]
    public void Parse_NameOrNumber_IsAColour()
    {
        Assert.Equal(new TapeColour("#0A14ff", 10, 20, 255), TapeColours.Parse("#0A14ff"));
        Assert.Equal("blue", TapeColours.Parse("Blue")!.Name);
        Assert.Null(TapeColours.Parse("#12345"));
        Assert.Null(TapeColours.Parse("#12345g"));
        Assert.Null(TapeColours.Parse("blueish"));
    }
}
