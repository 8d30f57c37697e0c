global using HoopPoint = HoopCheck.Geometry.Point<HoopCheck.Geometry.Hoop>;
global using HoopVector = HoopCheck.Geometry.Vector<HoopCheck.Geometry.Hoop>;
global using PhotoPoint = HoopCheck.Geometry.Point<HoopCheck.Geometry.Photo>;
global using PhotoVector = HoopCheck.Geometry.Vector<HoopCheck.Geometry.Photo>;
global using QuiltPoint = HoopCheck.Geometry.Point<HoopCheck.Geometry.Quilt>;

namespace HoopCheck.Geometry;

/// <summary>A plane that points lie on. A point of one plane cannot be used as a point of another.</summary>
public interface ISpace
{
    /// <summary>The unit of both coordinates, for messages.</summary>
    static abstract string Unit { get; }
}

/// <summary>
/// The upright photo (EXIF orientation applied) at its full size, in pixels: x right, y down,
/// (0, 0) is the <em>centre</em> of the top-left pixel.
/// </summary>
public readonly struct Photo : ISpace
{
    /// <inheritdoc/>
    public static string Unit => "px";
}

/// <summary>
/// The flat fabric plane in the hoop, in millimetres: x right, y UP, (0, 0) is the centre of the opening.
/// Height above the fabric (z, towards the camera) is never part of such a point.
/// Corners run top-left, top-right, bottom-right, bottom-left of the hoop, however the photo is turned.
/// </summary>
public readonly struct Hoop : ISpace
{
    /// <inheritdoc/>
    public static string Unit => "mm";
}

/// <summary>
/// The whole quilt, laid flat with the side up that the plan calls its top, in millimetres: x right, y UP, (0, 0) is the quilt's middle.
/// People measure from the left and the top edge: x + width/2 and height/2 − y.
/// </summary>
public readonly struct Quilt : ISpace
{
    /// <inheritdoc/>
    public static string Unit => "mm";
}

/// <summary>A place on the plane <typeparamref name="TSpace"/>. Points differ by vectors; points are never added.</summary>
public readonly record struct Point<TSpace>(double X, double Y) where TSpace : struct, ISpace
{
    /// <summary>The vector from <paramref name="b"/> to <paramref name="a"/>.</summary>
    public static Vector<TSpace> operator -(Point<TSpace> a, Point<TSpace> b) => new(a.X - b.X, a.Y - b.Y);

    /// <summary>The point <paramref name="v"/> away from <paramref name="p"/>.</summary>
    public static Point<TSpace> operator +(Point<TSpace> p, Vector<TSpace> v) => new(p.X + v.X, p.Y + v.Y);

    /// <summary>Distance to another point, in the plane's unit.</summary>
    public double DistanceTo(Point<TSpace> other) => (this - other).Length;
}

/// <summary>A displacement on the plane <typeparamref name="TSpace"/>.</summary>
public readonly record struct Vector<TSpace>(double X, double Y) where TSpace : struct, ISpace
{
    /// <summary>Length in the plane's unit.</summary>
    public double Length => Math.Sqrt((X * X) + (Y * Y));

    /// <summary>Sum of two displacements.</summary>
    public static Vector<TSpace> operator +(Vector<TSpace> a, Vector<TSpace> b) => new(a.X + b.X, a.Y + b.Y);

    /// <summary>A displacement <paramref name="k"/> times as long.</summary>
    public static Vector<TSpace> operator *(Vector<TSpace> v, double k) => new(v.X * k, v.Y * k);

    /// <summary>Scalar product.</summary>
    public double Dot(Vector<TSpace> other) => (X * other.X) + (Y * other.Y);
}
