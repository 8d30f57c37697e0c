using System.Runtime.CompilerServices;

[assembly: InternalsVisibleTo("HoopCheck.Tests")]
