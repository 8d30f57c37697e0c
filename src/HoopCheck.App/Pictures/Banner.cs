using HoopCheck.Checking;
using SkiaSharp;

namespace HoopCheck.App.Pictures;

/// <summary>The band above a picture: icon, verdict in large words, finding, what to do.</summary>
internal sealed class Banner
{
    private readonly Decision _decision;
    private readonly float _width;
    private readonly float _pad;
    private readonly float _tile;
    private readonly List<(string Text, float Size, SKColor Colour)> _lines = [];

    /// <summary>Lays the band out.</summary>
    /// <param name="result">What it says.</param>
    /// <param name="extra">A further small line, or null.</param>
    /// <param name="width">Width of the picture, px.</param>
    /// <param name="unit">Height of the small text, px; everything else follows from it.</param>
    public Banner(CheckResult result, string? extra, float width, float unit)
    {
        (_decision, _width, _pad) = (result.Decision, width, unit * 0.8f);
        _tile = unit * 4.6f;
        float room = width - _tile - (3 * _pad);
        string head = Labels.Headline(_decision);
        _lines.Add((head, Lettering.Fit(head, unit * 3f, unit, room), SKColors.White));
        Add(Labels.Finding(result), unit * 1.5f, SKColors.White);
        bool change = result.Correction is { IsPossible: true };
        Add(Labels.Advice(result), unit * (change ? 1.35f : 1.15f), change ? SKColors.White : Palette.Soft);
        if (extra is not null)
        {
            Add(extra, unit, Palette.Soft);
        }

        Height = MathF.Ceiling(Math.Max(_tile + (2 * _pad), (2 * _pad) + _lines.Sum(l => l.Size * 1.24f)));

        void Add(string text, float size, SKColor colour)
        {
            float fitted = Lettering.Fit(text, size, size * 0.8f, room);
            _lines.AddRange(Lettering.Wrap(text, fitted, room).Take(5).Select(l => (l, fitted, colour)));
        }
    }

    /// <summary>Height of the band, px.</summary>
    public float Height { get; }

    /// <summary>Draws the band at the top of the canvas.</summary>
    public void Draw(SKCanvas canvas)
    {
        using var paint = new SKPaint { Color = Palette.Ink, IsAntialias = true };
        canvas.DrawRect(0, 0, _width, Height, paint);
        paint.Color = Palette.Of(_decision);
        canvas.DrawRect(0, Height - (_pad * 0.3f), _width, _pad * 0.3f, paint);
        var tile = SKRect.Create(_pad, (Height - _tile - (_pad * 0.3f)) / 2, _tile, _tile);
        canvas.DrawRoundRect(tile, _tile * 0.16f, _tile * 0.16f, paint);
        Icon.Draw(canvas, _decision, tile);

        float y = ((Height - (_pad * 0.3f) - _lines.Sum(l => l.Size * 1.24f)) / 2);
        foreach ((string text, float size, SKColor colour) in _lines)
        {
            Lettering.Write(canvas, text, _tile + (2 * _pad), y + (size * 0.98f), size, colour);
            y += size * 1.24f;
        }
    }
}
