using System.Collections.Concurrent;
using HoopCheck.Checking;
using HoopCheck.Planning;
using HoopCheck.Rules;
using HoopCheck.Vision;

namespace HoopCheck.Tests.TestImages;

/// <summary>Every picture of testimages/ against the answer that lies beside it.</summary>
public class TestImageTests
{
    /// <summary>A lost or forgotten picture must be noticed: change this number together with the folder.</summary>
    private const int MeasuredPictures = 16, MustRefusePictures = 7;

    private static readonly ConcurrentDictionary<string, Lazy<Outcome<Photograph>>> Photos = new();

    /// <summary>
    /// Each picture as it is and by one more quarter-turn, which one going round with its place in the list; the two of
    /// <see cref="FullyTurned"/> by all three. All turns of all pictures took more than twice as long and told nothing more.
    /// </summary>
    public static TheoryData<string, int> MeasuredTurned()
    {
        var data = new TheoryData<string, int>();
        IReadOnlyList<string> names = Answers.Names("measured").Pictures;
        for (int i = 0; i < names.Count; i++)
        {
            for (int quarters = 0; quarters < 4; quarters++)
            {
                if (quarters == 0 || quarters == 1 + (i % 3) || FullyTurned.Contains(names[i]))
                {
                    data.Add(names[i], quarters);
                }
            }
        }

        return data;
    }

    /// <summary>An oblong hoop with two tapes, and a square one.</summary>
    private static readonly string[] FullyTurned = ["plaid-two-blue-tapes-turned-exif-200x300", "geometric-green-tape-right-turned-exif-200x200"];

    [Fact]
    public void MeasuredTurned_Pictures_MeetEveryQuarterTurn()
    {
        object[][] all = [.. MeasuredTurned()];
        Assert.Equal((MeasuredPictures * 2) + (FullyTurned.Length * 2), all.Length);
        Assert.All(FullyTurned, name => Assert.Equal(4, all.Count(row => (string)row[0] == name)));
        Assert.All(Enumerable.Range(0, 4), quarters => Assert.True(all.Count(row => (int)row[1] == quarters) >= 5));
    }

    public static TheoryData<string> MustRefuse() => [.. Answers.Names("must-refuse").Pictures];

    public static TheoryData<string> Measured() => [.. Answers.Names("measured").Pictures];

    [Theory]
    [InlineData("measured", MeasuredPictures)]
    [InlineData("must-refuse", MustRefusePictures)]
    public void Folder_EveryPictureHasAnAnswer_AndEveryAnswerAPicture(string folder, int count)
    {
        (IReadOnlyList<string> pictures, IReadOnlyList<string> answers) = Answers.Names(folder);

        Assert.Equal(pictures, answers);
        Assert.Equal(count, pictures.Count);
    }

    /// <summary>The answers themselves: corners run clockwise in the photo, and their top is where "up" says.</summary>
    [Theory]
    [MemberData(nameof(Measured))]
    public void Answer_CornersAndTop_AgreeWithEachOther(string name)
    {
        Answer a = Answers.Read("measured", name);
        Assert.Equal(4, a.Corners.Count);
        for (int i = 0; i < 4; i++)
        {
            PhotoVector one = a.Corners[(i + 1) % 4] - a.Corners[i], next = a.Corners[(i + 2) % 4] - a.Corners[(i + 1) % 4];
            Assert.True((one.X * next.Y) - (one.Y * next.X) > 0, $"corner {i}");
            Assert.True(a.Corners[i].X >= 0 && a.Corners[i].Y >= 0 && a.Corners[i].X < a.Width && a.Corners[i].Y < a.Height, $"corner {i}");
        }

        PhotoVector up = (a.Corners[0] - a.Corners[3]) + (a.Corners[1] - a.Corners[2]);
        PhotoDirection direction = Math.Abs(up.X) > Math.Abs(up.Y)
            ? (up.X > 0 ? PhotoDirection.Right : PhotoDirection.Left)
            : (up.Y > 0 ? PhotoDirection.Bottom : PhotoDirection.Top);
        Assert.Equal(direction, a.Request!.Up);

        // A fill whose answer may be "clear" where the truth is not would undo everything else.
        Assert.All(a.Sides.Where(s => s.SmallestMm < a.Request.MinGapMm), s => Assert.DoesNotContain("clear", s.Decisions.Concat(a.Decisions)));
    }

