using System.Collections;
using System.Globalization;
using System.Text;
using QRCoder;

namespace HoopCheck.App.Web;

/// <summary>An address as a QR code (ISO/IEC 18004), with its margin of four modules.</summary>
internal static class QrCode
{
    /// <summary>As lines of half blocks, light on dark; with colour its own light and dark, so that it can be read from any screen.</summary>
    public static string Text(string address, bool colour)
    {
        List<BitArray> rows = Rows(address);
        var text = new StringBuilder();
        for (int y = 0; y < rows.Count; y += 2)
        {
            text.Append(colour ? "\e[97;40m" : "");
            for (int x = 0; x < rows[y].Count; x++)
            {
                bool upper = !rows[y][x], lower = y + 1 < rows.Count && !rows[y + 1][x];
                text.Append((upper, lower) switch
                {
                    (true, true) => '█',
                    (true, false) => '▀',
                    (false, true) => '▄',
                    _ => ' ',
                });
            }

            text.Append(colour ? "\e[0m\n" : "\n");
        }

        return text.ToString();
    }

    /// <summary>As a drawing for a page, dark on white.</summary>
    public static Markup Svg(string address)
    {
        List<BitArray> rows = Rows(address);
        var path = new StringBuilder();
        for (int y = 0; y < rows.Count; y++)
        {
            for (int x = 0; x < rows[y].Count; x++)
            {
                if (rows[y][x])
                {
                    path.Append(CultureInfo.InvariantCulture, $"M{x} {y}h1v1h-1z");
                }
            }
        }

        return Html.Of($"""<svg class="qr" role="img" aria-label="QR code of the address below" viewBox="0 0 {rows.Count} {rows.Count}" shape-rendering="crispEdges"><path fill="#FFFFFF" d="M0 0h{rows.Count}v{rows.Count}h-{rows.Count}z"/><path fill="#000000" d="{path}"/></svg>""");
    }

    private static List<BitArray> Rows(string address)
    {
        using var generator = new QRCodeGenerator();
        using QRCodeData data = generator.CreateQrCode(address, QRCodeGenerator.ECCLevel.M);
        return [.. data.ModuleMatrix.Select(row => new BitArray(row))];
    }
}
