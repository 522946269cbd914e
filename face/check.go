package face

import (
	"fmt"
	"math"
	"slices"

	"slatewright/measure"
	"slatewright/trouble"
)

// face makes the face of the readings and checks what the file alone can show.
func (h *heading) face(r *readings, where place) (*Face, error) {
	if r.gaps > 0 {
		h.warnings = append(h.warnings, fmt.Sprintf("%s: no reading here (empty or NaN z); %s left out", where(r.gap), trouble.Count(r.gaps, "such station is", "such stations are")))
	}
	f := &Face{Header: h.Header, X: r.x, Y: r.y, Z: r.z, Row: r.row}
	if f.Len() == 0 {
		return nil, trouble.Data("no-readings", where(max(r.records, 1)), "the file holds no reading", "give at least one line x,y,z")
	}
	reading := func(i int) string { return where(r.record(i)) }
	warnings, err := f.check(reading)
	if err != nil {
		return nil, err
	}
	f.Warnings = append(append(h.warnings, warnings...), f.repeats(reading)...)
	return f, nil
}

// A box is the smallest rectangle around the readings, and the span of z.
type box struct{ lo, hi [3]float64 }

func (f *Face) box() box {
	var b box
	for k, v := range [3][]float64{f.X, f.Y, f.Z} {
		lo, hi := v[0], v[0]
		for _, c := range v[1:] {
			lo, hi = min(lo, c), max(hi, c)
		}
		b.lo[k], b.hi[k] = lo, hi
	}
	return b
}

func (b box) width(axis int) float64 { return b.hi[axis] - b.lo[axis] }

// swapped returns the box with x and y exchanged.
func (b box) swapped() box {
	b.lo[0], b.lo[1] = b.lo[1], b.lo[0]
	b.hi[0], b.hi[1] = b.hi[1], b.hi[0]
	return b
}

// scaled returns the box as it would be with every length k times as long.
func (b box) scaled(k float64) box {
	for axis := range b.lo {
		b.lo[axis], b.hi[axis] = b.lo[axis]*k, b.hi[axis]*k
	}
	return b
}

// check finds readings that cannot be what the header says; where names the place of reading i.
func (f *Face) check(where func(int) string) (warnings []string, err error) {
	b := f.box()
	if f.SizeX > 0 {
		if err := f.checkSize(b, where); err != nil {
			return nil, err
		}
		// Seating refuses maps tilted by more than 5 mm/m; twice that over the longer side is no face that lies nearly level.
		if rise := b.width(2); rise > 0.01*max(f.SizeX, f.SizeY) {
			warnings = append(warnings, fmt.Sprintf("%s: z spans %.3g mm over a piece of %s x %s mm: level the map, or if z is in another unit than x and y, convert it",
				f.Name, rise, decimal(f.SizeX), decimal(f.SizeY)))
		}
	}
	return warnings, f.checkRows(b, where)
}

// fits tells whether the box lies on the piece.
func (h *Header) fits(b box) bool { return h.onPiece(b.lo[0], b.lo[1]) && h.onPiece(b.hi[0], b.hi[1]) }

// fills tells whether the box lies on the piece and covers at least four fifths of both sides, as a map of a whole face does.
func (h *Header) fills(b box) bool {
	return h.fits(b) && b.width(0) >= 0.8*h.SizeX && b.width(1) >= 0.8*h.SizeY
}

// checkSize compares the readings with the size. When they do not fit it looks for the slip that explains them.
func (f *Face) checkSize(b box, where func(int) string) error {
	if u := f.otherUnit(b); u != "" {
		return trouble.Data("wrong-unit", where(0), fmt.Sprintf("the readings span %.4g x %.4g mm, and would fill the piece of %s x %s mm if their unit were %s",
			b.width(0), b.width(1), decimal(f.SizeX), decimal(f.SizeY), u), "write '# unit: "+u+"', or correct '# size:'")
	}
	if f.fits(b) {
		return nil
	}
	first, off := 0, 0
	for i := f.Len() - 1; i >= 0; i-- {
		if !f.onPiece(f.X[i], f.Y[i]) {
			first = i
			off++
		}
	}
	other := f.Header
	other.Origin = Corner - f.Origin
	code, next := "outside-size", "correct the reading, or the '# size:' line (x by y)"
	switch few := 10*off < f.Len(); { // a wrong head throws many readings off the piece, a slip of the pen one or two
	case few:
	case other.fits(b):
		code, next = "wrong-origin", fmt.Sprintf("all readings are on it with the origin in the %s: write '# origin: %s' if that is so", other.Origin, other.Origin)
	case f.fits(b.swapped()), other.fits(b.swapped()):
		code, next = "reversed-axes", "all readings are on it with x and y exchanged: x runs along the table, y across it, and '# size:' is x by y; "+
			"correct the size or exchange the columns"
	}
	return trouble.Data(code, where(first), fmt.Sprintf("x = %.7g, y = %.7g mm is not on the piece of %s x %s mm with the origin in the %s",
		f.X[first], f.Y[first], decimal(f.SizeX), decimal(f.SizeY), f.Origin), next)
}

