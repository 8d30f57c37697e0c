using System.Globalization;
using HoopCheck.Geometry;
using HoopCheck.Planning;
using HoopCheck.Rules;
using MathNet.Numerics.LinearAlgebra;

namespace HoopCheck.Vision.Lens;

/// <summary>A photo of a board, read.</summary>
/// <param name="Name">For the person.</param>
/// <param name="Header">Its header.</param>
/// <param name="Corners">The corners found.</param>
public sealed record LensPhoto(string Name, PhotoHeader Header, IReadOnlyList<BoardCorner> Corners);

/// <summary>What a photo of a board was good for.</summary>
/// <param name="Photo">The photo.</param>
/// <param name="Used">Whether the lens was learnt from it.</param>
/// <param name="TiltDegrees">Of the board against the camera's axis; null when not fitted.</param>
/// <param name="RmsPx">Root mean square of its corners' distances; null when not fitted.</param>
/// <param name="Gain">By how much, of itself, what is known least would be less well known without it; null when not used.</param>
/// <param name="Say">How it helps, or why it does not.</param>
/// <param name="Residuals">Seen less expected, px as stored, in the corners' order; empty when not used.</param>
public sealed record LensPhotoSaid(LensPhoto Photo, bool Used, double? TiltDegrees, double? RmsPx, double? Gain, string Say, IReadOnlyList<PhotoVector> Residuals);

/// <summary>What the photos of one camera, lens and zoom say.</summary>
/// <param name="Lens">Which; null when EXIF names no camera.</param>
/// <param name="Width">Stored size of the photos, px.</param>
/// <param name="Height">Stored size of the photos, px.</param>
/// <param name="Photos">Each photo.</param>
/// <param name="Profile">The lens; null when there is not enough for one, or it is refused.</param>
/// <param name="Problem">Why there is no profile; null when there is one.</param>
/// <param name="HoldOut">Misfit in photos that were not learnt from: with the lens learnt, and with what EXIF alone says, px; null when it was not reached.</param>
/// <param name="Covered">Which parts of the picture were covered, row after row: <see cref="LensRun.CellsAcross"/> by <see cref="LensRun.CellsDown"/>.</param>
public sealed record LensLearnt(
    LensKey? Lens, int Width, int Height, IReadOnlyList<LensPhotoSaid> Photos, CameraProfile? Profile, Problem? Problem, (double Learnt, double Exif)? HoldOut, IReadOnlyList<bool> Covered);

/// <summary>Learns lenses from photos of a board: sorts them by camera and zoom, leaves out what misleads, and says when there is enough.</summary>
public static class LensRun
{
    /// <summary>Photos a lens is learnt from, at least; corners a photo must show.</summary>
    public const int LeastPhotos = 8, LeastCorners = 12;

    /// <summary>Parts into which the picture is divided to see where corners were, along its long and its short side.</summary>
    public const int CellsAcross = 4, CellsDown = 3;

    /// <summary>Of the twelve parts so many must have held corners: distortion is learnt where the lens bends most, at the rim.</summary>
    private const int LeastCovered = 10;

    /// <summary>So many photos must be tilted by so much: squarely seen, focal length and distance cannot be told apart.</summary>
    private const int LeastTilted = 3;

    private const double TiltedDegrees = 15;

    /// <summary>Largest relative standard uncertainty of the focal length that is worth more than EXIF data rounded to whole millimetres.</summary>
    private const double LargestFocalSd = 0.004;

    /// <summary>Corners so near each other in two photos, as a part of the long side, are the same view once more.</summary>
    private const double SameView = 0.012;

    /// <summary>A photo whose corners miss by so much more than the others', and by so many px, was moved or shows a bent board.</summary>
    private const double Outlying = 3, OutlyingPx = 0.5;

    /// <summary>
    /// What changes between photos of one phone, one standard deviation each: focusing moves the lens (the image distance of a lens of 5 mm grows by 0.4 % from 600 to
    /// 400 mm), the stabiliser moves it sideways. From the thin-lens formula, and for the stabiliser from memory.
    /// </summary>
    private const double FocusingSd = 0.003, StabiliserSd = 0.0005, BendingSd = 0.002;

    /// <summary>Learns every lens there is among the photos, the one with the most photos first.</summary>
    /// <param name="photos">The photos.</param>
    /// <param name="date">Today, yyyy-MM-dd, for the profile.</param>
    public static IReadOnlyList<LensLearnt> Learn(IReadOnlyList<LensPhoto> photos, string date)
    {
        ArgumentNullException.ThrowIfNull(photos);
        var groups = new List<List<LensPhoto>>();
        foreach (LensPhoto photo in photos)
        {
            (groups.Find(g => Belongs(photo.Header, g[0].Header)) is { } group ? group : Added(groups)).Add(photo);
        }

        return [.. groups.OrderByDescending(g => g.Count(p => p.Corners.Count > 0)).Select(g => One(g, date))];

        static List<LensPhoto> Added(List<List<LensPhoto>> groups)
        {
            groups.Add([]);
            return groups[^1];
        }

        static bool Belongs(PhotoHeader one, PhotoHeader other) =>
            (one.StoredWidth, one.StoredHeight) == (other.StoredWidth, other.StoredHeight)
            && (one.Lens is null ? other.Lens is null : other.Lens is not null && one.Lens.IsSame(other.Lens));
    }

