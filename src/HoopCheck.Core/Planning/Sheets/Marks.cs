namespace HoopCheck.Planning.Sheets;

/// <summary>A place on a sheet of paper, mm: x right and y DOWN from its top left corner.</summary>
/// <param name="X">mm.</param>
/// <param name="Y">mm.</param>
public readonly record struct SheetPoint(double X, double Y);

/// <summary>Something drawn on a sheet. All of it is black on white.</summary>
public abstract record Mark;

/// <summary>A line through points.</summary>
/// <param name="Points">Two or more.</param>
/// <param name="Width">Of the stroke, mm.</param>
/// <param name="Dash">Length of a dash and of the gap after it, mm; 0 for an unbroken line.</param>
/// <param name="Closed">Whether its end is joined to its beginning.</param>
public sealed record LineMark(IReadOnlyList<SheetPoint> Points, double Width, double Dash = 0, bool Closed = false) : Mark;

/// <summary>A filled rectangle.</summary>
/// <param name="Left">mm.</param>
/// <param name="Top">mm.</param>
/// <param name="Width">mm.</param>
/// <param name="Height">mm.</param>
public sealed record BlockMark(double Left, double Top, double Width, double Height) : Mark;

/// <summary>A line of words.</summary>
/// <param name="Text">The words.</param>
/// <param name="At">On the baseline: the left end, or the middle.</param>
/// <param name="Size">Of the font, mm.</param>
/// <param name="Middle">Whether <paramref name="At"/> is the middle and not the left end.</param>
/// <param name="Upwards">Whether they are read from the sheet's right side, running up.</param>
public sealed record WordMark(string Text, SheetPoint At, double Size, bool Middle = false, bool Upwards = false) : Mark;

/// <summary>Something to print at its true size, not yet put on paper.</summary>
/// <param name="Title">What it is, for the foot of each page.</param>
/// <param name="Width">mm.</param>
/// <param name="Height">mm.</param>
/// <param name="Marks">Within 0 to Width and 0 to Height.</param>
public sealed record SheetDrawing(string Title, double Width, double Height, IReadOnlyList<Mark> Marks);

/// <summary>A sheet of paper with everything on it.</summary>
/// <param name="Width">mm.</param>
/// <param name="Height">mm.</param>
/// <param name="Room">The part of the sheet that <paramref name="Drawn"/> is cut to: left, top, width, height, mm.</param>
/// <param name="Drawn">The drawing's marks, cut to the room.</param>
/// <param name="Around">Check bars, words, cutting marks; not cut.</param>
public sealed record SheetPage(double Width, double Height, (double Left, double Top, double Width, double Height) Room, IReadOnlyList<Mark> Drawn, IReadOnlyList<Mark> Around);