    /// <summary>The hoop's top is given; clearances, corners and decisions must come out, however the photo is turned.</summary>
    [Theory]
    [MemberData(nameof(MeasuredTurned))]
    public void Run_MeasuredPicture_GivesItsAnswer(string name, int quarters)
    {
        Answer answer = Answers.Read("measured", name);
        Photograph photo = Read(name);
        Assert.Equal((answer.Width, answer.Height), (photo.Header.Width, photo.Header.Height));

        CheckResult result = CheckRun.Run(
            Turn.Photo(photo, quarters), answer.Request! with { Up = Turn.Direction(answer.Request!.Up!.Value, quarters) }, 0, NoTrace.Instance);

        string seen = $"{result.Decision}; {string.Join("; ", result.Problems.Select(p => p.Kind.Code + " " + p.Say))}";
        Assert.True(result.Frame is not null, seen);
        for (int i = 0; i < 4; i++)
        {
            PhotoPoint expected = Turn.Point(answer.Corners[i], answer.Width, answer.Height, quarters), found = result.Frame.OpeningCorners[i];
            Assert.True(found.DistanceTo(expected) <= answer.CornerTolerancePx, $"corner {i}: {found}, expected {expected}");
        }

        // Neither a side too few nor one too many.
        Assert.Equal(answer.Sides.Select(s => s.Side).Order(), result.Sides.Select(s => s.Side).Order());
        foreach (SideAnswer side in answer.Sides)
        {
            SideClearance found = result.Sides.Single(s => s.Side == side.Side);

            // A photo that says of itself that it is worse may be worse, and must then say so in its decision.
            double tolerance = Math.Max(side.ToleranceMm, found.UncertaintyMm);
            Assert.True(
                Math.Abs(found.MinMm - side.SmallestMm) <= tolerance && Math.Abs(found.MaxMm - side.LargestMm) <= tolerance,
                $"{side.Side}: {found.MinMm:0.00} to {found.MaxMm:0.00}, true {side.SmallestMm:0.00} to {side.LargestMm:0.00}, U {found.UncertaintyMm:0.00}");
            Assert.Contains(Word(found.Decision), side.Decisions);
        }

        Assert.Contains(Word(result.Decision), answer.Decisions);
    }

    /// <summary>
    /// The suggested change, made and checked on the same photo, comes out clear; and where it is a nudge alone, by the picture's own answer,
    /// every side then truly is. Without a suggestion there is nothing to correct, or it is said why.
    /// </summary>
    [Theory]
    [MemberData(nameof(Measured))]
    public void Run_SuggestionFollowed_ComesOutClear(string name)
    {
        Answer answer = Answers.Read("measured", name);
        CheckRequest request = answer.Request!;
        CheckResult before = CheckRun.Run(Read(name), request, 0, NoTrace.Instance);
        if (before.Correction is not { IsPossible: true } correction)
        {
            Assert.True(
                before.Decision is Decision.Clear or Decision.NoTape
                || before.Correction?.Obstacle is not null
                || before.Sides.Any(s => s.SeenShare < Tolerances.Default.EnoughSeenShare), $"{before.Decision}, nothing said");
            return;
        }

        CheckResult after = CheckRun.Run(
            Read(name), request with { Fill = request.Fill.After(correction.Steps), Planned = request.Fill }, 0, NoTrace.Instance);
        Assert.Equal(Decision.Clear, after.Decision);
        Assert.Null(after.Correction);
        Assert.Equal(correction.Predicted.Select(s => (s.Side, s.MinMm, s.MaxMm)), after.Sides.Select(s => (s.Side, s.MinMm, s.MaxMm)));
        if (correction.Steps.Any(step => step.Kind != FillChangeKind.Nudge))
        {
            return;
        }

        foreach (SideAnswer side in answer.Sides)
        {
            double outward = after.Request.Fill.FacingEdge(side.Side) - request.Fill.FacingEdge(side.Side);
            Assert.True(
                side.SmallestMm - outward >= request.MinGapMm && side.LargestMm - outward <= request.SpacingMm,
                $"{side.Side}: truly {side.SmallestMm - outward:0.00} to {side.LargestMm - outward:0.00}");
        }
    }