// otherUnit returns the unit in which the readings would fill the piece, "" if there is none.
func (f *Face) otherUnit(b box) string {
	now, _ := f.Unit.ToMM("1")
	for u := measure.MM; u <= measure.Foot; u++ {
		if mm, _ := u.ToMM("1"); u != f.Unit && f.fills(b.scaled(mm/now)) {
			return u.String()
		}
	}
	return ""
}

// edgeBand is how far from the edge, in mm, a joint row may be read. Seating asks for less where steps are certified.
const edgeBand = 25

// checkRows checks that the marked readings lie where their marks say.
func (f *Face) checkRows(b box, where func(int) string) error {
	for _, mark := range []Row{JointPlus, JointMinus} {
		first, n := -1, 0
		var row Face
		for i, m := range f.Row {
			if m == mark {
				if n == 0 {
					first = i
				}
				n++
				row.X, row.Y, row.Z = append(row.X, f.X[i]), append(row.Y, f.Y[i]), append(row.Z, f.Z[i])
			}
		}
		if n == 0 {
			continue
		}
		if r := row.box(); n > 1 && r.width(0) > r.width(1) {
			return trouble.Data("reversed-axes", where(first), fmt.Sprintf("the row %s runs along x (%.4g mm along x, %.4g along y)", mark, r.width(0), r.width(1)),
				"joint rows run along y, across the table: exchange the columns x and y, or mark the right readings")
		}
		for i, m := range f.Row {
			if m == mark {
				if err := f.checkEdge(i, b, where); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// checkEdge checks that the marked reading i is near its edge, or without a size at least in its half of the readings.
func (f *Face) checkEdge(i int, b box, where func(int) string) error {
	const next = "mark joint+ only close to the +x edge and joint- only close to the −x edge (x along the table, head −, foot +)"
	side, name := 1.0, "+x"
	if f.Row[i] == JointMinus {
		side, name = -1, "−x"
	}
	if f.SizeX == 0 {
		mid := b.lo[0] + float64(b.width(0)/2)
		if b.width(0) > 2*edgeBand && float64(side*(f.X[i]-mid)) < 0 {
			return trouble.Data("joint-row", where(i), fmt.Sprintf("x = %.7g mm is marked %s and lies away from the %s edge", f.X[i], f.Row[i], name), next)
		}
		return nil
	}
	if from := float64(f.SizeX/2) - float64(side*(f.X[i]-f.middle(0))); math.Abs(from) > edgeBand {
		return trouble.Data("joint-row", where(i), fmt.Sprintf("x = %.7g mm is marked %s and lies %.4g mm from the %s edge (limit %d)", f.X[i], f.Row[i], from, name, edgeBand), next)
	}
	return nil
}

// repeatLimit is the largest number of readings among which repeats are looked for.
const repeatLimit = 100_000

// repeats warns of readings at exactly the same place.
func (f *Face) repeats(where func(int) string) []string {
	n := f.Len()
	if n > repeatLimit {
		return []string{fmt.Sprintf("%s: repeated places were not looked for among %d readings (only up to %d)", f.Name, n, repeatLimit)}
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		switch {
		case f.X[i] != f.X[j]:
			return sign(f.X[i] - f.X[j])
		case f.Y[i] != f.Y[j]:
			return sign(f.Y[i] - f.Y[j])
		}
		return i - j
	})
	same, differ, largest := pair{}, pair{}, 0.0
	for k, first := 1, 0; k < n; k++ {
		i, j := order[first], order[k]
		if f.X[i] != f.X[j] || f.Y[i] != f.Y[j] {
			first = k
			continue
		}
		if f.Z[i] == f.Z[j] {
			same.add(i, j)
		} else {
			differ.add(i, j)
			largest = max(largest, math.Abs(f.Z[i]-f.Z[j]))
		}
	}
	var out []string
	if same.n > 0 {
		out = append(out, fmt.Sprintf("%s: repeats the reading at %s; %s and weighs twice in averages: delete the copies",
			where(same.second), where(same.first), trouble.Count(same.n, "reading is a copy", "readings are copies")))
	}
	if differ.n > 0 {
		out = append(out, fmt.Sprintf("%s: the same place as %s with another z; %s, by up to %.3g mm, and all count: keep the right ones",
			where(differ.second), where(differ.first), trouble.Count(differ.n, "reading differs so", "readings differ so"), largest))
	}
	return out
}

func sign(d float64) int {
	if d < 0 {
		return -1
	}
	return 1
}

// A pair counts repeats and keeps the one that stands first in the file.
type pair struct{ n, first, second int }

func (p *pair) add(first, second int) {
	if p.n == 0 || second < p.second {
		p.first, p.second = first, second
	}
	p.n++
}
