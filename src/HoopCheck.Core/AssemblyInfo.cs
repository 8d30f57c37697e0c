using System.Runtime.CompilerServices;

[assembly: InternalsVisibleTo("HoopCheck.Tests")]
[assembly: InternalsVisibleTo("lab")]
