using System.Text;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;

namespace HoopCheck.App.Quilts;

/// <summary>
/// A quilt's folder: <c>quilt.toml</c>, the hoop file, the fill's drawing if there is one, the log and the photos. Nothing in it leads out of it,
/// so that it can be moved or packed whole.
/// </summary>
internal sealed class QuiltFolder
{
    /// <summary>The file that makes a folder a quilt's.</summary>
    public const string FileName = "quilt.toml";

    /// <summary>The folder of the photos, named by their content.</summary>
    public const string PhotosName = "photos";

    private const string HoopName = "hoop.toml", FillName = "fill.svg";

    private QuiltFolder(string path, QuiltPlan plan, HoopSpec hoop, SvgFillRead? drawing, string quiltText, string hoopText) =>
        (Path, Plan, Hoop, Drawing, QuiltText, HoopText) = (path, plan, hoop, drawing, quiltText, hoopText);

    /// <summary>The folder's path.</summary>
    public string Path { get; }

    /// <summary>The plan that follows from the files.</summary>
    public QuiltPlan Plan { get; }

    /// <summary>What <c>quilt.toml</c> says.</summary>
    public QuiltSpec Quilt => Plan.Quilt;

    /// <summary>The hoop.</summary>
    public HoopSpec Hoop { get; }

    /// <summary>The fill's drawing; null where fills are rectangles.</summary>
    public SvgFillRead? Drawing { get; }

    /// <summary>The text of <c>quilt.toml</c>.</summary>
    public string QuiltText { get; }

    /// <summary>The text of the hoop file, which may hold the machine's steps too.</summary>
    public string HoopText { get; }

    /// <summary>Whether a folder is a quilt's.</summary>
    public static bool Is(string folder) => File.Exists(System.IO.Path.Combine(folder, FileName));

    /// <summary>Opens a quilt's folder and makes its plan.</summary>
    /// <returns>The folder, or HC151 to HC153, or what is wrong with the hoop file, the drawing or the fill's size.</returns>
    public static Outcome<QuiltFolder> Open(string folder)
    {
        if (!Is(folder))
        {
            return new Problem(Problems.NoQuilt, $"{folder} holds no {FileName}.");
        }

        Outcome<string> text = PhotoFile.ReadText(System.IO.Path.Combine(folder, FileName), Problems.NoQuilt);
        Outcome<QuiltSpec> read = text.Then(QuiltFile.Parse);
        return read.Value is { } quilt ? Open(folder, text.Value!, quilt) : read.Problem!;
    }

    /// <summary>Makes a new quilt's folder; it appears whole or not at all.</summary>
    /// <param name="folder">Where; it must not exist, or be empty.</param>
    /// <param name="given">Entries of <c>quilt.toml</c> as a person wrote them.</param>
    /// <param name="hoop">A hoop file to copy in; null: none yet.</param>
    /// <param name="drawing">A drawing of the fill to copy in; null: none.</param>
    /// <returns>null, or HC154, HC122, or what is wrong with what was given.</returns>
    public static Problem? Create(string folder, IReadOnlyDictionary<string, string> given, string? hoop, string? drawing)
    {
        string whole = System.IO.Path.TrimEndingDirectorySeparator(System.IO.Path.GetFullPath(folder));
        if (File.Exists(whole) || (Directory.Exists(whole) && Directory.EnumerateFileSystemEntries(whole).Any()))
        {
            return new(Problems.QuiltExists, $"There is something in {folder}.");
        }

        string beside = $"{whole}.{Guid.NewGuid():N}.part";
        try
        {
            Directory.CreateDirectory(System.IO.Path.Combine(beside, PhotosName));
            var entries = new Dictionary<string, string>(given);
            if (hoop is not null)
            {
                Outcome<string> text = PhotoFile.ReadText(hoop, Problems.HoopFileUnreadable);
                if (text.Then(t => HoopFile.Parse(t)).Problem is { } broken)
                {
                    return broken;
                }

                Whole.Write(System.IO.Path.Combine(beside, HoopName), Encoding.UTF8.GetBytes(text.Value!));
            }

            if (drawing is not null)
            {
                if (PhotoFile.ReadFill(drawing, null, Tolerances.UsualThreadMm).Problem is { } broken)
                {
                    return broken;
                }

                File.Copy(drawing, System.IO.Path.Combine(beside, FillName));
                entries["fill"] = FillName;
            }

            Whole.Write(System.IO.Path.Combine(beside, FileName), Encoding.UTF8.GetBytes(QuiltFile.Write(entries)));
            bool complete = hoop is not null && entries.ContainsKey("size") && entries.ContainsKey("fill");
            if (complete && Open(beside).Problem is { } wrong)
            {
                return wrong;
            }

            Outcome<HoopingLog> log = HoopingLog.Open(beside);
            if (log.Problem is { } unmade)
            {
                return unmade;
            }

            log.Value!.Dispose();
            if (Directory.Exists(whole))
            {
                Directory.Delete(whole);
            }

            Directory.Move(beside, whole);
            return null;
        }
        catch (Exception e) when (PhotoFile.IsFileTrouble(e))
        {
            return new(Problems.CannotWrite, PhotoFile.Reason(folder, e));
        }
        finally
        {
            if (Directory.Exists(beside))
            {
                Directory.Delete(beside, recursive: true);
            }
        }
    }

    /// <summary>The fill of a hooping, in hoop coordinates.</summary>
    public PlannedFill FillOf(PlannedHooping hooping)
    {
        PlannedFill fill = Drawing is { } read ? PlannedFill.Of(read.Shape, default) : new(default, hooping.FillWidth, hooping.FillHeight);
        return fill with { Width = hooping.FillWidth, Height = hooping.FillHeight, TurnDegrees = hooping.FillTurnDegrees };
    }

    private static Outcome<QuiltFolder> Open(string folder, string quiltText, QuiltSpec quilt)
    {
        Outcome<string> hoopText = PhotoFile.ReadText(System.IO.Path.Combine(folder, quilt.HoopFile), Problems.HoopFileUnreadable);
        Outcome<HoopSpec> hoop = hoopText.Then(text => HoopFile.Parse(text));
        if (hoop.Value is not { } spec)
        {
            return hoop.Problem!;
        }

        SvgFillRead? drawing = null;
        if (quilt.FillFile is { } file)
        {
            Outcome<SvgFillRead> read = PhotoFile.ReadFill(System.IO.Path.Combine(folder, file), null, Tolerances.UsualThreadMm);
            if (read.Problem is { } broken)
            {
                return broken;
            }

            drawing = read.Value!;
            PlannedFill drawn = PlannedFill.Of(drawing.Shape, default);
            quilt = quilt with { FillWidth = drawn.Width, FillHeight = drawn.Height };
        }

        return QuiltPlanner.Make(quilt, spec).Then<QuiltFolder>(plan => new QuiltFolder(folder, plan, spec, drawing, quiltText, hoopText.Value!));
    }
}
