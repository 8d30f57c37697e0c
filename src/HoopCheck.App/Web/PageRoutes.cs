using System.Text;
using HoopCheck.App.Quilts;
using HoopCheck.App.Web.Pages;
using HoopCheck.Planning;
using HoopCheck.Planning.Quilts;
using HoopCheck.Rules;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace HoopCheck.App.Web;

/// <summary>What the phone's browser may ask for.</summary>
internal static class PageRoutes
{
    /// <summary>Adds all addresses of the page.</summary>
    /// <param name="app">The server.</param>
    /// <param name="desk">The quilt.</param>
    /// <param name="newAddress">Makes an address with a new key.</param>
    public static void Map(IEndpointRouteBuilder app, Desk desk, Func<string> newAddress)
    {
        foreach (string name in Assets.Names)
        {
            Get(app, $"/{name}", c => Assets.Send(c, name));
        }

        Get(app, "/", async c =>
        {
            if (!desk.HasQuilt)
            {
                c.Response.Redirect("/new");
                return;
            }

            long told = Number(c.Request.Query["told"]);
            await Page(c, desk.With<string>(book => QuiltPages.Map(book, Of(c), told > 0 ? book.Log.Entries().FirstOrDefault(e => e.Number == told) : null)));
        });
        Get(app, "/hooping/{n:int}", c => Page(c, desk.With(book => book.Find(Route(c)).Then<string>(h => QuiltPages.Hooping(book, h, Of(c))))));
        Get(app, "/hooping/{n:int}/ready", c => Page(c, desk.With(book => book.Find(Route(c)).Then<string>(h => QuiltPages.Ready(book, h, Of(c))))));
        Get(app, "/check/{n:int}", c => Page(c, desk.Filed(Route(c)).Then<string>(check => CheckPage.Answer(check, Of(c)))));
        Get(app, "/check/{n:int}/marked.jpg", c => Picture(c, desk.File(Route(c), LogFile.Marked)));
        Get(app, "/check/{n:int}/flat.jpg", async c => await Picture(c, await desk.Flat(Route(c))));
        Get(app, "/log", c => Page(c, desk.With<string>(book => QuiltPages.Log(book, Of(c)))));
        Get(app, "/undo/{n:int}", c => Page(c, desk.With<string>(book => book.Log.Entries().FirstOrDefault(e => e.Number == Route(c)) is { Kind: not (EntryKind.Plan or EntryKind.Withdrawn) } entry
            ? QuiltPages.Undo(entry, Of(c))
            : new Problem(Problems.NoSuchHooping, ""))));
        Get(app, "/settings", c => Page(c, SetupPages.Settings(Of(c), desk.HasQuilt ? desk.With<QuiltSpec>(book => book.Folder.Quilt).Value?.Tape : null)));
        Get(app, "/new", async c =>
        {
            if (desk.HasQuilt)
            {
                c.Response.Redirect("/");
                return;
            }

            await Page(c, SetupPages.New(new Dictionary<string, string>(), null, Of(c)));
        });

        Post(app, "/hooping/{n:int}/photo", c => Photo(c, desk));
        Post(app, "/check/{n:int}/changed", async c => await InTurn(c, desk, async () => Shown(await desk.CheckChanged(Route(c), Of(c).Tape))));
        Post(app, "/hooping/{n:int}/ready", async c =>
        {
            IFormCollection form = await c.Request.ReadFormAsync(c.RequestAborted);
            string[] done = [.. Checklist.Points.Select(p => p.Key).Where(form.ContainsKey)];
            await After(c, desk.With(book => book.CheckOff(Route(c), done)).Then<string>(_ => $"/hooping/{Route(c)}/ready"));
        });
        Post(app, "/hooping/{n:int}/stitched", c => Add(c, desk, (book, form) => book.Stitched(Route(c), null, form["note"], false)));
        Post(app, "/hooping/{n:int}/again", c => Add(c, desk, (book, form) => book.Stitched(Route(c), null, form["note"], true), $"/hooping/{Route(c)}"));
        Post(app, "/hooping/{n:int}/note", c => Add(c, desk, (book, form) => book.Note(Route(c), form["note"].ToString()), $"/hooping/{Route(c)}"));
        Post(app, "/undo/{n:int}", c => Add(c, desk, (book, form) => book.Withdraw(Route(c), form["why"].ToString())));
        Post(app, "/settings", async c =>
        {
            IFormCollection form = await c.Request.ReadFormAsync(c.RequestAborted);
            var wishes = Wishes.Parse($"{form["unit"]}.{(form.ContainsKey("large") ? "large" : "")}.{form["tape"]}");
            c.Response.Cookies.Append(Door.WishesCookie, wishes.ToString(), new CookieOptions { HttpOnly = true, SameSite = SameSiteMode.Strict, Path = "/", MaxAge = TimeSpan.FromDays(365) });
            await After(c, "/");
        });
        Post(app, "/settings/key", c => Page(c, SetupPages.Key(newAddress(), Of(c))));
        Post(app, "/new", c => New(c, desk));
    }

    /// <summary>Who asks, as <see cref="Door"/> found out.</summary>
    public static string Device(HttpContext context) => (string)context.Items[Door.Cookie]!;

    /// <summary>What the phone's owner set.</summary>
    public static Wishes Of(HttpContext context) => Wishes.Parse(context.Request.Cookies[Door.WishesCookie]);

    /// <summary>The number in the address.</summary>
    public static int Route(HttpContext context) => int.Parse((string)context.Request.RouteValues["n"]!, System.Globalization.CultureInfo.InvariantCulture);

