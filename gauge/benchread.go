package gauge

import (
	"fmt"
	"math"
	"slices"

	"slatewright/sheet"
)

// ReadBenchMap reads a bench's map: the columns x, y, height and u (standard uncertainty), one crossing of a full grid a row, and '# correlation:', the
// length over which two errors of the map hang together as exp(−distance/length). Without it they count as independent, and a warning says so.
func ReadBenchMap(s *sheet.Sheet) (m *BenchMap, warnings []string, err error) {
	columns, err := s.Columns([]string{"x", "y", "height", "u"})
	if err != nil {
		return nil, nil, err
	}
	together, ok, err := s.TakeLength("correlation")
	if err != nil {
		return nil, nil, err
	}
	if warnings = s.Rest(); !ok {
		warnings = append(warnings, "the errors of the bench map count as independent of each other: give '# correlation:', or the doubt of a bow is too small")
	}
	m = &BenchMap{}
	read := map[[2]float64][2]float64{}
	for _, row := range s.Rows {
		var v [4]float64
		for i, name := range []string{"x", "y", "height", "u"} {
			if v[i], err = s.Length(row, columns[name]); err != nil {
				return nil, nil, err
			}
		}
		if _, twice := read[[2]float64{v[0], v[1]}]; twice || v[3] < 0 {
			return nil, nil, s.Bad(row.Line, "bad-crossing", fmt.Sprintf("x %g y %g stands twice, or its u is below 0", v[0], v[1]), "correct the line")
		}
		read[[2]float64{v[0], v[1]}] = [2]float64{v[2], v[3]}
		m.X, m.Y = added(m.X, v[0]), added(m.Y, v[1])
	}
	if len(m.X)*len(m.Y) != len(read) || len(read) > mostCrossings {
		return nil, nil, s.Bad(s.Rows[0].Line, "no-grid", fmt.Sprintf("%d crossings of %d by %d lines (%d are the most)", len(read), len(m.X), len(m.Y), mostCrossings), "give every crossing of a grid once")
	}
	m.fill(read, together)
	return m, warnings, m.Check()
}

// mostCrossings bounds a map: its covariance has the square of that.
const mostCrossings = 2000

// added keeps a rising list of different numbers.
func added(list []float64, v float64) []float64 {
	i, found := slices.BinarySearch(list, v)
	if found {
		return list
	}
	return slices.Insert(list, i, v)
}

// fill sets heights and covariance.
func (m *BenchMap) fill(read map[[2]float64][2]float64, together float64) {
	var places [][2]float64
	var u []float64
	for _, x := range m.X {
		var line []float64
		for _, y := range m.Y {
			v := read[[2]float64{x, y}]
			line, places, u = append(line, v[0]), append(places, [2]float64{x, y}), append(u, v[1])
		}
		m.Height = append(m.Height, line)
	}
	for i, a := range places {
		row := make([]float64, len(places))
		for k, b := range places {
			switch {
			case i == k:
				row[k] = u[i] * u[i]
			case together > 0:
				row[k] = u[i] * u[k] * math.Exp(-math.Hypot(a[0]-b[0], a[1]-b[1])/together)
			}
		}
		m.Covariance = append(m.Covariance, row)
	}
}
