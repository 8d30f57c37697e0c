using System.Globalization;
using System.Xml;
using HoopCheck.Geometry;
using HoopCheck.Rules;
using NetTopologySuite.Geometries.Utilities;

namespace HoopCheck.Planning.Fills;

/// <summary>A drawing of a fill as read.</summary>
/// <param name="Shape">Its lines.</param>
/// <param name="FromViewBoxCentre">From the centre of the viewBox to the middle of the shape, mm, y up.</param>
/// <param name="PhysicalSize">Whether width and height carry a physical unit; otherwise a px was taken for 1/96 in (CSS Values 3, 6.2).</param>
/// <param name="SayKind">How it was told whether it is an outline or stitches, for a person.</param>
public sealed record SvgFillRead(FillShape Shape, HoopVector FromViewBoxCentre, bool PhysicalSize, string SayKind);

/// <summary>
/// Reads a fill from an SVG 2 drawing: path, rect, circle, ellipse, line, polyline and polygon, in groups with transforms, in real units.
/// The file is a stranger's: nothing outside it is ever read, and what a drawing of a fill does not need is refused rather than passed over.
/// </summary>
public static class SvgFill
{
    private const string Svg = "http://www.w3.org/2000/svg", XLink = "http://www.w3.org/1999/xlink", Xhtml = "http://www.w3.org/1999/xhtml";

    /// <summary>Drawn by a viewer only where something refers to them, or not at all.</summary>
    private static readonly HashSet<string> s_passedOver =
    [
        "title", "desc", "metadata", "defs", "symbol", "clipPath", "mask", "pattern", "marker", "linearGradient", "radialGradient", "filter", "view",
    ];

    private static readonly HashSet<string> s_unsafe = ["script", "foreignObject", "image", "iframe", "audio", "video", "canvas", "object", "embed", "handler", "listener"];

    private static readonly HashSet<string> s_shapes = ["path", "rect", "circle", "ellipse", "line", "polyline", "polygon"];

    /// <summary>Reads a drawing.</summary>
    /// <param name="stream">The file's bytes, from their beginning.</param>
    /// <param name="kind">What the lines stand for; null: closed or filled ones are an outline, open ones stitches.</param>
    /// <param name="threadMm">Width of the thread, mm; counted for stitches only.</param>
    /// <param name="tolerances">Limits; null: the usual ones.</param>
    /// <returns>The fill, or HC131 to HC135.</returns>
    public static Outcome<SvgFillRead> Read(Stream stream, FillKind? kind = null, double threadMm = Tolerances.UsualThreadMm, Tolerances? tolerances = null)
    {
        ArgumentNullException.ThrowIfNull(stream);
        Tolerances limits = tolerances ?? Tolerances.Default;
        if (stream.CanSeek && stream.Length > limits.LargestFillFileBytes)
        {
            return TooLong(limits);
        }

        try
        {
            // No DTD, so no entity, neither a bomb of them nor one that reads a file; no resolver, so nothing else is opened either.
            var settings = new XmlReaderSettings
            {
                DtdProcessing = DtdProcessing.Prohibit,
                XmlResolver = null,
                MaxCharactersInDocument = limits.LargestFillFileBytes,
                IgnoreComments = true,
                IgnoreWhitespace = true,
            };
            using var xml = XmlReader.Create(stream, settings);
            return new Reading(xml, limits).All(kind, threadMm);
        }
        catch (SvgFailureException e)
        {
            return e.Problem;
        }
        catch (XmlException e)
        {
            string said = e.Message.ReplaceLineEndings(" ");
            return said.Contains("DTD", StringComparison.Ordinal) ? new Problem(Problems.FillFileUnsafe, "It has a DOCTYPE, which could hold entities.")
                : said.Contains("MaxCharacters", StringComparison.Ordinal) ? TooLong(limits)
                : new Problem(Problems.FillFileBroken, $"It is not well-formed XML: line {e.LineNumber.ToString(CultureInfo.InvariantCulture)}, place {e.LinePosition.ToString(CultureInfo.InvariantCulture)}.");
        }
    }

