package contour

import "math"

// Lines returns the contour lines of one level, with the high side on the left. A line ends where the read area ends. Lines
// that form rings are closed. The order is fixed by the mesh alone.
func (m Mesh) Lines(level float64) []Line {
	t := tracer{mesh: m, level: level}
	return t.trace(0, 0, m.NX-1, m.NY-1)
}

// Region returns closed rings around all of the read area that is at the level or above: outer rings counter-clockwise, holes
// clockwise. The level −Inf gives the whole read area.
func (m Mesh) Region(level float64) []Line {
	t := tracer{mesh: m, level: level, pad: true}
	return t.trace(-1, -1, m.NX, m.NY)
}

// tracer walks the cells of a mesh (marching squares; the middle of a saddle cell decides by the mean of its corners). With pad, everything that was not
// read counts as bottomless, and the border passes through the last nodes that were read; without it, cells with an unread
// corner are skipped.
type tracer struct {
	mesh  Mesh
	level float64
	pad   bool
	next  map[edge]edge
	order []edge
	into  map[edge]bool
}

// edge is a side of a cell, named by its lower node and direction. Indices run from −1 in the padding.
type edge struct {
	i, j int
	up   bool // along y rather than along x
}

func (t *tracer) height(i, j int) float64 {
	m := t.mesh
	if i < 0 || j < 0 || i >= m.NX || j >= m.NY {
		return math.Inf(-1)
	}
	if z := m.Z[i*m.NY+j]; !math.IsNaN(z) {
		return z
	}
	return math.Inf(-1)
}

func (t *tracer) place(i, j int) Point {
	m := t.mesh
	k := max(0, min(i, m.NX-1))*m.NY + max(0, min(j, m.NY-1))
	return Point{m.X[k], m.Y[k]}
}

func (t *tracer) high(z float64) bool { return z >= t.level && !math.IsInf(z, -1) }

// trace marches over all cells whose lower corner lies in [i0, i1) × [j0, j1) and joins the pieces.
func (t *tracer) trace(i0, j0, i1, j1 int) []Line {
	t.next, t.into = map[edge]edge{}, map[edge]bool{}
	for i := i0; i < i1; i++ {
		for j := j0; j < j1; j++ {
			t.cell(i, j)
		}
	}
	var lines []Line
	for _, e := range t.order { // open lines begin where no piece leads in
		if !t.into[e] {
			lines = append(lines, t.follow(e))
		}
	}
	for _, e := range t.order {
		if _, left := t.next[e]; left {
			lines = append(lines, t.follow(e))
		}
	}
	return shapes(lines)
}

// cell adds the pieces of line in one cell. Its corners are a (i,j), b (i+1,j), c (i+1,j+1), d (i,j+1).
func (t *tracer) cell(i, j int) {
	za, zb, zc, zd := t.height(i, j), t.height(i+1, j), t.height(i+1, j+1), t.height(i, j+1)
	mean := (za + zb + zc + zd) / 4
	if !t.pad && math.IsInf(mean, -1) {
		return
	}
	south, north := edge{i, j, false}, edge{i, j + 1, false}
	west, east := edge{i, j, true}, edge{i + 1, j, true}
	mask := 0
	for bit, z := range [4]float64{za, zb, zc, zd} {
		if t.high(z) {
			mask |= 1 << bit
		}
	}
	switch mask {
	case 1:
		t.add(south, west)
	case 2:
		t.add(east, south)
	case 3:
		t.add(east, west)
	case 4:
		t.add(north, east)
	case 6:
		t.add(north, south)
	case 7:
		t.add(north, west)
	case 8:
		t.add(west, north)
	case 9:
		t.add(south, north)
	case 11:
		t.add(east, north)
	case 12:
		t.add(west, east)
	case 13:
		t.add(south, east)
	case 14:
		t.add(west, south)
	case 5, 10:
		t.saddle(mask == 5, t.high(mean), south, east, north, west)
	}
}

// saddle joins the four crossings of a cell whose opposite corners are alike; ac says that a and c are the high ones.
func (t *tracer) saddle(ac, middleHigh bool, south, east, north, west edge) {
	switch {
	case ac && middleHigh:
		t.add(south, east)
		t.add(north, west)
	case ac:
		t.add(south, west)
		t.add(north, east)
	case middleHigh:
		t.add(west, south)
		t.add(east, north)
	default:
		t.add(east, south)
		t.add(west, north)
	}
}

func (t *tracer) add(from, to edge) {
	t.next[from] = to
	t.into[to] = true
	t.order = append(t.order, from)
}

// follow takes the line that begins at e out of next.
func (t *tracer) follow(e edge) Line {
	start := e
	line := Line{P: []Point{t.crossing(e)}}
	for {
		n, ok := t.next[e]
		if !ok {
			return line
		}
		delete(t.next, e)
		if n == start {
			line.Closed = true
			return line
		}
		line.P = append(line.P, t.crossing(n))
		e = n
	}
}

// crossing is where the level crosses an edge: linear between two heights, at the read node beside an unread one.
func (t *tracer) crossing(e edge) Point {
	i, j := e.i+1, e.j
	if e.up {
		i, j = e.i, e.j+1
	}
	z0, z1 := t.height(e.i, e.j), t.height(i, j)
	p0, p1 := t.place(e.i, e.j), t.place(i, j)
	switch {
	case math.IsInf(z0, -1):
		return p1
	case math.IsInf(z1, -1):
		return p0
	}
	s := (t.level - z0) / (z1 - z0)
	return Point{p0.X + s*(p1.X-p0.X), p0.Y + s*(p1.Y-p0.Y)}
}

// shapes drops repeated points, and lines that shrink to a point.
func shapes(lines []Line) []Line {
	var out []Line
	for _, l := range lines {
		kept := Line{Closed: l.Closed}
		for _, p := range l.P {
			if n := len(kept.P); n == 0 || kept.P[n-1] != p {
				kept.P = append(kept.P, p)
			}
		}
		for l.Closed && len(kept.P) > 1 && kept.P[0] == kept.P[len(kept.P)-1] {
			kept.P = kept.P[:len(kept.P)-1]
		}
		if len(kept.P) >= 2 {
			out = append(out, kept)
		}
	}
	return out
}
