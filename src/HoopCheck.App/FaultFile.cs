using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;
using HoopCheck.App.Reports;
using HoopCheck.Rules;

namespace HoopCheck.App;

/// <summary>Keeps what is needed to find a fault of the program's own, in a file the person can send in. The screen gets its name only.</summary>
internal static class FaultFile
{
    /// <summary>Writes the file and says so.</summary>
    /// <param name="fault">What happened.</param>
    /// <param name="args">The call.</param>
    /// <param name="json">Whether the answer is asked for as JSON.</param>
    /// <param name="terminal">Where words go.</param>
    /// <returns>Exit code 70.</returns>
    public static int Report(Exception fault, string[] args, bool json, Terminal terminal)
    {
        Problem problem = new(Problems.OwnFault, Write(fault, args) is { } path
            ? $"What happened is in {path}"
            : $"What happened could not be written to a file either: {fault.GetType().Name}.");
        return ErrorReport.Write(problem, json, terminal);
    }

    private static string? Write(Exception fault, string[] args)
    {
        try
        {
            DateTimeOffset now = TimeProvider.System.GetUtcNow();
            string name = string.Create(CultureInfo.InvariantCulture, $"hoopcheck-fault-{now:yyyyMMdd-HHmmss}-{Environment.ProcessId}.txt");
            string path = Path.Combine(Path.GetTempPath(), name);
            var text = new StringBuilder()
                .AppendLine(CultureInfo.InvariantCulture, $"hoopcheck {typeof(FaultFile).Assembly.GetName().Version?.ToString(3)}")
                .AppendLine(CultureInfo.InvariantCulture, $"time    {now:yyyy-MM-ddTHH:mm:ssZ}")
                .AppendLine(CultureInfo.InvariantCulture, $"system  {RuntimeInformation.OSDescription}, {RuntimeInformation.ProcessArchitecture}, {RuntimeInformation.FrameworkDescription}")
                .AppendLine(CultureInfo.InvariantCulture, $"call    {string.Join(" ", args)}")
                .AppendLine()
                .AppendLine(fault.ToString());
            File.WriteAllText(path, text.ToString());
            return path;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or System.Security.SecurityException)
        {
            return null;
        }
    }
}
