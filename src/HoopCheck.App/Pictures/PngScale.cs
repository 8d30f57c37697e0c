using System.Buffers.Binary;

namespace HoopCheck.App.Pictures;

/// <summary>Puts a picture's true scale into a PNG file, so that it prints life-size at 100 %.</summary>
internal static class PngScale
{
    /// <summary>Signature (8 bytes) and IHDR chunk (25 bytes); pHYs must stand after it and before the pixels.</summary>
    private const int AfterHeader = 33;

    /// <summary>The file with a pHYs chunk (PNG specification, third edition, 11.3.4.3).</summary>
    /// <param name="png">A PNG file without one.</param>
    /// <param name="mmPerPixel">Its scale.</param>
    public static byte[] With(byte[] png, double mmPerPixel)
    {
        Span<byte> chunk = stackalloc byte[21];
        uint perMetre = (uint)Math.Round(1000 / mmPerPixel);
        BinaryPrimitives.WriteUInt32BigEndian(chunk, 9);
        "pHYs"u8.CopyTo(chunk[4..]);
        BinaryPrimitives.WriteUInt32BigEndian(chunk[8..], perMetre);
        BinaryPrimitives.WriteUInt32BigEndian(chunk[12..], perMetre);
        chunk[16] = 1;
        BinaryPrimitives.WriteUInt32BigEndian(chunk[17..], Crc(chunk[4..17]));
        return [.. png.AsSpan(0, AfterHeader), .. chunk, .. png.AsSpan(AfterHeader)];
    }

    private static uint Crc(ReadOnlySpan<byte> data)
    {
        uint crc = 0xFFFFFFFF;
        foreach (byte b in data)
        {
            crc ^= b;
            for (int k = 0; k < 8; k++)
            {
                crc = (crc & 1) != 0 ? (crc >> 1) ^ 0xEDB88320 : crc >> 1;
            }
        }

        return ~crc;
    }
}
