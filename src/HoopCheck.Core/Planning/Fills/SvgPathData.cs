using HoopCheck.Rules;

namespace HoopCheck.Planning.Fills;

/// <summary>
/// Path data after SVG 2, chapter 9: every command, absolute and relative, repeats without a letter, flags without separators.
/// Where SVG 2 (9.5.4) has a viewer draw what comes before a mistake, this refuses: half a fill must not be judged for a whole one.
/// </summary>
/// <remarks>The readers in general-purpose packages were tried: they pass over or cut off at a mistake without a word, or do not read <c>a1 1 0 01 1 1</c>.</remarks>
internal static class SvgPathData
{
    /// <summary>Draws the path.</summary>
    /// <param name="data">The attribute d; empty or "none" draws nothing.</param>
    /// <param name="pen">Drawn with, in user units.</param>
    /// <exception cref="SvgFailureException">The data is not path data; or there is too much of it.</exception>
    public static void Draw(ReadOnlySpan<char> data, FillPen pen)
    {
        var r = new SvgNumbers(data);
        r.Space();
        if (r.AtEnd || data.Trim() is "none")
        {
            return;
        }

        if (r.Next is not ('M' or 'm'))
        {
            throw r.Wrong("a move (M or m)");
        }

        double x = 0, y = 0, startX = 0, startY = 0;

        // The last control point, for S and T; valid after C/S and Q/T only (SVG 2, 9.3.6 and 9.3.7).
        double cx = 0, cy = 0;
        char before = ' ';
        while (!r.AtEnd)
        {
            char command = r.Next;
            char kind = char.ToUpperInvariant(command);
            if (!"MZLHVCSQTA".Contains(kind, StringComparison.Ordinal) || !char.IsAsciiLetter(command))
            {
                throw r.Wrong("a path command");
            }

            r.Skip();
            r.Space();
            bool relative = char.IsAsciiLetterLower(command);
            if (kind == 'Z')
            {
                pen.Close();
                (x, y) = (startX, startY);
                before = 'Z';
                continue;
            }

            bool first = true, comma;
            do
            {
                double ox = relative ? x : 0, oy = relative ? y : 0;
                switch (kind)
                {
                    case 'M' when first:
                        (x, y) = Pair(ref r, ox, oy);
                        (startX, startY) = (x, y);
                        pen.Move(x, y);
                        break;
                    case 'M' or 'L':
                        (x, y) = Pair(ref r, ox, oy);
                        pen.Line(x, y);
                        break;
                    case 'H':
                        x = r.Number() + ox;
                        pen.Line(x, y);
                        break;
                    case 'V':
                        y = r.Number() + oy;
                        pen.Line(x, y);
                        break;
                    case 'C' or 'S':
                        (double ax, double ay) = kind == 'C' ? Then(Pair(ref r, ox, oy), ref r) : before is 'C' or 'S' ? ((2 * x) - cx, (2 * y) - cy) : (x, y);
                        (cx, cy) = Then(Pair(ref r, ox, oy), ref r);
                        (x, y) = Pair(ref r, ox, oy);
                        pen.Cubic(ax, ay, cx, cy, x, y);
                        break;
                    case 'Q' or 'T':
                        (cx, cy) = kind == 'Q' ? Then(Pair(ref r, ox, oy), ref r) : before is 'Q' or 'T' ? ((2 * x) - cx, (2 * y) - cy) : (x, y);
                        (x, y) = Pair(ref r, ox, oy);
                        pen.Quadratic(cx, cy, x, y);
                        break;
                    default:
                        double rx = Then(r.Number(), ref r), ry = Then(r.Number(), ref r), turn = Then(r.Number(), ref r);
                        bool large = r.Flag();
                        r.Separator();
                        bool sweep = r.Flag();
                        r.Separator();
                        (x, y) = Pair(ref r, ox, oy);
                        pen.Arc(rx, ry, turn, large, sweep, x, y);
                        break;
                }

                first = false;
                before = kind;
                comma = r.Separator();
                if (comma && !r.NumberFollows)
                {
                    throw r.Wrong("a number");
                }
            }
            while (r.NumberFollows);
        }
    }

    private static (double X, double Y) Pair(ref SvgNumbers r, double ox, double oy)
    {
        double x = Then(r.Number(), ref r);
        return (x + ox, r.Number() + oy);
    }

    private static T Then<T>(T read, ref SvgNumbers r)
    {
        r.Separator();
        return read;
    }
}
