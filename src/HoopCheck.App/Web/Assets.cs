using Microsoft.AspNetCore.Http;

namespace HoopCheck.App.Web;

/// <summary>The page's own files, from within the program: no file of the disk can be asked for.</summary>
internal static class Assets
{
    private static readonly Dictionary<string, (string Type, byte[] Content)> s_all = new(StringComparer.Ordinal)
    {
        ["style.css"] = ("text/css; charset=utf-8", Read("style.css")),
        ["page.js"] = ("text/javascript; charset=utf-8", Read("page.js")),
        ["icon.svg"] = ("image/svg+xml", Read("icon.svg")),
    };

    /// <summary>Their names.</summary>
    public static IEnumerable<string> Names => s_all.Keys;

    /// <summary>Sends one of <see cref="Names"/>.</summary>
    public static async Task Send(HttpContext context, string name)
    {
        (string type, byte[] content) = s_all[name];
        context.Response.ContentType = type;
        context.Response.ContentLength = content.Length;
        context.Response.Headers.CacheControl = "private, max-age=300";
        await context.Response.Body.WriteAsync(content, context.RequestAborted);
    }

    private static byte[] Read(string name)
    {
        using Stream stream = typeof(Assets).Assembly.GetManifestResourceStream($"Web/{name}") ?? throw new InvalidOperationException($"{name} is not in the program.");
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }
}
