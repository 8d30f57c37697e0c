using System.Buffers.Binary;

namespace HoopCheck.Vision;

/// <summary>A picture file's kind, told by its first bytes, never by its name.</summary>
internal enum PictureKind
{
    /// <summary>None of those below.</summary>
    Unknown,

    /// <summary>ISO/IEC 10918-1.</summary>
    Jpeg,

    /// <summary>PNG (ISO/IEC 15948).</summary>
    Png,

    /// <summary>WebP in its RIFF container (RFC 9649).</summary>
    WebP,

    /// <summary>HEVC pictures in ISO/IEC 23008-12 boxes.</summary>
    Heic,
}

/// <summary>
/// Tells picture kinds apart and finds files that end early, from the containers' own marks. Decoders fill what is
/// missing with grey and say nothing, and a measurement on grey is worse than none.
/// </summary>
internal static class PictureBytes
{
    /// <summary>What the first bytes say the file is.</summary>
    public static PictureKind Kind(ReadOnlySpan<byte> file) =>
        file.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]) ? PictureKind.Jpeg
        : file.StartsWith((ReadOnlySpan<byte>)[0x89, (byte)'P', (byte)'N', (byte)'G', 0x0D, 0x0A, 0x1A, 0x0A]) ? PictureKind.Png
        : file.Length >= 12 && file.StartsWith("RIFF"u8) && file[8..].StartsWith("WEBP"u8) ? PictureKind.WebP
        : IsHeic(file) ? PictureKind.Heic
        : PictureKind.Unknown;

    /// <summary>Whether the file holds its picture to the end. What cameras hang on behind that is passed over.</summary>
    public static bool IsComplete(PictureKind kind, ReadOnlySpan<byte> file) => kind switch
    {
        PictureKind.Jpeg => JpegReachesItsEnd(file),
        PictureKind.Png => PngReachesItsEnd(file),
        PictureKind.WebP => BinaryPrimitives.ReadUInt32LittleEndian(file[4..]) is var size && size >= 4 && size <= file.Length - 8,
        PictureKind.Heic => BoxesReachTheEnd(file),
        _ => false,
    };

    private static bool IsHeic(ReadOnlySpan<byte> file)
    {
        if (file.Length < 16 || !file[4..].StartsWith("ftyp"u8))
        {
            return false;
        }

        uint length = BinaryPrimitives.ReadUInt32BigEndian(file);
        ReadOnlySpan<byte> major = file.Slice(8, 4);
        if (length < 16 || length > file.Length || major.StartsWith("avi"u8))
        {
            // The AV1 sister of HEIC calls itself mif1 too.
            return false;
        }

        ReadOnlySpan<byte> brands = file[8..(int)length];
        for (int at = 0; at + 4 <= brands.Length; at += at == 0 ? 8 : 4)
        {
            ReadOnlySpan<byte> brand = brands.Slice(at, 4);
            if (brand.StartsWith("hei"u8) || brand.StartsWith("hev"u8) || brand.SequenceEqual("mif1"u8) || brand.SequenceEqual("msf1"u8))
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>
    /// Walks from segment to segment to the end-of-image mark that belongs to the main picture; thumbnails lie within segments and are jumped over.
    /// Restart marks, where a camera sets them, count from 0 to 7 and round again (ISO/IEC 10918-1, B.2.1, from memory): a gap in
    /// the count is a gap in the data. Without such marks only a walk through every code would show bytes missing in the middle; tried, it took
    /// 30 ms for 12 megapixels, nearly half of the reduced decode. OpenCV's decoder sees it but does not tell.
    /// </summary>
    private static bool JpegReachesItsEnd(ReadOnlySpan<byte> file)
    {
        int at = 2;
        bool scanned = false;
        int restart = 0;
        while (true)
        {
            int mark = file[at..].IndexOf((byte)0xFF);
            if (mark < 0)
            {
                return false;
            }

            at += mark + 1;
            while (at < file.Length && file[at] == 0xFF)
            {
                at++;
            }

            if (at >= file.Length)
            {
                return false;
            }

            byte marker = file[at++];
            switch (marker)
            {
                case 0xD9:
                    return scanned;
                case >= 0xD0 and <= 0xD7:
                    if (marker != 0xD0 + restart)
                    {
                        return false;
                    }

                    restart = (restart + 1) & 7;
                    continue;
                case 0x00 or 0x01 or 0xD8:
                    // A stuffed byte, or another mark that stands alone.
                    continue;
            }

            if (at + 2 > file.Length)
            {
                return false;
            }

            at += BinaryPrimitives.ReadUInt16BigEndian(file[at..]);
            if (marker == 0xDA)
            {
                (scanned, restart) = (true, 0);
            }

            if (at > file.Length)
            {
                return false;
            }
        }
    }

    private static bool PngReachesItsEnd(ReadOnlySpan<byte> file)
    {
        long at = 8;
        while (at + 12 <= file.Length)
        {
            ReadOnlySpan<byte> chunk = file[(int)at..];
            if (chunk[4..].StartsWith("IEND"u8))
            {
                return true;
            }

            at += 12L + BinaryPrimitives.ReadUInt32BigEndian(chunk);
        }

        return false;
    }

    private static bool BoxesReachTheEnd(ReadOnlySpan<byte> file)
    {
        long at = 0;
        bool data = false;
        while (at + 8 <= file.Length)
        {
            ReadOnlySpan<byte> box = file[(int)at..];
            ulong length = BinaryPrimitives.ReadUInt32BigEndian(box);
            bool isData = box[4..].StartsWith("mdat"u8);
            if (length == 1 && box.Length >= 16)
            {
                length = BinaryPrimitives.ReadUInt64BigEndian(box[8..]);
            }
            else if (length == 0)
            {
                return data || isData;
            }

            if (length < 8 || length > (ulong)(file.Length - at))
            {
                // Some phones hang a note on behind the last box; before the data it is damage.
                return data && !isData;
            }

            data |= isData;
            at += (long)length;
        }

        return data;
    }
}
