using System.Text.RegularExpressions;
using HoopCheck.Rules;
using HoopCheck.Tests.TestImages;

namespace HoopCheck.Tests.HouseRules;

/// <summary>House rules that reading the sources can hold.</summary>
public partial class SourceRulesTests
{
    /// <summary>Bottom to top: each may refer to itself and to what stands before it.</summary>
    private static readonly string[] Layers = ["HoopCheck.Geometry", "HoopCheck.Rules", "HoopCheck.Planning", "HoopCheck.Checking", "HoopCheck.Vision", "HoopCheck"];

    private static readonly string[] ForbiddenInCore = ["Console", "File", "Directory", "FileStream", "StreamWriter", "StreamReader", "FileInfo"];

    /// <summary>A layer may have parts, in folders of their own; each part belongs to its layer. Bottom to top within the layer.</summary>
    private static readonly string[] VisionParts = ["HoopCheck.Vision.Frame", "HoopCheck.Vision.Tape", "HoopCheck.Vision.Weave", "HoopCheck.Vision.Lens"];

    private static readonly string[] PlanningParts = ["HoopCheck.Planning.Fills", "HoopCheck.Planning.Quilts", "HoopCheck.Planning.Sheets"];

    private static readonly string[] CheckingParts = ["HoopCheck.Checking.Drift"];

    [Fact]
    public void Core_EveryFolder_IsALayerOrAKnownPart()
    {
        // Otherwise the tests below would pass over a new folder without a word.
        string[] folders = [.. Sources("HoopCheck.Core").Where(s => s.Path != "AssemblyInfo.cs").Select(s => s.Namespace).Distinct()];
        Assert.Empty(folders.Except(Layers).Except(VisionParts).Except(PlanningParts).Except(CheckingParts));
        Assert.Equal(Layers.Length + VisionParts.Length + PlanningParts.Length + CheckingParts.Length, folders.Length);
    }

    [Fact]
    public void Core_FilesOfAFolder_HaveItsNamespace() =>
        Assert.Empty(Sources("HoopCheck.Core")
            .Where(s => s.Path != "AssemblyInfo.cs")
            .Where(s => s.Namespace != string.Join('.', ["HoopCheck", .. s.Path.Split(Path.DirectorySeparatorChar)[..^1]]))
            .Select(s => s.Path));

    [Fact]
    public void Vision_FindingTheFrame_KnowsNothingOfTheTape()
    {
        string[] frame = [.. Sources("HoopCheck.Core").Where(s => s.Namespace == VisionParts[0]).Select(s => WithoutComments(s.Text))];
        Assert.NotEmpty(frame);
        Assert.DoesNotContain(frame, text => text.Contains(VisionParts[1], StringComparison.Ordinal) || Regex.IsMatch(text, @"(?<![\w.])Tape\.[A-Z]"));
    }

    [Fact]
    public void Vision_FrameAndTape_KnowNothingOfTheWeaveNorItOfTheTape()
    {
        string[] below = [.. Sources("HoopCheck.Core").Where(s => s.Namespace == VisionParts[0] || s.Namespace == VisionParts[1]).Select(s => WithoutComments(s.Text))];
        string[] weave = [.. Sources("HoopCheck.Core").Where(s => s.Namespace == VisionParts[2]).Select(s => WithoutComments(s.Text))];
        Assert.NotEmpty(weave);
        Assert.DoesNotContain(below, text => text.Contains(VisionParts[2], StringComparison.Ordinal) || Regex.IsMatch(text, @"(?<![\w.])Weave\.[A-Z]"));
        Assert.DoesNotContain(weave, text => text.Contains(VisionParts[1], StringComparison.Ordinal) || Regex.IsMatch(text, @"(?<![\w.])Tape\.[A-Z]"));
    }

    [Theory]
    [InlineData("HoopCheck", "HoopCheck")]
    [InlineData("HoopCheck.Vision", "HoopCheck.Vision")]
    [InlineData("HoopCheck.Vision.Frame", "HoopCheck.Vision")]
    public void LayerOf_Namespace_IsItsFirstTwoWords(string space, string layer) => Assert.Equal(layer, LayerOf(space));

