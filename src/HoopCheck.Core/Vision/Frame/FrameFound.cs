using HoopCheck.Geometry;
using HoopCheck.Planning;

namespace HoopCheck.Vision.Frame;

/// <summary>The ring as the search leaves it to the fit.</summary>
/// <param name="Candidates">The best supported place of the ring and, where it comes close, its rival; turned so that the bar is at the left.</param>
/// <param name="UpFrom">How the hoop's top became known.</param>
/// <param name="Small">The photo, reduced for the search.</param>
/// <param name="Medium">The photo, reduced for comparing places of the ring.</param>
/// <param name="Focal">Supposed focal length, px of the full-size photo.</param>
/// <param name="FocalSd">Its relative standard uncertainty.</param>
/// <param name="Known">The camera's profile for this photo, or null.</param>
/// <param name="Centre">Middle of the photo, px.</param>
/// <param name="Diagonal">Of the photo, px.</param>
/// <param name="BlurPx">Blur of the sharpest edges (Gaussian standard deviation), px of the full-size photo.</param>
internal sealed record FrameFound(
    IReadOnlyList<RoughFrame> Candidates,
    UpSource UpFrom,
    LabPicture Small,
    LabPicture Medium,
    double Focal,
    double FocalSd,
    CameraIntrinsics? Known,
    PhotoPoint Centre,
    double Diagonal,
    double BlurPx);