    private static Problem TooLong(Tolerances limits) =>
        new(Problems.FillFileTooLarge, string.Create(CultureInfo.InvariantCulture, $"It is longer than {limits.LargestFillFileBytes / 1_000_000} MB."));

    private static SvgFailureException Broken(string detail) => new(Problems.FillFileBroken, detail);

    /// <summary>What an element hands down to those in it.</summary>
    private sealed record Inherited(AffineTransformation ToMm, bool Hidden, bool? Filled)
    {
        public static readonly Inherited Nothing = new(new AffineTransformation(), false, null);
    }

    private sealed class Reading(XmlReader xml, Tolerances limits)
    {
        private readonly FillPen _pen = new(limits);
        private readonly List<bool> _filled = [];
        private int _elements;
        private double _viewWidth, _viewHeight;

        public SvgFillRead All(FillKind? asked, double threadMm)
        {
            (AffineTransformation toMm, double width, double height, bool physical) = (new(), 0, 0, false);
            var above = new Stack<Inherited>();
            while (xml.Read())
            {
                switch (xml.NodeType)
                {
                    case XmlNodeType.ProcessingInstruction:
                        throw new SvgFailureException(Problems.FillFileUnsafe, $"It has a processing instruction, {SvgFailureException.Quote(xml.Name)}.");
                    case XmlNodeType.EndElement:
                        above.Pop();
                        continue;
                    case not XmlNodeType.Element:
                        continue;
                }

                Count();
                string name = xml.LocalName;
                bool svg = xml.NamespaceURI is Svg or "";
                if (above.Count == 0)
                {
                    if (!svg || name != "svg")
                    {
                        throw Broken($"Its first element is {SvgFailureException.Quote(name)}, not svg.");
                    }

                    Refuse(name);
                    (toMm, width, height, physical) = Size();
                }
                else if (!svg || s_passedOver.Contains(name) || name == "style" || s_unsafe.Contains(name))
                {
                    Pass(name, svg);
                    continue;
                }
                else if (name is not ("g" or "a") && !s_shapes.Contains(name))
                {
                    Refuse(name);
                    throw new SvgFailureException(Problems.FillFileUnsupported, $"It has {SvgFailureException.Quote(name)}.");
                }

                Refuse(name);
                Inherited own = Own(above.Count == 0 ? Inherited.Nothing with { ToMm = toMm } : above.Peek(), root: above.Count == 0);
                bool empty = xml.IsEmptyElement;
                if (s_shapes.Contains(name) && !own.Hidden)
                {
                    Shape(name, own);
                }

                if (!empty)
                {
                    if (above.Count >= limits.DeepestFillNesting)
                    {
                        throw TooDeep();
                    }

                    above.Push(own);
                }
            }

            return Made(asked, threadMm, width, height, physical);
        }

        private SvgFillRead Made(FillKind? asked, double threadMm, double width, double height, bool physical)
        {
            List<DrawnLine> drawn = _pen.Lines();
            if (drawn.Count == 0)
            {
                throw new SvgFailureException(Problems.FillFileAbsurd, "Nothing is drawn in it.");
            }

            // A filled line is closed by the filling (SVG 2, 13.4).
            var lines = new List<IReadOnlyList<HoopPoint>>(drawn.Count);
            bool anyOpen = false;
            for (int i = 0; i < drawn.Count; i++)
            {
                (double[] xs, double[] ys, bool closed) = drawn[i];
                bool meets = Math.Abs(xs[0] - xs[^1]) + Math.Abs(ys[0] - ys[^1]) < 0.01;
                bool area = xs.Length > 2 && (closed || meets || _filled[i]);
                anyOpen |= !area;
                bool join = (closed || (area && asked != FillKind.Stitches)) && (xs[0] != xs[^1] || ys[0] != ys[^1]);
                var points = new HoopPoint[xs.Length + (join ? 1 : 0)];
                for (int k = 0; k < xs.Length; k++)
                {
                    points[k] = new(xs[k] - (width / 2), (height / 2) - ys[k]);
                }

                if (join)
                {
                    points[^1] = points[0];
                }

                lines.Add(points);
            }

            FillKind kind = asked ?? (anyOpen ? FillKind.Stitches : FillKind.Outline);
            string say = asked is not null ? (kind == FillKind.Outline ? "as an outline, as asked" : "as stitches, as asked")
                : anyOpen ? "as stitches, because it has open lines" : "as an outline, because all its lines are closed";
            if (kind == FillKind.Outline && anyOpen)
            {
                throw new SvgFailureException(Problems.FillFileAbsurd, "It is to be an outline, but has open lines.");
            }

            (FillShape shape, HoopPoint middle) = FillShape.Of(lines, kind, threadMm);
            double longest = Math.Max(shape.CoreWidth, shape.CoreHeight);
            if (longest < limits.SmallestFillMm || longest > Length.LargestMm)
            {
                throw new SvgFailureException(Problems.FillFileAbsurd, $"It comes out {Length.Millimetres(shape.CoreWidth)} wide and {Length.Millimetres(shape.CoreHeight)} high.");
            }

            return new(shape, new(middle.X, middle.Y), physical, say);
        }

