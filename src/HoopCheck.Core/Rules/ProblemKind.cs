namespace HoopCheck.Rules;

/// <summary>How the program ends for a problem; the numbers are the contract's exit codes.</summary>
public enum ProblemExit
{
    /// <summary>Measured or tried, and it cannot tell.</summary>
    CannotTell = 3,

    /// <summary>The call is wrong.</summary>
    Usage = 64,

    /// <summary>The photo or a file cannot be read as what it should be.</summary>
    BadFile = 65,

    /// <summary>A fault of the program's own.</summary>
    OwnFault = 70,
}

/// <summary>An entry of the catalogue. Its code is stable: never renumbered, never reused.</summary>
/// <param name="Code">HCnnn.</param>
/// <param name="Title">What is wrong, one sentence.</param>
/// <param name="Do">What to do about it, one sentence.</param>
/// <param name="Exit">Exit code of <c>check</c>.</param>
public sealed record ProblemKind(string Code, string Title, string Do, ProblemExit Exit);

/// <summary>The catalogue of everything that can stop or weaken a check: 1xx files and calls, 2xx the photo and the frame, 3xx the tape, 9xx our own faults.</summary>
public static class Problems
{
    /// <summary>The photo file does not exist or cannot be opened.</summary>
    public static readonly ProblemKind PhotoUnreadable = new("HC101", "The photo cannot be opened.", "Check the file's name and that you may read it.", ProblemExit.BadFile);

    /// <summary>The bytes are no picture of a known format.</summary>
    public static readonly ProblemKind NotAPicture = new("HC102", "The file is not a JPEG, PNG, WebP or HEIC picture.", "Give the photo as the phone saved it.", ProblemExit.BadFile);

    /// <summary>The header is sound but the pixels end early or are damaged.</summary>
    public static readonly ProblemKind PictureDamaged = new("HC103", "The picture is damaged or cut short.", "Copy it from the phone again.", ProblemExit.BadFile);

    /// <summary>Over 100 MB or over 200 megapixels.</summary>
    public static readonly ProblemKind PictureTooLarge = new("HC104", "The picture is too large.", "Use a photo of at most 200 megapixels and 100 MB.", ProblemExit.BadFile);

    /// <summary>Fewer pixels than a check needs.</summary>
    public static readonly ProblemKind PictureTooSmall = new("HC105", "The picture is too small to measure on.", "Use the phone's full-size photo, at least 1000 pixels on its long side.", ProblemExit.BadFile);

    /// <summary>The hoop file cannot be opened.</summary>
    public static readonly ProblemKind HoopFileUnreadable = new("HC110", "The hoop file cannot be opened.", "Check the file's name and that you may read it.", ProblemExit.BadFile);

    /// <summary>The hoop file is no TOML, or lacks or misspells an entry.</summary>
    public static readonly ProblemKind HoopFileBroken = new("HC111", "The hoop file cannot be understood.", "Correct the entry named; README shows a complete hoop file.", ProblemExit.BadFile);

    /// <summary>The hoop file's numbers cannot belong to a hoop.</summary>
    public static readonly ProblemKind HoopFileAbsurd = new("HC112", "The hoop file's measures cannot be right.", "Measure the hoop again with a ruler and correct the entry named.", ProblemExit.BadFile);

    /// <summary>The camera file cannot be read.</summary>
    public static readonly ProblemKind CameraFileBroken = new("HC113", "The camera file cannot be understood.", "Correct the entry named, or leave --camera away.", ProblemExit.BadFile);

    /// <summary>No photo given to <c>camera</c> shows a board.</summary>
    public static readonly ProblemKind NoBoard = new("HC114", "No board is seen in the photos.", "Photograph the board of hoopcheck print board, flat, sharp and evenly lit; give a plain chessboard with --chessboard.", ProblemExit.CannotTell);

    /// <summary>Too few or too similar photos of a board.</summary>
    public static readonly ProblemKind TooFewBoardPhotos = new("HC115", "The photos are not enough to learn the lens.", "Take what is missing and give all the photos again.", ProblemExit.CannotTell);

    /// <summary>A profile that would make checks worse.</summary>
    public static readonly ProblemKind ProfileWorse = new("HC119", "The lens learnt would make checks worse than the photos' EXIF data do.", "Take the photos again with a flat board, all at one zoom, none of them edited or cropped.", ProblemExit.CannotTell);

    /// <summary>The machine file cannot be read.</summary>
    public static readonly ProblemKind MachineFileBroken = new("HC117", "The machine file cannot be understood.", "Correct the entry named, or leave --machine away.", ProblemExit.BadFile);

    /// <summary>The command line is wrong.</summary>
    public static readonly ProblemKind BadCall = new("HC120", "The call is not complete or not understood.", "See hoopcheck --help and hoopcheck check --help.", ProblemExit.Usage);

    /// <summary>The fill does not fit into the sewing field.</summary>
    public static readonly ProblemKind FillOutsideField = new("HC121", "The fill reaches outside the sewing field: the needle would meet the frame.", "Choose a smaller fill or another place for it.", ProblemExit.Usage);

