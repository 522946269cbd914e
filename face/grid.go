package face

import "slices"

const (
	// gridMost is the largest number of readings that can be a grid read by hand; more are a scan (common practice, no source).
	gridMost = 10_000
	// gridWidth is how far apart, in mm, readings of one station line may lie: stations are set by stops, pencil lines or a bridge
	// (common practice, no source).
	gridWidth = 1.0
	// gridFull is the share of the crossings that must have been read; the rest may be gaps, such as pockets.
	gridFull = 0.75
)

// Grid finds the stations of a face that was read on a grid, such as 9 x 6: the x of its columns and the y of its rows in mm,
// ascending, in the file's frame. Joint rows are left aside. Each reading must lie within 1 mm of the others of its column and its row,
// columns and rows must be more than that apart, and at least three quarters of the crossings (two columns and two rows or more) must
// hold a reading: a crossing may be a gap. A scan is no grid: ok is false, also for any face of more than 10,000 readings.
func (f *Face) Grid() (xs, ys []float64, ok bool) {
	if f.Len() > gridMost {
		return nil, nil, false
	}
	var x, y []float64
	for i := range f.Z {
		if f.Row == nil || f.Row[i] == NoRow {
			x, y = append(x, f.X[i]), append(y, f.Y[i])
		}
	}
	xs, okX := stations(x)
	ys, okY := stations(y)
	crossings := len(xs) * len(ys)
	if !okX || !okY || float64(len(x)) < float64(gridFull*float64(crossings)) {
		return nil, nil, false
	}
	read, n := make([]bool, crossings), 0
	for i := range x {
		at := Station(xs, x[i])*len(ys) + Station(ys, y[i])
		if !read[at] {
			read[at] = true
			n++
		}
	}
	if float64(n) < float64(gridFull*float64(crossings)) {
		return nil, nil, false
	}
	return xs, ys, true
}

// stations parts coordinates at gaps of more than gridWidth and returns the middle of each group; false if a group is wider or there is
// only one.
func stations(v []float64) ([]float64, bool) {
	v = slices.Sorted(slices.Values(v))
	var out []float64
	for i := 0; i < len(v); {
		j := i + 1
		for j < len(v) && v[j]-v[j-1] <= gridWidth {
			j++
		}
		spread := v[j-1] - v[i]
		if spread > gridWidth {
			return nil, false
		}
		out = append(out, v[i]+float64(spread/2))
		i = j
	}
	return out, len(out) >= 2
}

// Station returns the index of the station nearest to v, the lower one of two equally near. The stations are ascending, at least one.
func Station(stations []float64, v float64) int {
	i, exact := slices.BinarySearch(stations, v)
	if exact || i == 0 {
		return i
	}
	if i == len(stations) || v-stations[i-1] <= stations[i]-v {
		return i - 1
	}
	return i
}
