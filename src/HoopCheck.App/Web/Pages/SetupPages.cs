using HoopCheck.Planning;
using HoopCheck.Rules;

namespace HoopCheck.App.Web.Pages;

/// <summary>Letting a phone in, its settings, a new quilt.</summary>
internal static class SetupPages
{
    private static readonly (string Key, string Label, string Hint, bool Needed)[] s_quilt =
    [
        ("name", "Name of the quilt", "Your own words", true),
        ("size", "Size of the quilt, width × height", "63x47 1/4in or 1600x1200mm", true),
        ("fill", "Largest fill, the hoop's width × height", "350x230mm or 13 3/4x9in", true),
    ];

    private static readonly (string Key, string Label, string Hint, bool Needed)[] s_hoop =
    [
        ("hoop-name", "Name of the hoop", "Your own words", true),
        ("opening", "Inside of the frame, width × height", "Hold the hoop so that its bar is at the left; measure at the fabric: 360x240mm", true),
        ("frame-height", "Height of the frame above the fabric", "11mm or 7/16in", true),
        ("frame-width", "Breadth of the ring from above, if measured", "20mm", false),
        ("corner-radius", "Radius of the inside corners, if measured", "20mm", false),
        ("sewing-field", "Where the needle may go, if known", "350x230mm; otherwise the inside less 5 mm all round", false),
    ];

    /// <summary>Entries of the quilt part of the form.</summary>
    public static IEnumerable<string> QuiltEntries => s_quilt.Select(f => f.Key).Append("tape");

    /// <summary>Entries of the hoop part of the form, but its name.</summary>
    public static IEnumerable<string> HoopEntries => s_hoop.Select(f => f.Key).Where(k => k != "hoop-name");

    /// <summary>The one page seen before a phone was let in, by one that has a good key. Asking for it does not use the key up.</summary>
    public static string Door(string key) => Shell.Page("Open", Html.Of($"""
        <h1>Open it on this phone?</h1>
        <p>The code is good for one phone. It stays open on this phone until the program on the computer is ended.</p>
        <form method="post" action="/key/{key}"><button class="big">Open</button></form>
        """), Wishes.Usual, $"/key/{key}/style.css");

    /// <summary>The phone's settings.</summary>
    public static string Settings(Wishes wishes, string? quiltTape) => Shell.Page("Settings", Html.Of($"""
        <h1>Settings of this phone</h1>
        <form method="post" action="/settings">
        <fieldset><legend>Lengths</legend>
        <label class="check"><input type="radio" name="unit" value="mm"{Html.If(!wishes.Inches, $" checked")}><span>Millimetres</span></label>
        <label class="check"><input type="radio" name="unit" value="in"{Html.If(wishes.Inches, $" checked")}><span>Inches</span></label>
        </fieldset>
        <fieldset><legend>Letters</legend>
        <label class="check"><input type="checkbox" name="large"{Html.If(wishes.Large, $" checked")}><span>Larger</span></label>
        </fieldset>
        <div class="field"><label for="tape">Colour of the tape</label>
        <select id="tape" name="tape">
        <option value="">as the quilt file says: {quiltTape ?? "any"}</option>
        {Tapes(wishes.Tape)}
        </select></div>
        <button class="big">Keep</button>
        </form>
        <form method="post" action="/settings/key"><button class="big second">Let in another phone</button></form>
        """), wishes);

    /// <summary>A key for another phone.</summary>
    public static string Key(string address, Wishes wishes) => Shell.Page("Another phone", Html.Of($"""
        <h1>Another phone</h1>
        <p>Scan this with the other phone's camera. It is good once, and for a quarter of an hour.</p>
        {QrCode.Svg(address)}
        <p class="long">{address}</p>
        <a class="big second" href="/settings">Back</a>
        """), wishes);

    /// <summary>A new quilt and its hoop.</summary>
    /// <param name="given">What was filled in already.</param>
    /// <param name="problem">What is wrong with it; null for nothing.</param>
    /// <param name="wishes">The phone's.</param>
    public static string New(IReadOnlyDictionary<string, string> given, Problem? problem, Wishes wishes)
    {
        string Value(string key) => given.TryGetValue(key, out string? value) ? value : "";
        Markup Field((string Key, string Label, string Hint, bool Needed) f) => Html.Of($"""
            <div class="field"><label for="{f.Key}">{f.Label}</label><small id="{f.Key}-hint">{f.Hint}</small>
            <input type="text" id="{f.Key}" name="{f.Key}" value="{Value(f.Key)}" aria-describedby="{f.Key}-hint" maxlength="100" autocomplete="off" autocapitalize="off"{Html.If(f.Needed, $" required")}></div>
            """);
        Markup wrong = problem is null ? Markup.None : Html.Of($"""<div class="told" role="alert"><p><strong>{problem.Kind.Title}</strong> {problem.Detail}</p><p><small>{problem.Kind.Code}</small></p></div>""");
        return Shell.Page("A new quilt", Html.Of($"""
            <h1>A new quilt</h1>
            {wrong}
            <p>Measure the quilt and the hoop with a ruler. A length is in millimetres unless a unit stands after it.</p>
            <form method="post" action="/new">
            <h2>The quilt</h2>
            {s_quilt.Select(Field)}
            <div class="field"><label for="tape">Colour of the tape</label><select id="tape" name="tape">{Tapes(Value("tape"))}</select></div>
            <h2>The hoop</h2>
            {s_hoop.Select(Field)}
            <button class="big">Plan the hoopings</button>
            </form>
            """), wishes);
    }

    private static Markup Tapes(string? chosen) => Html.All(TapeColours.Named.Select(c => c.Name).Prepend("any").Select(name =>
        Html.Of($"<option value=\"{name}\"{Html.If(name == chosen, $" selected")}>{name}</option>")));
}
