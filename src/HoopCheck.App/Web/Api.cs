using HoopCheck.App.Quilts;
using HoopCheck.App.Reports;
using HoopCheck.Planning;
using HoopCheck.Rules;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;

namespace HoopCheck.App.Web;

/// <summary>The same for programs: the documents that the command line gives, under /api. The framework writes the description.</summary>
internal static class Api
{
    private const string Json = "application/json";

    /// <summary>A stitching to note.</summary>
    /// <param name="Applied">All changes made on the machine, from the planned fill; null: as in the last check.</param>
    /// <param name="Note">A remark; null for none.</param>
    /// <param name="Redo">Whether it has to be stitched again.</param>
    internal sealed record StitchedBody(string? Applied, string? Note, bool Redo);

    /// <summary>A remark to note.</summary>
    /// <param name="Text">What it says.</param>
    internal sealed record NoteBody(string Text);

    /// <summary>Points of the checklist that were seen to.</summary>
    /// <param name="Done">Their keys, or "all".</param>
    internal sealed record ChecklistBody(string[] Done);

    /// <summary>Why an entry counts no more.</summary>
    /// <param name="Why">Why.</param>
    internal sealed record UndoBody(string Why);

    /// <summary>What the description needs.</summary>
    public static void Describe(IServiceCollection services) =>
        services.AddOpenApi("v1", options =>
        {
            options.ShouldInclude = about => about.RelativePath?.StartsWith("api/", StringComparison.Ordinal) ?? false;
            options.AddDocumentTransformer((document, _, _) =>
            {
                document.Info.Title = "HoopCheck";
                return Task.CompletedTask;
            });
        });

    /// <summary>Adds all addresses under /api.</summary>
    public static void Map(IEndpointRouteBuilder app, Desk desk)
    {
        app.MapOpenApi("/api/openapi.json");
        app.MapGet("/api/plan", (HttpContext c, CancellationToken _) => Answer(c, desk.With<string>(book => PlanJson.Write(book.Plan))))
            .WithSummary("The plan of the hoopings: hoopcheck.plan/1.").Produces(200, contentType: Json);
        app.MapGet("/api/log", (HttpContext c, int? hooping) => Answer(c, desk.With<string>(book => LogJson.Write(book, hooping))))
            .WithSummary("How each hooping stands and all entries: hoopcheck.log/1.").Produces(200, contentType: Json);
        app.MapGet("/api/checks/{entry:long}", (HttpContext c, long entry) => Answer(c, desk.With<string>(book =>
            book.Log.Papers(entry) is { } papers ? papers.Report : new Problem(Problems.NoSuchHooping, $"Entry {entry} has no report."))))
            .WithSummary("A filed report: hoopcheck.check/1.").Produces(200, contentType: Json).Produces(404, contentType: Json);
        app.MapPost("/api/hoopings/{n:int}/photo", (HttpContext c, int n, string? applied) => Photo(c, desk, n, applied))
            .WithSummary("Checks and files a photo: the body is the photo's file. Answers with hoopcheck.check/1.")
            .Accepts<byte[]>("application/octet-stream", "image/jpeg", "image/png", "image/webp", "image/heic", "multipart/form-data").Produces(200, contentType: Json).Produces(422, contentType: Json).Produces(503, contentType: Json);
        app.MapPost("/api/hoopings/{n:int}/stitched", (HttpContext c, int n, StitchedBody body) => Answer(c, Added(desk, book => book.Stitched(n, body.Applied, body.Note, body.Redo))))
            .WithSummary("Notes that a hooping is stitched, or has to be stitched again: hoopcheck.entry/1.").Produces(200, contentType: Json);
        app.MapPost("/api/hoopings/{n:int}/note", (HttpContext c, int n, NoteBody body) => Answer(c, Added(desk, book => book.Note(n, body.Text))))
            .WithSummary("Adds a remark: hoopcheck.entry/1.").Produces(200, contentType: Json);
        app.MapPost("/api/hoopings/{n:int}/checklist", (HttpContext c, int n, ChecklistBody body) => Answer(c, Added(desk, book => book.CheckOff(n, body.Done))))
            .WithSummary("Notes what was seen to before stitching: hoopcheck.entry/1.").Produces(200, contentType: Json);
        app.MapPost("/api/entries/{entry:long}/withdraw", (HttpContext c, long entry, UndoBody body) => Answer(c, Added(desk, book => book.Withdraw(entry, body.Why))))
            .WithSummary("Notes that an entry counts no more: hoopcheck.entry/1.").Produces(200, contentType: Json);
    }

    private static async Task Photo(HttpContext c, Desk desk, int n, string? applied)
    {
        IReadOnlyList<FillChange> changes = [];
        if (applied is not null && !FillChange.TryParseList(applied, out changes, out string why))
        {
            await Answer(c, new Problem(Problems.BadCall, $"applied: {why}."));
            return;
        }

        Outcome<IDisposable> place = desk.Enter(PageRoutes.Device(c));
        if (place.Value is not { } taken)
        {
            await Answer(c, place.Problem!);
            return;
        }

        using (taken)
        {
            Outcome<Upload> read = await Upload.Read(c.Request, c.RequestAborted);
            Outcome<Checked> made = read.Value is { } photo ? await desk.Check(n, photo.Name, photo.Bytes, changes, PageRoutes.Of(c).Tape) : read.Problem!;
            await Answer(c, made.Then<string>(check => JsonReport.Write(check.Result, EntryBody.Read<CheckBody>(check.Filed.Entry).Photo, check.Filed)));
        }
    }

    private static Outcome<string> Added(Desk desk, Func<QuiltBook, Outcome<LogEntry>> add) => desk.With(add).Then<string>(entry => JsonText.Write(writer =>
    {
        writer.WriteStartObject();
        writer.WriteString("schema", "hoopcheck.entry/1");
        LogJson.WriteEntry(writer, entry);
        writer.WriteEndObject();
    }));

    private static async Task Answer(HttpContext c, Outcome<string> document)
    {
        if (document.Value is not { } json)
        {
            await Door.Answer(c, PageRoutes.Status(document.Problem!), document.Problem!);
            return;
        }

        c.Response.ContentType = "application/json; charset=utf-8";
        await c.Response.WriteAsync(json, c.RequestAborted);
    }
}