        private void Count()
        {
            if (++_elements > limits.MostFillElements)
            {
                throw new SvgFailureException(Problems.FillFileTooLarge, string.Create(CultureInfo.InvariantCulture, $"It has more than {limits.MostFillElements} elements."));
            }
        }

        private SvgFailureException TooDeep() => new(
            Problems.FillFileTooLarge,
            string.Create(CultureInfo.InvariantCulture, $"Its elements are nested more than {limits.DeepestFillNesting} deep."));

        /// <summary>Goes over an element that is not drawn, and looks whether it holds what must be refused.</summary>
        private void Pass(string outer, bool svg)
        {
            int depth = xml.Depth;
            do
            {
                switch (xml.NodeType)
                {
                    case XmlNodeType.Element:
                        if (xml.Depth != depth)
                        {
                            Count();
                        }

                        if (xml.Depth > limits.DeepestFillNesting)
                        {
                            throw TooDeep();
                        }

                        if (xml.NamespaceURI == Xhtml || s_unsafe.Contains(xml.LocalName))
                        {
                            throw new SvgFailureException(Problems.FillFileUnsafe, $"It has {SvgFailureException.Quote(xml.LocalName)}.");
                        }

                        // Other namespaces name links of their own kind (a licence, say) that no one follows.
                        if (svg && outer != "metadata")
                        {
                            Refuse(xml.LocalName);
                        }

                        if (xml.Depth == depth && xml.IsEmptyElement)
                        {
                            return;
                        }

                        break;
                    case XmlNodeType.ProcessingInstruction:
                        throw new SvgFailureException(Problems.FillFileUnsafe, $"It has a processing instruction, {SvgFailureException.Quote(xml.Name)}.");
                    case XmlNodeType.Text or XmlNodeType.CDATA when outer == "style":
                        StyleSheet(xml.Value);
                        break;
                    case XmlNodeType.EndElement when xml.Depth == depth:
                        return;
                }
            }
            while (xml.Read());
        }

        /// <summary>Style sheets may colour; what they could hide, move or fetch would change the shape unseen.</summary>
        private static void StyleSheet(string css)
        {
            External(css);
            if (css.Contains("@import", StringComparison.OrdinalIgnoreCase))
            {
                throw new SvgFailureException(Problems.FillFileUnsafe, "Its style sheet refers to another file.");
            }

            foreach (string word in new[] { "display", "visibility", "transform", "clip-path", "mask", "filter", "marker", "offset", "d:", "d :", "\\", "width", "height", "rx", "ry" })
            {
                if (css.Replace("stroke-width", "", StringComparison.OrdinalIgnoreCase).Contains(word, StringComparison.OrdinalIgnoreCase))
                {
                    throw new SvgFailureException(Problems.FillFileUnsupported, $"Its style sheet says {SvgFailureException.Quote(word)}.");
                }
            }
        }

