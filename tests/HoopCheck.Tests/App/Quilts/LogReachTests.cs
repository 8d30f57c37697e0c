using System.Diagnostics;
using System.Globalization;
using HoopCheck.App.Quilts;
using Microsoft.Data.Sqlite;

namespace HoopCheck.Tests.App.Quilts;

/// <summary>Goal: with 10,000 entries in the log, opening and listing under 200 ms, adding one under 50 ms beside the photo's own copy. The best of up to forty, since other programs use processor and disk too; when it is reached once, it is shown.</summary>
public sealed class LogReachTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Log_TenThousandEntries_IsListedAndAddedToInTime()
    {
        HoopingLog.Open(_folder).Value!.Dispose();
        Fill(10_000);

        double listing = double.PositiveInfinity, adding = double.PositiveInfinity, copying = double.PositiveInfinity;
        for (int i = 0; i < 40 && !(listing < 200); i++)
        {
            listing = Math.Min(listing, Time(() =>
            {
                using HoopingLog log = HoopingLog.Open(_folder).Value!;
                Assert.Equal(10_000, log.Entries().Count);
            }));
        }

        byte[] photo = new byte[4_000_000];
        using HoopingLog open = HoopingLog.Open(_folder).Value!;
        for (int i = 0; i < 40 && !(adding - copying < 50); i++)
        {
            // The photo's own copy: as many bytes to the same disk, flushed.
            photo[0] = (byte)i;
            copying = Math.Min(copying, Time(() =>
            {
                using var stream = new FileStream(Path.Combine(_folder, string.Create(CultureInfo.InvariantCulture, $"copy{i}")), FileMode.CreateNew);
                stream.Write(photo);
                stream.Flush(true);
            }));
            adding = Math.Min(adding, Time(() =>
                Assert.NotNull(open.Add(EntryKind.Check, 7, Body(1), [new(LogFile.Photo, ".jpg", photo)], new(new string('r', 20_000), "{}")).Value)));
        }

        string found = string.Create(CultureInfo.InvariantCulture, $"opening and listing {listing:0} ms, adding {adding:0} ms, of which the photo's copy {copying:0} ms");
        if (Environment.GetEnvironmentVariable("HOOPCHECK_SAY") is not null)
        {
            Console.WriteLine(found);
        }

        Assert.True(listing < 200 && adding - copying < 50, found);
    }

    /// <summary>In one transaction, as ten thousand calls would have left it.</summary>
    private void Fill(int count)
    {
        using var connection = new SqliteConnection($"Data Source={Path.Combine(_folder, HoopingLog.FileName)};Pooling=False");
        connection.Open();
        using SqliteTransaction transaction = connection.BeginTransaction();
        using SqliteCommand entry = connection.CreateCommand(), file = connection.CreateCommand(), papers = connection.CreateCommand();
        entry.CommandText = "INSERT INTO entry VALUES ($n, 'check', 1 + $n % 48, '2026-05-01T10:00:00.000Z', '0.1.0', $body, $hash)";
        file.CommandText = "INSERT INTO file VALUES ($n, $role, $hash || '.jpg', 4000000)";
        papers.CommandText = "INSERT INTO papers VALUES ($n, $report, '{}')";
        for (int n = 1; n <= count; n++)
        {
            string hash = PhotoStore.Hash(BitConverter.GetBytes(n));
            Run(entry, ("$n", n), ("$body", EntryBody.Write(Body(n))), ("$hash", hash));
            Run(file, ("$n", n), ("$role", LogFile.Photo), ("$hash", hash));
            Run(file, ("$n", n), ("$role", LogFile.Marked), ("$hash", hash));
            Run(papers, ("$n", n), ("$report", new string('r', 2000)));
        }

        transaction.Commit();

        static void Run(SqliteCommand command, params (string Name, object Value)[] values)
        {
            command.Parameters.Clear();
            foreach ((string name, object value) in values)
            {
                command.Parameters.AddWithValue(name, value);
            }

            command.ExecuteNonQuery();
        }
    }

    private static CheckBody Body(int n)
    {
        SideSeen Side(string name) => new(name, "clear", 5.1, 7.2, 6.1 + (n % 7), 0.6, "blue", new(-90, 90, 146, 0.001, 0.3));
        var fill = new FillAt(0, 0, 350, 230, 0);
        return new("clear", "IMG_2041.jpg", "2026-05-01T10:00:00", fill, fill, "nudge y -2mm", [Side("left"), Side("top")], []);
    }

    private static double Time(Action action)
    {
        var watch = Stopwatch.StartNew();
        action();
        return watch.Elapsed.TotalMilliseconds;
    }
}
