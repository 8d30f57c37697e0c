using System.Data.Common;
using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.App.Web.Pages;
using HoopCheck.Rules;
using Microsoft.AspNetCore.Http;

namespace HoopCheck.App.Web;

/// <summary>What every request passes: known name, key or cookie, own origin. Who has neither is told nothing, not even what is served here.</summary>
internal sealed class Door(Gate gate, Terminal terminal, Action? joined)
{
    /// <summary>Name of the cookie with a device's token.</summary>
    public const string Cookie = "device";

    /// <summary>Name of the cookie with <see cref="Wishes"/>.</summary>
    public const string WishesCookie = "wishes";

    private const string Policy =
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

    private HashSet<string> _hosts = [];

    /// <summary>Where phones find the page; set by <see cref="Open"/>.</summary>
    public Uri Address { get; private set; } = new("http://localhost/");

    /// <summary>Says under which names the page is served; before that nobody comes in.</summary>
    public void Open(Uri address, IEnumerable<string> names)
    {
        Address = address;
        _hosts = names.Select(n => $"{n}:{address.Port}").ToHashSet(StringComparer.OrdinalIgnoreCase);
    }

    /// <summary>Passes a request on, or does not.</summary>
    public async Task Guard(HttpContext context, RequestDelegate next)
    {
        IHeaderDictionary headers = context.Response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "same-origin";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers.CacheControl = "no-store";
        try
        {
            // A foreign name that leads here (DNS rebinding) gets nothing, nor does a form or script of another page.
            bool reads = HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method);
            if (!_hosts.Contains(context.Request.Host.Value ?? ""))
            {
                await Nothing(context, StatusCodes.Status404NotFound);
            }
            else if (!reads && context.Request.Headers.Origin != $"http://{context.Request.Host.Value}")
            {
                await Nothing(context, StatusCodes.Status403Forbidden);
            }
            else if (context.Request.Path.StartsWithSegments("/key", out PathString rest))
            {
                await Key(context, rest.Value?.Trim('/') ?? "");
            }
            else if (gate.Device(context.Request.Cookies[Cookie]) is { } device)
            {
                context.Items[Cookie] = device;
                await next(context);
                if (context.Response.StatusCode == StatusCodes.Status404NotFound && !context.Response.HasStarted)
                {
                    await Nothing(context, StatusCodes.Status404NotFound);
                }
            }
            else
            {
                await Nothing(context, StatusCodes.Status401Unauthorized, "Not open here. Scan the code on the computer's screen.");
            }
        }
        catch (BadHttpRequestException bad)
        {
            await Answer(context, bad.StatusCode, new(bad.StatusCode == StatusCodes.Status413PayloadTooLarge ? Problems.PictureTooLarge : Problems.BadCall, "It did not arrive as it should."));
        }
        catch (OperationCanceledException) when (context.RequestAborted.IsCancellationRequested)
        {
            // The phone has gone.
        }
        catch (Exception broken) when (broken is LogBrokenException or DbException)
        {
            await Answer(context, StatusCodes.Status500InternalServerError, new(Problems.LogDamaged, broken is LogBrokenException ? broken.Message : "The database cannot be read to its end."));
        }
        catch (Exception fault)
        {
            _ = FaultFile.Report(fault, ["serve", context.Request.Method, context.Request.Path.Value ?? ""], false, terminal);
            await Answer(context, StatusCodes.Status500InternalServerError, new(Problems.OwnFault, "The computer's screen names a file with what happened."));
        }
    }

    /// <summary>A problem as a page, or as JSON for those who asked under /api.</summary>
    public static async Task Answer(HttpContext context, int status, Problem problem)
    {
        if (context.Response.HasStarted)
        {
            return;
        }

        context.Response.StatusCode = status;
        if (context.Request.Path.StartsWithSegments("/api"))
        {
            context.Response.ContentType = "application/json; charset=utf-8";
            await context.Response.WriteAsync(ErrorReport.Json(problem));
            return;
        }

        context.Response.ContentType = "text/html; charset=utf-8";
        await context.Response.WriteAsync(Shell.Problem(problem, "/", Wishes.Parse(context.Request.Cookies[WishesCookie])));
    }

    private static async Task Nothing(HttpContext context, int status, string words = "Nothing here.")
    {
        context.Response.StatusCode = status;
        context.Response.ContentType = "text/plain; charset=utf-8";
        await context.Response.WriteAsync(words);
    }

    private async Task Key(HttpContext context, string rest)
    {
        string key = rest.Split('/')[0];
        if (HttpMethods.IsPost(context.Request.Method) && rest == key && gate.Exchange(key) is { } token)
        {
            context.Response.Cookies.Append(Cookie, token, new CookieOptions { HttpOnly = true, SameSite = SameSiteMode.Strict, Path = "/", MaxAge = TimeSpan.FromDays(30) });
            context.Response.StatusCode = StatusCodes.Status303SeeOther;
            context.Response.Headers.Location = "/";
            joined?.Invoke();
        }
        else if (HttpMethods.IsGet(context.Request.Method) && gate.IsGood(key) && rest == $"{key}/style.css")
        {
            await Assets.Send(context, "style.css");
        }
        else if (HttpMethods.IsGet(context.Request.Method) && gate.IsGood(key) && rest == key)
        {
            context.Response.ContentType = "text/html; charset=utf-8";
            await context.Response.WriteAsync(SetupPages.Door(key));
        }
        else
        {
            await Nothing(context, StatusCodes.Status404NotFound, "This code is used up or too old. Ask for a new one on the computer.");
        }
    }
}
