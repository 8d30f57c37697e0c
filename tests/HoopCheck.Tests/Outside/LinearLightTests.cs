using HoopCheck.Vision;

namespace HoopCheck.Tests.Outside;

/// <summary>Against IEC 61966-2-1:1999, 5.2: the transfer characteristic's two pieces and their constants.</summary>
public class LinearLightTests
{
    [Theory]
    [InlineData(0, 0)]
    [InlineData(0.04045, 0.04045 / 12.92)]

    // Worked outside this program: ((0.5 + 0.055) / 1.055)^2.4 and ((188/255 + 0.055) / 1.055)^2.4, to 8 places.
    [InlineData(0.5, 0.21404114)]
    [InlineData(188 / 255.0, 0.50288646)]
    [InlineData(1, 1)]
    public void Decode_PublishedValues(double coded, double linear) => Assert.Equal(linear, LinearLight.Decode(coded), 1e-8);

    [Fact]
    public void Decode_BothPiecesMeetAtTheKnee()
    {
        // The standard's rounded constants leave a step of about 1e-8 of full light there, and no more.
        double below = LinearLight.Decode(0.04045), above = LinearLight.Decode(0.04045 + 1e-12);
        Assert.InRange(above - below, -1e-7, 1e-7);
    }

    [Fact]
    public void FromLinear_EveryCode_ComesBack()
    {
        for (int code = 0; code < 256; code++)
        {
            Assert.Equal(code, LinearLight.FromLinear(LinearLight.ToLinear((byte)code)));
        }
    }

    [Fact]
    public void Table_IsRisingAndFull()
    {
        ReadOnlySpan<float> table = LinearLight.Table;
        Assert.Equal(256, table.Length);
        Assert.Equal(1f, table[255]);
        for (int i = 1; i < 256; i++)
        {
            Assert.True(table[i] > table[i - 1]);
        }
    }

    [Theory]
    [InlineData(-0.2, 0)]
    [InlineData(1.7, 255)]
    public void FromLinear_OutOfRange_IsHeldToTheEnds(double linear, byte code) => Assert.Equal(code, LinearLight.FromLinear(linear));
}
