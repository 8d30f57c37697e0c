using System.Diagnostics;
using System.Globalization;
using System.Text;
using HoopCheck.Planning;
using HoopCheck.Planning.Fills;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;
using HoopCheck.Vision;
using OpenCvSharp;

namespace HoopCheck.Tests.BadInput;

/// <summary>
/// Outside bytes, spoilt at random, given to everything that reads such: whatever comes, the answer is a value or one of the catalogue's problems, soon and
/// without filling the memory. HOOPCHECK_MUTATIONS says how many a reader; without it a few hundred. A failure prints what was given, in base 64.
/// </summary>
public class MutationTests
{
    private static readonly string[] Tokens =
    [
        "\"", "'", "\\", "[", "]", "{", "}", "<", ">", "&", "=", "#", "\0", "\uFEFF", "e999", "-", "NaN", "1e308", "99999999999999999999", "0", "-1", "mm", "in", "%", "1/0in", "x",
        "<!DOCTYPE a [<!ENTITY b \"c\">]>", "&b;", "<svg>", "</svg>", "<g>", "M0 0", "z", "a1 1 0 0 1 1 1", "translate(", "\n", "\r", "٣", "İ", "true", "null", "1979-05-27T07:32:00Z",
    ];

    public static TheoryData<string> Readers => [.. Samples.Keys];

    private static Dictionary<string, (byte[] Good, Func<byte[], Problem?> Read)> Samples { get; } = new()
    {
        ["hoop file"] = Text(
            "name = \"mine\"\nopening = \"360x240mm\"\ncorner-radius = \"20mm\"\nframe-width = \"20mm\"\nframe-height = \"11mm\"\nsewing-field = \"350x230mm\"\nattachment = \"left\"\n[machine]\nnudge-step = 0.5\n",
            text => HoopFile.Parse(text).Problem),
        ["machine file"] = Text("nudge-step = \"1/16in\"\nresize-step = \"2%\"\nturn-step = \"none\"\nsmallest-size = \"90%\"\nlargest-size = \"110 %\"", text => MachineFile.Parse(text).Problem),
        ["camera file"] = Text("""{"name":"mine","width":4032,"height":3024,"fx":2912.5,"cx":2010,"cy":1515,"k1":-0.02,"k2":0.003,"focalUncertainty":6}""", text => CameraFile.Parse(text).Problem),
        ["quilt file"] = Text("size = \"63x47 1/4in\"\nhoop = \"hoop.toml\"\nfill = \"15 3/4x10 1/2in\"\nspacing = \"1/2in\"\n", text => QuiltFile.Parse(text).Problem),
        ["changes"] = Text("shorten y 4mm, nudge y -2.5mm, turn 1", text => FillChange.TryParseList(text, out _, out _) ? null : new Problem(Problems.BadCall, "")),
        ["drawing"] = (
            Encoding.UTF8.GetBytes("""<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40"><g transform="rotate(5) translate(1 2)"><path d="M5 5h20v10c0 5 5 5 10 0s10-5 10 0a4 4 0 0 1 4 4L50 35H5z"/><circle cx="30" cy="20" r="5"/></g></svg>"""),
            bytes => SvgFill.Read(new MemoryStream(bytes)).Problem),
        ["JPEG"] = (Picture(".jpg"), bytes => Intake.Read(bytes).Problem),
        ["PNG"] = (Picture(".png"), bytes => Intake.Read(bytes).Problem),
        ["WebP"] = (Picture(".webp"), bytes => Intake.Read(bytes).Problem),
    };

    [Theory]
    [MemberData(nameof(Readers))]
    public void Read_SpoiltBytes_AnswersWithAValueOrAProblem(string reader)
    {
        int count = int.TryParse(Environment.GetEnvironmentVariable("HOOPCHECK_MUTATIONS"), CultureInfo.InvariantCulture, out int wanted) ? wanted : 200;
        (byte[] good, Func<byte[], Problem?> read) = Samples[reader];
        Assert.Null(read(good));
        int refused = 0;
        for (int i = 0; i < count; i++)
        {
            byte[] bad = Spoilt(good, TestRandom.For($"{reader} {i}"));
            var watch = Stopwatch.StartNew();
            try
            {
                refused += read(bad) is null ? 0 : 1;
            }
            catch (Exception e)
            {
                Assert.Fail($"{reader} {i}: {e.GetType().Name} {e.Message}; given {Convert.ToBase64String(bad)}");
            }

            Assert.True(watch.Elapsed < TimeSpan.FromSeconds(5), $"{reader} {i} took {watch.Elapsed}; given {Convert.ToBase64String(bad)}");
            Assert.True(Environment.WorkingSet < 3_000_000_000, $"{reader} {i}: {Environment.WorkingSet} bytes in use; given {Convert.ToBase64String(bad)}");
        }

        Assert.True(refused > count / 20, $"Only {refused} of {count} were spoilt enough to be refused: the run says little.");
    }

    private static (byte[] Good, Func<byte[], Problem?> Read) Text(string good, Func<string, Problem?> read) =>
        (Encoding.UTF8.GetBytes(good), bytes => read(Encoding.UTF8.GetString(bytes)));

    /// <summary>A small picture, so that much of its file is header.</summary>
    private static byte[] Picture(string ending)
    {
        using var picture = new Mat(240, 320, MatType.CV_8UC3);
        Cv2.Randu(picture, Scalar.All(0), Scalar.All(255));
        Cv2.GaussianBlur(picture, picture, new Size(0, 0), 6);
        Cv2.Resize(picture, picture, new Size(1024, 768));
        Cv2.ImEncode(ending, picture, out byte[] file);
        return file;
    }

    private static byte[] Spoilt(byte[] good, TestRandom random)
    {
        var bytes = new List<byte>(good);
        int changes = 1 + (int)random.Between(0, 5);
        for (int i = 0; i < changes && bytes.Count > 0; i++)
        {
            // Near the beginning as often as anywhere: there the headers are.
            int at = (int)(bytes.Count * Math.Pow(random.Between(0, 1), 3)), length = Math.Min(bytes.Count - at, 1 + (int)random.Between(0, 24));
            switch ((int)random.Between(0, 7))
            {
                case 0:
                    bytes[at] ^= (byte)(1 << (int)random.Between(0, 8));
                    break;
                case 1:
                    bytes[at] = (byte)random.Between(0, 256);
                    break;
                case 2:
                    bytes.RemoveRange(at, length);
                    break;
                case 3:
                    bytes.InsertRange(at, bytes.GetRange(at, length));
                    break;
                case 4:
                    bytes.InsertRange(at, Encoding.UTF8.GetBytes(Tokens[(int)random.Between(0, Tokens.Length)]));
                    break;
                case 5:
                    byte[] extreme = [.. Enumerable.Repeat((byte)(random.Between(0, 1) < 0.5 ? 0xFF : 0), Math.Min(length, 4))];
                    bytes.RemoveRange(at, extreme.Length);
                    bytes.InsertRange(at, extreme);
                    break;
                default:
                    bytes.RemoveRange(at, bytes.Count - at);
                    break;
            }
        }

        return [.. bytes];
    }
}