    /// <summary>The output folder cannot be written.</summary>
    public static readonly ProblemKind CannotWrite = new("HC122", "The result cannot be written.", "Check that the folder exists, may be written to and has room.", ProblemExit.BadFile);

    /// <summary>The fill's drawing cannot be opened.</summary>
    public static readonly ProblemKind FillFileUnreadable = new("HC130", "The fill's drawing cannot be opened.", "Check the file's name and that you may read it.", ProblemExit.BadFile);

    /// <summary>No XML, no SVG, or numbers, paths or transforms that SVG does not know.</summary>
    public static readonly ProblemKind FillFileBroken = new("HC131", "The fill's drawing cannot be understood.", "Save the drawing again as plain SVG.", ProblemExit.BadFile);

    /// <summary>DTD, entities, scripts, references out of the file, foreign content.</summary>
    public static readonly ProblemKind FillFileUnsafe = new("HC132", "The fill's drawing holds something that could do harm.", "Save the drawing as plain SVG with nothing but lines in it; do not trust a file that you did not make.", ProblemExit.BadFile);

    /// <summary>Over a limit of size, elements, nesting or points.</summary>
    public static readonly ProblemKind FillFileTooLarge = new("HC133", "The fill's drawing is too large.", "Give the fill alone: up to 250 000 points, 20 000 elements, 50 deep and 20 MB.", ProblemExit.BadFile);

    /// <summary>Sound SVG that would change the shape in ways not read here.</summary>
    public static readonly ProblemKind FillFileUnsupported = new("HC134", "The fill's drawing uses a part of SVG that is not read.", "Turn text, copies and effects into paths in your drawing program and save it as plain SVG.", ProblemExit.BadFile);

    /// <summary>No size in real units, nothing drawn, or measures that no fill has.</summary>
    public static readonly ProblemKind FillFileAbsurd = new("HC135", "The fill's drawing cannot be a fill's.", "Draw the fill in real units, such as width=\"350mm\" height=\"230mm\" viewBox=\"0 0 350 230\".", ProblemExit.BadFile);

    /// <summary>The outline is too small or too narrow for lines so far apart.</summary>
    public static readonly ProblemKind MeanderImpossible = new("HC136", "No even line can be laid into that outline.", "Choose a smaller spacing or a larger outline.", ProblemExit.Usage);

    /// <summary>No quilt.toml, or it cannot be read.</summary>
    public static readonly ProblemKind NoQuilt = new("HC151", "There is no quilt folder here.", "Name the folder with --quilt, or make one with hoopcheck quilt new FOLDER.", ProblemExit.BadFile);

    /// <summary>quilt.toml is no TOML, or an entry is missing, misspelt or not of its kind.</summary>
    public static readonly ProblemKind QuiltFileBroken = new("HC152", "The quilt file cannot be understood.", "Correct the entry named; quilt.toml has each one's meaning beside it.", ProblemExit.BadFile);

    /// <summary>Every entry can be read, but there is no plan for them.</summary>
    public static readonly ProblemKind QuiltAbsurd = new("HC153", "The quilt cannot be planned like that.", "Correct the entry named in quilt.toml.", ProblemExit.BadFile);

    /// <summary>quilt new over something that is there.</summary>
    public static readonly ProblemKind QuiltExists = new("HC154", "The folder for the new quilt is not empty.", "Choose a folder that does not exist yet; nothing is ever overwritten.", ProblemExit.Usage);

    /// <summary>The log's database is missing beside photos, damaged, of another form, or in use.</summary>
    public static readonly ProblemKind LogUnusable = new("HC155", "The log cannot be opened.", "Close other programs that use the folder, or take log.db from your last copy of it.", ProblemExit.BadFile);

    /// <summary>A full disk, a folder that may not be written.</summary>
    public static readonly ProblemKind EntryNotWritten = new("HC156", "The entry could not be written to the log.", "See that the quilt's folder may be written to and has room, and do it again: nothing of it was kept.", ProblemExit.BadFile);

    /// <summary>quilt.toml was edited after hoopings were filed.</summary>
    public static readonly ProblemKind PlanChanged = new("HC157", "The plan is no longer the one that the log belongs to.", "Put quilt.toml back as it was, or take the new plan with hoopcheck log plan.", ProblemExit.BadFile);

    /// <summary>A number beyond the plan or the log.</summary>
    public static readonly ProblemKind NoSuchHooping = new("HC158", "There is no such hooping or entry.", "See hoopcheck plan and hoopcheck log show.", ProblemExit.Usage);

    /// <summary>A hash does not fit, or a file is gone.</summary>
    public static readonly ProblemKind LogDamaged = new("HC159", "The log or a photo in it is not what was written.", "Take the files named from your last copy of the folder.", ProblemExit.BadFile);

