using HoopCheck.Rules;

namespace HoopCheck.App.Web.Pages;

/// <summary>What all pages have around them.</summary>
internal static class Shell
{
    /// <summary>A whole page.</summary>
    /// <param name="title">Its title.</param>
    /// <param name="body">What is in it; begins with its heading.</param>
    /// <param name="wishes">The phone's.</param>
    /// <param name="styles">Where the style sheet is; for the one page that is seen before a phone was let in.</param>
    public static string Page(string title, Markup body, Wishes wishes, string styles = "/style.css")
    {
        bool inside = styles == "/style.css";
        Markup head = Html.If(inside, $"""
            <link rel="icon" href="/icon.svg">
            <script src="/page.js" defer></script>
            """);
        Markup links = Html.If(inside, $"""<nav aria-label="Pages"><a href="/log">Log</a><a href="/settings">Settings</a></nav>""");
        return Html.Of($"""
            <!doctype html>
            <html lang="en"{Html.If(wishes.Large, $" class=\"large\"")}>
            <head>
            <meta charset="utf-8">
            <meta name="viewport" content="width=device-width, initial-scale=1">
            <title>{title} · HoopCheck</title>
            <link rel="stylesheet" href="{styles}">
            {head}
            </head>
            <body>
            <header><a href="/">HoopCheck</a>{links}</header>
            <main>
            {body}
            </main>
            </body>
            </html>
            """).Text;
    }

    /// <summary>A page that says what is wrong and what to do.</summary>
    /// <param name="problem">What is wrong.</param>
    /// <param name="back">Where a way back leads.</param>
    /// <param name="wishes">The phone's.</param>
    public static string Problem(Problem problem, string back, Wishes wishes) => Page(problem.Kind.Title, Html.Of($"""
        <h1>{(problem.Kind == Problems.BadCall ? "That cannot be done." : problem.Kind.Title)}</h1>
        <p>{problem.Detail}</p>
        {Html.If(problem.Kind != Problems.BadCall, $"<p>{problem.Kind.Do}</p>")}
        <p><small>{problem.Kind.Code}</small></p>
        <a class="big" href="{back}">Back</a>
        """), wishes);

    /// <summary>The caution that stands wherever somebody is about to stitch.</summary>
    public static Markup Care { get; } = Html.Of($"""
        <p class="care">Before the first stitch let the machine trace the fill's outline, and keep your hands clear of needle and frame. The machine's manual has the last word.</p>
        """);

    /// <summary>The box that tells of work going on; seen only while it does.</summary>
    public static Markup Busy(string words) => Html.Of($"""<div class="busy" role="status" hidden><progress aria-label="Progress"></progress><p>{words}</p></div>""");
}
