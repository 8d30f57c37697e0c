using System.Buffers.Binary;
using System.Text;
using HoopCheck.Rules;
using HoopCheck.Vision;
using ImageMagick;
using OpenCvSharp;

namespace HoopCheck.Tests.Vision;

public class IntakeTests
{
    // Tiny pictures, so that the many variants stay quick.
    private static readonly Tolerances s_tiny = new() { SmallestLongSidePx = 1, LargestPhotoPixels = 2_000_000 };

    // ---- orientation and reduction -------------------------------------------------------------------------------

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(7)]
    [InlineData(8)]
    public void Read_EachOrientation_ComesOutUpright(int orientation)
    {
        // Four corners of different colours, and wider than high.
        Func<int, int, Scalar> upright = (x, y) => (x < 24, y < 16) switch
        {
            (true, true) => new(0, 0, 255),
            (false, true) => new(0, 255, 0),
            (false, false) => new(255, 0, 0),
            _ => new(255, 255, 255),
        };
        Photograph photo = Good(WithExif(Jpeg(Stored(upright, 48, 32, orientation)), orientation));

        Assert.Equal((48, 32), (photo.Header.Width, photo.Header.Height));
        Assert.Equal((48, 32), (photo.Pixels.Width, photo.Pixels.Height));
        Assert.Equal(orientation >= 5 ? (32, 48) : (48, 32), (photo.Header.StoredWidth, photo.Header.StoredHeight));
        foreach ((int x, int y) in new[] { (8, 8), (40, 8), (40, 24), (8, 24) })
        {
            Scalar wanted = upright(x, y);
            (byte b, byte g, byte r) = At(photo.Pixels, x, y);
            Assert.InRange(b, wanted.Val0 - 12, wanted.Val0 + 12);
            Assert.InRange(g, wanted.Val1 - 12, wanted.Val1 + 12);
            Assert.InRange(r, wanted.Val2 - 12, wanted.Val2 + 12);
        }
    }

    public static TheoryData<int, int, int, int> OrientationsAndOddSizes()
    {
        var data = new TheoryData<int, int, int, int>();
        for (int orientation = 1; orientation <= 8; orientation++)
        {
            data.Add(orientation, 100, 64, 2);
            data.Add(orientation, 101, 67, 2);
            data.Add(orientation, 203, 133, 4);
        }

        return data;
    }

    [Theory]
    [MemberData(nameof(OrientationsAndOddSizes))]
    public void Read_ReducedPicture_KeepsPlacesInFullSize(int orientation, int width, int height, int reduction)
    {
        // Blue rises with x, red with y: each working pixel tells where in the upright photo it lies.
        Func<int, int, Scalar> ramp = (x, y) => new(20 + x, 128, 20 + y);
        byte[] file = WithExif(Jpeg(Stored(ramp, width, height, orientation)), orientation);
        Photograph photo = Good(file, s_tiny with { WorkingLongSidePx = 51 });

        Assert.Equal(reduction, photo.Pixels.Reduction);
        Assert.Equal((width / reduction, height / reduction), (photo.Pixels.Width, photo.Pixels.Height));
        for (int y = 2; y < photo.Pixels.Height - 2; y += 3)
        {
            for (int x = 2; x < photo.Pixels.Width - 2; x += 3)
            {
                (byte b, _, byte r) = At(photo.Pixels, x, y);
                double fullX = ((x + 0.5) * reduction) - 0.5, fullY = ((y + 0.5) * reduction) - 0.5;
                Assert.InRange(b - 20, fullX - 2.5, fullX + 2.5);
                Assert.InRange(r - 20, fullY - 2.5, fullY + 2.5);
            }
        }

        // A ramp read one pixel off would pass the limits above: the mean may not be off.
        double sum = 0;
        int n = 0;
        for (int y = 4; y < photo.Pixels.Height - 4; y++)
        {
            for (int x = 4; x < photo.Pixels.Width - 4; x++, n++)
            {
                sum += At(photo.Pixels, x, y).B - 20 - (((x + 0.5) * reduction) - 0.5);
            }
        }

        Assert.InRange(sum / n, -0.3, 0.3);
    }

    [Theory]
    [InlineData(".png", 3000, 8, 1)]
    [InlineData(".png", 3001, 8, 2)]
    [InlineData(".png", 6000, 8, 2)]
    [InlineData(".png", 6001, 8, 4)]
    [InlineData(".png", 12001, 16, 8)]
    [InlineData(".jpg", 4032, 3024, 2)]
    [InlineData(".webp", 4032, 16, 2)]
    public void Read_LargePicture_IsReducedNoMoreThanNeeded(string format, int width, int height, int reduction)
    {
        using var picture = new Mat(height, width, MatType.CV_8UC3, new Scalar(10, 100, 200));
        Photograph photo = Intake.Read(picture.ImEncode(format)).Value!;
        Assert.Equal(reduction, photo.Pixels.Reduction);
        Assert.Equal((width / reduction, height / reduction), (photo.Pixels.Width, photo.Pixels.Height));
        Assert.Equal(photo.Pixels.Width * photo.Pixels.Height * 3, photo.Pixels.Bgr.Length);
        Assert.InRange(At(photo.Pixels, 1, 0).R, 190, 210);
    }

    // ---- formats -----------------------------------------------------------------------------------------------

    [Theory]
    [InlineData(".jpg", "JPEG")]
    [InlineData(".png", "PNG")]
    [InlineData(".webp", "WebP")]
    public void Read_Format_IsToldFromTheBytes(string extension, string format)
    {
        using Mat picture = Stored((x, y) => new(x, 100, 200 - y), 64, 48, 1);
        Photograph photo = Good(picture.ImEncode(extension));
        Assert.Equal(format, photo.Header.Format);
        Assert.Equal((64, 48, 1), (photo.Header.Width, photo.Header.Height, photo.Header.Orientation));
        Assert.Null(photo.Header.Focal35Mm);
        Assert.Null(photo.Header.Taken);
        (byte b, byte g, byte r) = At(photo.Pixels, 20, 20);
        Assert.InRange(b, 10, 30);
        Assert.InRange(g, 90, 110);
        Assert.InRange(r, 170, 190);
    }

    [Fact]
    public void Read_Exif_GivesLensAndTime()
    {
        using Mat picture = Stored((_, _) => new(9, 9, 9), 64, 48, 1);
        PhotoHeader header = Good(WithExif(picture.ImEncode(".jpg"), 1, focal35: 26, taken: "2026:05:01 10:11:12")).Header;
        Assert.Equal(26, header.Focal35Mm);
        Assert.Equal("2026-05-01T10:11:12", header.Taken);

        // 80 px of diagonal for 43.2666 mm.
        Assert.Equal(26 * 80 / 43.2666, header.FocalPixels!.Value, 6);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(9)]
    [InlineData(65535)]
    public void Read_OrientationThatDoesNotExist_IsTakenAsUpright(int orientation)
    {
        using Mat picture = Stored((_, _) => new(9, 9, 9), 64, 48, 1);
        Assert.Equal(1, Good(WithExif(picture.ImEncode(".jpg"), orientation)).Header.Orientation);
    }

    [Fact]
    public void Read_GreyPng_BecomesThreeEqualChannels()
    {
        using var picture = new Mat(48, 64, MatType.CV_8UC1, new Scalar(77));
        Assert.Equal((77, 77, 77), At(Good(picture.ImEncode(".png")).Pixels, 5, 5));
    }

    [Fact]
    public void Read_GreyJpeg_BecomesThreeEqualChannels()
    {
        using var picture = new Mat(48, 64, MatType.CV_8UC1, new Scalar(77));
        Assert.Equal((77, 77, 77), At(Good(picture.ImEncode(".jpg")).Pixels, 5, 5));
    }

    [Fact]
    public void Read_SixteenBitPng_BecomesEightBit()
    {
        // v · 257 is v in sixteen bits.
        using var picture = new Mat(48, 64, MatType.CV_16UC3, new Scalar(10 * 257, 128 * 257, 255 * 257));
        Assert.Equal((10, 128, 255), At(Good(picture.ImEncode(".png")).Pixels, 5, 5));
    }

    [Theory]
    [InlineData(0, 255, 255, 255)]
    [InlineData(255, 10, 20, 30)]
    [InlineData(51, 206, 208, 210)] // a fifth of the colour over four fifths of white
    public void Read_TransparentPng_LiesOnWhite(int alpha, int b, int g, int r)
    {
        using var picture = new Mat(48, 64, MatType.CV_8UC4, new Scalar(10, 20, 30, alpha));
        (byte B, byte G, byte R) got = At(Good(picture.ImEncode(".png")).Pixels, 5, 5);
        Assert.InRange(got.B, b - 1, b + 1);
        Assert.InRange(got.G, g - 1, g + 1);
        Assert.InRange(got.R, r - 1, r + 1);
    }

    [Fact]
    public void Read_CmykJpeg_BecomesBgr()
    {
        using var picture = new MagickImage(new MagickColor(255, 0, 0), 64, 48) { ColorSpace = ColorSpace.CMYK, Format = MagickFormat.Jpeg };
        (byte b, byte g, byte r) = At(Good(picture.ToByteArray()).Pixels, 5, 5);
        Assert.InRange(r, 230, 255);
        Assert.InRange(g, 0, 40);
        Assert.InRange(b, 0, 40);
    }

    /// <summary>
    /// HEVC tiles in a grid as phones write them, the turn in an irot box and in the EXIF as well: it must be turned once. The JPEG from which it
    /// was made says how it should look, what its EXIF says was put in when the JPEG was generated (testimages/README.md).
    /// </summary>
    [Fact]
    public void Read_HeicAsPhonesWriteIt_IsTheUprightPhotoWithItsExif()
    {
        Photograph heic = Real(HeicOfAPhone()), jpeg = Real(File.ReadAllBytes(Repo.Path("testimages", "measured", "plaid-two-blue-tapes-turned-exif-200x300.jpg")));

        Assert.Equal(new PhotoHeader("HEIC", 1512, 2016, 1, 6.52, 29, "2024-04-22T17:02:39") { Lens = new("Example", "Phone B", 6.52, 29) }, heic.Header);
        Assert.Equal((1512, 2016, 1), (heic.Pixels.Width, heic.Pixels.Height, heic.Pixels.Reduction));
        Assert.Equal(8, jpeg.Header.Orientation);
        Assert.InRange(Difference(heic.Pixels, jpeg.Pixels), 0, 6);

        // The comparison itself: a picture the wrong way up is far off.
        Assert.True(Difference(heic.Pixels, TestImages.Turn.Photo(jpeg, 2).Pixels) > 25);
    }

    /// <summary>irot counts quarter-turns anti-clockwise (ISO/IEC 23008-12, clause from memory: 6.5.10); the EXIF keeps saying 8, and must have no say.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(2)]
    [InlineData(3)]
    public void Read_HeicWithAnotherTurn_FollowsTheBoxAndNotTheExif(byte irot)
    {
        byte[] file = HeicOfAPhone();
        Photograph asMade = Real(file);
        int at = file.AsSpan().IndexOf("irot"u8) + 4;
        Assert.Equal(1, file[at]);
        file[at] = irot;

        Photograph turned = Real(file), expected = TestImages.Turn.Photo(asMade, (1 - irot + 4) % 4);

        Assert.Equal((expected.Header.Width, expected.Header.Height, 1), (turned.Header.Width, turned.Header.Height, turned.Header.Orientation));
        Assert.Equal(expected.Pixels.Bgr, turned.Pixels.Bgr);
    }

    [Fact]
    [Trait("problem", "HC103")]
    public void Read_HeicOfAPhoneCutShort_IsDamaged()
    {
        byte[] file = HeicOfAPhone();
        Assert.All([0.2, 0.6, 0.99], share => Assert.Same(Problems.PictureDamaged, Intake.Read(file[..(int)(share * file.Length)]).Problem?.Kind));
    }

    // Small ones, to try every orientation: an AV1 picture in the same boxes under HEIC's name; the reader goes by the boxes and only the codec
    // differs. Orientation 6 becomes an irot box, and stands in the EXIF as well.
    [Theory]
    [InlineData(1, ImageMagick.Orientation.TopLeft)]
    [InlineData(3, ImageMagick.Orientation.BottomRight)]
    [InlineData(6, ImageMagick.Orientation.RightTop)]
    [InlineData(8, ImageMagick.Orientation.LeftBottom)]
    public void Read_Heic_IsTurnedExactlyOnce(int orientation, ImageMagick.Orientation written)
    {
        Func<int, int, Scalar> upright = (x, y) => (x < 48, y < 32) switch
        {
            (true, true) => new(0, 0, 255),
            (false, true) => new(0, 255, 0),
            (false, false) => new(255, 0, 0),
            _ => new(255, 255, 255),
        };
        byte[] file = Heic(upright, 96, 64, orientation, written);
        Photograph photo = Good(file);
        Assert.Equal("HEIC", photo.Header.Format);
        Assert.Equal((96, 64, 1), (photo.Header.Width, photo.Header.Height, photo.Header.Orientation));
        Assert.Equal(26, photo.Header.Focal35Mm);
        foreach ((int x, int y) in new[] { (20, 14), (76, 14), (76, 50), (20, 50) })
        {
            Scalar wanted = upright(x, y);
            (byte b, byte g, byte r) = At(photo.Pixels, x, y);
            Assert.InRange(b, wanted.Val0 - 30, wanted.Val0 + 30);
            Assert.InRange(g, wanted.Val1 - 30, wanted.Val1 + 30);
            Assert.InRange(r, wanted.Val2 - 30, wanted.Val2 + 30);
        }

        Photograph half = Good(file, s_tiny with { WorkingLongSidePx = 50 });
        Assert.Equal((2, 48, 32), (half.Pixels.Reduction, half.Pixels.Width, half.Pixels.Height));
    }

    [Fact]
    [Trait("problem", "HC103")]
    public void Read_HeicCutOrChanged_NeverLeavesTheCatalogue()
    {
        byte[] file = Heic((x, y) => new(x, y, 200), 96, 64, 1, ImageMagick.Orientation.TopLeft);
        for (int k = 1; k < 20; k++)
        {
            Assert.NotNull(Intake.Read(file[..(file.Length * k / 20)], s_tiny).Problem);
        }

        var random = new Random(11);
        for (int round = 0; round < 40; round++)
        {
            byte[] changed = [.. file];
            changed[random.Next(changed.Length)] = (byte)random.Next(256);
            Outcome<Photograph> outcome = Intake.Read(changed, s_tiny);
            Assert.True(outcome.Value is not null || Problems.All.Contains(outcome.Problem!.Kind));
        }
    }

    /// <summary>With restart marks in the data a stretch missing in the middle shows by their count; nothing else of the file tells.</summary>
    [Fact]
    [Trait("problem", "HC103")]
    public void Read_JpegWithRestartMarks_BytesMissingInTheMiddle_IsDamaged()
    {
        using Mat picture = Stored((x, y) => new(x * 2, y * 3, (x * y) % 251), 96, 64, 1);
        byte[] file = picture.ImEncode(".jpg", new ImageEncodingParam(ImwriteFlags.JpegRstInterval, 2));
        int from = file.AsSpan().IndexOf((ReadOnlySpan<byte>)[0xFF, 0xD1]), to = file.AsSpan().IndexOf((ReadOnlySpan<byte>)[0xFF, 0xD4]);
        Assert.True(from > 0 && to > from);

        _ = Good(file);
        Assert.Same(Problems.PictureDamaged, Refused([.. file[..(from - 3)], .. file[(to - 3)..]]).Kind);
        Assert.Same(Problems.PictureDamaged, Refused([.. file[..to], .. file[from..]]).Kind);
    }

    [Fact]
    public void Read_BytesAfterTheEnd_AreNoDamage()
    {
        using Mat picture = Stored((x, _) => new(x, 9, 9), 64, 48, 1);
        foreach (string format in new[] { ".jpg", ".png", ".webp" })
        {
            _ = Good([.. picture.ImEncode(format), .. Encoding.ASCII.GetBytes("what a phone hangs on behind")]);
        }
    }

    [Fact]
    public void Read_Stream_IsTheSameAsBytes()
    {
        using Mat picture = Stored((x, y) => new(x, y, 9), 64, 48, 1);
        byte[] file = picture.ImEncode(".png");
        using var seekable = new MemoryStream(file);
        using var plain = new System.IO.Compression.BrotliStream(new MemoryStream(Squeezed(file)), System.IO.Compression.CompressionMode.Decompress);
        Assert.Equal(Good(file).Pixels.Bgr, Intake.Read(seekable, s_tiny).Value!.Pixels.Bgr);
        Assert.Equal(Good(file).Pixels.Bgr, Intake.Read(plain, s_tiny).Value!.Pixels.Bgr);
    }

    // ---- what is refused -----------------------------------------------------------------------------------------

    [Theory]
    [Trait("problem", "HC102")]
    [InlineData("")]
    [InlineData("GIF89a")]
    [InlineData("%PDF-1.7 and so on and so on")]
    [InlineData("RIFF....WAVEfmt ")]
    [InlineData("\0\0\0\u0018ftypavifmif1\0\0\0\0heic")]
    public void Read_NoPicture_IsSaid(string bytes) =>
        Assert.Same(Problems.NotAPicture, Refused(Encoding.Latin1.GetBytes(bytes)).Kind);

    [Fact]
    [Trait("problem", "HC104")]
    public void Read_TooManyPixels_IsSaidBeforeDecoding()
    {
        // A header that promises 60000 x 60000 pixels, and no pixel behind it.
        byte[] file = Png(60000, 60000);
        Assert.Same(Problems.PictureTooLarge, Intake.Read(file).Problem!.Kind);
    }

    [Fact]
    [Trait("problem", "HC104")]
    public void Read_TooManyBytes_IsSaid()
    {
        Tolerances few = s_tiny with { LargestFileBytes = 1000 };
        Assert.Same(Problems.PictureTooLarge, Intake.Read(new byte[1001], few).Problem!.Kind);
        Assert.Same(Problems.PictureTooLarge, Intake.Read(new MemoryStream(new byte[1001]), few).Problem!.Kind);
        using var endless = new System.IO.Compression.BrotliStream(new MemoryStream(Squeezed(new byte[100_000])), System.IO.Compression.CompressionMode.Decompress);
        Assert.Same(Problems.PictureTooLarge, Intake.Read(endless, few).Problem!.Kind);
    }

    [Theory]
    [Trait("problem", "HC105")]
    [InlineData(999, false)]
    [InlineData(1000, true)]
    public void Read_LongSide_MustBeLongEnough(int width, bool enough)
    {
        using var picture = new Mat(700, width, MatType.CV_8UC3, Scalar.Gray);
        Outcome<Photograph> outcome = Intake.Read(picture.ImEncode(".png"));
        Assert.Equal(enough ? null : Problems.PictureTooSmall, outcome.Problem?.Kind);
    }

    [Theory]
    [Trait("problem", "HC103")]
    [InlineData(".jpg")]
    [InlineData(".png")]
    [InlineData(".webp")]
    public void Read_FileCutShort_IsRefused(string format)
    {
        byte[] file = Busy(format);
        for (int k = 1; k < 60; k++)
        {
            int length = file.Length * k / 60;
            Assert.True(Intake.Read(file[..length], s_tiny).Problem is not null, $"{format} cut to {length} of {file.Length} bytes passed.");
        }

        Assert.Same(Problems.PictureDamaged, Refused(file[..(file.Length / 2)]).Kind);
        Assert.Same(Problems.PictureDamaged, Refused(file[..^1]).Kind);
    }

    [Fact]
    [Trait("problem", "HC103")]
    public void Read_JpegCutBehindAThumbnail_IsRefused()
    {
        // The thumbnail inside the EXIF segment has an end mark of its own, which is not the picture's.
        byte[] thumbnail = Busy(".jpg"), file = WithSegment(Busy(".jpg"), [.. "Exif\0\0"u8, .. thumbnail]);
        _ = Good(file);
        Assert.Same(Problems.PictureDamaged, Refused(file[..^200]).Kind);
    }

    [Theory]
    [InlineData(".jpg")]
    [InlineData(".png")]
    [InlineData(".webp")]
    public void Read_BytesChangedAtRandom_NeverLeavesTheCatalogue(string format)
    {
        byte[] file = format == ".jpg" ? WithExif(Busy(format), 6) : Busy(format);
        var random = new Random(20260501);
        for (int round = 0; round < 150; round++)
        {
            byte[] changed = [.. file];
            for (int k = 0; k <= round % 8; k++)
            {
                // Half of the changes hit the header, where they do most.
                changed[random.Next(round % 2 == 0 ? changed.Length : 200)] = (byte)random.Next(256);
            }

            Outcome<Photograph> outcome = Intake.Read(changed, s_tiny);
            Assert.True(outcome.Value is not null || Problems.All.Contains(outcome.Problem!.Kind));
            Assert.NotSame(Problems.NativeMissing, outcome.Problem?.Kind);
        }
    }

    [Fact]
    [Trait("problem", "HC103")]
    public void Read_RandomBytesBehindARightStart_AreRefused()
    {
        byte[][] starts =
        [
            [0xFF, 0xD8, 0xFF],
            [0x89, .. "PNG\r\n\u001a\n"u8],
            [.. "RIFF"u8, 0, 1, 0, 0, .. "WEBPVP8 "u8],
            [0, 0, 0, 24, .. "ftypheic"u8, 0, 0, 0, 0, .. "mif1heic"u8],
        ];
        var random = new Random(7);
        foreach (byte[] start in starts)
        {
            for (int round = 0; round < 25; round++)
            {
                byte[] rest = new byte[random.Next(2000)];
                random.NextBytes(rest);
                Assert.Same(Problems.PictureDamaged, Refused([.. start, .. rest]).Kind);
            }
        }
    }

    [Fact]
    public void Read_ZeroBytes_AreNoPicture() =>
        Assert.Same(Problems.NotAPicture, Refused(new byte[5000]).Kind);

    // ---- helpers -------------------------------------------------------------------------------------------------

    private static Photograph Good(byte[] file, Tolerances? tolerances = null)
    {
        Outcome<Photograph> outcome = Intake.Read(file, tolerances ?? s_tiny);
        Assert.True(outcome.Value is not null, outcome.Problem?.Say);
        return outcome.Value;
    }

    private static Photograph Real(byte[] file) => Good(file, Tolerances.Default);

    private static byte[] HeicOfAPhone() => File.ReadAllBytes(Repo.Path("testimages", "measured", "plaid-two-blue-tapes-heic-200x300.heic"));

    /// <summary>Mean difference of two pictures of the same size, in codes.</summary>
    private static double Difference(Pixels a, Pixels b)
    {
        Assert.Equal((a.Width, a.Height), (b.Width, b.Height));
        return a.Bgr.Zip(b.Bgr, (x, y) => Math.Abs(x - y)).Average();
    }

    private static Problem Refused(byte[] file)
    {
        Outcome<Photograph> outcome = Intake.Read(file, s_tiny);
        Assert.NotNull(outcome.Problem);
        return outcome.Problem;
    }

    private static (byte B, byte G, byte R) At(Pixels pixels, int x, int y)
    {
        int at = ((y * pixels.Width) + x) * 3;
        return (pixels.Bgr[at], pixels.Bgr[at + 1], pixels.Bgr[at + 2]);
    }

    /// <summary>
    /// The picture as a camera stores it, straight from the standard's table (Exif 2.32, tag 0x0112): row 0 of the stored
    /// picture is the upright picture's top, bottom, left or right, and so is column 0.
    /// </summary>
    private static Mat Stored(Func<int, int, Scalar> upright, int width, int height, int orientation)
    {
        (string row0, string column0) = orientation switch
        {
            1 => ("top", "left"),
            2 => ("top", "right"),
            3 => ("bottom", "right"),
            4 => ("bottom", "left"),
            5 => ("left", "top"),
            6 => ("right", "top"),
            7 => ("right", "bottom"),
            _ => ("left", "bottom"),
        };
        bool turned = row0 is "left" or "right";
        var stored = new Mat(turned ? width : height, turned ? height : width, MatType.CV_8UC3);
        int rows = stored.Rows, columns = stored.Cols;
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int x = 0, y = 0;
                Place(row0, row);
                Place(column0, column);
                Scalar colour = upright(x, y);
                stored.Set(row, column, new Vec3b((byte)colour.Val0, (byte)colour.Val1, (byte)colour.Val2));

                void Place(string side, int distance)
                {
                    switch (side)
                    {
                        case "top":
                            y = distance;
                            break;
                        case "bottom":
                            y = height - 1 - distance;
                            break;
                        case "left":
                            x = distance;
                            break;
                        default:
                            x = width - 1 - distance;
                            break;
                    }
                }
            }
        }

        return stored;
    }

    // IMWRITE_JPEG_SAMPLING_FACTOR is 7 and 4:4:4 is 0x111111 in OpenCV; the wrapper has no names for them.
    private static byte[] Jpeg(Mat picture)
    {
        using (picture)
        {
            return picture.ImEncode(".jpg", new ImageEncodingParam(ImwriteFlags.JpegQuality, 100), new ImageEncodingParam((ImwriteFlags)7, 0x111111));
        }
    }

    private static byte[] Heic(Func<int, int, Scalar> upright, int width, int height, int orientation, ImageMagick.Orientation written)
    {
        using Mat stored = Stored(upright, width, height, orientation);
        using var picture = new MagickImage(stored.ImEncode(".png")) { Format = MagickFormat.Avif, Orientation = written, Quality = 95 };
        var exif = new ExifProfile();
        exif.SetValue(ExifTag.FocalLengthIn35mmFilm, (ushort)26);
        exif.SetValue(ExifTag.Orientation, (ushort)orientation);
        picture.SetProfile(exif);
        byte[] file = picture.ToByteArray();
        for (int at = 8; at < BinaryPrimitives.ReadInt32BigEndian(file); at += 4)
        {
            if (file.AsSpan(at, 4).SequenceEqual("avif"u8))
            {
                "heic"u8.CopyTo(file.AsSpan(at));
            }
        }

        return file;
    }

    private static byte[] Busy(string format)
    {
        using var picture = new Mat(96, 128, MatType.CV_8UC3);
        var random = new Random(3);
        for (int y = 0; y < 96; y++)
        {
            for (int x = 0; x < 128; x++)
            {
                picture.Set(y, x, new Vec3b((byte)random.Next(256), (byte)(2 * y), (byte)(x + y)));
            }
        }

        return picture.ImEncode(format);
    }

    private static byte[] Squeezed(byte[] bytes)
    {
        using var squeezed = new MemoryStream();
        using (var brotli = new System.IO.Compression.BrotliStream(squeezed, System.IO.Compression.CompressionLevel.Fastest, leaveOpen: true))
        {
            brotli.Write(bytes);
        }

        return squeezed.ToArray();
    }

    private static byte[] WithSegment(byte[] jpeg, byte[] content)
    {
        byte[] length = new byte[2];
        BinaryPrimitives.WriteUInt16BigEndian(length, checked((ushort)(content.Length + 2)));
        return [.. jpeg[..2], 0xFF, 0xE1, .. length, .. content, .. jpeg[2..]];
    }

    /// <summary>Puts an EXIF segment, built by hand (TIFF 6.0, big-endian), at a JPEG's front.</summary>
    private static byte[] WithExif(byte[] jpeg, int orientation, int focal35 = 0, string? taken = null)
    {
        var tiff = new MemoryStream();
        void Put16(int v) => tiff.Write([(byte)(v >> 8), (byte)v]);
        void Put32(int v) => tiff.Write([(byte)(v >> 24), (byte)(v >> 16), (byte)(v >> 8), (byte)v]);
        void Entry(int tag, int type, int count, int value)
        {
            Put16(tag);
            Put16(type);
            Put32(count);
            if (type == 3)
            {
                Put16(value);
                Put16(0);
            }
            else
            {
                Put32(value);
            }
        }

        tiff.Write("MM\0*"u8);
        Put32(8);
        Put16(2);
        Entry(0x0112, 3, 1, orientation);
        Entry(0x8769, 4, 1, 38);
        Put32(0);
        Put16(2);
        Entry(0x9003, 2, 20, 68);
        Entry(0xA405, 3, 1, focal35);
        Put32(0);
        tiff.Write(Encoding.ASCII.GetBytes((taken ?? "").PadRight(20, '\0')));
        return WithSegment(jpeg, [.. "Exif\0\0"u8, .. tiff.ToArray()]);
    }

    /// <summary>A PNG of a header and an end.</summary>
    private static byte[] Png(int width, int height)
    {
        byte[] header = [.. "IHDR"u8, 0, 0, 0, 0, 0, 0, 0, 0, 8, 2, 0, 0, 0];
        BinaryPrimitives.WriteInt32BigEndian(header.AsSpan(4), width);
        BinaryPrimitives.WriteInt32BigEndian(header.AsSpan(8), height);
        return [0x89, .. "PNG\r\n\u001a\n"u8, 0, 0, 0, 13, .. header, .. Crc(header), 0, 0, 0, 0, .. "IEND"u8, .. Crc([.. "IEND"u8])];
    }

    private static byte[] Crc(byte[] bytes)
    {
        uint crc = 0xFFFFFFFF;
        foreach (byte b in bytes)
        {
            crc ^= b;
            for (int k = 0; k < 8; k++)
            {
                crc = (crc & 1) != 0 ? (crc >> 1) ^ 0xEDB88320 : crc >> 1;
            }
        }

        byte[] sum = new byte[4];
        BinaryPrimitives.WriteUInt32BigEndian(sum, ~crc);
        return sum;
    }
}
