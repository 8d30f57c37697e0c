using System.Net;
using HoopCheck.App;
using HoopCheck.App.Web;

namespace HoopCheck.Tests.App.Web;

/// <summary>A server on a free port of this machine, with a folder of its own.</summary>
internal sealed class Served : IAsyncDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;
    private readonly StringWriter _error = new();

    private Served(PageServer? server) => Server = server!;

    public PageServer Server { get; private set; }

    public string Quilt => Path.Combine(_folder, "quilt");

    public string Errors => _error.ToString();

    public static async Task<Served> Start(TimeProvider? clock = null)
    {
        var served = new Served(null);
        served.Server = (await PageServer.Start(new(served.Quilt, 0, false), new Terminal(TextWriter.Null, served._error, false), null, clock)).Value!;
        return served;
    }

    /// <summary>With a quilt of one column and two rows for the photo <see cref="Floral"/>, whose tape lies at the hoop's top.</summary>
    public static async Task<Served> WithQuilt()
    {
        Served served = await Start();
        string hoop = Path.Combine(served._folder, "hoop.toml");
        await File.WriteAllTextAsync(hoop, FloralHoop);
        using var output = new StringWriter();
        Assert.Equal(0, Cli.Run(["quilt", "new", served.Quilt, "--name", "Stars <b>", "--size", "269.8x250.35", "--fill", "269.8x122", "--hoop", hoop, "--hoop-lies", "straight"], new Terminal(output, output, false)));
        return served;
    }

    /// <summary>Its tape's edge runs from about 61 to 68 mm above the middle: see the answer beside it.</summary>
    public static string Floral { get; } = Repo.Path("testimages", "measured", "floral-blue-tape-top-299x165.jpg");

    private const string FloralHoop = "name = \"a\"\nopening = \"298.8x165.2mm\"\nframe-height = \"10.9mm\"\ncorner-radius = \"15mm\"\nframe-width = \"20mm\"\n";

    public async Task<Phone> Admit()
    {
        var phone = new Phone(Server.Address);
        HttpResponseMessage opened = await phone.Post(new Uri(Server.NewAddress()).PathAndQuery);
        Assert.Equal(HttpStatusCode.SeeOther, opened.StatusCode);
        return phone;
    }

    public async ValueTask DisposeAsync()
    {
        await Server.DisposeAsync();
        await _error.DisposeAsync();
        Directory.Delete(_folder, recursive: true);
    }
}

/// <summary>A browser without a screen: keeps cookies, sends the origin, follows nothing by itself.</summary>
internal sealed class Phone(Uri address) : IDisposable
{
    private readonly HttpClient _client = new(new SocketsHttpHandler { AllowAutoRedirect = false }) { BaseAddress = address };

    public void Dispose() => _client.Dispose();

    public Task<HttpResponseMessage> Get(string path) => _client.GetAsync(new Uri(path, UriKind.Relative));

    public async Task<string> Text(string path)
    {
        HttpResponseMessage answer = await Get(path);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        return await answer.Content.ReadAsStringAsync();
    }

    public Task<HttpResponseMessage> Post(string path, params (string Key, string Value)[] fields) =>
        Post(path, new FormUrlEncodedContent(fields.Select(f => KeyValuePair.Create(f.Key, f.Value))));

    public Task<HttpResponseMessage> Post(string path, HttpContent content) => Send(path, content, address.GetLeftPart(UriPartial.Authority));

    public async Task<HttpResponseMessage> Send(string path, HttpContent content, string? origin, string? host = null)
    {
        var request = new HttpRequestMessage(HttpMethod.Post, new Uri(path, UriKind.Relative)) { Content = content };
        request.Headers.Host = host;
        if (origin is not null)
        {
            request.Headers.Add("Origin", origin);
        }

        return await _client.SendAsync(request);
    }

    public Task<HttpResponseMessage> Photo(string path, byte[] bytes, string name = "photo.jpg") =>
        Post(path, new MultipartFormDataContent { { new ByteArrayContent(bytes), "photo", name } });
}
