using System.Globalization;
using System.Text;
using HoopCheck.Rules;
using Microsoft.Data.Sqlite;

namespace HoopCheck.App.Quilts;

/// <summary>
/// The log of a quilt: one SQLite file, to which entries are only ever added. An entry that was confirmed is there whole, files included, whatever
/// happens next: its files are written and flushed first, then one transaction names them (write-ahead log, synchronous FULL). One that was not is not there at all.
/// </summary>
internal sealed class HoopingLog : IDisposable
{
    /// <summary>The log's file in the quilt's folder.</summary>
    public const string FileName = "log.db";

    /// <summary>Number of the tables' form. Every change of them gets the next number and a step from the one before.</summary>
    private const int Schema = 1;

    private const string Tables =
        """
        CREATE TABLE entry (
            number  INTEGER PRIMARY KEY CHECK (number > 0),
            kind    TEXT NOT NULL,
            hooping INTEGER,
            at      TEXT NOT NULL,
            program TEXT NOT NULL,
            body    TEXT NOT NULL,
            hash    TEXT NOT NULL
        ) STRICT;
        CREATE TABLE file (
            entry INTEGER NOT NULL REFERENCES entry (number),
            role  TEXT NOT NULL,
            name  TEXT NOT NULL,
            bytes INTEGER NOT NULL,
            PRIMARY KEY (entry, role)
        ) STRICT, WITHOUT ROWID;
        CREATE TABLE papers (
            entry    INTEGER PRIMARY KEY REFERENCES entry (number),
            report   TEXT NOT NULL,
            settings TEXT NOT NULL
        ) STRICT;
        CREATE TRIGGER entry_stays  BEFORE UPDATE ON entry  BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
        CREATE TRIGGER entry_kept   BEFORE DELETE ON entry  BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
        CREATE TRIGGER file_stays   BEFORE UPDATE ON file   BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
        CREATE TRIGGER file_kept    BEFORE DELETE ON file   BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
        CREATE TRIGGER papers_stay  BEFORE UPDATE ON papers BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
        CREATE TRIGGER papers_kept  BEFORE DELETE ON papers BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
        PRAGMA user_version = 1;
        """;

    private readonly SqliteConnection _connection;
    private readonly TimeProvider _clock;

    private HoopingLog(string folder, SqliteConnection connection, TimeProvider clock) => (Folder, _connection, _clock) = (folder, connection, clock);

    /// <summary>The quilt's folder.</summary>
    public string Folder { get; }

    private string Photos => Path.Combine(Folder, QuiltFolder.PhotosName);

    /// <summary>This program's version, as it is written into entries.</summary>
    public static string Program { get; } = typeof(HoopingLog).Assembly.GetName().Version?.ToString(3) ?? "?";

    /// <summary>Opens the log of a folder, and makes it where there is none yet.</summary>
    /// <param name="folder">The quilt's folder.</param>
    /// <param name="clock">Tells when an entry is made; null: the system's.</param>
    /// <returns>The log, or HC155.</returns>
    public static Outcome<HoopingLog> Open(string folder, TimeProvider? clock = null)
    {
        string file = Path.Combine(folder, FileName), photos = Path.Combine(folder, QuiltFolder.PhotosName);
        SqliteConnection? connection = null;
        try
        {
            bool isNew = !File.Exists(file);
            Directory.CreateDirectory(photos);
            if (isNew && Directory.EnumerateFiles(photos).Any())
            {
                return new Problem(Problems.LogUnusable, $"{file} is missing, though there are photos: a new one would forget them.");
            }

            // Without a pool the file is closed with the connection, and what stood beside it is taken in: one file that can be copied.
            connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Pooling = false, DefaultTimeout = 10 }.ToString());
            connection.Open();
            var log = new HoopingLog(folder, connection, clock ?? TimeProvider.System);
            log.Execute("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;");
            if (log.Prepare() is { } problem)
            {
                connection.Dispose();
                return problem;
            }

            if (isNew)
            {
                PhotoStore.Flush(folder);
            }

