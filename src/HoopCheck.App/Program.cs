using System.Text;
using HoopCheck.App;

// Signs such as ± and − are part of the answers, whatever the console was set to.
Console.OutputEncoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false);
return Cli.Run(args, Terminal.OfProcess());
