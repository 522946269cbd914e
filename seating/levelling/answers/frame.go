package answers

import (
	"fmt"
	"io"
	"math"

	"slatewright/bed"
	"slatewright/sheet"
)

// atSupport is how far from a support of the frame its height may be read and still count for it, mm.
const atSupport = 50.0

// Heights reads how high the frame stands under each support: a list with the columns piece, x, y (in the frame of the piece as it
// lies) and height, from any level. Every support needs its line. Errors are *trouble.Trouble with file and line.
func (a Ask) Heights(name string, r io.Reader) (out [3][]float64, err error) {
	s, err := sheet.Read(name, r)
	if err != nil {
		return out, err
	}
	columns, err := s.Columns([]string{"piece", "x", "y", "height"})
	if err != nil {
		return out, err
	}
	supports := a.supports()
	for k := range out {
		out[k] = make([]float64, len(supports[k]))
		for i := range out[k] {
			out[k][i] = math.NaN()
		}
	}
	for _, row := range s.Rows {
		var place bed.Place
		if err := place.UnmarshalText([]byte(row.Text(columns["piece"]))); err != nil {
			return out, s.Bad(row.Line, "no-place", fmt.Sprintf("%q is no place of a bed", row.Text(columns["piece"])), "write head, centre or foot")
		}
		var v [3]float64
		for i, c := range [3]string{"x", "y", "height"} {
			if v[i], err = s.Length(row, columns[c]); err != nil {
				return out, err
			}
		}
		i := nearest(supports[place], v[0], v[1])
		switch {
		case i < 0:
			return out, s.Bad(row.Line, "no-support", fmt.Sprintf("no support of the %s piece stands within %g mm of x %g, y %g mm", place, atSupport, v[0], v[1]), "write the places as the specification has them")
		case !math.IsNaN(out[place][i]):
			return out, s.Bad(row.Line, "twice", fmt.Sprintf("the height of this support of the %s piece stands here twice", place), "keep one of the two lines")
		}
		out[place][i] = v[2]
	}
	for k, heights := range out {
		for i, h := range heights {
			if math.IsNaN(h) {
				at := supports[k][i]
				return out, s.Bad(s.Rows[len(s.Rows)-1].Line, "missing-support", fmt.Sprintf("the height of the frame under the %s piece at x %g, y %g mm is missing", bed.Place(k), at[0], at[1]), "add its line")
			}
		}
	}
	return out, nil
}

// supports are those of the frame assumed, or of the specification.
func (a Ask) supports() [3][][2]float64 {
	out := a.Spec.Supports
	if a.Frame != nil {
		x, y := a.Spec.PieceSize()
		for k := range out {
			out[k] = a.Frame.Supports(x, y)
		}
	}
	return out
}

func nearest(list [][2]float64, x, y float64) int {
	at, best := -1, atSupport
	for i, p := range list {
		if d := math.Hypot(p[0]-x, p[1]-y); d <= best {
			at, best = i, d
		}
	}
	return at
}