    /// <summary>The status that goes with a problem.</summary>
    public static int Status(Problem problem) => problem.Kind switch
    {
        _ when problem.Kind == Problems.NoSuchHooping => StatusCodes.Status404NotFound,
        _ when problem.Kind == Problems.TooManyPhotos => StatusCodes.Status503ServiceUnavailable,
        _ when problem.Kind == Problems.PictureTooLarge => StatusCodes.Status413PayloadTooLarge,
        { Exit: ProblemExit.OwnFault } => StatusCodes.Status500InternalServerError,
        _ when problem.Kind == Problems.EntryNotWritten || problem.Kind == Problems.LogUnusable || problem.Kind == Problems.LogDamaged => StatusCodes.Status500InternalServerError,
        { Exit: ProblemExit.Usage } => StatusCodes.Status400BadRequest,
        _ => StatusCodes.Status422UnprocessableEntity,
    };

    private static async Task Photo(HttpContext c, Desk desk) => await InTurn(c, desk, async () =>
    {
        Outcome<Upload> read = await Upload.Read(c.Request, c.RequestAborted);
        return read.Value is { } photo ? Shown(await desk.Check(Route(c), photo.Name, photo.Bytes, [], Of(c).Tape)) : read.Problem!;
    });

    private static async Task InTurn(HttpContext c, Desk desk, Func<Task<Outcome<string>>> act)
    {
        Outcome<IDisposable> place = desk.Enter(Device(c));
        if (place.Value is not { } taken)
        {
            await Door.Answer(c, Status(place.Problem!), place.Problem!);
            return;
        }

        Outcome<string> address;
        using (taken)
        {
            address = await act();
        }

        await After(c, address);
    }

    private static Outcome<string> Shown(Outcome<Checked> made) => made.Then<string>(check => $"/check/{check.Filed.Entry.Number}");

    private static async Task Add(HttpContext c, Desk desk, Func<QuiltBook, IFormCollection, Outcome<LogEntry>> add, string? then = null)
    {
        IFormCollection form = await c.Request.ReadFormAsync(c.RequestAborted);
        await After(c, desk.With(book => add(book, form)).Then<string>(entry => then ?? $"/?told={entry.Number}"));
    }

    private static async Task New(HttpContext c, Desk desk)
    {
        IFormCollection form = await c.Request.ReadFormAsync(c.RequestAborted);
        var given = form.ToDictionary(f => f.Key, f => f.Value.ToString().Trim());
        string Value(string key) => given.TryGetValue(key, out string? value) ? value : "";
        var hoop = new StringBuilder().Append("name = ").Append(Quoted(Value("hoop-name"))).Append('\n');
        foreach (string key in SetupPages.HoopEntries.Where(k => Value(k).Length > 0))
        {
            hoop.Append(key).Append(" = ").Append(Quoted(Value(key))).Append('\n');
        }

        // A new quilt begins with sizes only; a name that ends in .svg would be taken for a drawing.
        Problem? wrong = Value("fill").EndsWith(".svg", StringComparison.OrdinalIgnoreCase)
            ? new(Problems.QuiltFileBroken, "\"fill\" is a size here, such as 350x230mm.")
            : desk.Create(SetupPages.QuiltEntries.Where(k => Value(k).Length > 0).ToDictionary(k => k, Value), hoop.ToString());
        if (wrong is null && desk.With<QuiltSpec>(book => book.Folder.Quilt).Problem is { } unusable)
        {
            wrong = unusable;
        }

        if (wrong is null)
        {
            await After(c, "/");
            return;
        }

        c.Response.StatusCode = StatusCodes.Status422UnprocessableEntity;
        await Write(c, SetupPages.New(given, wrong, Of(c)));
    }

    /// <summary>A TOML 1.0 basic string.</summary>
    private static string Quoted(string value) => $"\"{string.Concat(value.Where(ch => !char.IsControl(ch))).Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\"", "\\\"", StringComparison.Ordinal)}\"";

    private static void Get(IEndpointRouteBuilder app, string address, RequestDelegate act) => app.MapGet(address, act).ExcludeFromDescription();

    private static void Post(IEndpointRouteBuilder app, string address, RequestDelegate act) => app.MapPost(address, act).ExcludeFromDescription();

    private static async Task After(HttpContext c, Outcome<string> address)
    {
        if (address.Value is { } to)
        {
            c.Response.StatusCode = StatusCodes.Status303SeeOther;
            c.Response.Headers.Location = to;
            return;
        }

        await Door.Answer(c, Status(address.Problem!), address.Problem!);
    }

    private static async Task Page(HttpContext c, Outcome<string> page)
    {
        if (page.Value is { } html)
        {
            await Write(c, html);
            return;
        }

        await Door.Answer(c, Status(page.Problem!), page.Problem!);
    }

    private static Task Write(HttpContext c, string html)
    {
        c.Response.ContentType = "text/html; charset=utf-8";
        return c.Response.WriteAsync(html, c.RequestAborted);
    }

    private static async Task Picture(HttpContext c, Outcome<byte[]> picture)
    {
        if (picture.Value is not { } jpeg)
        {
            await Door.Answer(c, Status(picture.Problem!), picture.Problem!);
            return;
        }

        c.Response.ContentType = "image/jpeg";
        c.Response.ContentLength = jpeg.Length;
        // An entry never changes, and so never does its picture.
        c.Response.Headers.CacheControl = "private, max-age=31536000, immutable";
        await c.Response.Body.WriteAsync(jpeg, c.RequestAborted);
    }

    private static long Number(string? text) => long.TryParse(text, System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out long number) ? number : 0;
}