    [Fact]
    public void Core_Namespaces_ReferOnlyDownwards()
    {
        var wrong = new List<string>();
        foreach ((string path, string space, string text) in Sources("HoopCheck.Core").Where(s => s.Path != "AssemblyInfo.cs"))
        {
            int own = Array.IndexOf(Layers, LayerOf(space));
            foreach (Match m in LayerName().Matches(WithoutComments(text)))
            {
                int other = Array.IndexOf(Layers, m.Value);
                if (other > own)
                {
                    wrong.Add($"{path} ({space}) refers to {m.Value}");
                }
            }

            // Inside namespace HoopCheck.X a type of another layer can also be written Layer.Type.
            foreach (string upper in Layers.Skip(own + 1).Where(l => l != "HoopCheck"))
            {
                string name = upper["HoopCheck.".Length..];
                if (Regex.IsMatch(WithoutComments(text), $@"(?<![\w.]){name}\.[A-Z]"))
                {
                    wrong.Add($"{path} ({space}) refers to {name}");
                }
            }
        }

        Assert.Empty(wrong);
    }

    /// <summary>
    /// C# shows the types of an enclosing namespace without any "using", so that a reference from below to the root would
    /// escape the test above: types are looked for by name as well. A type within a type cannot be named without the outer one.
    /// </summary>
    [Fact]
    public void Core_TypesOfAHigherLayer_AreNotNamedBelowIt()
    {
        (string Path, string Namespace, string Text)[] sources = [.. Sources("HoopCheck.Core").Select(s => (s.Path, LayerOf(s.Namespace), WithoutComments(s.Text)))];
        var declared = sources.SelectMany(s => TypeName().Matches(s.Text).Select(m => (s.Namespace, Name: m.Groups[1].Value))).Distinct().ToList();
        Assert.Contains(("HoopCheck", "CheckRun"), declared);

        Assert.Empty(
            from s in sources
            from d in declared
            where Array.IndexOf(Layers, d.Namespace) > Array.IndexOf(Layers, s.Namespace)
                && Regex.IsMatch(s.Text, $@"(?<![\w.""]){d.Name}(?![\w""])")
            select $"{s.Path} names {d.Namespace}.{d.Name}");
    }

    [Fact]
    public void Core_OpenCv_IsUsedByVisionOnly() =>
        Assert.Empty(Sources("HoopCheck.Core")
            .Where(s => LayerOf(s.Namespace) != "HoopCheck.Vision" && s.Text.Contains("OpenCvSharp", StringComparison.Ordinal))
            .Select(s => s.Path));

    [Fact]
    public void App_Database_IsUsedByTheLogAlone() =>
        Assert.Equal(
            [Path.Combine("Quilts", "HoopingLog.cs")],
            Sources("HoopCheck.App").Where(s => s.Text.Contains("Microsoft.Data.Sqlite", StringComparison.Ordinal)).Select(s => s.Path));

    [Fact]
    public void App_WebServer_IsUsedByThePageAlone()
    {
        // What names no type of the server does not load it: a check starts without.
        (string Path, string Namespace, string Text)[] sources = [.. Sources("HoopCheck.App")];
        Assert.Equal(
            ["HoopCheck.App.Web", "HoopCheck.App.Web.Pages"],
            sources.Where(s => s.Namespace.StartsWith("HoopCheck.App.Web", StringComparison.Ordinal)).Select(s => s.Namespace).Distinct().Order());
        Assert.Empty(sources
            .Where(s => !s.Namespace.StartsWith("HoopCheck.App.Web", StringComparison.Ordinal) && Regex.IsMatch(WithoutComments(s.Text), @"Microsoft\.(AspNetCore|Extensions)|QRCoder"))
            .Select(s => s.Path));
        Assert.Equal(
            [Path.Combine("Commands", "ServeCommand.cs")],
            sources.Where(s => !s.Namespace.StartsWith("HoopCheck.App.Web", StringComparison.Ordinal) && WithoutComments(s.Text).Contains("HoopCheck.App.Web", StringComparison.Ordinal)).Select(s => s.Path));
    }

    [Fact]
    public void App_QuiltsFolder_KnowsNoTerminalAndNoCommands() =>
        Assert.Empty(Sources("HoopCheck.App")
            .Where(s => s.Namespace == "HoopCheck.App.Quilts" && Regex.IsMatch(WithoutComments(s.Text), @"Terminal|System\.CommandLine|HoopCheck\.App\.Commands|Console\."))
            .Select(s => s.Path));

    [Fact]
    public void Core_ReachesNeitherConsoleNorFiles() =>
        Assert.Empty(Sources("HoopCheck.Core")
            .SelectMany(s => ForbiddenInCore
                .Where(word => Regex.IsMatch(WithoutComments(s.Text), $@"(?<![\w.""]){word}\.[A-Z]|new {word}\("))
                .Select(word => $"{s.Path}: {word}")));

