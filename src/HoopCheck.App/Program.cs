Console.WriteLine("hoopcheck");
