namespace HoopCheck.Planning;

/// <summary>A camera's known intrinsics, in pixels of a picture of the given stored size.</summary>
/// <param name="Width">Picture width they belong to, px (stored, landscape or portrait as the camera stores it).</param>
/// <param name="Height">Picture height they belong to, px.</param>
/// <param name="Focal">px.</param>
/// <param name="Cx">Principal point, px, pixel centres at integers.</param>
/// <param name="Cy">Principal point, px.</param>
/// <param name="K1">Brown-Conrady radial distortion.</param>
/// <param name="K2">Brown-Conrady radial distortion.</param>
/// <param name="FocalUncertainty">One standard deviation of Focal, px.</param>
public sealed record CameraIntrinsics(int Width, int Height, double Focal, double Cx, double Cy, double K1, double K2, double FocalUncertainty)
{
    /// <summary>One standard deviation of the principal point, each way, px; null: not known, the usual one is taken.</summary>
    public double? CentreUncertainty { get; init; }

    /// <summary>One standard deviation of K1; null: not known, the usual one is taken.</summary>
    public double? K1Uncertainty { get; init; }

    /// <summary>One standard deviation of K2; null: not known, the usual one is taken.</summary>
    public double? K2Uncertainty { get; init; }
}
