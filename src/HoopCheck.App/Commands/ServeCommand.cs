using System.CommandLine;
using System.Globalization;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.App.Web;
using HoopCheck.Rules;

namespace HoopCheck.App.Commands;

/// <summary>The command <c>hoopcheck serve</c>: the page for the phone.</summary>
internal static class ServeCommand
{
    private const string UsualFolder = "quilt";
    private const int UsualPort = 8321;

    /// <summary>The command with its options.</summary>
    public static Command Create(Terminal terminal)
    {
        var folder = new Argument<string?>("QUILT-FOLDER") { Description = "The quilt's folder; where there is none yet, the page makes it. Default: the current one if it is a quilt's, otherwise quilt.", Arity = ArgumentArity.ZeroOrOne };
        var port = new Option<string?>("--port") { HelpName = "N", Description = "The port. Default: 8321." };
        var lan = new Option<bool>("--lan") { Description = "Lets phones of the house network in, with the code that is shown." };
        var command = new Command("serve", "Serves the page for the phone, until it is ended with Ctrl+C.") { folder, port, lan };
        command.SetAction(call =>
        {
            int number = UsualPort;
            if (call.GetValue(port) is { } written && !(int.TryParse(written, NumberStyles.None, CultureInfo.InvariantCulture, out number) && number is >= 1 and <= 65535))
            {
                return ErrorReport.Write(new(Problems.BadCall, $"--port: \"{written}\" is not a number from 1 to 65535."), false, terminal);
            }

            return Run(call.GetValue(folder) ?? (QuiltFolder.Is(".") ? "." : UsualFolder), number, call.GetValue(lan), terminal);
        });
        return command;
    }

    /// <summary>Kept apart, so that what the page needs is loaded by no other command.</summary>
    private static int Run(string folder, int port, bool lan, Terminal terminal) => Serve(new(folder, port, lan), terminal).GetAwaiter().GetResult();

    private static async Task<int> Serve(ServeOptions options, Terminal terminal)
    {
        PageServer? server = null;
        Outcome<PageServer> started = await PageServer.Start(options, terminal, () => Invite(server, options.Lan, "A phone was let in. For another one:", terminal));
        if (started.Value is null)
        {
            return ErrorReport.Write(started.Problem!, false, terminal);
        }

        server = started.Value;
        await using (server)
        {
            Invite(server, options.Lan, options.Lan ? "Scan this with the phone's camera:" : "Open this in a browser on this computer (phones: end it and add --lan):", terminal);
            await server.Wait();
            return 0;
        }
    }

    private static void Invite(PageServer? server, bool lan, string words, Terminal terminal)
    {
        if (server is null)
        {
            return;
        }

        string address = server.NewAddress();
        terminal.Out.WriteLine(words);
        if (lan)
        {
            terminal.Out.WriteLine();
            terminal.Out.Write(QrCode.Text(address, terminal.Colour));
            terminal.Out.WriteLine();
        }

        terminal.Out.WriteLine(address);
        terminal.Out.WriteLine("Good once, for 15 minutes; later ones are made in the page, under Settings. Ctrl+C ends the program.");
        terminal.Out.WriteLine();
    }
}
