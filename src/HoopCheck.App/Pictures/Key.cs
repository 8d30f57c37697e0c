using HoopCheck.Checking;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>The band below a picture that says which line is what.</summary>
internal sealed class Key
{
    private readonly List<(string Text, float X, float Y, Action<Overlay, SKRect> Sample)> _entries = [];
    private const string Belongs = "tape edge belongs here";
    private readonly float _unit;
    private readonly float _width;

    /// <summary>Lays the key out.</summary>
    /// <param name="result">What is drawn.</param>
    /// <param name="width">Of the band, px.</param>
    /// <param name="unit">Height of the words, px.</param>
    /// <param name="flat">Whether the picture shows the fabric's lines: the flat view does.</param>
    public Key(CheckResult result, float width, float unit, bool flat = false)
    {
        (_unit, _width) = (unit, width);
        float x = unit, y = unit * 0.7f, row = unit * 1.9f;
        if (result.Correction is { IsPossible: true })
        {
            Add("fill as it is", (o, r) => o.Line(Flat(r), Palette.Fill, unit * 0.16f, Overlay.Before));
            Add("fill after the change", (o, r) => o.Line(Flat(r), Palette.Fill, unit * 0.2f));
        }
        else
        {
            Add("planned fill", (o, r) => o.Line(Flat(r), Palette.Fill, unit * 0.2f));
        }

        if (result.Sides.Count > 0)
        {
            Add("tape edge", (o, r) => o.Line(Flat(r), Palette.Tape, unit * 0.18f));
            if (result.Sides.Any(s => s.Tape.Samples.Any(t => !t.Seen)))
            {
                Add("tape edge, not seen", (o, r) => o.Line(Flat(r), Palette.Tape, unit * 0.18f, [2.5f, 2.5f]));
            }

            Add(Belongs, null);
        }

        if (flat && result.Weave is not null)
        {
            Add("line of the fabric", (o, r) => o.Line(Flat(r), WeaveLines.Measured, unit * 0.14f));
            Add("straight", (o, r) => o.Line(Flat(r), WeaveLines.Straight, unit * 0.1f, [3f, 3f]));
        }

        Height = MathF.Ceiling(y + row + (unit * 0.1f));

        void Add(string text, Action<Overlay, SKRect>? sample)
        {
            float w = (unit * 3.6f) + Lettering.Width(text, unit);
            if (x + w > width - unit && x > unit)
            {
                x = unit;
                y += row;
            }

            _entries.Add((text, x, y, sample ?? ((_, _) => { })));
            x += w + (unit * 1.6f);
        }
    }

    /// <summary>Height of the band, px.</summary>
    public float Height { get; }

    /// <summary>Draws the band at the canvas's origin.</summary>
    public void Draw(SKCanvas canvas)
    {
        using var paint = new SKPaint { Color = Palette.Ink, IsAntialias = true };
        canvas.DrawRect(0, 0, _width, Height, paint);
        var overlay = new Overlay(canvas, p => new SKPoint((float)p.X, (float)p.Y), _unit * 0.2f);
        foreach ((string text, float x, float y, Action<Overlay, SKRect> sample) in _entries)
        {
            var box = SKRect.Create(x, y, _unit * 3f, _unit * 1.2f);
            bool band = text == Belongs;
            paint.Color = band ? new SKColor(0x2B, 0x4A, 0x43) : new SKColor(0x6A, 0x70, 0x78);
            canvas.DrawRoundRect(box, _unit * 0.2f, _unit * 0.2f, paint);
            if (band)
            {
                using var b = new SKPathBuilder();
                b.AddRect(SKRect.Inflate(box, 0, -_unit * 0.22f), SKPathDirection.Clockwise);
                using SKPath inside = b.Detach();
                Overlay.Hatch(canvas, inside, _unit * 0.17f);
                overlay.Line([new(box.Left + 4, box.Top + (_unit * 0.22f)), new(box.Right - 4, box.Top + (_unit * 0.22f))], SKColors.White, _unit * 0.14f, [0.1f, 2.2f]);
                overlay.Line([new(box.Left + 4, box.Bottom - (_unit * 0.22f)), new(box.Right - 4, box.Bottom - (_unit * 0.22f))], SKColors.White, _unit * 0.12f, [4.5f, 3f]);
            }

            sample(overlay, box);
            Lettering.Write(canvas, text, box.Right + (_unit * 0.6f), y + (_unit * 0.95f), _unit, Palette.Soft);
        }
    }

    private static HoopPoint[] Flat(SKRect r) => [new(r.Left + 3, r.MidY), new(r.Right - 3, r.MidY)];
}