        private static void External(string css)
        {
            for (int at = 0; (at = css.IndexOf("url(", at, StringComparison.OrdinalIgnoreCase)) >= 0; at += 4)
            {
                if (!css.AsSpan(at + 4).TrimStart(" \t\r\n\"'").StartsWith("#"))
                {
                    throw new SvgFailureException(Problems.FillFileUnsafe, "A style refers to another file.");
                }
            }
        }

        /// <summary>Looks at every attribute for scripts and for references out of the file.</summary>
        private void Refuse(string element)
        {
            if (s_unsafe.Contains(element))
            {
                throw new SvgFailureException(Problems.FillFileUnsafe, $"It has {SvgFailureException.Quote(element)}.");
            }

            if (!xml.MoveToFirstAttribute())
            {
                return;
            }

            do
            {
                string name = xml.LocalName;
                if (xml.NamespaceURI.Length == 0 && name.Length > 2 && name.StartsWith("on", StringComparison.OrdinalIgnoreCase))
                {
                    throw new SvgFailureException(Problems.FillFileUnsafe, $"It has a script in {SvgFailureException.Quote(name)}.");
                }

                if (xml.NamespaceURI.Length == 0 && Alters(name) && xml.Value.Trim() != "none")
                {
                    throw new SvgFailureException(Problems.FillFileUnsupported, $"It has {SvgFailureException.Quote(name)}.");
                }

                bool link = (xml.NamespaceURI is "" or XLink && name is "href" or "src") || (xml.Prefix == "xml" && name == "base");
                if (link && !xml.Value.TrimStart().StartsWith('#'))
                {
                    throw new SvgFailureException(Problems.FillFileUnsafe, $"{SvgFailureException.Quote(element)} refers to something outside the file.");
                }

                if (name is not ("d" or "points"))
                {
                    External(xml.Value);
                }
            }
            while (xml.MoveToNextAttribute());
            xml.MoveToElement();
        }

        /// <summary>Properties, as attributes or in a style, that move, cut or replace what is drawn and are not followed.</summary>
        private static bool Alters(string property) =>
            property is "transform-origin" or "transform-box" or "clip-path" or "mask" or "filter" or "vector-effect"
            || property.StartsWith("marker", StringComparison.Ordinal) || property.StartsWith("offset", StringComparison.Ordinal);

        private Inherited Own(Inherited above, bool root)
        {
            bool hidden = above.Hidden;
            bool? filled = above.Filled;
            Read(xml.GetAttribute("display"), xml.GetAttribute("visibility"), xml.GetAttribute("fill"));
            if (xml.GetAttribute("style") is { } style)
            {
                if (style.Contains('\\') || style.Contains("/*", StringComparison.Ordinal))
                {
                    throw new SvgFailureException(Problems.FillFileUnsupported, "It has a style with an escape or a comment.");
                }

                foreach (string declaration in style.Split(';'))
                {
                    string[] pair = declaration.Split(':', 2, StringSplitOptions.TrimEntries);
                    string property = pair[0].ToLowerInvariant();
                    if (property is "transform" or "d" or "x" or "y" or "cx" or "cy" or "r" or "rx" or "ry" or "width" or "height" or "translate" or "rotate" or "scale"
                        || (Alters(property) && pair is not [_, "none"]))
                    {
                        throw new SvgFailureException(Problems.FillFileUnsupported, $"It has a style {SvgFailureException.Quote(property)}.");
                    }

                    if (pair.Length == 2)
                    {
                        Read(property == "display" ? pair[1] : null, property == "visibility" ? pair[1] : null, property == "fill" ? pair[1] : null);
                    }
                }
            }

            AffineTransformation toMm = above.ToMm;
            if (xml.GetAttribute("transform") is { } transform)
            {
                if (root)
                {
                    throw new SvgFailureException(Problems.FillFileUnsupported, "It has a transform on the svg element itself.");
                }

                toMm = SvgTransform.Inside(SvgTransform.Parse(transform), toMm);
            }

            return new(toMm, hidden, filled);

            void Read(string? display, string? visibility, string? fill)
            {
                hidden |= display == "none";
                if (visibility is "hidden" or "collapse")
                {
                    // A child may be made visible again; that is too fine for a fill, and hiding too much would be unsafe.
                    throw new SvgFailureException(Problems.FillFileUnsupported, "It hides something by \"visibility\".");
                }

                if (fill is not null and not "inherit")
                {
                    filled = fill is not ("none" or "transparent");
                }
            }
        }

