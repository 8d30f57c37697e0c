global using Xunit;
global using HoopPoint = HoopCheck.Geometry.Point<HoopCheck.Geometry.Hoop>;
global using HoopVector = HoopCheck.Geometry.Vector<HoopCheck.Geometry.Hoop>;
global using PhotoPoint = HoopCheck.Geometry.Point<HoopCheck.Geometry.Photo>;
global using PhotoVector = HoopCheck.Geometry.Vector<HoopCheck.Geometry.Photo>;
