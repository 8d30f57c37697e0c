global using HoopPoint = HoopCheck.Geometry.Point<HoopCheck.Geometry.Hoop>;
global using PhotoPoint = HoopCheck.Geometry.Point<HoopCheck.Geometry.Photo>;
global using HoopVector = HoopCheck.Geometry.Vector<HoopCheck.Geometry.Hoop>;
global using QuiltPoint = HoopCheck.Geometry.Point<HoopCheck.Geometry.Quilt>;
