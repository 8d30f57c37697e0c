using System.Globalization;
using HoopCheck.App.Quilts;

namespace HoopCheck.Tests.App.Quilts;

/// <summary>A process that adds entries as fast as it can and says each number once it is confirmed, until it is killed.</summary>
public static class KilledChild
{
    public static int Main(string[] args)
    {
        if (args is not ["add-until-killed", var folder, var seed])
        {
            return 64;
        }

        using HoopingLog log = HoopingLog.Open(folder).Value!;
        var random = new Random(int.Parse(seed, CultureInfo.InvariantCulture));
        while (true)
        {
            byte[] photo = new byte[random.Next(50_000, 600_000)], marked = new byte[random.Next(1_000, 100_000)];
            random.NextBytes(photo);
            random.NextBytes(marked);
            LogEntry entry = log.Add(
                EntryKind.Note, 1, new NoteBody(new string('x', random.Next(2000))),
                [new(LogFile.Photo, ".jpg", photo), new(LogFile.Marked, ".jpg", marked)],
                new(new string('r', random.Next(20_000)), "{}")).Value!;
            Console.Out.WriteLine($"{entry.Number} {entry.Hash}");
            Console.Out.Flush();
        }
    }
}