        private void Shape(string name, Inherited own)
        {
            _pen.ToMm = own.ToMm;
            switch (name)
            {
                case "path":
                    SvgPathData.Draw(xml.GetAttribute("d"), _pen);
                    break;
                case "line":
                    _pen.Move(Across("x1"), Down("y1"));
                    _pen.Line(Across("x2"), Down("y2"));
                    break;
                case "polyline" or "polygon":
                    Points(name == "polygon");
                    break;
                case "circle":
                    double r = Size(xml.GetAttribute("r"), Diagonal, 0, "r");
                    Ellipse(Across("cx"), Down("cy"), r, r);
                    break;
                case "ellipse":
                    double? rx = Auto("rx", _viewWidth), ry = Auto("ry", _viewHeight);
                    Ellipse(Across("cx"), Down("cy"), rx ?? ry ?? 0, ry ?? rx ?? 0);
                    break;
                default:
                    Rectangle();
                    break;
            }

            int drawn = _pen.Lines().Count;
            while (_filled.Count < drawn)
            {
                _filled.Add(own.Filled == true);
            }
        }

        private void Points(bool closed)
        {
            var r = new SvgNumbers(xml.GetAttribute("points"));
            r.Space();
            for (bool first = true; !r.AtEnd; first = false)
            {
                double x = r.Number();
                r.Separator();
                double y = r.Number();
                if (r.Separator() && r.AtEnd)
                {
                    throw r.Wrong("a number");
                }

                if (first)
                {
                    _pen.Move(x, y);
                }
                else
                {
                    _pen.Line(x, y);
                }
            }

            if (closed)
            {
                _pen.Close();
            }
        }

        private void Ellipse(double cx, double cy, double rx, double ry)
        {
            if (rx <= 0 || ry <= 0)
            {
                return;
            }

            _pen.Move(cx + rx, cy);
            _pen.Arc(rx, ry, 0, false, true, cx - rx, cy);
            _pen.Arc(rx, ry, 0, false, true, cx + rx, cy);
            _pen.Close();
        }

        /// <summary>SVG 2, 10.2: one radius stands for both, and neither is more than half the side.</summary>
        private void Rectangle()
        {
            double x = Across("x"), y = Down("y"), w = Size(xml.GetAttribute("width"), _viewWidth, 0, "width"), h = Size(xml.GetAttribute("height"), _viewHeight, 0, "height");
            if (w <= 0 || h <= 0)
            {
                return;
            }

            double? askedX = Auto("rx", _viewWidth), askedY = Auto("ry", _viewHeight);
            double rx = Math.Clamp(askedX ?? askedY ?? 0, 0, w / 2), ry = Math.Clamp(askedY ?? askedX ?? 0, 0, h / 2);
            bool round = rx > 0 && ry > 0;
            (rx, ry) = round ? (rx, ry) : (0, 0);
            _pen.Move(x + rx, y);
            _pen.Line(x + w - rx, y);
            Corner(x + w, y + ry);
            _pen.Line(x + w, y + h - ry);
            Corner(x + w - rx, y + h);
            _pen.Line(x + rx, y + h);
            Corner(x, y + h - ry);
            if (round)
            {
                _pen.Line(x, y + ry);
                Corner(x + rx, y);
            }

            _pen.Close();

            void Corner(double toX, double toY)
            {
                if (round)
                {
                    _pen.Arc(rx, ry, 0, false, true, toX, toY);
                }
            }
        }

        private double Diagonal => Math.Sqrt(((_viewWidth * _viewWidth) + (_viewHeight * _viewHeight)) / 2);

        private double Across(string name) => Size(xml.GetAttribute(name), _viewWidth, 0, name);

