package gauge

import (
	"fmt"
	"slices"

	"slatewright/sheet"
)

// Reversal is a list of readings before and after the turn: of a straightedge (X, As and Turned) or of a level (Places, Forward and Back).
type Reversal struct {
	U             float64   // standard uncertainty of one reading: mm, or divisions of the level
	X             []float64 // stations of the edge, mm
	As, Turned    [][]float64
	Places        []string
	Forward, Back []float64
	Warnings      []string
}

// ReadReversal reads a list with '# u:' and the columns way (as or turned), pass, x and gap, for a straightedge; or place, forward and back, for
// a level, in divisions or any other unit of its own. Every pass reads the same stations.
func ReadReversal(s *sheet.Sheet) (*Reversal, error) {
	r := &Reversal{}
	if _, ok := s.Has("gap"); ok {
		return r, r.edge(s)
	}
	columns, err := s.Columns([]string{"place", "forward", "back"})
	if err != nil {
		return nil, err
	}
	u, ok, err := s.TakeNumber("u")
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, s.Bad(1, "no-u", "the doubt of a reading is not given", "write '# u: 0.2', the standard uncertainty in the unit of the readings")
	}
	r.U = u
	for _, row := range s.Rows {
		f, err := s.Number(row, columns["forward"])
		if err != nil {
			return nil, err
		}
		b, err := s.Number(row, columns["back"])
		if err != nil {
			return nil, err
		}
		r.Places, r.Forward, r.Back = append(r.Places, row.Text(columns["place"])), append(r.Forward, f), append(r.Back, b)
	}
	r.Warnings = s.Rest()
	return r, nil
}

// edge reads the passes of a straightedge.
func (r *Reversal) edge(s *sheet.Sheet) error {
	columns, err := s.Columns([]string{"way", "x", "gap"}, "pass")
	if err != nil {
		return err
	}
	u, ok, err := s.TakeLength("u")
	if err != nil {
		return err
	}
	if !ok {
		return s.Bad(1, "no-u", "the doubt of a gap is not given", "write '# u: 0.015 mm', its standard uncertainty")
	}
	r.U = u
	gaps := map[string]map[float64]float64{}
	var order []string
	for _, row := range s.Rows {
		way := row.Text(columns["way"])
		if way != "as" && way != "turned" {
			return s.Bad(row.Line, "bad-word", fmt.Sprintf("way = %q", way), "write as for the edge as it lies, turned for the edge after its turn")
		}
		x, err := s.Length(row, columns["x"])
		if err != nil {
			return err
		}
		gap, err := s.Length(row, columns["gap"])
		if err != nil {
			return err
		}
		pass := way + " " + row.Text(columns["pass"])
		if gaps[pass] == nil {
			gaps[pass] = map[float64]float64{}
			order = append(order, pass)
		}
		if _, twice := gaps[pass][x]; twice {
			return s.Bad(row.Line, "twice", fmt.Sprintf("x %g was read twice in the pass %q", x, pass), "number the passes in the column pass")
		}
		gaps[pass][x] = gap
		if !slices.Contains(r.X, x) {
			r.X = append(r.X, x)
		}
	}
	slices.Sort(r.X)
	for _, pass := range order {
		var list []float64
		for _, x := range r.X {
			gap, ok := gaps[pass][x]
			if !ok {
				return s.Bad(s.Rows[0].Line, "missing", fmt.Sprintf("the pass %q has no reading at x %g mm", pass, x), "read every station in every pass")
			}
			list = append(list, gap)
		}
		if pass[:2] == "as" {
			r.As = append(r.As, list)
		} else {
			r.Turned = append(r.Turned, list)
		}
	}
	r.Warnings = s.Rest()
	return nil
}
