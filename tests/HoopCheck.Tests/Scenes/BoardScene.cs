using HoopCheck.Planning.Sheets;
using HoopCheck.Vision.Lens;
using OpenCvSharp;
using SixLabors.ImageSharp.Metadata.Profiles.Exif;

namespace HoopCheck.Tests.Scenes;

/// <summary>
/// Photos of the printed board through a lens that is known exactly, drawn ray by ray with distortion code of their own:
/// x_d = x (1 + k1 r² + k2 r⁴) (Brown 1966, as OpenCV's documentation has it), undone by fixed-point iteration.
/// </summary>
internal sealed record BoardScene(int Width, int Height, double Focal, double Cx, double Cy, double K1, double K2)
{
    /// <summary>A phone's lens as such things are, and not in the middle.</summary>
    public static readonly BoardScene Usual = new(1200, 900, 905, 606, 445, 0.05, -0.012);

    private const double PixelsPerMm = 8;

    /// <summary>Where in a pixel light is gathered: at four different places across and down, so that edges come out to a quarter of a pixel before averaging.</summary>
    private static readonly (double X, double Y)[] s_four = [(-0.125, -0.375), (0.375, -0.125), (0.125, 0.375), (-0.375, 0.125)];

    private static readonly Lazy<byte[,]> s_board = new(Paint);

    /// <summary>Ten ways to hold a phone over the board that, together, cover the picture and tilt to all sides.</summary>
    public static IReadOnlyList<BoardPose> TenPoses { get; } =
    [
        new(0, 0, 5, 0, 0, 260), new(25, 0, 90, 0, 0, 270), new(-25, 5, 0, 0, 0, 280), new(5, 30, 90, 10, 5, 270), new(0, -30, 175, -10, 0, 270),
        new(20, 20, 45, -110, -60, 260), new(-20, 15, 95, 110, -60, 260), new(15, -20, 0, -110, 70, 260), new(-15, -15, 200, 110, 70, 260), new(35, 0, 100, 0, 10, 300),
    ];

    /// <summary>Where a place on the board is seen, px.</summary>
    /// <param name="pose">How the board lies.</param>
    /// <param name="x">mm from the board's top left corner.</param>
    /// <param name="y">mm down.</param>
    public PhotoPoint Seen(BoardPose pose, double x, double y)
    {
        (double u, double v, double w) = pose.InCamera(x - (BoardSheet.Columns * BoardSheet.Square / 2), y - (BoardSheet.Rows * BoardSheet.Square / 2));
        double a = u / w, b = v / w, r2 = (a * a) + (b * b), k = 1 + (K1 * r2) + (K2 * r2 * r2);
        return new((Focal * a * k) + Cx, (Focal * b * k) + Cy);
    }

    /// <summary>The corners as an errorless reader would give them, those in the picture only.</summary>
    public IReadOnlyList<BoardCorner> Corners(BoardPose pose, Func<double>? noise = null) =>
    [
        .. from id in Enumerable.Range(0, (BoardSheet.Columns - 1) * (BoardSheet.Rows - 1))
           let x = id % (BoardSheet.Columns - 1)
           let y = id / (BoardSheet.Columns - 1)
           let at = Seen(pose, (x + 1) * BoardSheet.Square, (y + 1) * BoardSheet.Square)
           where at.X > 8 && at.Y > 8 && at.X < Width - 9 && at.Y < Height - 9
           select new BoardCorner(id, x, y, new(at.X + (noise?.Invoke() ?? 0), at.Y + (noise?.Invoke() ?? 0))),
    ];

    /// <summary>The photo, on a grey table.</summary>
    public Mat Photo(BoardPose pose)
    {
        var picture = new Mat(Height, Width, MatType.CV_8UC3);
        byte[,] board = s_board.Value;
        int high = board.GetLength(0), wide = board.GetLength(1);
        Func<double, double, (double X, double Y)> onBoard = pose.OnBoard();
        Parallel.For(0, Height, j =>
        {
            for (int i = 0; i < Width; i++)
            {
                double sum = 0;
                for (int s = 0; s < 4; s++)
                {
                    double xd = (i + s_four[s].X - Cx) / Focal, yd = (j + s_four[s].Y - Cy) / Focal, x = xd, y = yd;
                    for (int n = 0; n < 5; n++)
                    {
                        double r2 = (x * x) + (y * y), k = 1 + (K1 * r2) + (K2 * r2 * r2);
                        (x, y) = (xd / k, yd / k);
                    }

                    (double bx, double by) = onBoard(x, y);
                    int column = (int)Math.Floor((bx * PixelsPerMm) + (wide / 2.0)), row = (int)Math.Floor((by * PixelsPerMm) + (high / 2.0));
                    sum += column >= 0 && row >= 0 && column < wide && row < high ? board[row, column] : 110;
                }

                byte grey = (byte)Math.Round(sum / 4);
                picture.Set(j, i, new Vec3b(grey, grey, grey));
            }
        });
        return picture;
    }

