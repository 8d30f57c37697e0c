namespace HoopCheck.Planning;

/// <summary>What a photo's EXIF data tells of the camera and its zoom: enough to know a lens again.</summary>
/// <param name="Make">Maker, as EXIF tag 0x010F has it.</param>
/// <param name="Model">Model, as EXIF tag 0x0110 has it.</param>
/// <param name="FocalMm">Focal length, mm (EXIF tag 0x920A); null when not told.</param>
/// <param name="Focal35Mm">Its equivalent on 35 mm film, mm (EXIF tag 0xA405), which digital zoom changes too; null when not told.</param>
public sealed record LensKey(string Make, string Model, double? FocalMm, double? Focal35Mm)
{
    /// <summary>Focal lengths that differ by less are the same lens at the same zoom: EXIF rounds them.</summary>
    private const double SameFocal = 0.005, SameFocal35 = 0.5;

    /// <summary>Whether both are the same camera, lens and zoom. What neither tells cannot tell them apart; what one of them tells must be told by both.</summary>
    public bool IsSame(LensKey other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return string.Equals(Make, other.Make, StringComparison.OrdinalIgnoreCase)
            && string.Equals(Model, other.Model, StringComparison.OrdinalIgnoreCase)
            && Near(FocalMm, other.FocalMm, SameFocal * (FocalMm ?? 0))
            && Near(Focal35Mm, other.Focal35Mm, SameFocal35);
    }

    private static bool Near(double? one, double? other, double within) =>
        one is null == other is null && Math.Abs((one ?? 0) - (other ?? 0)) <= within;
}