            return log;
        }
        catch (Exception e) when (e is SqliteException || PhotoFile.IsFileTrouble(e))
        {
            connection?.Dispose();
            return new Problem(Problems.LogUnusable, Reason(file, e));
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _connection.Dispose();

    /// <summary>All entries, the oldest first; without their papers.</summary>
    /// <param name="hooping">Only those of one hooping; null: all.</param>
    public IReadOnlyList<LogEntry> Entries(int? hooping = null)
    {
        // In the order of the primary key, which costs no sorting; the photo then goes before the marked picture.
        var files = new Dictionary<long, List<LogFile>>();
        using (SqliteDataReader row = Query("SELECT entry, role, name, bytes FROM file ORDER BY entry, role"))
        {
            while (row.Read())
            {
                long entry = row.GetInt64(0);
                if (!files.TryGetValue(entry, out List<LogFile>? list))
                {
                    files[entry] = list = new(2);
                }

                list.Insert(0, new(row.GetString(1), row.GetString(2), row.GetInt64(3)));
            }
        }

        var entries = new List<LogEntry>();
        using (SqliteDataReader row = Query(
            "SELECT number, kind, hooping, at, program, body, hash FROM entry WHERE $hooping IS NULL OR hooping = $hooping ORDER BY number", ("$hooping", hooping)))
        {
            while (row.Read())
            {
                long number = row.GetInt64(0);
                entries.Add(new(
                    number, Kind(row.GetString(1)), row.IsDBNull(2) ? null : row.GetInt32(2),
                    DateTimeOffset.ParseExact(row.GetString(3), TimeForm, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal),
                    row.GetString(4), row.GetString(5), files.TryGetValue(number, out List<LogFile>? list) ? list : [], row.GetString(6)));
            }
        }

        return entries;
    }

    /// <summary>An entry's report and settings; null where it has none.</summary>
    public EntryPapers? Papers(long number)
    {
        using SqliteDataReader row = Query("SELECT report, settings FROM papers WHERE entry = $entry", ("$entry", number));
        return row.Read() ? new(row.GetString(0), row.GetString(1)) : null;
    }

    /// <summary>Path of an entry's file. Whatever a log from elsewhere says, it lies in the folder of the photos.</summary>
    public string PathOf(LogFile file) => Path.Combine(Photos, Path.GetFileName(file.Name));

    /// <summary>Adds an entry. When it returns a value, the entry is on the disk.</summary>
    /// <param name="kind">What it tells.</param>
    /// <param name="hooping">The hooping; null: the whole quilt.</param>
    /// <param name="body">One of the records of <see cref="EntryBody"/>.</param>
    /// <param name="files">Its files; null: none.</param>
    /// <param name="papers">Its report and settings; null: none.</param>
    /// <returns>The entry, or HC156 where it could not be written; then nothing of it counts.</returns>
    public Outcome<LogEntry> Add(EntryKind kind, int? hooping, object body, IReadOnlyList<NewFile>? files = null, EntryPapers? papers = null)
    {
        try
        {
            LogFile[] stored = [.. (files ?? []).Select(f => new LogFile(f.Role, PhotoStore.Put(Photos, f.Content, f.Ending), f.Content.LongLength))];
            using SqliteTransaction transaction = _connection.BeginTransaction(deferred: false);
            (long last, string before) = Last();
            string at = _clock.GetUtcNow().ToString(TimeForm, CultureInfo.InvariantCulture), text = EntryBody.Write(body);
            LogEntry entry = new(last + 1, kind, hooping, DateTimeOffset.ParseExact(at, TimeForm, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal), Program, text, stored, "");
            entry = entry with { Hash = HashOf(entry, before, papers) };
            Execute(
                "INSERT INTO entry (number, kind, hooping, at, program, body, hash) VALUES ($number, $kind, $hooping, $at, $program, $body, $hash)",
                ("$number", entry.Number), ("$kind", Word(kind)), ("$hooping", hooping), ("$at", at), ("$program", Program), ("$body", text), ("$hash", entry.Hash));
            foreach (LogFile file in stored)
            {
                Execute(
                    "INSERT INTO file (entry, role, name, bytes) VALUES ($entry, $role, $name, $bytes)",
                    ("$entry", entry.Number), ("$role", file.Role), ("$name", file.Name), ("$bytes", file.Bytes));
            }

            if (papers is not null)
            {
                Execute("INSERT INTO papers (entry, report, settings) VALUES ($entry, $report, $settings)", ("$entry", entry.Number), ("$report", papers.Report), ("$settings", papers.Settings));
            }

            transaction.Commit();
            return entry;
        }
        catch (Exception e) when (e is SqliteException || PhotoFile.IsFileTrouble(e))
        {
            return new Problem(Problems.EntryNotWritten, Reason(Path.Combine(Folder, FileName), e));
        }
    }

    /// <summary>Re-hashes everything: the database's own check, each entry's hash and the chain, each file.</summary>
    public LogVerified Verify()
    {
        var damage = new List<string>();
        using (SqliteDataReader row = Query("PRAGMA integrity_check"))
        {
            while (row.Read())
            {
                if (row.GetString(0) is not "ok" and var wrong)
                {
                    damage.Add($"{FileName}: {wrong.ReplaceLineEndings(" ")}");
                }
            }
        }

        string before = "";
        long expected = 1, bytes = 0;
        var known = new Dictionary<string, bool>(StringComparer.Ordinal);
        IReadOnlyList<LogEntry> entries = Entries();
        foreach (LogEntry entry in entries)
        {
            if (entry.Number != expected)
            {
                damage.Add($"Entry {expected} is missing.");
            }

            if (HashOf(entry, before, Papers(entry.Number)) != entry.Hash)
            {
                damage.Add($"Entry {entry.Number} is not what was written.");
            }

            (before, expected) = (entry.Hash, entry.Number + 1);
            foreach (LogFile file in entry.Files.Where(f => !known.ContainsKey(f.Name)))
            {
                string path = PathOf(file);
                bool whole = File.Exists(path) && new FileInfo(path).Length == file.Bytes && PhotoStore.HashOf(path) == file.Hash;
                known[file.Name] = whole;
                bytes += whole ? file.Bytes : 0;
                if (!whole)
                {
                    damage.Add($"Entry {entry.Number}: {QuiltFolder.PhotosName}/{file.Name} {(File.Exists(path) ? "is not what was written" : "is missing")}.");
                }
            }
        }

        string[] unnamed = [.. Directory.EnumerateFiles(Photos).Select(f => Path.GetFileName(f)!).Where(f => !known.ContainsKey(f)).Order(StringComparer.Ordinal)];
        return new(entries.Count, known.Count, bytes, damage, unnamed);
    }

    private const string TimeForm = "yyyy-MM-dd'T'HH:mm:ss.fff'Z'";

    /// <summary>The word a kind is stored as.</summary>
    public static string Word(EntryKind kind) => kind.ToString().ToLowerInvariant();

    private static readonly Dictionary<string, EntryKind> s_kinds = Enum.GetValues<EntryKind>().ToDictionary(Word, kind => kind);

    private static EntryKind Kind(string word) => s_kinds.TryGetValue(word, out EntryKind kind) ? kind : throw new LogBrokenException($"The log has an entry of the unknown kind \"{word}\".");

    private static string HashOf(LogEntry entry, string before, EntryPapers? papers)
    {
        var text = new StringBuilder();
        foreach (string part in new[]
        {
            before, entry.Number.ToString(CultureInfo.InvariantCulture), Word(entry.Kind), entry.Hooping?.ToString(CultureInfo.InvariantCulture) ?? "",
            entry.At.ToString(TimeForm, CultureInfo.InvariantCulture), entry.Program, entry.Body, papers?.Report ?? "", papers?.Settings ?? "",
        }.Concat(entry.Files.OrderBy(f => f.Role, StringComparer.Ordinal).SelectMany(f => new[] { f.Role, f.Name, f.Bytes.ToString(CultureInfo.InvariantCulture) })))
        {
            // Each part with its length before it: no two entries have the same text.
            text.Append(CultureInfo.InvariantCulture, $"{part.Length}:{part}\n");
        }

        return PhotoStore.Hash(Encoding.UTF8.GetBytes(text.ToString()));
    }

    private Problem? Prepare()
    {
        if ((long)Scalar("PRAGMA user_version")! == Schema)
        {
            return null;
        }

        // Two may open a new folder at once: who comes second finds the tables made.
        using SqliteTransaction transaction = _connection.BeginTransaction(deferred: false);
        long version = (long)Scalar("PRAGMA user_version")!;
        switch (version)
        {
            case 0 when (long)Scalar("SELECT count(*) FROM sqlite_schema")! == 0:
                Execute(Tables);
                transaction.Commit();
                return null;
            case Schema:
                return null;
            case > Schema:
                return new(Problems.LogUnusable, string.Create(CultureInfo.InvariantCulture, $"{FileName} was written by a newer version (form {version}; this one knows up to {Schema})."));
            default:
                return new(Problems.LogUnusable, $"{FileName} is a database of something else.");
        }
    }

    private (long Number, string Hash) Last()
    {
        using SqliteDataReader row = Query("SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1");
        return row.Read() ? (row.GetInt64(0), row.GetString(1)) : (0, "");
    }

    private static string Reason(string file, Exception e) => e is SqliteException sql
        ? sql.SqliteErrorCode switch
        {
            5 or 6 => $"{file} is in use by another program.",
            8 or 14 => $"{file} may not be written.",
            11 or 26 => $"{file} is damaged, or no log.",
            13 => "The disk is full.",
            _ => string.Create(CultureInfo.InvariantCulture, $"{file} cannot be read or written (SQLite {sql.SqliteExtendedErrorCode})."),
        }
        : PhotoFile.Reason(file, e);

    private SqliteCommand Command(string text, (string Name, object? Value)[] values)
    {
        SqliteCommand command = _connection.CreateCommand();
        command.CommandText = text;
        foreach ((string name, object? value) in values)
        {
            command.Parameters.AddWithValue(name, value ?? DBNull.Value);
        }

        return command;
    }

    private void Execute(string text, params (string Name, object? Value)[] values)
    {
        using SqliteCommand command = Command(text, values);
        command.ExecuteNonQuery();
    }

    private object? Scalar(string text)
    {
        using SqliteCommand command = Command(text, []);
        return command.ExecuteScalar();
    }

    // The command must live as long as its reader; closing the connection frees it.
    private SqliteDataReader Query(string text, params (string Name, object? Value)[] values) => Command(text, values).ExecuteReader();
}

/// <summary>What re-hashing found.</summary>
/// <param name="Entries">How many entries there are.</param>
/// <param name="Files">How many different files they name.</param>
/// <param name="Bytes">Bytes of the files that are whole.</param>
/// <param name="Damage">What is wrong, one sentence each; empty when all is well.</param>
/// <param name="Unnamed">Files that no entry names: left by a call that was broken off before it was confirmed.</param>
internal sealed record LogVerified(int Entries, int Files, long Bytes, IReadOnlyList<string> Damage, IReadOnlyList<string> Unnamed);
