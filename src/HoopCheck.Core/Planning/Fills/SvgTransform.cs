namespace HoopCheck.Planning.Fills;

/// <summary>The attribute transform: a list of matrix, translate, scale, rotate, skewX and skewY (CSS Transforms 1, chapter 7).</summary>
internal static class SvgTransform
{
    /// <summary>Reads a list; the last one written is done first.</summary>
    /// <exception cref="SvgFailureException">It is not such a list.</exception>
    public static Affine Parse(string text)
    {
        var r = new SvgNumbers(text);
        Affine all = Affine.Identity;
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
            all = all.After(one);
            r.Separator();
        }

        return all;
    }

    private static Affine? One(string name, List<double> v) => (name, v.Count) switch
    {
        ("matrix", 6) => new(v[0], v[1], v[2], v[3], v[4], v[5]),
        ("translate", 1) => new(1, 0, 0, 1, v[0], 0),
        ("translate", 2) => new(1, 0, 0, 1, v[0], v[1]),
        ("scale", 1) => new(v[0], 0, 0, v[0], 0, 0),
        ("scale", 2) => new(v[0], 0, 0, v[1], 0, 0),
        ("rotate", 1) => Rotate(v[0]),
        ("rotate", 3) => new Affine(1, 0, 0, 1, v[1], v[2]).After(Rotate(v[0])).After(new(1, 0, 0, 1, -v[1], -v[2])),
        ("skewX", 1) => new(1, 0, Math.Tan(v[0] * Math.PI / 180), 1, 0, 0),
        ("skewY", 1) => new(1, Math.Tan(v[0] * Math.PI / 180), 0, 1, 0, 0),
        _ => null,
    };

    private static Affine Rotate(double degrees)
    {
        (double sin, double cos) = Math.SinCos(degrees % 360 * Math.PI / 180);
        return new(cos, sin, -sin, cos, 0, 0);
    }
}
