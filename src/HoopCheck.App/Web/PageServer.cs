using System.Net;
using System.Net.NetworkInformation;
using System.Net.Sockets;
using HoopCheck.App.Quilts;
using HoopCheck.Rules;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace HoopCheck.App.Web;

/// <summary>How the page is served.</summary>
/// <param name="Folder">The quilt's folder; made in the page where it is not there yet.</param>
/// <param name="Port">The port; 0 for any that is free.</param>
/// <param name="Lan">Whether other machines of the network may reach it.</param>
internal sealed record ServeOptions(string Folder, int Port, bool Lan);

/// <summary>The server of the page: Kestrel, on this machine alone unless the network is asked for.</summary>
internal sealed class PageServer : IAsyncDisposable
{
    /// <summary>Bodies other than photos are a few fields.</summary>
    private const long LargestForm = 64 * 1024;

    private readonly WebApplication _app;
    private readonly Desk _desk;

    private PageServer(WebApplication app, Desk desk, Gate gate, Uri address) => (_app, _desk, Gate, Address) = (app, desk, gate, address);

    /// <summary>Keys and devices.</summary>
    public Gate Gate { get; }

    /// <summary>Where phones find it.</summary>
    public Uri Address { get; }

    /// <summary>Address with a new key.</summary>
    public string NewAddress() => $"{Address}key/{Gate.NewKey()}";

    /// <summary>Starts serving.</summary>
    /// <param name="options">How.</param>
    /// <param name="terminal">Where is said which phone came in and what went wrong.</param>
    /// <param name="joined">Called when a phone was let in; null: nothing.</param>
    /// <param name="clock">Tells how old keys are; null: the system's.</param>
    /// <returns>The server, or HC154 or HC160.</returns>
    public static async Task<Outcome<PageServer>> Start(ServeOptions options, Terminal terminal, Action? joined = null, TimeProvider? clock = null)
    {
        if (!QuiltFolder.Is(options.Folder) && (File.Exists(options.Folder) || (Directory.Exists(options.Folder) && Directory.EnumerateFileSystemEntries(options.Folder).Any())))
        {
            return new Problem(Problems.QuiltExists, $"{options.Folder} holds something, but no {QuiltFolder.FileName}.");
        }

        IPAddress? own = options.Lan ? OwnAddress() : IPAddress.Loopback;
        if (own is null)
        {
            return new Problem(Problems.CannotServe, "This computer is in no network.");
        }

        // Nothing is read from the current folder or the environment: what is served does not depend on where the call is made.
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions { ContentRootPath = AppContext.BaseDirectory, ApplicationName = "hoopcheck" });
        builder.WebHost.UseKestrelCore().ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = LargestForm;
            kestrel.Limits.MaxConcurrentConnections = 200;
            kestrel.Listen(options.Lan ? IPAddress.Any : IPAddress.Loopback, options.Port);
        });
        builder.Services.AddRouting();
        Api.Describe(builder.Services);
        WebApplication app = builder.Build();
        var gate = new Gate(clock ?? TimeProvider.System);
        var desk = new Desk(options.Folder, terminal.Cameras);
        var door = new Door(gate, terminal, joined);
        app.Use(door.Guard);
        PageRoutes.Map(app, desk, () => $"{door.Address}key/{gate.NewKey()}");
        Api.Map(app, desk);
        try
        {
            await app.StartAsync();
        }
        catch (Exception e) when (e is IOException or SocketException)
        {
            await app.DisposeAsync();
            desk.Dispose();
            return new Problem(Problems.CannotServe, $"Port {options.Port} cannot be used.");
        }

        string bound = app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First();
        int port = new Uri(bound).Port;
        door.Open(new Uri($"http://{own}:{port}/"), [own.ToString(), "127.0.0.1", "localhost", .. options.Lan ? Names() : []]);
        return new PageServer(app, desk, gate, door.Address);
    }

    /// <summary>Waits until the program is told to end.</summary>
    public Task Wait() => _app.WaitForShutdownAsync();

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _app.StopAsync(new CancellationToken(canceled: true));
        await _app.DisposeAsync();
        _desk.Dispose();
    }

    /// <summary>The address on the network that other machines most likely reach: of an interface that has a gateway, if there is one.</summary>
    private static IPAddress? OwnAddress() => NetworkInterface.GetAllNetworkInterfaces()
        .Where(i => i.OperationalStatus == OperationalStatus.Up && i.NetworkInterfaceType != NetworkInterfaceType.Loopback)
        .Select(i => i.GetIPProperties())
        .OrderByDescending(p => p.GatewayAddresses.Count)
        .SelectMany(p => p.UnicastAddresses)
        .Select(a => a.Address)
        .FirstOrDefault(a => a.AddressFamily == AddressFamily.InterNetwork);

    private static IEnumerable<string> Names() => NetworkInterface.GetAllNetworkInterfaces()
        .SelectMany(i => i.GetIPProperties().UnicastAddresses)
        .Where(a => a.Address.AddressFamily == AddressFamily.InterNetwork)
        .Select(a => a.Address.ToString())
        .Concat([Environment.MachineName, $"{Environment.MachineName}.local"]);
}