    /// <summary>A port in use, or no network.</summary>
    public static readonly ProblemKind CannotServe = new("HC160", "The page cannot be served.", "Give another --port, or end the program that uses this one; with --lan, see that the computer is in the network.", ProblemExit.Usage);

    /// <summary>More photos than are measured one after another.</summary>
    public static readonly ProblemKind TooManyPhotos = new("HC161", "Too many photos at once.", "Wait for the answer to the one before, then send this one again.", ProblemExit.Usage);

    /// <summary>No ring was found.</summary>
    public static readonly ProblemKind FrameNotFound = new("HC201", "The frame was not found.", "Photograph the hoop from above with the whole ring in the picture and nothing over it.", ProblemExit.CannotTell);

    /// <summary>A side of the frame is outside the picture.</summary>
    public static readonly ProblemKind FrameCutOff = new("HC202", "A part of the frame is out of the picture.", "Step back or move over until the whole ring shows.", ProblemExit.CannotTell);

    /// <summary>Edges too soft to measure on.</summary>
    public static readonly ProblemKind TooBlurred = new("HC203", "The photo is too blurred to measure on.", "Hold the phone still, tap the hoop to focus, and take it again.", ProblemExit.CannotTell);

    /// <summary>Too little light.</summary>
    public static readonly ProblemKind TooDark = new("HC204", "The photo is too dark to measure on.", "Turn on a lamp and take it again.", ProblemExit.CannotTell);

    /// <summary>The camera looks at the hoop too much from the side.</summary>
    public static readonly ProblemKind TooOblique = new("HC205", "The photo is taken too much from the side.", "Hold the phone more above the middle of the hoop.", ProblemExit.CannotTell);

    /// <summary>A ring was found, but its proportions do not fit the hoop file.</summary>
    public static readonly ProblemKind WrongHoop = new("HC206", "The frame in the photo does not have the hoop file's proportions.", "Give the hoop file of the hoop in the photo.", ProblemExit.CannotTell);

    /// <summary>A ring was found, but the fit to it is not trustworthy.</summary>
    public static readonly ProblemKind FrameUncertain = new("HC207", "The frame was found but could not be measured well enough.", "Take the photo again in even light with the whole ring free.", ProblemExit.CannotTell);

    /// <summary>The card and the hoop file disagree on the scale.</summary>
    public static readonly ProblemKind ScaleDisagrees = new("HC208", "The card says that the hoop file's measures are out of scale.", "Measure the hoop again with a steel rule and correct the hoop file; until then trust no clearance.", ProblemExit.CannotTell);

    /// <summary>No card where one was to confirm the scale.</summary>
    public static readonly ProblemKind NoCard = new("HC209", "No card was found to check the scale by.", "Lay a bank card flat on the fabric, all of it in the picture, where its colour stands out; or leave --scale-check away.", ProblemExit.CannotTell);

    /// <summary>No tape.</summary>
    public static readonly ProblemKind NoTape = new("HC301", "No tape was found in the hoop.", "Lay tape along the edge of the earlier stitching, or name its colour with --tape.", ProblemExit.CannotTell);

    /// <summary>Tape, but too little of its edge is seen beside the fill.</summary>
    public static readonly ProblemKind TapeTooLittle = new("HC302", "Too little of the tape's edge is seen to judge this side.", "Clear what lies over the tape, or lay a fresh strip along the whole side.", ProblemExit.CannotTell);

    /// <summary>Something we did not foresee.</summary>
    public static readonly ProblemKind OwnFault = new("HC901", "HoopCheck itself failed.", "Please send in the file named below.", ProblemExit.OwnFault);

    /// <summary>The OpenCV native library cannot be loaded.</summary>
    public static readonly ProblemKind NativeMissing = new("HC902", "The picture library OpenCV cannot be loaded on this machine.", "On Debian or Ubuntu install libgtk-3-0 and libatomic1.", ProblemExit.OwnFault);

    /// <summary>All entries.</summary>
    public static IReadOnlyList<ProblemKind> All { get; } =
    [
        PhotoUnreadable, NotAPicture, PictureDamaged, PictureTooLarge, PictureTooSmall,
        HoopFileUnreadable, HoopFileBroken, HoopFileAbsurd, CameraFileBroken, NoBoard, TooFewBoardPhotos, ProfileWorse, MachineFileBroken, BadCall, FillOutsideField, CannotWrite,
        FillFileUnreadable, FillFileBroken, FillFileUnsafe, FillFileTooLarge, FillFileUnsupported, FillFileAbsurd, MeanderImpossible,
        NoQuilt, QuiltFileBroken, QuiltAbsurd, QuiltExists, LogUnusable, EntryNotWritten, PlanChanged, NoSuchHooping, LogDamaged, CannotServe, TooManyPhotos,
        FrameNotFound, FrameCutOff, TooBlurred, TooDark, TooOblique, WrongHoop, FrameUncertain, ScaleDisagrees, NoCard,
        NoTape, TapeTooLittle, OwnFault, NativeMissing,
    ];
}