        private double Down(string name) => Size(xml.GetAttribute(name), _viewHeight, 0, name);

        private double? Auto(string name, double whole) => xml.GetAttribute(name) is { } text && text != "auto" ? Size(text, whole, 0, name) : null;

        private static double Size(string? text, double whole, double missing, string name)
        {
            if (text is null)
            {
                return missing;
            }

            (double value, string unit) = Quantity(text, name);
            return unit == "%" ? value / 100 * whole : value * Px(unit, name);
        }

        private static (double Value, string Unit) Quantity(string text, string name)
        {
            ReadOnlySpan<char> trimmed = text.AsSpan().Trim(" \t\r\n\f");
            var r = new SvgNumbers(trimmed);
            try
            {
                double value = r.Number();
                return (value, trimmed[r.At..].ToString());
            }
            catch (SvgFailureException)
            {
                throw Broken($"{name}={SvgFailureException.Quote(text)} is not a length.");
            }
        }

        /// <summary>CSS Values and Units 3, 6.2: 1 in is 96 px, 25.4 mm, 72 pt or 6 pc; 1 Q is a quarter of a mm.</summary>
        private static double Px(string unit, string name) => unit switch
        {
            "" or "px" => 1,
            "mm" => 96 / 25.4,
            "cm" => 960 / 25.4,
            "in" => 96,
            "pt" => 96.0 / 72,
            "pc" => 16,
            "Q" => 24 / 25.4,
            _ => throw Broken($"{name} has the unit {SvgFailureException.Quote(unit)}, which is not known here."),
        };

        /// <summary>The root's size and its viewBox, SVG 2, 8.2.</summary>
        private (AffineTransformation ToMm, double Width, double Height, bool Physical) Size()
        {
            string? w = xml.GetAttribute("width"), h = xml.GetAttribute("height");
            if (w is null or "auto" || h is null or "auto" || w.TrimEnd().EndsWith('%') || h.TrimEnd().EndsWith('%'))
            {
                throw new SvgFailureException(Problems.FillFileAbsurd, "Its svg element has no width and height in real units, such as width=\"350mm\".");
            }

            (double width, string unitW) = Quantity(w, "width");
            (double height, string unitH) = Quantity(h, "height");
            width *= Px(unitW, "width") * 25.4 / 96;
            height *= Px(unitH, "height") * 25.4 / 96;
            if (!(width > 0 && height > 0))
            {
                throw new SvgFailureException(Problems.FillFileAbsurd, "Its svg element has a width or a height of nothing.");
            }

            bool physical = unitW is not ("" or "px") && unitH is not ("" or "px");
            if (xml.GetAttribute("viewBox") is not { } viewBox)
            {
                (_viewWidth, _viewHeight) = (width * 96 / 25.4, height * 96 / 25.4);
                return (AffineTransformation.ScaleInstance(25.4 / 96, 25.4 / 96), width, height, physical);
            }

            var r = new SvgNumbers(viewBox);
            var box = new double[4];
            r.Space();
            for (int i = 0; i < 4; i++)
            {
                box[i] = r.Number();
                r.Separator();
            }

            if (!r.AtEnd || !(box[2] > 0 && box[3] > 0))
            {
                throw Broken($"viewBox={SvgFailureException.Quote(viewBox)} is not four numbers with a width and a height above 0.");
            }

            (_viewWidth, _viewHeight) = (box[2], box[3]);
            double sx = width / box[2], sy = height / box[3];
            string[] fit = (xml.GetAttribute("preserveAspectRatio") ?? "xMidYMid").Split(' ', StringSplitOptions.RemoveEmptyEntries);
            if (fit.Length > 0 && fit[0] != "none")
            {
                sx = sy = fit is [_, "slice", ..] ? Math.Max(sx, sy) : Math.Min(sx, sy);
            }

            // The contract puts the viewBox's centre on the place asked for, so that where xMin or xMax would shift it makes no difference.
            return (SvgTransform.Matrix(sx, 0, 0, sy, -box[0] * sx, -box[1] * sy), box[2] * sx, box[3] * sy, physical);
        }
    }
}
