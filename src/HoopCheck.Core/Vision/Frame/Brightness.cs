namespace HoopCheck.Vision.Frame;

/// <summary>How light a photo is.</summary>
internal static class Brightness
{
    /// <summary>Lightness L* (0 to 100) that half of the picture is darker than.</summary>
    public static double Of(LabPicture picture)
    {
        int[] counts = new int[256];
        for (int i = 0; i < picture.Lab.Length; i += 3)
        {
            counts[picture.Lab[i]]++;
        }

        int half = picture.Lab.Length / 6, sum = 0;
        for (int v = 0; v < 256; v++)
        {
            sum += counts[v];
            if (sum > half)
            {
                return v * 100 / 255.0;
            }
        }

        return 100;
    }
}