    [Fact]
    public void Core_AsksNoClockForTheDate() =>
        Assert.Empty(Sources("HoopCheck.Core").Concat(Sources("HoopCheck.App"))
            .Where(s => Regex.IsMatch(s.Text, @"DateTime(Offset)?\.(Now|UtcNow|Today)|ImShow"))
            .Select(s => s.Path));

    [Fact]
    public void Geometry_DefinesNoImplicitConversion() =>
        Assert.Empty(Sources("HoopCheck.Core")
            .Where(s => s.Namespace == "HoopCheck.Geometry" && s.Text.Contains("implicit operator", StringComparison.Ordinal))
            .Select(s => s.Path));

    [Fact]
    public void Problems_Codes_AreUniqueAndWellFormed()
    {
        Assert.All(Problems.All, p => Assert.Matches("^HC[1-9][0-9]{2}$", p.Code));
        Assert.Equal(Problems.All.Count, Problems.All.Select(p => p.Code).Distinct().Count());

        // All fields are listed in All.
        int fields = typeof(Problems).GetFields().Count(f => f.FieldType == typeof(ProblemKind));
        Assert.Equal(fields, Problems.All.Count);
    }

    [Fact]
    public void Problems_EachHasItsHeadingInTheReadme_AndNoOther()
    {
        string readme = File.ReadAllText(Repo.Path("README.md"));
        Assert.Equal(
            Problems.All.Select(p => $"### {p.Code} {p.Title}").Order(),
            CatalogueHeading().Matches(readme).Select(m => m.Value.TrimEnd()).Order());
    }

    [Fact]
    public void Problems_EachIsProvokedByATestOrByAPicture()
    {
        IEnumerable<string> tests = typeof(SourceRulesTests).Assembly.GetTypes()
            .SelectMany(t => t.GetMethods())
            .SelectMany(m => m.CustomAttributes)
            .Where(a => a.AttributeType == typeof(TraitAttribute) && (string?)a.ConstructorArguments[0].Value == "problem")
            .Select(a => (string)a.ConstructorArguments[1].Value!);
        IEnumerable<string> pictures = Answers.Names("must-refuse").Answers.Select(n => Answers.Read("must-refuse", n).Problem!);

        string[] missing = [.. Problems.All.Select(p => p.Code).Except(tests).Except(pictures)];

        Assert.True(missing.Length == 0, "Nothing provokes " + string.Join(", ", missing));
    }

    [Theory]
    [InlineData("using OpenCvSharp; // words", "using OpenCvSharp; ")]
    [InlineData("a /* File.Open */ b", "a  b")]
    public void WithoutComments_LeavesTheCode(string text, string code) => Assert.Equal(code, WithoutComments(text));

    private static string LayerOf(string space) => string.Join('.', space.Split('.').Take(2));

    private static string WithoutComments(string text) => Comment().Replace(text, "");

    private static IEnumerable<(string Path, string Namespace, string Text)> Sources(string project)
    {
        string folder = Repo.Path("src", project);
        foreach (string path in Directory.GetFiles(folder, "*.cs", SearchOption.AllDirectories).Order(StringComparer.Ordinal))
        {
            string relative = Path.GetRelativePath(folder, path);
            if (relative.StartsWith("obj", StringComparison.Ordinal) || relative.StartsWith("bin", StringComparison.Ordinal))
            {
                continue;
            }

            string text = File.ReadAllText(path);
            Match m = NamespaceLine().Match(text);
            yield return (relative, m.Success ? m.Groups[1].Value : "", text);
        }
    }

    [GeneratedRegex(@"\bHoopCheck\.(Geometry|Rules|Planning|Checking|Vision)\b")]
    private static partial Regex LayerName();

    [GeneratedRegex(@"//[^\n]*|/\*.*?\*/", RegexOptions.Singleline)]
    private static partial Regex Comment();

    [GeneratedRegex(@"^(?:public|internal) [\w ]*\b(?:class|record|struct|enum|interface) (?:struct )?(\w+)", RegexOptions.Multiline)]
    private static partial Regex TypeName();

    [GeneratedRegex(@"^namespace ([\w.]+)", RegexOptions.Multiline)]
    private static partial Regex NamespaceLine();

    [GeneratedRegex(@"^### HC.*$", RegexOptions.Multiline)]
    private static partial Regex CatalogueHeading();
}
