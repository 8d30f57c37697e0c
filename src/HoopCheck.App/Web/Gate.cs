using System.Buffers.Text;
using System.Collections.Concurrent;
using System.Security.Cryptography;

namespace HoopCheck.App.Web;

/// <summary>
/// Who may come in. A key is good once and for a quarter of an hour; it is exchanged for a token that the phone keeps as a cookie until the
/// program ends. Both are random (128 and 256 bits); of tokens only the hash is kept.
/// </summary>
/// <param name="clock">Tells when a key is too old.</param>
internal sealed class Gate(TimeProvider clock)
{
    /// <summary>How long a key may be used.</summary>
    public static readonly TimeSpan KeyLasts = TimeSpan.FromMinutes(15);

    private const int MostKeys = 8, MostDevices = 64;

    private readonly Lock _lock = new();
    private readonly List<(string Key, DateTimeOffset Until)> _keys = [];
    private readonly ConcurrentDictionary<string, DateTimeOffset> _devices = new(StringComparer.Ordinal);

    /// <summary>A new key. The oldest of many is forgotten.</summary>
    public string NewKey()
    {
        string key = Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(16));
        lock (_lock)
        {
            Forget();
            if (_keys.Count >= MostKeys)
            {
                _keys.RemoveAt(0);
            }

            _keys.Add((key, clock.GetUtcNow() + KeyLasts));
        }

        return key;
    }

    /// <summary>Whether a key could be used now. Does not use it up: what looks at an address before a person does must not spend it.</summary>
    public bool IsGood(string key)
    {
        lock (_lock)
        {
            Forget();
            return Find(key) >= 0;
        }
    }

    /// <summary>Uses up a key.</summary>
    /// <returns>The device's token, or null for a key that is wrong, used or too old.</returns>
    public string? Exchange(string key)
    {
        lock (_lock)
        {
            Forget();
            int at = Find(key);
            if (at < 0)
            {
                return null;
            }

            _keys.RemoveAt(at);
        }

        string token = Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(32));
        _devices[Name(token)] = clock.GetUtcNow();
        while (_devices.Count > MostDevices && _devices.MinBy(d => d.Value) is { } oldest)
        {
            _devices.TryRemove(oldest);
        }

        return token;
    }

    /// <summary>A name for the device of a token, for keeping devices apart.</summary>
    /// <returns>The name, or null where the token is none of ours.</returns>
    public string? Device(string? token) => token is { Length: > 0 and < 100 } && Name(token) is { } name && _devices.ContainsKey(name) ? name : null;

    private static string Name(string token) => Convert.ToHexString(SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(token)));

    private void Forget() => _keys.RemoveAll(k => k.Until <= clock.GetUtcNow());

    private int Find(string key)
    {
        byte[] given = System.Text.Encoding.UTF8.GetBytes(key);
        return _keys.FindIndex(k => CryptographicOperations.FixedTimeEquals(System.Text.Encoding.UTF8.GetBytes(k.Key), given));
    }
}
