package flatness

import (
	"fmt"
	"slices"

	"slatewright/stations"
)

// Course is the straightness of a bed in one direction: the largest minimum zone of any line that was judged.
type Course struct {
	Value float64 // mm; meaningless if Lines is 0
	At    float64 // mm; where the worst line lies: its y if it runs along x, its x if it runs along y

	Lines int // lines judged
	Short int // lines with fewer than three points, or strips of a scan read along less than half of them, which say nothing

	// Broken is how many of the lines judged do not run over all pieces (no point of theirs on one side of a joint), because
	// the pieces were read at different stations: the steps they do not cross are not in them. 0 across the table.
	Broken int

	// Cells says that the readings lie on no lines (a scan), so that means over cells of at most 25 mm were judged, in
	// strips of the same width. It takes out roughness and spikes narrower than a cell.
	Cells bool

	Contacts [3][3]float64 // mm; two points on one side of the worst line's zone, then one on the other
	Index    [3]int        // their numbers, −1 for cells
	Warnings []string
}

// cellSide is the largest side of the cells in which a scan is averaged, mm: the contact of a ball with cloth on a bed is
// about as wide, and straightedges bridge what is narrower. Common practice, no source.
const cellSide = 25

// Lines judges a bed along its lines: lengthwise those parallel to x over the whole bed, steps at the joints included, across
// those parallel to y. Points are in the bed frame, only those inside the edge band, as the caller cut them. joints are the
// x of the joints, which no cell of a scan lies across.
//
// Where all pieces were read on grids (see package stations) a line is all readings whose stations agree within 1 mm; if one
// is a scan it is a strip of cells. A line needs three points. With too few points for any line Lines is 0 and a warning says
// so: "cannot tell". The error is a *trouble.Trouble: a coordinate is not finite.
func Lines(p Points, joints []float64) (lengthwise, across Course, err error) {
	if err := p.check(1); err != nil {
		return Course{}, Course{}, err
	}
	if err := p.finite(); err != nil {
		return Course{}, Course{}, err
	}
	joints = slices.Sorted(slices.Values(joints))
	if onGrids(p, joints) {
		lengthwise, across = stationLines(p.Y, p.X, p.Z, joints), stationLines(p.X, p.Y, p.Z, nil)
	} else {
		c := newCells(p, joints)
		lengthwise, across = c.lengthwise(joints), c.across()
	}
	lengthwise.turn(0, 1)
	across.turn(1, 0)
	lengthwise.warn("lengthwise", "y")
	across.warn("across", "x")
	return lengthwise, across, nil
}

// turn puts the coordinates along and across the line in their places.
func (c *Course) turn(along, across int) {
	for k, v := range c.Contacts {
		c.Contacts[k][along], c.Contacts[k][across] = v[0], v[1]
	}
}

func (c *Course) warn(direction, station string) {
	switch {
	case c.Lines == 0:
		c.Warnings = append(c.Warnings, fmt.Sprintf("%s straightness cannot be told: there is no line of three points or more (of a scan: no strip read along half of its length)", direction))
	case c.Short > 0 && !c.Cells:
		c.Warnings = append(c.Warnings, fmt.Sprintf("%s straightness: %d of %d stations in %s have fewer than three points and "+
			"were not judged", direction, c.Short, c.Short+c.Lines, station))
	case c.Short > 0:
		c.Warnings = append(c.Warnings, fmt.Sprintf("%s straightness: %d of %d strips were read along less than half of their length "+
			"and were not judged", direction, c.Short, c.Short+c.Lines))
	}
	if c.Broken > 0 {
		c.Warnings = append(c.Warnings, fmt.Sprintf("%s straightness: %d of %d lines do not run over all pieces, so not all "+
			"steps are in them; read the pieces at the same stations", direction, c.Broken, c.Lines))
	}
	if c.Cells && c.Lines > 0 {
		c.Warnings = append(c.Warnings, fmt.Sprintf("%s straightness is that of means over cells of %d mm", direction, cellSide))
	}
}

// judge takes one more line: its points at s along the line and t across it, and the joints that it has to cross.
func (c *Course) judge(at float64, s, t, z []float64, index []int, joints []float64) {
	if len(s) < 3 {
		c.Short++
		return
	}
	c.Lines++
	if !through(s, joints) {
		c.Broken++
	}
	value, on := narrowest(s, z)
	if c.Lines > 1 && value <= c.Value {
		return
	}
	c.Value, c.At = value, at
	for k, i := range on {
		c.Contacts[k] = [3]float64{s[i], t[i], z[i]}
		c.Index[k] = -1
		if index != nil {
			c.Index[k] = index[i]
		}
	}
}

// pieceOf is the number of the piece, counted along x, that a point at x lies on; on a joint it is the piece on its + side.
func pieceOf(x float64, joints []float64) int {
	k := 0
	for k < len(joints) && x >= joints[k] {
		k++
	}
	return k
}

// through reports whether there are points before, between and after the joints.
func through(s, joints []float64) bool {
	seen := make([]bool, len(joints)+1)
	for _, x := range s {
		seen[pieceOf(x, joints)] = true
	}
	return !slices.Contains(seen, false)
}

// onGrids reports whether every piece with points was read on a grid.
func onGrids(p Points, joints []float64) bool {
	x, y := make([]float64, 0, p.Len()), make([]float64, 0, p.Len())
	for piece := range len(joints) + 1 {
		x, y = x[:0], y[:0]
		for i, px := range p.X {
			if pieceOf(px, joints) == piece {
				x, y = append(x, px), append(y, p.Y[i])
			}
		}
		if _, ok := stations.Find(x, y); !ok && len(x) > 0 {
			return false
		}
	}
	return true
}

// stationLines judges the lines of grids, one for each station t.
func stationLines(t, s, z, joints []float64) Course {
	order := make([]int, len(t))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		if t[i] != t[j] {
			return sign(t[i] - t[j])
		}
		return i - j
	})
	var c Course
	var ls, lt, lz []float64
	for from := 0; from < len(order); {
		to := from
		ls, lt, lz = ls[:0], lt[:0], lz[:0]
		for ; to < len(order) && stations.Same(t[order[from]], t[order[to]]); to++ {
			i := order[to]
			ls, lt, lz = append(ls, s[i]), append(lt, t[i]), append(lz, z[i])
		}
		c.judge((lt[0]+lt[len(lt)-1])/2, ls, lt, lz, order[from:to], joints)
		from = to
	}
	return c
}
