package face

import "slatewright/stations"

// Grid finds the stations of a face that was read on a grid, such as 9 x 6, by the rule of package stations: the x of its columns
// and the y of its rows in mm, rising, in the file's frame. Joint rows are left aside. A scan is no grid: ok is false.
func (f *Face) Grid() (xs, ys []float64, ok bool) {
	x, y := f.X, f.Y
	if f.Row != nil {
		x, y = nil, nil
		for i, mark := range f.Row {
			if mark == NoRow {
				x, y = append(x, f.X[i]), append(y, f.Y[i])
			}
		}
	}
	g, ok := stations.Find(x, y)
	return g.X, g.Y, ok
}
