using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using HoopCheck.App;
using HoopCheck.App.Web;
using HoopCheck.Rules;
using OpenCvSharp;

namespace HoopCheck.Tests.App.Web;

/// <summary>The page as phones meet it: a real server on this machine's own address.</summary>
public sealed partial class WebTests
{
    [Theory]
    [InlineData("/")]
    [InlineData("/style.css")]
    [InlineData("/api/plan")]
    [InlineData("/api/openapi.json")]
    [InlineData("/no-such-page")]
    [InlineData("/key/")]
    [InlineData("/key/wrong-key")]
    [InlineData("/key/../style.css")]
    public async Task Get_WithoutKey_TellsNothing(string path)
    {
        await using Served served = await Served.Start();
        using var stranger = new Phone(served.Server.Address);

        HttpResponseMessage answer = await stranger.Get(path);

        Assert.True(answer.StatusCode is HttpStatusCode.Unauthorized or HttpStatusCode.NotFound, $"{answer.StatusCode}");
        string all = await answer.Content.ReadAsStringAsync() + string.Join('\n', answer.Headers.Select(h => $"{h.Key}: {string.Join(' ', h.Value)}"));
        Assert.DoesNotContain("hoop", all, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("kestrel", all, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task Key_LookedAt_IsNotSpent_AndIsGoodOnce()
    {
        await using Served served = await Served.Start();
        string path = new Uri(served.Server.NewAddress()).PathAndQuery;
        using var first = new Phone(served.Server.Address);
        using var second = new Phone(served.Server.Address);

        Assert.Contains("<h1>Open it on this phone?</h1>", await first.Text(path), StringComparison.Ordinal);
        Assert.Equal("text/css", (await first.Get($"{path}/style.css")).Content.Headers.ContentType!.MediaType);
        HttpResponseMessage opened = await first.Post(path);
        string cookie = opened.Headers.GetValues("Set-Cookie").Single();
        Assert.Contains("httponly", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("samesite=strict", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.Equal(HttpStatusCode.NotFound, (await second.Post(path)).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await second.Get(path)).StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, (await second.Get("/new")).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await first.Get("/new")).StatusCode);
    }

    [Fact]
    public void Key_AfterItsTime_IsNoLongerGood()
    {
        var clock = new Clock();
        var gate = new Gate(clock);
        string key = gate.NewKey();
        clock.Now += Gate.KeyLasts - TimeSpan.FromSeconds(1);
        Assert.True(gate.IsGood(key));
        clock.Now += TimeSpan.FromSeconds(1);
        Assert.False(gate.IsGood(key));
        Assert.Null(gate.Exchange(key));
        Assert.Null(gate.Device("no token of ours"));
    }

    [Fact]
    public async Task Post_ForeignHostOrOrigin_IsRefused()
    {
        await using Served served = await Served.WithQuilt();
        using Phone phone = await served.Admit();
        string own = served.Server.Address.GetLeftPart(UriPartial.Authority);
        static FormUrlEncodedContent Note() => new([KeyValuePair.Create("note", "x")]);

        Assert.Equal(HttpStatusCode.NotFound, (await phone.Send("/hooping/1/note", Note(), own, "evil.example")).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await phone.Send("/hooping/1/note", Note(), $"http://evil.example:{served.Server.Address.Port}", $"evil.example:{served.Server.Address.Port}")).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await phone.Send("/hooping/1/note", Note(), "http://evil.example")).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await phone.Send("/hooping/1/note", Note(), "null")).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await phone.Send("/hooping/1/note", Note(), null)).StatusCode);
        Assert.Equal(0, (await Log(phone)).GetProperty("entries").GetArrayLength());
        Assert.Equal(HttpStatusCode.SeeOther, (await phone.Send("/hooping/1/note", Note(), own)).StatusCode);
        Assert.Equal(1, (await Log(phone)).GetProperty("entries").GetArrayLength());
    }

    [Theory]
    [InlineData("", "HC101")]
    [InlineData("not a picture at all", "HC102")]
    [InlineData("cut-short.jpg", "HC103")]
    [InlineData("words.jpg", "HC102")]
    public async Task Photo_Junk_IsRefusedInWordsAndNothingIsFiled(string what, string code)
    {
        await using Served served = await Served.WithQuilt();
        using Phone phone = await served.Admit();
        byte[] bytes = what.EndsWith(".jpg", StringComparison.Ordinal) ? await File.ReadAllBytesAsync(Repo.Path("testimages", "must-refuse", what)) : Encoding.ASCII.GetBytes(what);

        HttpResponseMessage page = await phone.Photo("/hooping/2/photo", bytes);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, page.StatusCode);
        Assert.Contains($"<small>{code}</small>", await page.Content.ReadAsStringAsync(), StringComparison.Ordinal);

        HttpResponseMessage json = await phone.Photo("/api/hoopings/2/photo", bytes);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, json.StatusCode);
        Assert.Equal(code, JsonDocument.Parse(await json.Content.ReadAsStringAsync()).RootElement.GetProperty("code").GetString());
        Assert.Equal(0, (await Log(phone)).GetProperty("entries").GetArrayLength());
        Assert.Empty(served.Errors);
    }

    [Fact]
    public async Task Photo_TooLong_IsRefusedBeforeItIsRead()
    {
        await using Served served = await Served.WithQuilt();
        using var client = new System.Net.Sockets.TcpClient();
        await client.ConnectAsync("127.0.0.1", served.Server.Address.Port);
        string token = served.Server.Gate.Exchange(served.Server.Gate.NewKey())!;
        await using System.Net.Sockets.NetworkStream stream = client.GetStream();
        await stream.WriteAsync(Encoding.ASCII.GetBytes(
            $"POST /hooping/1/photo HTTP/1.1\r\nHost: 127.0.0.1:{served.Server.Address.Port}\r\nOrigin: http://127.0.0.1:{served.Server.Address.Port}\r\nCookie: device={token}\r\n"
            + "Content-Type: image/jpeg\r\nContent-Length: 200000000\r\n\r\n"));
        using var reader = new StreamReader(stream);
        Assert.Contains("413", await reader.ReadLineAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Post_LongForm_IsRefused()
    {
        await using Served served = await Served.WithQuilt();
        using Phone phone = await served.Admit();
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, (await phone.Post("/hooping/1/note", ("note", new string('x', 100_000)))).StatusCode);
    }

    [Fact]
    public async Task Photo_NameWithAPath_IsOnlyText()
    {
        await using Served served = await Served.WithQuilt();
        using Phone phone = await served.Admit();
        Assert.Equal(HttpStatusCode.SeeOther, (await phone.Photo("/hooping/1/photo", Grey(), "../../../evil<b>.png")).StatusCode);

        Assert.Equal("evil<b>.png", (await Log(phone)).GetProperty("entries")[1].GetProperty("body").GetProperty("photo").GetString());
        Assert.All(Directory.GetFiles(Path.Combine(served.Quilt, "photos")), f => Assert.Matches("^[0-9a-f]{64}\\.(png|jpg)$", Path.GetFileName(f)));
        string log = await phone.Text("/log");
        Assert.Contains("evil&lt;b&gt;.png", log, StringComparison.Ordinal);
        Assert.DoesNotContain("evil<b>", log, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("/..%2f..%2fetc/passwd")]
    [InlineData("/check/1/..%2f..%2flog.db")]
    [InlineData("/check/1/marked.jpg/../../log.db")]
    [InlineData("/photos/")]
    [InlineData("/quilt.toml")]
    [InlineData("/hooping/99")]
    [InlineData("/check/99")]
    [InlineData("/check/99/marked.jpg")]
    [InlineData("/check/99/flat.jpg")]
    [InlineData("/undo/99")]
    [InlineData("/hooping/99999999999")]
    public async Task Get_WhatIsNotThere_Is404(string path)
    {
        await using Served served = await Served.WithQuilt();
        using Phone phone = await served.Admit();
        Assert.Equal(HttpStatusCode.NotFound, (await phone.Get(path)).StatusCode);
        Assert.Empty(served.Errors);
    }

    [Fact]
    public async Task Flow_FromEmptyFolderToStitched()
    {
        await using Served served = await Served.Start();
        using Phone phone = await served.Admit();
        Assert.Equal("/new", (await phone.Get("/")).Headers.Location!.OriginalString);

        (string, string)[] form =
        [
            ("name", "Blue \"stars\""), ("size", "20x20in"), ("fill", "wide"), ("tape", "blue"), ("hoop-name", "mine"), ("opening", "298.8x165.2mm"), ("frame-height", "11mm"),
            ("frame-width", ""), ("corner-radius", ""), ("sewing-field", ""),
        ];
        HttpResponseMessage wrong = await phone.Post("/new", form);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, wrong.StatusCode);
        string again = await wrong.Content.ReadAsStringAsync();
        Assert.Contains("HC152", again, StringComparison.Ordinal);
        Assert.Contains("value=\"Blue &quot;stars&quot;\"", again, StringComparison.Ordinal);
        Assert.False(Directory.Exists(served.Quilt));

        form[2] = ("fill", "250x120mm");
        Assert.Equal("/", (await phone.Post("/new", form)).Headers.Location!.OriginalString);
        string map = await phone.Text("/");
        Assert.Contains("<h1>Blue &quot;stars&quot;</h1>", map, StringComparison.Ordinal);
        Assert.Contains("href=\"/hooping/1\">Next: hooping 1</a>", map, StringComparison.Ordinal);
        Assert.Contains("it is the first hooping", await phone.Text("/hooping/1"), StringComparison.Ordinal);

        Assert.Equal("/hooping/1/ready", (await phone.Post("/hooping/1/ready", ("back", "on"))).Headers.Location!.OriginalString);
        Assert.Contains("name=\"back\" checked", await phone.Text("/hooping/1/ready"), StringComparison.Ordinal);
        string told = (await phone.Post("/hooping/1/stitched", ("note", "thread <broke>"))).Headers.Location!.OriginalString;
        Assert.Contains("thread &lt;broke&gt;", await phone.Text(told), StringComparison.Ordinal);
        Assert.Contains("Next: hooping 2", await phone.Text("/"), StringComparison.Ordinal);

        int entry = (await Log(phone)).GetProperty("states")[0].GetProperty("stitchedEntry").GetInt32();
        Assert.Contains($"Undo entry {entry}?", await phone.Text($"/undo/{entry}"), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.SeeOther, (await phone.Post($"/undo/{entry}", ("why", "pressed by mistake"))).StatusCode);
        Assert.Contains("Next: hooping 1", await phone.Text("/"), StringComparison.Ordinal);
        Assert.Equal("/", (await phone.Get("/new")).Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task Flow_TightPhoto_ChangeMade_ClearsTheSamePhoto()
    {
        await using Served served = await Served.WithQuilt();
        using Phone phone = await served.Admit();
        HttpResponseMessage sent = await phone.Photo("/hooping/2/photo", await File.ReadAllBytesAsync(Served.Floral));
        Assert.Equal("/check/2", sent.Headers.Location!.OriginalString);
        string verdict = await phone.Text("/check/2");

        // The answer beside the photo puts the tape 61.3 to 68.2 mm above the middle; the fill's edge is at 61.
        Assert.Contains("</span>Too tight</h1>", verdict, StringComparison.Ordinal);
        Assert.Contains("I’ve made this change", verdict, StringComparison.Ordinal);
        Assert.Equal("image/jpeg", (await phone.Get("/check/2/marked.jpg")).Content.Headers.ContentType!.MediaType);
        byte[] flat = await (await phone.Get("/check/2/flat.jpg")).Content.ReadAsByteArrayAsync();
        Assert.Equal([0xFF, 0xD8, 0xFF], flat[..3]);

        Assert.Equal("/check/3", (await phone.Post("/check/2/changed")).Headers.Location!.OriginalString);
        string cleared = await phone.Text("/check/3");
        Assert.Contains("</span>Clear</h1>", cleared, StringComparison.Ordinal);
        Assert.Contains("This is an earlier answer", await phone.Text("/check/2"), StringComparison.Ordinal);
        Assert.Contains("Before and after", await phone.Text("/hooping/2"), StringComparison.Ordinal);
        Assert.Equal("clear", (await Log(phone)).GetProperty("states")[1].GetProperty("state").GetString());

        // What it called clear has nothing to change.
        Assert.Equal(HttpStatusCode.BadRequest, (await phone.Post("/check/3/changed")).StatusCode);

        foreach (string path in new[] { "/", "/hooping/1", "/hooping/2", "/hooping/2/ready", "/check/2", "/check/3", "/log", "/settings", "/undo/2" })
        {
            await KeepsTheRules(phone, path);
        }

        // In inches, large, and in the phone's own tape colour.
        await phone.Post("/settings", ("unit", "in"), ("large", "on"), ("tape", "blue"));
        string inches = await phone.Text("/check/3");
        Assert.Contains("<html lang=\"en\" class=\"large\">", inches, StringComparison.Ordinal);
        Assert.Matches("The gap on the top is [0-9 /]+ in to [0-9 /]+ in\\.", inches);
        Assert.Contains("value=\"blue\" selected", await phone.Text("/settings"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Photos_OfTwoPhonesAtOnce_AreBothFiled()
    {
        await using Served served = await Served.WithQuilt();
        using Phone one = await served.Admit();
        using Phone two = await served.Admit();
        HttpResponseMessage[] sent = await Task.WhenAll(one.Photo("/hooping/1/photo", Grey()), two.Photo("/hooping/2/photo", Grey()));
        Assert.All(sent, s => Assert.Equal(HttpStatusCode.SeeOther, s.StatusCode));
        Assert.Equal([1, 2], (await Log(one)).GetProperty("entries").EnumerateArray().Where(e => e.GetProperty("kind").GetString() == "check").Select(e => e.GetProperty("hooping").GetInt32()).Order());
    }

    [Fact]
    [Trait("problem", "HC161")]
    public void Enter_SecondPhotoOfAPhoneOrTooMany_IsRefused()
    {
        using var desk = new Desk("nowhere", CameraShelf.None);
        IDisposable first = desk.Enter("1").Value!;
        Assert.Equal("HC161", desk.Enter("1").Problem!.Kind.Code);
        IDisposable[] more = [.. Enumerable.Range(2, Desk.MostPhotos - 1).Select(i => desk.Enter($"{i}").Value!)];
        Assert.Equal("HC161", desk.Enter("another").Problem!.Kind.Code);
        first.Dispose();
        first.Dispose();
        Assert.NotNull(desk.Enter("another").Value);
        Assert.Equal("HC161", desk.Enter("yet another").Problem!.Kind.Code);
        Assert.Equal(Desk.MostPhotos - 1, more.Length);
    }

    [Fact]
    [Trait("problem", "HC160")]
    public async Task Start_PortInUse_IsToldAndNothingIsLeft()
    {
        await using Served served = await Served.Start();
        Outcome<PageServer> second = await PageServer.Start(new(served.Quilt, served.Server.Address.Port, false), new Terminal(TextWriter.Null, TextWriter.Null, false));
        Assert.Equal("HC160", second.Problem!.Kind.Code);
    }

    [Theory]
    [InlineData("HC120", "serve", "x", "--port", "0")]
    [InlineData("HC120", "serve", "x", "--port", "99999")]
    [InlineData("HC154", "serve", "SOURCES")]
    public void Serve_WrongCall_Is64(string code, params string[] words)
    {
        using var output = new StringWriter();
        Assert.Equal(64, Cli.Run([.. words.Select(w => w == "SOURCES" ? Repo.Path("src") : w)], new Terminal(output, output, false)));
        Assert.StartsWith($"{code}: ", output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Page_First_IsSmallAndBringsAllItsFiles()
    {
        await using Served served = await Served.WithQuilt();
        using Phone phone = await served.Admit();
        int bytes = 0;
        foreach (string path in new[] { "/", "/style.css", "/page.js", "/icon.svg" })
        {
            bytes += Encoding.UTF8.GetByteCount(await phone.Text(path));
        }

        // The aim is 100 kB for the first page with all it needs.
        Assert.InRange(bytes, 1000, 100_000);
    }

    [Fact]
    public async Task Api_GivesTheCommandLinesDocuments()
    {
        await using Served served = await Served.WithQuilt();
        using Phone phone = await served.Admit();
        Assert.Equal("hoopcheck.plan/1", JsonDocument.Parse(await phone.Text("/api/plan")).RootElement.GetProperty("schema").GetString());
        JsonElement about = JsonDocument.Parse(await phone.Text("/api/openapi.json")).RootElement;
        Assert.StartsWith("3.", about.GetProperty("openapi").GetString(), StringComparison.Ordinal);
        Assert.All(about.GetProperty("paths").EnumerateObject(), p => Assert.StartsWith("/api/", p.Name, StringComparison.Ordinal));
        Assert.Equal(8, about.GetProperty("paths").EnumerateObject().Count());

        var body = new ByteArrayContent(Grey());
        HttpResponseMessage made = await phone.Post("/api/hoopings/2/photo?applied=left%202mm", body);
        JsonElement report = JsonDocument.Parse(await made.Content.ReadAsStringAsync()).RootElement;
        Assert.Equal(("hoopcheck.check/1", "retake", 2), (report.GetProperty("schema").GetString(), report.GetProperty("decision").GetString(), report.GetProperty("filed").GetProperty("hooping").GetInt32()));
        Assert.Equal("retake", JsonDocument.Parse(await phone.Text("/api/checks/2")).RootElement.GetProperty("decision").GetString());

        HttpResponseMessage stitched = await phone.Post("/api/hoopings/2/stitched", new StringContent("""{"applied":"left 2mm","note":null,"redo":false}""", Encoding.UTF8, "application/json"));
        Assert.Equal("hoopcheck.entry/1", JsonDocument.Parse(await stitched.Content.ReadAsStringAsync()).RootElement.GetProperty("schema").GetString());
        Assert.Equal("stitched", (await Log(phone)).GetProperty("states")[1].GetProperty("state").GetString());

        HttpResponseMessage wrong = await phone.Post("/api/hoopings/9/stitched", new StringContent("{}", Encoding.UTF8, "application/json"));
        Assert.Equal(HttpStatusCode.NotFound, wrong.StatusCode);
        Assert.Equal("HC158", JsonDocument.Parse(await wrong.Content.ReadAsStringAsync()).RootElement.GetProperty("code").GetString());
        Assert.Equal(HttpStatusCode.BadRequest, (await phone.Post("/api/hoopings/2/photo?applied=wider", new ByteArrayContent(Grey()))).StatusCode);
        Assert.Equal(HttpStatusCode.BadRequest, (await phone.Post("/api/hoopings/2/stitched", new StringContent("no json", Encoding.UTF8, "application/json"))).StatusCode);
    }

    [Theory]
    [InlineData("C:\\photos\\a.jpg", "a.jpg")]
    [InlineData("/etc/passwd", "passwd")]
    [InlineData("..", "..")]
    [InlineData("", "photo")]
    [InlineData("a\r\nb\0.jpg", "ab.jpg")]
    public void Plain_Name_KeepsTheLastPartOnly(string given, string kept) => Assert.Equal(kept, Upload.Plain(given));

    [Fact]
    public void Html_Holes_AreEncodedUnlessMarkup()
    {
        Assert.Equal("<a title=\"&lt;&quot;&amp;&#x27;&gt;\">±½</a>", Html.Of($"<a title=\"{"<\"&'>"}\">{"±½"}</a>").Text);
        Assert.Equal("<p><b></p>", Html.Of($"<p>{new Markup("<b>")}</p>").Text);
    }

    /// <summary>What the content policy would block, and what a page needs to be told by a screen reader; axe is run by hand.</summary>
    private static async Task KeepsTheRules(Phone phone, string path)
    {
        HttpResponseMessage answer = await phone.Get(path);
        string html = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.StatusCode == HttpStatusCode.OK, path);
        Assert.Contains("default-src 'none'", answer.Headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
        Assert.DoesNotMatch("""\sstyle=|\son\w+="|<style|<script>|javascript:""", html);
        Assert.DoesNotMatch("(src|href|action)=\"(https?:)?//", html);
        Assert.Single(Regex.Matches(html, "<h1[ >]"));
        Assert.Single(Regex.Matches(html, "<main>"));
        Assert.Matches("<title>[^<]+ · HoopCheck</title>", html);
        Assert.All(Regex.Matches(html, "<img [^>]*>").Select(m => m.Value), img => Assert.Matches("alt=\"[^\"]+\"", img));
        string[] ids = [.. Id().Matches(html).Select(m => m.Groups[1].Value)];
        Assert.Equal(ids.Distinct(), ids);
        foreach (string link in Link().Matches(html).Select(m => m.Groups[1].Value).Distinct())
        {
            HttpResponseMessage there = await phone.Get(WebUtility.HtmlDecode(link));
            Assert.True(there.StatusCode == HttpStatusCode.OK, $"{path}: {link} is {there.StatusCode}");
        }
    }

    private static async Task<JsonElement> Log(Phone phone) => JsonDocument.Parse(await phone.Text("/api/log")).RootElement;

    private static byte[] Grey()
    {
        using var picture = new Mat(900, 1200, MatType.CV_8UC3, Scalar.Gray);
        return picture.ImEncode(".png");
    }

    private sealed class Clock : TimeProvider
    {
        public DateTimeOffset Now { get; set; } = new(2026, 5, 1, 12, 0, 0, TimeSpan.Zero);

        public override DateTimeOffset GetUtcNow() => Now;
    }

    [GeneratedRegex(" id=\"([^\"]+)\"")]
    private static partial Regex Id();

    [GeneratedRegex(" (?:href|src)=\"([^\"]+)\"")]
    private static partial Regex Link();
}