    private static LensLearnt One(List<LensPhoto> group, string date)
    {
        PhotoHeader header = group[0].Header;
        (int width, int height) = (header.StoredWidth, header.StoredHeight);
        double longSide = Math.Max(width, height), diagonal = Math.Sqrt(((double)width * width) + ((double)height * height));
        double exif = header.FocalPixels ?? (27 / 43.2666 * diagonal);
        Dictionary<LensPhoto, LensPhotoSaid> said = [];
        List<LensPhoto> good = [];
        foreach (LensPhoto photo in group)
        {
            if (Unfit(photo, good, longSide) is { } why)
            {
                Drop(photo, why);
            }
            else
            {
                good.Add(photo);
            }
        }

        if (good.Count < LeastPhotos)
        {
            return group.All(p => p.Corners.Count == 0) ? Without(new(Problems.NoBoard, "")) : Without(TooFew());
        }

        LensFitted fit = LensFit.Run([.. good.Select(p => p.Corners)], width, height, exif);
        while (Worst(fit) is { } worst && good.Count > LeastPhotos - 1)
        {
            Drop(good[worst], string.Create(
                CultureInfo.InvariantCulture, $"misleads: its corners miss by {fit.Views[worst].RmsPx:0.0} px; the phone was moved, or the board is not flat"), fit.Views[worst]);
            good.RemoveAt(worst);
            fit = LensFit.Run([.. good.Select(p => p.Corners)], width, height, exif);
        }

        double[] gains = [.. fit.Views.Select(v => Gain(fit, v))];
        for (int i = 0; i < good.Count; i++)
        {
            LensView v = fit.Views[i];
            string help = gains[i] >= 0.1 ? "helps much" : gains[i] >= 0.03 ? "helps" : "helps little: others show the same";
            said[good[i]] = new(good[i], true, v.TiltDegrees, v.RmsPx, gains[i], help, v.Residuals);
        }

        if (good.Count < LeastPhotos)
        {
            return Without(TooFew());
        }

        if (Lacking(fit, Covered()) is { Count: > 0 } lacking)
        {
            return Without(new(Problems.TooFewBoardPhotos, $"{good.Count} photos are good, but {string.Join("; ", lacking)}."));
        }

        CameraProfile profile = Profile(fit, header, good.Count, date, diagonal);
        (double Learnt, double Exif) held = HoldOut(good, fit, width, height, exif);
        string? against = profile.AgainstExif(header.FocalPixels, (int)longSide) is { } off ? off
            : held.Learnt >= held.Exif ? string.Create(CultureInfo.InvariantCulture, $"In photos it was not learnt from it misses corners by {held.Learnt:0.00} px, the EXIF data alone by {held.Exif:0.00} px.")
            : null;
        return against is null
            ? new(header.Lens, width, height, All(), profile, null, held, Covered())
            : Without(new(Problems.ProfileWorse, against)) with { HoldOut = held };

        LensLearnt Without(Problem problem) => new(header.Lens, width, height, All(), null, problem, null, Covered());

        Problem TooFew() => new(Problems.TooFewBoardPhotos, $"{good.Count} of {group.Count} photos can be used, {LeastPhotos} are needed.");

        IReadOnlyList<LensPhotoSaid> All() => [.. group.Select(p => said.GetValueOrDefault(p) ?? new(p, false, null, null, null, "can be used", []))];

        void Drop(LensPhoto photo, string why, LensView? view = null) => said[photo] = new(photo, false, view?.TiltDegrees, view?.RmsPx, null, why, []);

        bool[] Covered()
        {
            (int across, int down) = width >= height ? (CellsAcross, CellsDown) : (CellsDown, CellsAcross);
            bool[] covered = new bool[across * down];
            foreach (PhotoPoint p in good.SelectMany(g => g.Corners).Select(c => c.Seen))
            {
                covered[(Math.Clamp((int)(p.Y * down / height), 0, down - 1) * across) + Math.Clamp((int)(p.X * across / width), 0, across - 1)] = true;
            }

            return covered;
        }
    }

