using System.Diagnostics;
using System.Globalization;
using HoopCheck.App.Quilts;
using HoopCheck.Rules;
using Microsoft.Data.Sqlite;

namespace HoopCheck.Tests.App.Quilts;

public sealed class HoopingLogTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("hoopcheck-test-").FullName;

    private string Database => Path.Combine(_folder, HoopingLog.FileName);

    private string Photos => Path.Combine(_folder, QuiltFolder.PhotosName);

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Add_PhotoAndPapers_AreThereAfterOpeningAgain()
    {
        byte[] photo = [.. Enumerable.Range(0, 5000).Select(i => (byte)(i * 7))];
        LogEntry added;
        using (HoopingLog log = Open())
        {
            added = log.Add(EntryKind.Check, 7, new NoteBody("n"), [new(LogFile.Photo, ".png", photo)], new("{\"a\":1}", "{}")).Value!;
            Assert.Equal(2, log.Add(EntryKind.Note, null, new NoteBody("m")).Value!.Number);
        }

        // Closed, the log is one file: nothing stands beside it that a copy could miss.
        Assert.Equal([HoopingLog.FileName, QuiltFolder.PhotosName], Directory.GetFileSystemEntries(_folder).Select(Path.GetFileName).Order());
        using HoopingLog again = Open();
        LogEntry read = again.Entries()[0];
        Assert.Equal((1, EntryKind.Check, 7, added.At, added.Body, added.Hash), (read.Number, read.Kind, read.Hooping!.Value, read.At, read.Body, read.Hash));
        Assert.Equal(photo, File.ReadAllBytes(again.PathOf(Assert.Single(read.Files))));

        // Reference: SHA-256 of the content, by sha256sum's rule: hexadecimal, small letters.
        Assert.Equal(Convert.ToHexString(System.Security.Cryptography.SHA256.HashData(photo)).ToLowerInvariant() + ".png", read.Files[0].Name);
        Assert.Equal("{\"a\":1}", again.Papers(1)!.Report);
        Assert.Null(again.Papers(2));
        Assert.Equal([2L], again.Entries().Where(e => e.Hooping is null).Select(e => e.Number));
        Assert.Equal([1L], again.Entries(7).Select(e => e.Number));
        Assert.Empty(again.Verify().Damage);
    }

    [Fact]
    public void Add_SamePhotoTwice_IsKeptOnce()
    {
        using HoopingLog log = Open();
        log.Add(EntryKind.Check, 1, new NoteBody("a"), [new(LogFile.Photo, ".jpg", [1, 2, 3])]);
        log.Add(EntryKind.Check, 2, new NoteBody("b"), [new(LogFile.Photo, ".jpg", [1, 2, 3])]);
        Assert.Single(Directory.GetFiles(Photos));
        Assert.Equal((2, 1), (log.Verify().Entries, log.Verify().Files));
    }

    [Theory]
    [InlineData("UPDATE entry SET body = '{}'")]
    [InlineData("DELETE FROM entry")]
    [InlineData("UPDATE file SET bytes = 1")]
    [InlineData("DELETE FROM papers")]
    public void Database_Entries_CannotBeChangedNorRemoved(string statement)
    {
        using (HoopingLog log = Open())
        {
            log.Add(EntryKind.Check, 1, new NoteBody("a"), [new(LogFile.Photo, ".jpg", [1])], new("r", "s"));
        }

        Assert.Contains("never", Assert.Throws<SqliteException>(() => Sql(statement)).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("DROP TRIGGER entry_stays; UPDATE entry SET body = '{}' WHERE number = 2", "Entry 2 is not what was written.")]
    [InlineData("DROP TRIGGER entry_kept; DROP TRIGGER file_kept; DROP TRIGGER papers_kept; DELETE FROM file WHERE entry = 2; DELETE FROM papers WHERE entry = 2; DELETE FROM entry WHERE number = 2", "Entry 2 is missing.")]
    [InlineData("DROP TRIGGER file_stays; UPDATE file SET bytes = 3 WHERE entry = 2", "Entry 2 is not what was written.")]
    [InlineData("DROP TRIGGER papers_stay; UPDATE papers SET report = 'clear' WHERE entry = 2", "Entry 2 is not what was written.")]
    [InlineData("DROP TRIGGER entry_stays; UPDATE entry SET at = '2020-01-01T00:00:00.000Z' WHERE number = 3", "Entry 3 is not what was written.")]
    public void Verify_ChangedByHand_NamesTheEntry(string statement, string damage)
    {
        using (HoopingLog log = Open())
        {
            for (byte i = 1; i < 4; i++)
            {
                log.Add(EntryKind.Check, i, new NoteBody("a"), [new(LogFile.Photo, ".jpg", [i])], new("r", "s"));
            }
        }

        Sql(statement);
        using HoopingLog again = Open();
        Assert.Contains(damage, again.Verify().Damage);
    }

    [Fact]
    public void Verify_PhotoChangedOrGone_NamesIt()
    {
        using HoopingLog log = Open();
        log.Add(EntryKind.Check, 1, new NoteBody("a"), [new(LogFile.Photo, ".jpg", [1, 2]), new(LogFile.Marked, ".jpg", [3, 4])]);
        IReadOnlyList<LogFile> files = log.Entries()[0].Files;
        File.WriteAllBytes(log.PathOf(files[0]), [1, 3]);
        File.Delete(log.PathOf(files[1]));
        File.WriteAllBytes(Path.Combine(Photos, "left.part"), [0]);
        LogVerified found = log.Verify();
        Assert.Equal([$"Entry 1: photos/{files[0].Name} is not what was written.", $"Entry 1: photos/{files[1].Name} is missing."], found.Damage);
        Assert.Equal(["left.part"], found.Unnamed);

        // Filing the same photo again puts the damaged file right.
        log.Add(EntryKind.Check, 1, new NoteBody("b"), [new(LogFile.Photo, ".jpg", [1, 2]), new(LogFile.Marked, ".jpg", [3, 4])]);
        Assert.Empty(log.Verify().Damage);
    }

    [Fact]
    [Trait("problem", "HC155")]
    public void Open_WhatCannotBeALog_Is155()
    {
        File.WriteAllText(Database, "This is no database, and long enough to be looked at: " + new string('x', 2000));
        Assert.Equal("HC155", HoopingLog.Open(_folder).Problem!.Kind.Code);

        File.Delete(Database);
        Sql("CREATE TABLE other (a)");
        Assert.Contains("something else", HoopingLog.Open(_folder).Problem!.Detail, StringComparison.Ordinal);

        Sql("PRAGMA user_version = 2");
        Assert.Contains("newer version", HoopingLog.Open(_folder).Problem!.Detail, StringComparison.Ordinal);

        File.Delete(Database);
        File.WriteAllBytes(Path.Combine(Photos, "a.jpg"), [1]);
        Assert.Contains("missing", HoopingLog.Open(_folder).Problem!.Detail, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("problem", "HC156")]
    public void Add_PhotoThatCannotBeWritten_LeavesNoEntry()
    {
        using HoopingLog log = Open();
        Directory.Delete(Photos);
        File.WriteAllText(Photos, "in the way");
        Problem problem = log.Add(EntryKind.Check, 1, new NoteBody("a"), [new(LogFile.Photo, ".jpg", [1])]).Problem!;
        Assert.Equal("HC156", problem.Kind.Code);
        Assert.Empty(log.Entries());
    }

    [Fact]
    public void Add_TransactionBrokenInTheMiddle_LeavesNoEntry()
    {
        using HoopingLog log = Open();
        log.Add(EntryKind.Note, 1, new NoteBody("a"));

        // The same role twice breaks the second of the file rows: after the entry's own.
        Assert.Equal("HC156", log.Add(EntryKind.Check, 1, new NoteBody("b"), [new(LogFile.Photo, ".jpg", [1]), new(LogFile.Photo, ".jpg", [2])]).Problem!.Kind.Code);
        Assert.Single(log.Entries());
        Assert.Equal(2, log.Add(EntryKind.Note, 1, new NoteBody("c")).Value!.Number);
        Assert.Empty(log.Verify().Damage);
    }

    [Fact]
    public void Add_TwoAtOnce_BothGetANumber()
    {
        Open().Dispose();
        Parallel.For(0, 4, i =>
        {
            using HoopingLog log = Open();
            for (int n = 0; n < 10; n++)
            {
                Assert.NotNull(log.Add(EntryKind.Note, i, new NoteBody($"{i} {n}")).Value);
            }
        });
        using HoopingLog all = Open();
        Assert.Equal(Enumerable.Range(1, 40).Select(n => (long)n), all.Entries().Select(e => e.Number));
        Assert.Empty(all.Verify().Damage);
    }

    // 300 kills: HOOPCHECK_KILLS=300. Each kill hits a process that adds entries without pause, at a random moment.
    [Fact]
    public void Add_ProcessKilledAtAnyMoment_LosesNothingThatWasConfirmed()
    {
        int kills = int.Parse(Environment.GetEnvironmentVariable("HOOPCHECK_KILLS") ?? "24", CultureInfo.InvariantCulture);
        TestRandom random = TestRandom.For(nameof(Add_ProcessKilledAtAnyMoment_LosesNothingThatWasConfirmed));
        var confirmed = new Dictionary<string, string>();
        int unfinished = 0, total = 0;
        string folder = "";
        for (int kill = 0; kill < kills; kill++)
        {
            if (kill % 12 == 0)
            {
                // A fresh folder now and then, or re-hashing takes ever longer.
                folder = Directory.CreateDirectory(Path.Combine(_folder, $"quilt-{kill}")).FullName;
                confirmed.Clear();
            }

            string said = RunAndKill(folder, random.Seed + kill, afterFirst: kill % 6 != 0, random.Between(0, 1));
            foreach (string line in said.Split('\n').Where(l => l.Contains(' ', StringComparison.Ordinal) && l.Length > 65))
            {
                confirmed[line.Split(' ')[0]] = line.Split(' ')[1].Trim();
            }

            using HoopingLog log = HoopingLog.Open(folder).Value!;
            var entries = log.Entries().ToDictionary(e => e.Number.ToString(CultureInfo.InvariantCulture), e => e.Hash);
            Assert.All(confirmed, c => Assert.Equal(c.Value, entries[c.Key]));
            LogVerified found = log.Verify();
            Assert.True(found.Damage.Count == 0, $"seed {random.Seed}, kill {kill}: {string.Join(" ", found.Damage)}");
            unfinished += found.Unnamed.Count > 0 ? 1 : 0;
            total += found.Entries > 0 ? 1 : 0;
            if (kill % 12 == 11)
            {
                Directory.Delete(folder, recursive: true);
            }
        }

        // The kills did hit: entries were there, and some were caught half-way.
        Assert.True(total > kills / 2 && unfinished > 0, $"{total} with entries, {unfinished} caught half-way, of {kills}");
    }

    private static string RunAndKill(string folder, int seed, bool afterFirst, double when)
    {
        var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true };
        foreach (string word in new[] { typeof(HoopingLogTests).Assembly.Location, "add-until-killed", folder, seed.ToString(CultureInfo.InvariantCulture) })
        {
            start.ArgumentList.Add(word);
        }

        using Process child = Process.Start(start)!;
        // The first entry takes longer, because it loads the code.
        string first = afterFirst ? child.StandardOutput.ReadLine() + "\n" : "";

        // Some are killed while they start, make or open the log; the others within their first dozens of entries.
        Thread.Sleep(TimeSpan.FromMilliseconds(afterFirst ? when * 150 : 50 + (when * 500)));
        child.Kill();
        string said = first + child.StandardOutput.ReadToEnd();
        child.WaitForExit();

        // A line that was cut off was not said to its end, and its entry was confirmed all the same: it counts as unconfirmed.
        return said.EndsWith('\n') ? said : said[..(said.LastIndexOf('\n') + 1)];
    }

    private HoopingLog Open() => HoopingLog.Open(_folder).Value!;

    private void Sql(string statement)
    {
        using var connection = new SqliteConnection($"Data Source={Database};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = statement;
        command.ExecuteNonQuery();
    }
}