    /// <summary>A JPEG as a camera writes it.</summary>
    public static byte[] Jpeg(Mat picture, string make = "Example", string model = "Phone T", int focal35 = 26, double focal = 4.8, int orientation = 1)
    {
        var exif = new ExifProfile();
        exif.SetValue(ExifTag.Make, make);
        exif.SetValue(ExifTag.Model, model);
        exif.SetValue(ExifTag.Orientation, (ushort)orientation);
        exif.SetValue(ExifTag.FocalLength, new SixLabors.ImageSharp.Rational((uint)Math.Round(focal * 100), 100));
        exif.SetValue(ExifTag.FocalLengthIn35mmFilm, (ushort)focal35);
        byte[] content = [.. "Exif\0\0"u8, .. exif.ToByteArray().AsSpan().StartsWith("Exif\0\0"u8) ? exif.ToByteArray()[6..] : exif.ToByteArray()];
        byte[] jpeg = picture.ImEncode(".jpg", new ImageEncodingParam(ImwriteFlags.JpegQuality, 95));
        int length = content.Length + 2;
        return [.. jpeg[..2], 0xFF, 0xE1, (byte)(length >> 8), (byte)length, .. content, .. jpeg[2..]];
    }

    private static byte[,] Paint()
    {
        const double White = 10;
        SheetDrawing drawing = BoardSheet.Draw(Charuco.Bits());
        byte[,] board = new byte[(int)((drawing.Height + (2 * White)) * PixelsPerMm), (int)((drawing.Width + (2 * White)) * PixelsPerMm)];
        for (int y = 0; y < board.GetLength(0); y++)
        {
            for (int x = 0; x < board.GetLength(1); x++)
            {
                board[y, x] = 235;
            }
        }

        foreach (BlockMark b in drawing.Marks.OfType<BlockMark>())
        {
            for (int y = (int)Math.Round((b.Top + White) * PixelsPerMm); y < (int)Math.Round((b.Top + b.Height + White) * PixelsPerMm); y++)
            {
                for (int x = (int)Math.Round((b.Left + White) * PixelsPerMm); x < (int)Math.Round((b.Left + b.Width + White) * PixelsPerMm); x++)
                {
                    board[y, x] = 25;
                }
            }
        }

        return board;
    }
}

/// <summary>How a board lies before the camera: turned about its x, its y and then the camera's axis, its middle at a place.</summary>
/// <param name="TiltX">Degrees.</param>
/// <param name="TiltY">Degrees.</param>
/// <param name="Roll">Degrees.</param>
/// <param name="X">mm, right.</param>
/// <param name="Y">mm, down.</param>
/// <param name="Z">mm, away.</param>
internal sealed record BoardPose(double TiltX, double TiltY, double Roll, double X, double Y, double Z)
{
    /// <summary>The camera's coordinates of a place on the board, mm from its middle.</summary>
    public (double X, double Y, double Z) InCamera(double x, double y)
    {
        (double[] a, double[] b) = Axes();
        return ((a[0] * x) + (b[0] * y) + X, (a[1] * x) + (b[1] * y) + Y, (a[2] * x) + (b[2] * y) + Z);
    }

    /// <summary>The place on the board that a ray (x, y, 1) meets, mm from its middle.</summary>
    public Func<double, double, (double X, double Y)> OnBoard()
    {
        (double[] a, double[] b) = Axes();
        double[] n = [(a[1] * b[2]) - (a[2] * b[1]), (a[2] * b[0]) - (a[0] * b[2]), (a[0] * b[1]) - (a[1] * b[0])];
        double away = (n[0] * X) + (n[1] * Y) + (n[2] * Z);
        return (x, y) =>
        {
            double along = away / ((n[0] * x) + (n[1] * y) + n[2]);
            double dx = (along * x) - X, dy = (along * y) - Y, dz = along - Z;
            return ((a[0] * dx) + (a[1] * dy) + (a[2] * dz), (b[0] * dx) + (b[1] * dy) + (b[2] * dz));
        };
    }

    private (double[] A, double[] B) Axes()
    {
        (double sx, double cx) = Math.SinCos(TiltX * Math.PI / 180);
        (double sy, double cy) = Math.SinCos(TiltY * Math.PI / 180);
        (double sz, double cz) = Math.SinCos(Roll * Math.PI / 180);

        // Rz · Ry · Rx, its first two columns.
        return ([cz * cy, sz * cy, -sy], [(cz * sy * sx) - (sz * cx), (sz * sy * sx) + (cz * cx), cy * sx]);
    }
}
