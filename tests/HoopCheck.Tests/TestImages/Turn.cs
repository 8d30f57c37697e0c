using HoopCheck.Vision;

namespace HoopCheck.Tests.TestImages;

/// <summary>Turns photos and what is known of them clockwise by quarters.</summary>
public static class Turn
{
    /// <summary>The photo as it would have come from a camera held otherwise. The header then says that it is stored upright.</summary>
    public static Photograph Photo(Photograph photo, int quarters)
    {
        for (int i = 0; i < quarters; i++)
        {
            Pixels p = photo.Pixels;
            var turned = new byte[p.Bgr.Length];
            for (int y = 0; y < p.Height; y++)
            {
                for (int x = 0; x < p.Width; x++)
                {
                    int from = ((y * p.Width) + x) * 3, to = ((x * p.Height) + (p.Height - 1 - y)) * 3;
                    turned[to] = p.Bgr[from];
                    turned[to + 1] = p.Bgr[from + 1];
                    turned[to + 2] = p.Bgr[from + 2];
                }
            }

            photo = new(
                photo.Header with { StoredWidth = photo.Header.Height, StoredHeight = photo.Header.Width, Orientation = 1 },
                new(turned, p.Height, p.Width, p.Reduction));
        }

        return photo;
    }

    /// <summary>Where a place of the upright photo, <paramref name="width"/> x <paramref name="height"/>, comes to lie.</summary>
    public static PhotoPoint Point(PhotoPoint p, int width, int height, int quarters)
    {
        for (int i = 0; i < quarters; i++)
        {
            (p, width, height) = (new(height - 1 - p.Y, p.X), height, width);
        }

        return p;
    }

    /// <summary>Where a direction comes to point.</summary>
    public static PhotoDirection Direction(PhotoDirection d, int quarters) => (PhotoDirection)(((int)d + quarters) % 4);
}
