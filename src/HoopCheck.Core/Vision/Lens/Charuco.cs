using HoopCheck.Planning.Sheets;
using OpenCvSharp;
using OpenCvSharp.Aruco;

namespace HoopCheck.Vision.Lens;

/// <summary>The printed board's markers and its reader, both of OpenCV's.</summary>
public static class Charuco
{
    /// <summary>Fifty markers of 5 by 5 bits, as far from each other as there are.</summary>
    internal const PredefinedDictionaryType Markers = PredefinedDictionaryType.Dict5X5_50;

    /// <summary>Cells along a marker's side: five bits and a black border.</summary>
    private const int Cells = 7;

    /// <summary>The bits of the board's markers.</summary>
    public static BoardMarkers Bits()
    {
        using OpenCvSharp.Aruco.Dictionary dictionary = CvAruco.GetPredefinedDictionary(Markers);
        var black = new List<bool[]>();
        for (int id = 0; id < BoardSheet.Columns * BoardSheet.Rows / 2; id++)
        {
            using var picture = new Mat();
            dictionary.GenerateImageMarker(id, Cells, picture, 1);
            picture.GetArray(out byte[] grey);
            black.Add([.. grey.Select(g => g < 128)]);
        }

        return new(Cells, black);
    }
}
