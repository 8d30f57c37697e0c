using HoopCheck.Geometry;
using HoopCheck.Planning.Sheets;
using OpenCvSharp;
using OpenCvSharp.Aruco;

namespace HoopCheck.Vision.Lens;

/// <summary>What a photo is searched for.</summary>
/// <param name="Columns">Inner corners of a plain chessboard, across; 0: the printed board with markers.</param>
/// <param name="Rows">Inner corners of a plain chessboard, down.</param>
public sealed record BoardKind(int Columns, int Rows)
{
    /// <summary>The board of <c>print board</c>.</summary>
    public static readonly BoardKind Printed = new(0, 0);

    /// <summary>Whether it is a plain chessboard, which must be seen whole.</summary>
    public bool IsPlain => Columns > 0;
}

/// <summary>A corner of a board's squares: where it is on the board and where it is seen.</summary>
/// <param name="Id">Its number, the same in every photo.</param>
/// <param name="X">Place on the board, in squares.</param>
/// <param name="Y">Place on the board, in squares.</param>
/// <param name="Seen">Full-size px of the picture AS STORED (the lens does not turn with the phone), pixel centres at integers.</param>
public sealed record BoardCorner(int Id, double X, double Y, PhotoPoint Seen);

/// <summary>Finds a board's corners in a photo.</summary>
public static class BoardReader
{
    /// <summary>Half the window about a corner in which it is refined, working px: at most, and as a part of a square.</summary>
    private const int LargestWindow = 7;

    private const double WindowPart = 0.3;

    /// <summary>All corners found, none when there is no board.</summary>
    public static IReadOnlyList<BoardCorner> Read(Photograph photo, BoardKind kind)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(kind);
        Pixels pixels = photo.Pixels;
        using Mat colour = Mat.FromPixelData(pixels.Height, pixels.Width, MatType.CV_8UC3, pixels.Bgr);
        using var grey = new Mat();
        Cv2.CvtColor(colour, grey, ColorConversionCodes.BGR2GRAY);
        return [.. (kind.IsPlain ? Plain(grey, kind) : Marked(grey)).Select(c => new BoardCorner(
            c.Id, c.X, c.Y, Stored(photo.Header, ((c.At.X + 0.5) * pixels.Reduction) - 0.5, ((c.At.Y + 0.5) * pixels.Reduction) - 0.5)))];
    }

    private static IEnumerable<(int Id, double X, double Y, Point2f At)> Marked(Mat grey)
    {
        const int Across = BoardSheet.Columns - 1;
        using OpenCvSharp.Aruco.Dictionary dictionary = CvAruco.GetPredefinedDictionary(Charuco.Markers);
        using var board = new CharucoBoard(BoardSheet.Columns, BoardSheet.Rows, (float)BoardSheet.Square, (float)BoardSheet.Marker, dictionary);
        using var detector = new CharucoDetector(board);
        detector.DetectBoard(grey, out Point2f[] corners, out int[] ids, out _, out _);
        if (ids.Length == 0)
        {
            return [];
        }

        // The detector counts from the edge of the first pixel; refining and everything here count from its centre.
        Point2f[] centred = [.. corners.Select(c => new Point2f(c.X - 0.5f, c.Y - 0.5f))];
        Point2f[] fine = Refined(grey, centred, Square(centred, [.. ids.Select(id => (id % Across, id / Across))]));
        return ids.Zip(fine, (id, at) => (id, (double)(id % Across), (double)(id / Across), at));
    }

    private static IEnumerable<(int Id, double X, double Y, Point2f At)> Plain(Mat grey, BoardKind kind)
    {
        if (!Cv2.FindChessboardCorners(grey, new(kind.Columns, kind.Rows), out Point2f[] corners))
        {
            return [];
        }

        Point2f[] fine = Refined(grey, corners, Square(corners, [.. Enumerable.Range(0, corners.Length).Select(i => (i % kind.Columns, i / kind.Columns))]));
        return fine.Select((at, i) => (i, (double)(i % kind.Columns), (double)(i / kind.Columns), at));
    }

    /// <summary>Shortest distance between neighbouring corners, px: a larger window would reach the next corner.</summary>
    private static double Square(Point2f[] corners, (int X, int Y)[] places)
    {
        Dictionary<(int, int), Point2f> at = places.Zip(corners).ToDictionary(p => p.First, p => p.Second);
        double least = double.PositiveInfinity;
        foreach (((int x, int y), Point2f here) in at)
        {
            foreach ((int, int) next in new[] { (x + 1, y), (x, y + 1) })
            {
                if (at.TryGetValue(next, out Point2f there))
                {
                    least = Math.Min(least, here.DistanceTo(there));
                }
            }
        }

        return least;
    }

    private static Point2f[] Refined(Mat grey, Point2f[] corners, double square)
    {
        int half = Math.Clamp((int)(WindowPart * square), 2, LargestWindow);
        return Cv2.CornerSubPix(grey, corners, new(half, half), new(-1, -1), new(CriteriaTypes.Eps | CriteriaTypes.MaxIter, 50, 0.001));
    }

    /// <summary>From the upright photo to the picture as stored (EXIF tag 0x0112).</summary>
    private static PhotoPoint Stored(PhotoHeader header, double x, double y)
    {
        double w = header.StoredWidth - 1, h = header.StoredHeight - 1;
        return header.Orientation switch
        {
            2 => new(w - x, y),
            3 => new(w - x, h - y),
            4 => new(x, h - y),
            5 => new(y, x),
            6 => new(y, h - x),
            7 => new(w - y, h - x),
            8 => new(w - y, x),
            _ => new(x, y),
        };
    }
}
