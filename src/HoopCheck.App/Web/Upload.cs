using HoopCheck.Rules;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.Net.Http.Headers;

namespace HoopCheck.App.Web;

/// <summary>A photo as a phone sent it.</summary>
/// <param name="Name">What the phone calls it; text for the log, never a path.</param>
/// <param name="Bytes">The file.</param>
/// <param name="Fields">Other fields of the form.</param>
internal sealed record Upload(string Name, byte[] Bytes, IReadOnlyDictionary<string, string> Fields)
{
    private const int LongestField = 4096;

    /// <summary>Reads a request's body: a form with a file, or the file alone. It is kept in memory and never touches the disk on its way.</summary>
    /// <returns>The photo, or HC104 for one that is too long, HC101 where none was sent.</returns>
    public static async Task<Outcome<Upload>> Read(HttpRequest request, CancellationToken cancel)
    {
        long most = Tolerances.Default.LargestFileBytes;
        if (request.HttpContext.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit)
        {
            limit.MaxRequestBodySize = most + 1_000_000;
        }

        if (request.ContentLength > most + 1_000_000)
        {
            return new Problem(Problems.PictureTooLarge, "");
        }

        string boundary = MediaTypeHeaderValue.TryParse(request.ContentType, out MediaTypeHeaderValue? type) && type.MediaType.Equals("multipart/form-data", StringComparison.OrdinalIgnoreCase)
            ? HeaderUtilities.RemoveQuotes(type.Boundary).ToString()
            : "";
        if (boundary.Length == 0)
        {
            byte[]? alone = await Whole(request.Body, most, request.ContentLength, cancel);
            return alone is null ? new Problem(Problems.PictureTooLarge, "") : alone.Length == 0 ? None() : new Upload("photo", alone, new Dictionary<string, string>());
        }

        string name = "";
        byte[] photo = [];
        var fields = new Dictionary<string, string>(StringComparer.Ordinal);
        try
        {
            var reader = new MultipartReader(boundary, request.Body);
            while (await reader.ReadNextSectionAsync(cancel) is { } section)
            {
                if (!ContentDispositionHeaderValue.TryParse(section.ContentDisposition, out ContentDispositionHeaderValue? says))
                {
                    continue;
                }

                bool isFile = says.IsFileDisposition();
                byte[]? content = await Whole(section.Body, isFile ? most : LongestField, null, cancel);
                if (content is null)
                {
                    return new Problem(isFile ? Problems.PictureTooLarge : Problems.BadCall, "");
                }

                if (!isFile)
                {
                    fields[HeaderUtilities.RemoveQuotes(says.Name).ToString()] = System.Text.Encoding.UTF8.GetString(content);
                }
                else if (content.Length > 0 && photo.Length == 0)
                {
                    (name, photo) = (Plain((says.FileNameStar.HasValue ? says.FileNameStar : HeaderUtilities.RemoveQuotes(says.FileName)).ToString()), content);
                }
            }
        }
        catch (Exception e) when (e is InvalidDataException || (e is IOException && e is not BadHttpRequestException))
        {
            return new Problem(Problems.PictureDamaged, "It did not arrive whole.");
        }

        return photo.Length == 0 ? None() : new Upload(name, photo, fields);
    }

    /// <summary>The last part of a name, without what does not print.</summary>
    internal static string Plain(string name)
    {
        string last = name[(name.LastIndexOfAny(['/', '\\', ':']) + 1)..];
        string plain = new([.. last.Where(c => !char.IsControl(c) && !char.IsSurrogate(c)).Take(80)]);
        return plain.Trim().Length == 0 ? "photo" : plain.Trim();
    }

    private static Problem None() => new(Problems.PhotoUnreadable, "No photo was sent.");

    private static async Task<byte[]?> Whole(Stream from, long most, long? expected, CancellationToken cancel)
    {
        using var to = new MemoryStream(capacity: (int)Math.Clamp(expected ?? 0, 0, most));
        byte[] piece = new byte[81920];
        int read;
        while ((read = await from.ReadAsync(piece, cancel)) > 0)
        {
            if (to.Length + read > most)
            {
                return null;
            }

            to.Write(piece, 0, read);
        }

        return to.Length == to.Capacity ? to.GetBuffer() : to.ToArray();
    }
}
