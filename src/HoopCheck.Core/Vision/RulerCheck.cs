using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision.Frame;

namespace HoopCheck.Vision;

/// <summary>A measure of a hoop file beside what a photo of that hoop says.</summary>
/// <param name="Entry">The hoop file's entry.</param>
/// <param name="RulerMm">As measured with the ruler.</param>
/// <param name="RulerUncertainty">Expanded uncertainty of the ruler's value, mm, coverage factor 2.</param>
/// <param name="PhotoMm">As the photo shows it.</param>
/// <param name="PhotoUncertainty">Expanded uncertainty of the photo's value, mm, coverage factor 2.</param>
public sealed record RulerFinding(string Entry, double RulerMm, double RulerUncertainty, double PhotoMm, double PhotoUncertainty)
{
    /// <summary>Whether they differ by more than both uncertainties together, added as squares (E_n above 1, ISO 13528).</summary>
    public bool Differs => Math.Abs(PhotoMm - RulerMm) > Math.Sqrt((RulerUncertainty * RulerUncertainty) + (PhotoUncertainty * PhotoUncertainty));
}

/// <summary>What a photo says of a hoop file.</summary>
/// <param name="WidthForHeight">The opening's width that goes with the ruler's height: a photo shows proportions, no sizes.</param>
/// <param name="HeightForWidth">The opening's height that goes with the ruler's width.</param>
/// <param name="FrameHeight">The ring's height.</param>
public sealed record RulerSaid(RulerFinding WidthForHeight, RulerFinding HeightForWidth, RulerFinding FrameHeight)
{
    /// <summary>Whether anything differs.</summary>
    public bool Differs => WidthForHeight.Differs || FrameHeight.Differs;
}

/// <summary>
/// Compares a hoop file with a photo of the hoop: the fit is made once more with the opening and the ring's height hardly tied to the ruler.
/// A single photo has no scale of its own, so that only proportions can be found wrong: both sides out by the same share cannot (for that there is the card).
/// </summary>
public static class RulerCheck
{
    /// <summary>Expanded uncertainty of a length read with a ruler, mm (common practice, no source: half a millimetre division at either end).</summary>
    public const double RulerUncertaintyMm = 0.5;

    /// <summary>How loosely opening and height are tied to the ruler here, one standard deviation, mm.</summary>
    private const double LooseMm = 3;

    /// <summary>As in the check: how much wider frames scatter than the covariance says.</summary>
    private const double Spread = 1.2;

    /// <summary>Compares.</summary>
    /// <param name="photo">A photo of the hoop, empty or with fabric in it.</param>
    /// <param name="hoop">The hoop file.</param>
    /// <param name="up">Where the hoop's top points in the photo; null: find the bar.</param>
    /// <param name="camera">Known intrinsics, or null.</param>
    /// <returns>What the photo says, or why it cannot be used.</returns>
    public static Outcome<RulerSaid> Compare(Photograph photo, HoopSpec hoop, PhotoDirection? up, CameraIntrinsics? camera)
    {
        ArgumentNullException.ThrowIfNull(photo);
        ArgumentNullException.ThrowIfNull(hoop);
        Outcome<FrameFound> search = FrameFinder.Find(photo, hoop, up, camera, Tolerances.Default, NoTrace.Instance);
        if (search.Value is not { } found)
        {
            return search.Problem!;
        }

        var sampler = new LinearSampler(photo.Pixels);
        FineFrame? fine = found.Candidates
            .Select(rough => FrameAdjustment.Fit(sampler, found.Medium, rough, hoop, found.Focal, found.FocalSd, found.Known, found.Diagonal, LooseMm))
            .OfType<FineFrame>()
            .MinBy(f => f.Cost);
        if (fine is null || fine.Score < Tolerances.Default.LeastFittedScore)
        {
            return new Problem(Problems.FrameUncertain, "Too few of its edges can be seen.");
        }

        double w = fine.Values[RingModel.Width], d = fine.Values[RingModel.Depth];
        double[,] c = fine.Covariance;

        // ln(w/d), and its variance from both variances and their covariance (JCGM 100, 5.2.2).
        double variance = (c[RingModel.Width, RingModel.Width] / (w * w)) + (c[RingModel.Depth, RingModel.Depth] / (d * d)) - (2 * c[RingModel.Width, RingModel.Depth] / (w * d));
        double relative = 2 * Spread * Math.Sqrt(Math.Max(0, variance));
        double ruler = RulerUncertaintyMm * Math.Sqrt((1 / (hoop.OpeningWidth * hoop.OpeningWidth)) + (1 / (hoop.OpeningHeight * hoop.OpeningHeight)));
        double wide = hoop.OpeningHeight * w / d, high = hoop.OpeningWidth * d / w;
        return new RulerSaid(
            new("opening", hoop.OpeningWidth, ruler * hoop.OpeningWidth, wide, relative * wide),
            new("opening", hoop.OpeningHeight, ruler * hoop.OpeningHeight, high, relative * high),
            new("frame-height", hoop.FrameHeight, RulerUncertaintyMm, fine.Values[RingModel.Height], 2 * Spread * Math.Sqrt(c[RingModel.Height, RingModel.Height])));
    }
}
