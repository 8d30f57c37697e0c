using System.Globalization;
using HoopCheck.Rules;

namespace HoopCheck.Planning.Fills;

/// <summary>Reads numbers, flags and separators as the grammar of SVG 2, 9.3.9 has them; a transform list uses the same numbers.</summary>
/// <param name="text">What is read.</param>
internal ref struct SvgNumbers(ReadOnlySpan<char> text)
{
    private readonly ReadOnlySpan<char> _text = text;

    /// <summary>Place of the next character.</summary>
    public int At { get; private set; }

    /// <summary>Whether everything has been read.</summary>
    public readonly bool AtEnd => At >= _text.Length;

    /// <summary>The next character, or 0 at the end.</summary>
    public readonly char Next => At < _text.Length ? _text[At] : '\0';

    /// <summary>Passes over one character.</summary>
    public void Skip() => At++;

    /// <summary>wsp*: space, tab, line feed, form feed, carriage return.</summary>
    public void Space()
    {
        while (At < _text.Length && _text[At] is ' ' or '\t' or '\n' or '\f' or '\r')
        {
            At++;
        }
    }

    /// <summary>comma_wsp?: space with at most one comma in it.</summary>
    /// <returns>Whether there was a comma.</returns>
    public bool Separator()
    {
        Space();
        if (Next != ',')
        {
            return false;
        }

        At++;
        Space();
        return true;
    }

    /// <summary>Whether a number begins here.</summary>
    public readonly bool NumberFollows => Next is (>= '0' and <= '9') or '+' or '-' or '.';

    /// <summary>
    /// sign? then digits or digits? "." digits, then an exponent. A number ends where no further character can belong to it, so
    /// <c>0.6.5</c> is two; <c>1.</c> with nothing after the point is none (SVG 2 dropped it).
    /// </summary>
    /// <exception cref="SvgFailureException">No number, or one that is not finite.</exception>
    public double Number()
    {
        int start = At, p = At;
        if (p < _text.Length && _text[p] is '+' or '-')
        {
            p++;
        }

        int whole = Digits(ref p), part = 0;
        if (p + 1 < _text.Length && _text[p] == '.' && char.IsAsciiDigit(_text[p + 1]))
        {
            p++;
            part = Digits(ref p);
        }

        if (whole + part == 0)
        {
            throw Wrong("a number");
        }

        if (p < _text.Length && _text[p] is 'e' or 'E')
        {
            int e = p + 1;
            if (e < _text.Length && _text[e] is '+' or '-')
            {
                e++;
            }

            if (Digits(ref e) > 0)
            {
                p = e;
            }
        }

        double value = double.Parse(_text[start..p], NumberStyles.Float, CultureInfo.InvariantCulture);
        if (!(Math.Abs(value) <= 1e9))
        {
            throw Wrong("a number of a sensible size");
        }

        At = p;
        return value;
    }

    /// <summary>A flag of an arc: 0 or 1, which needs no separator after it.</summary>
    public bool Flag()
    {
        if (Next is not ('0' or '1'))
        {
            throw Wrong("a flag, 0 or 1,");
        }

        return _text[At++] == '1';
    }

    /// <summary>What to say when something else stands here.</summary>
    public readonly SvgFailureException Wrong(string expected) => new(
        Problems.FillFileBroken,
        AtEnd
            ? $"{expected} is missing at the end of {SvgFailureException.Quote(_text[Math.Max(0, _text.Length - 20)..])}."
            : string.Create(CultureInfo.InvariantCulture, $"At character {At + 1} {expected} should stand, not {SvgFailureException.Quote(_text.Slice(At, Math.Min(20, _text.Length - At)))}."));

    private readonly int Digits(ref int p)
    {
        int from = p;
        while (p < _text.Length && char.IsAsciiDigit(_text[p]))
        {
            p++;
        }

        return p - from;
    }
}
