using NetTopologySuite.Geometries.Utilities;

namespace HoopCheck.Planning.Fills;

/// <summary>The attribute transform: a list of matrix, translate, scale, rotate, skewX and skewY (CSS Transforms 1, chapter 7).</summary>
internal static class SvgTransform
{
    /// <summary>Reads a list; the last one written is done first.</summary>
    /// <exception cref="SvgFailureException">It is not such a list.</exception>
    public static AffineTransformation Parse(string text)
    {
        var r = new SvgNumbers(text);
        AffineTransformation all = new();
        r.Space();
        while (!r.AtEnd)
        {
            int start = r.At;
            while (char.IsAsciiLetter(r.Next))
            {
                r.Skip();
            }

            string name = text[start..r.At];
            r.Space();
            if (r.Next != '(')
            {
                throw r.Wrong("a bracket (");
            }

            r.Skip();
            r.Space();
            var values = new List<double>(6);
            while (r.Next != ')' && values.Count < 7)
            {
                values.Add(r.Number());
                if (r.Separator() && !r.NumberFollows)
                {
                    throw r.Wrong("a number");
                }
            }

            if (One(name, values) is not { } one)
            {
                throw new SvgFailureException(Rules.Problems.FillFileBroken, $"{SvgFailureException.Quote(text.AsSpan(start))} is not a transform.");
            }

            r.Skip();
            all = Inside(one, all);
            r.Separator();
        }

        return all;
    }

    /// <summary>The map of what stands inside another: first its own.</summary>
    public static AffineTransformation Inside(AffineTransformation inner, AffineTransformation outer) => new AffineTransformation(inner).Compose(outer);

    /// <summary>SVG's matrix(a b c d e f): x' = a·x + c·y + e, y' = b·x + d·y + f.</summary>
    public static AffineTransformation Matrix(double a, double b, double c, double d, double e, double f) => new(a, c, e, b, d, f);

    private static AffineTransformation? One(string name, List<double> v) => (name, v.Count) switch
    {
        ("matrix", 6) => Matrix(v[0], v[1], v[2], v[3], v[4], v[5]),
        ("translate", 1) => AffineTransformation.TranslationInstance(v[0], 0),
        ("translate", 2) => AffineTransformation.TranslationInstance(v[0], v[1]),
        ("scale", 1) => AffineTransformation.ScaleInstance(v[0], v[0]),
        ("scale", 2) => AffineTransformation.ScaleInstance(v[0], v[1]),
        ("rotate", 1) => AffineTransformation.RotationInstance(Radians(v[0])),
        ("rotate", 3) => AffineTransformation.RotationInstance(Radians(v[0]), v[1], v[2]),
        ("skewX", 1) => AffineTransformation.ShearInstance(Math.Tan(Radians(v[0])), 0),
        ("skewY", 1) => AffineTransformation.ShearInstance(0, Math.Tan(Radians(v[0]))),
        _ => null,
    };

    private static double Radians(double degrees) => degrees % 360 * Math.PI / 180;
}
