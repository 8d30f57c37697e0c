using System.Text.Json;
using HoopCheck.Rules;

namespace HoopCheck.App.Reports;

/// <summary>Says what stopped a call: two lines for a person, or <c>hoopcheck.error/1</c> on standard output.</summary>
internal static class ErrorReport
{
    /// <summary>Writes the problem.</summary>
    /// <returns>The problem's exit code.</returns>
    public static int Write(Problem problem, bool json, Terminal terminal)
    {
        if (json)
        {
            terminal.Out.WriteLine(Json(problem));
        }
        else
        {
            Say(problem, terminal);
        }

        return (int)problem.Kind.Exit;
    }

    /// <summary>The problem as <c>hoopcheck.error/1</c>.</summary>
    public static string Json(Problem problem) => JsonText.Write(writer =>
    {
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.error/1");
        writer.WriteString("code", problem.Kind.Code);
        writer.WriteString("say", problem.Say);
        writer.WriteString("do", problem.Kind.Do);
        writer.WriteEndObject();
    });

    /// <summary>The two lines for a person, on standard error.</summary>
    public static void Say(Problem problem, Terminal terminal)
    {
        terminal.Error.WriteLine($"{problem.Kind.Code}: {problem.Say}");
        terminal.Error.WriteLine($"       {problem.Kind.Do}");
    }
}