    private static string? Unfit(LensPhoto photo, List<LensPhoto> before, double longSide)
    {
        if (photo.Corners.Count == 0)
        {
            return "useless: no board is seen; all of a corner of it must be sharp and evenly lit";
        }

        if (photo.Corners.Count < LeastCorners || photo.Corners.DistinctBy(c => c.X).Count() < 2 || photo.Corners.DistinctBy(c => c.Y).Count() < 2)
        {
            return $"useless: only {photo.Corners.Count} corners are seen, {LeastCorners} are needed; show more of the board";
        }

        foreach (LensPhoto other in before)
        {
            Dictionary<int, PhotoPoint> seen = other.Corners.ToDictionary(c => c.Id, c => c.Seen);
            double[] apart = [.. photo.Corners.Where(c => seen.ContainsKey(c.Id)).Select(c => c.Seen.DistanceTo(seen[c.Id]))];
            if (apart.Length >= LeastCorners && apart.Average() < SameView * longSide)
            {
                return $"useless: it shows the same as {other.Name}; move or tilt the phone between photos";
            }
        }

        return null;
    }

    private static int? Worst(LensFitted fit)
    {
        double[] rms = [.. fit.Views.Select(v => v.RmsPx)];
        double median = rms.Order().ElementAt(rms.Length / 2);
        int worst = Array.IndexOf(rms, rms.Max());
        return rms[worst] > Math.Max(OutlyingPx, Outlying * median) ? worst : null;
    }

    /// <summary>By how much the parameter that suffers most (focal length, centre, bending) would be less well known without a view.</summary>
    private static double Gain(LensFitted fit, LensView without)
    {
        Matrix<double> all = fit.Views.Aggregate(Matrix<double>.Build.Dense(5, 5), (sum, v) => sum + v.Information);
        Matrix<double> with = all.Inverse(), less = (all - without.Information).Inverse();
        return Enumerable.Range(0, 4).Max(i => less[i, i] > 0 ? Math.Sqrt(less[i, i] / with[i, i]) - 1 : double.PositiveInfinity);
    }

    private static List<string> Lacking(LensFitted fit, bool[] covered)
    {
        var lacking = new List<string>();
        int tilted = fit.Views.Count(v => v.TiltDegrees >= TiltedDegrees), seen = covered.Count(c => c);
        if (tilted < LeastTilted)
        {
            lacking.Add($"only {tilted} show the board tilted by {TiltedDegrees} degrees or more: take {LeastTilted - tilted} more, tilted by 20 to 40 degrees to different sides");
        }

        if (seen < LeastCovered)
        {
            lacking.Add($"the board was seen in {seen} of {covered.Length} parts of the picture only: bring it into the picture's corners, cut off if need be");
        }

        double sd = fit.Sd(LensFit.Focal) / fit.Focal;
        if (sd > LargestFocalSd)
        {
            lacking.Add(string.Create(CultureInfo.InvariantCulture, $"the focal length is known to {100 * sd:0.0} % only: fill more of the picture with the board"));
        }

        return lacking;
    }

    private static CameraProfile Profile(LensFitted fit, PhotoHeader header, int photos, string date, double diagonal)
    {
        double focal = Both(fit.Sd(LensFit.Focal), FocusingSd * fit.Focal);
        double centre = Both(Math.Max(fit.Sd(LensFit.Cx), fit.Sd(LensFit.Cy)), StabiliserSd * diagonal);
        return new(new CameraIntrinsics(header.StoredWidth, header.StoredHeight, fit.Focal, fit.Cx, fit.Cy, fit.Distortion[0], fit.Distortion[1], focal)
        {
            CentreUncertainty = centre,
            K1Uncertainty = Both(fit.Sd(LensFit.K1), BendingSd),
            K2Uncertainty = Both(fit.Sd(LensFit.K2), BendingSd),
        })
        {
            Lens = header.Lens,
            Photos = photos,
            RmsPx = fit.RmsPx,
            Date = date,
            Covariance = fit.Covariance.ToRowArrays(),
        };

        static double Both(double one, double other) => Math.Sqrt((one * one) + (other * other));
    }

    /// <summary>Four times a quarter of the photos is set aside: how far its corners lie from where the lens learnt from the others sees them.</summary>
    private static (double Learnt, double Exif) HoldOut(List<LensPhoto> photos, LensFitted fit, int width, int height, double exif)
    {
        const int Parts = 4;
        double learnt = 0, plain = 0;
        for (int part = 0; part < Parts; part++)
        {
            LensFitted others = LensFit.Run([.. photos.Where((_, i) => i % Parts != part).Select(p => p.Corners)], width, height, fit.Focal);
            foreach (LensPhoto aside in photos.Where((_, i) => i % Parts == part))
            {
                learnt += Square(LensFit.Misfit(aside.Corners, others.Focal, others.Cx, others.Cy, others.Distortion[0], others.Distortion[1]));
                plain += Square(LensFit.Misfit(aside.Corners, exif, (width - 1) / 2.0, (height - 1) / 2.0, 0, 0));
            }
        }

        return (Math.Sqrt(learnt / photos.Count), Math.Sqrt(plain / photos.Count));

        static double Square(double x) => x * x;
    }
}
