package stockfile

import (
	"fmt"
	"math"
	"strconv"

	"slatewright/face"
	"slatewright/measure"
	"slatewright/sets"
	"slatewright/sheet"
)

// edge is one joint edge of a piece.
type edge struct {
	name string
	mark face.Row
	sign float64
}

// edges are the two, in the order in which readings stand in a face.
var edges = [2]edge{{"minus", face.JointMinus, -1}, {"plus", face.JointPlus, 1}}

// Where a face that is made of few numbers has its readings: five by nine of them, and where the nine heights of an edge are read when the list does
// not say it ('# from ends:', '# from arris:'), mm. Common practice, no source.
const (
	gridX, gridY          = 5, 9
	fromEnds, fromArris   = 20.0, 10.0
	mostBow               = 50.0
	farFromEnds, farInset = 300.0, 25.0 // seating takes an edge for read within 15 mm, a face for a row within 25
)

// rowPlaces are the places of the nine heights.
type rowPlaces struct{ ends, arris float64 }

// places reads where the heights were read.
func (r *reader) places() (p rowPlaces, err error) {
	p = rowPlaces{fromEnds, min(fromArris, r.terms.Spec.JointRow.MaxFromArris)}
	for _, k := range []struct {
		key  string
		into *float64
		most float64
	}{{"from ends", &p.ends, farFromEnds}, {"from arris", &p.arris, farInset}} {
		h, given, err := r.list.Take(k.key)
		if err != nil {
			return p, err
		}
		if !given {
			continue
		}
		v, err := measure.ParseLength(h.Value)
		if err != nil || v < 0 || v > k.most {
			return p, r.list.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q is not where heights of an edge are read", k.key, h.Value), fmt.Sprintf("write a length from 0 to %g mm, such as 20 mm", k.most))
		}
		*k.into = v
	}
	return p, nil
}

// made makes a face of the numbers of a row: bow along A, bow across B and twist 4T, positive as in the design's formula, and the heights of an edge. nil
// where the row has none.
//
// The heights of an edge are from any straight line, positive upwards: only their shape counts. Where the edge stands as a whole comes from A, B and T, by
// the line of least squares through the difference.
func (r *reader) made(row sheet.Row, p sets.Piece) (*face.Face, error) {
	shape, given, err := r.numbers(row, bows, mostBow)
	if err != nil {
		return nil, err
	}
	var heights [2][]float64
	for k, e := range edges {
		names := make([]string, stationsAlong)
		for i := range names {
			names[i] = e.name + " " + strconv.Itoa(i+1)
		}
		var n int
		if heights[k], n, err = r.numbers(row, names, mostBow); err != nil {
			return nil, err
		}
		switch {
		case n == 0:
			heights[k] = nil
		case n < stationsAlong:
			return nil, r.bad(row, "half-row", fmt.Sprintf("%d of the nine heights along the %s edge are given", n, e.name), "give all nine, or none")
		case given == 0:
			return nil, r.bad(row, "no-shape", "heights along a joint are given, and neither bow nor twist", "give bow along, bow across and twist too")
		}
	}
	switch given {
	case 0:
		return nil, nil
	case len(bows):
	default:
		return nil, r.bad(row, "half-shape", fmt.Sprintf("%d of bow along, bow across and twist are given", given), "give all three, or none; 0 where there is none")
	}
	x, y, err := measure.ParseSize(p.Size)
	if err != nil {
		x, y = r.terms.Spec.PieceSize()
		if !r.terms.Sized {
			r.sizeOf++
		}
	}
	if min(x, y) < 4*(r.rows.ends+r.rows.arris+r.terms.Spec.EdgeBand) || max(x, y) > widest {
		return nil, r.bad(row, "bad-size", fmt.Sprintf("a piece of %s x %s mm is none of a bed", measure.Decimal(x, 0), measure.Decimal(y, 0)), "write its size as along by across, such as 914 x 1473 mm")
	}
	f := form{x: x, y: y, along: shape[0], across: shape[1], twist: shape[2]}
	return f.face(fmt.Sprintf("%s:%d", r.list.Name, row.Line), p.ID, r.terms.Spec.EdgeBand, r.rows, heights), nil
}

// numbers reads lengths that may be left out, and counts those that are there.
func (r *reader) numbers(row sheet.Row, names []string, most float64) (values []float64, given int, err error) {
	values = make([]float64, len(names))
	for i, name := range names {
		c := r.columns[name]
		if row.Text(c) == "" {
			continue
		}
		if values[i], err = r.list.Length(row, c); err != nil {
			return nil, 0, err
		}
		if math.Abs(values[i]) > most {
			return nil, 0, r.bad(row, "bad-number", fmt.Sprintf("%s = %s mm is far beyond any face", name, measure.Decimal(values[i], 3)), "check its unit: it stands in the title")
		}
		given++
	}
	return values, given, nil
}

// form is the shape of a face by second order, mm: see the design's formula for A, B and 4T.
type form struct{ x, y, along, across, twist float64 }

// at is the height at a place of the piece frame.
func (f form) at(x, y float64) float64 {
	u, v := 2*x/f.x, 2*y/f.y
	return float64(f.along*(1-float64(u*u))) + float64(f.across*(1-float64(v*v))) + float64(f.twist/4*u*v)
}

// face gives the form the readings that seating wants: a grid inside the edge band, and a row along each joint.
func (f form) face(name, id string, band float64, at rowPlaces, heights [2][]float64) *face.Face {
	out := &face.Face{Header: face.Header{Name: name, Piece: id, SizeX: f.x, SizeY: f.y, Side: face.Top}}
	take := func(x, y, z float64, mark face.Row) {
		out.X, out.Y, out.Z, out.Row = append(out.X, x), append(out.Y, y), append(out.Z, z), append(out.Row, mark)
	}
	for _, x := range spread(gridX, f.x/2-band) {
		for _, y := range spread(gridY, f.y/2-band) {
			take(x, y, f.at(x, y), face.NoRow)
		}
	}
	ys := spread(stationsAlong, f.y/2-at.ends)
	for k, e := range edges {
		x := e.sign * (f.x/2 - at.arris)
		own := make([]float64, len(ys))
		for i, y := range ys {
			own[i] = f.at(x, y)
		}
		for i, d := range crooked(ys, own, heights[k]) {
			take(x, ys[i], own[i]+d, e.mark)
		}
	}
	return out
}

// spread is n places from −reach to +reach.
func spread(n int, reach float64) []float64 {
	at := make([]float64, n)
	for i := range at {
		at[i] = reach * float64(2*i-n+1) / float64(n-1)
	}
	return at
}

// crooked is by how much heights differ from those of the form, without the straight line that fits the differences best; the places are symmetric
// about 0, so its slope and its middle part. No heights differ by nothing.
func crooked(ys, own, heights []float64) []float64 {
	d := make([]float64, len(ys))
	if heights == nil {
		return d
	}
	sum, turn, arm := 0.0, 0.0, 0.0
	for i := range ys {
		d[i] = heights[i] - own[i]
		sum += d[i]
		turn += ys[i] * d[i]
		arm += ys[i] * ys[i]
	}
	for i := range d {
		d[i] -= sum/float64(len(d)) + turn/arm*ys[i]
	}
	return d
}