    /// <summary>The bar tells where the top is, when nobody says so.</summary>
    [Theory]
    [MemberData(nameof(Measured))]
    public void Run_TopNotGiven_IsFoundByTheBar(string name)
    {
        Answer answer = Answers.Read("measured", name);

        CheckResult result = CheckRun.Run(Read(name), answer.Request! with { Up = null }, 0, NoTrace.Instance);

        Assert.NotNull(result.Frame);
        Assert.Equal((answer.Request!.Up, UpSource.Attachment), (result.Frame.Up, result.Frame.UpFrom));
    }

    /// <summary>The report's times: one for each stage that ran, and their sum.</summary>
    [Theory]
    [InlineData("measured", "plaid-blue-tape-right-270x408", "decode frame fit tape weave correction total")]
    [InlineData("must-refuse", "blurred", "decode frame total")]
    public void Run_EachStageThatRan_HasItsTime(string folder, string name, string stages)
    {
        Photograph photo = Intake.Read(Answers.Picture(folder, name)).Value!;

        CheckResult result = CheckRun.Run(photo, Answers.Read(folder, name).Request!, 31, NoTrace.Instance);

        Assert.Equal(stages.Split(' '), result.Milliseconds.Keys);
        Assert.Equal(31, result.Milliseconds["decode"]);
        Assert.All(result.Milliseconds.Values, time => Assert.True(time > 0));
        Assert.Equal(result.Milliseconds["total"], result.Milliseconds.Where(t => t.Key != "total").Sum(t => t.Value), 6);
    }

    [Theory]
    [MemberData(nameof(MustRefuse))]
    public void Run_PictureThatCannotBeJudged_IsRefusedForItsReason(string name)
    {
        Answer answer = Answers.Read("must-refuse", name);
        Outcome<Photograph> photo = Intake.Read(Answers.Picture("must-refuse", name));
        if (answer.Request is null)
        {
            Assert.Equal(answer.Problem, photo.Problem?.Kind.Code);
            return;
        }

        Assert.Null(photo.Problem);
        CheckResult result = CheckRun.Run(photo.Value!, answer.Request, 0, NoTrace.Instance);

        Assert.Equal((Decision.Retake, 0), (result.Decision, result.Sides.Count));
        Assert.Equal(answer.Problem, Assert.Single(result.Problems).Kind.Code);
    }

    [Fact]
    public void Turn_FourQuarters_IsThePhotoItself()
    {
        var random = TestRandom.For(nameof(Turn_FourQuarters_IsThePhotoItself));
        byte[] bytes = [.. Enumerable.Range(0, 7 * 4 * 3).Select(_ => (byte)random.Between(0, 256))];
        Photograph photo = new(new("JPEG", 7, 4, 1, null, null, null), new(bytes, 7, 4, 1));
        Photograph once = Turn.Photo(photo, 1);

        // Clockwise: what was at the bottom left is now at the top left.
        Assert.Equal(bytes[(3 * 7 * 3)..((3 * 7 * 3) + 3)], once.Pixels.Bgr[..3]);
        Assert.Equal(new PhotoPoint(0, 0), Turn.Point(new(0, 3), 7, 4, 1));
        Assert.Equal(bytes, Turn.Photo(photo, 4).Pixels.Bgr);
    }

    private static Photograph Read(string name)
    {
        Outcome<Photograph> photo = Photos.GetOrAdd(name, n => new(() => Intake.Read(Answers.Picture("measured", n)))).Value;
        Assert.True(photo.Value is not null, photo.Problem?.Say);
        return photo.Value;
    }

    /// <summary>The contract's word for a decision, written out here: the program's own words are under test too.</summary>
    private static string Word(Decision decision) => decision switch
    {
        Decision.Clear => "clear",
        Decision.Wide => "wide",
        Decision.Undecided => "undecided",
        Decision.Tight => "tight",
        Decision.Overlap => "overlap",
        Decision.NoTape => "no-tape",
        _ => "retake",
    };
}
