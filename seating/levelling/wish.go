package levelling

import "slatewright/bed"

// wish is the linear program "the smallest t for which all figures keep within t times their limits". The unknowns are those of the
// three pieces (their forces beyond equilibrium, then height and two tilts) and t last.
//
// Rows, in order: the force of every support is at least what it may pull; every height is at most half a zone from 0, either way;
// every step is at most its limit, either way; and, found as they are needed, of three places on a line the middle one lies at most
// the limit above or below the chord of the outer two. The largest such distance is the straightness of the line.
type wish struct {
	pieces [3]*piece
	first  [4]int // number of the first unknown of each piece; the last is that of t
	rows   []row
	fixed  int // rows that are there from the start
	lines  []line
	found  map[[5]int]int // line, side and places → row
	heads  [4]int         // number of the first height of each piece
}

// row is Σ a·v ≤ b.
type row struct {
	a []float64
	b float64
}

// bedShape says what the heights of the pieces mean together.
type bedShape struct {
	places [3][]spot // of each piece: those of its readings inside the edge band
	joints [2][]step
	middle [3]float64
}

// spot is a reading inside the edge band: the number of its place among those of its sheet.
type spot struct {
	at   int
	x, y float64 // bed frame
}

// step is the height of the foot-side edge less that of the head-side edge.
type step struct {
	y          float64
	head, foot int // places of the sheets on either side
}

func newWish(pieces [3]*piece, shape *bedShape, limits bed.Limits) *wish {
	w := &wish{pieces: pieces, found: map[[5]int]int{}}
	for k, p := range pieces {
		w.first[k+1] = w.first[k] + p.beyond() + 3
		w.heads[k+1] = w.heads[k] + len(p.at)
	}
	for k, p := range pieces {
		for i := range p.feet {
			a := make([]float64, w.Dim())
			for c := range p.beyond() {
				a[w.first[k]+c] = -p.loop[i*p.beyond()+c]
			}
			w.rows = append(w.rows, row{a, p.base[i] + p.pull[i]})
		}
	}
	t := w.first[3]
	for k, spots := range shape.places {
		for _, sp := range spots {
			w.both(w.height(w.heads[k]+sp.at), t, limits.Zone/2)
		}
	}
	for j, steps := range shape.joints {
		for _, st := range steps {
			w.both(difference(w.height(w.heads[j+1]+st.foot), w.height(w.heads[j]+st.head)), t, limits.Step)
		}
	}
	w.fixed = len(w.rows)
	w.lines = lines(shape, w.heads, limits)
	return w
}

// both adds the rows |e| ≤ limit·t.
func (w *wish) both(e row, t int, limit float64) {
	minus := row{make([]float64, len(e.a)), e.b}
	for i, v := range e.a {
		minus.a[i] = -v
	}
	plus := row{e.a, -e.b}
	plus.a[t], minus.a[t] = -limit, -limit
	w.rows = append(w.rows, plus, minus)
}

// height is the height of place i, counted over all pieces, as b + a·v.
func (w *wish) height(i int) row {
	k := 0
	for i >= w.heads[k+1] {
		k++
	}
	p := w.pieces[k]
	local, n, b := i-w.heads[k], len(p.feet), p.beyond()
	e := row{make([]float64, w.Dim()), p.z[local] + p.sag[local]}
	for j := range n {
		g := p.give[local*n+j]
		e.b += float64(g * p.base[j])
		for c := range b {
			e.a[w.first[k]+c] += float64(g * p.loop[j*b+c])
		}
	}
	m := w.first[k] + b
	e.a[m], e.a[m+1], e.a[m+2] = 1, p.at[local][0], p.at[local][1]
	return e
}

func difference(e, f row) row {
	for i, v := range f.a {
		e.a[i] -= v
	}
	e.b -= f.b
	return e
}

// Dim returns the number of unknowns.
func (w *wish) Dim() int { return w.first[3] + 1 }

// Row writes one row.
func (w *wish) Row(i int, a []float64) float64 {
	copy(a, w.rows[i].a)
	return w.rows[i].b
}

// Worst reports the worst rows of each block of fixed rows, and of each line the middle that lies furthest above or below a chord.
func (w *wish) Worst(v []float64, ray bool, yield func(int, float64)) {
	const block = 16
	for lo := 0; lo < w.fixed; lo += block {
		worst, at := 0.0, -1
		for i := lo; i < min(lo+block, w.fixed); i++ {
			if e := w.rows[i].excess(v, ray); e > worst {
				worst, at = e, i
			}
		}
		if at >= 0 {
			yield(at, worst)
		}
	}
	h := w.at(v, ray)
	for number, l := range w.lines {
		for side, sign := range [2]float64{1, -1} {
			w.worstOf(number, side, sign, l, h, v, yield)
		}
	}
}

func (w *wish) worstOf(number, side int, sign float64, l line, h, v []float64, yield func(int, float64)) {
	z := make([]float64, len(l.at))
	for i, at := range l.at {
		z[i] = float64(sign * h[at])
	}
	d, on := overChord(l.s, z)
	if excess := d - float64(l.limit*v[len(v)-1]); excess > 0 && on[1] > 0 {
		yield(w.chord(number, side, sign, l, on), excess)
	}
}

func (r row) excess(v []float64, ray bool) float64 {
	e := -r.b
	if ray {
		e = 0
	}
	for i, a := range r.a {
		e += float64(a * v[i])
	}
	return e
}

// at are all heights; of a ray, how they change.
func (w *wish) at(v []float64, ray bool) []float64 {
	var out []float64
	for k, p := range w.pieces {
		from := w.first[k]
		s, m := v[from:from+p.beyond()], v[from+p.beyond():]
		moves := [3]float64{m[0], m[1], m[2]}
		if !ray {
			out = append(out, p.heights(p.forces(s), moves)...)
			continue
		}
		still := *p
		still.base, still.z, still.sag = make([]float64, len(p.base)), make([]float64, len(p.z)), make([]float64, len(p.z))
		out = append(out, still.heights(still.forces(s), moves)...)
	}
	return out
}

// chord returns the number of the row that keeps place on[1] of a line by the chord from on[0] to on[2], and makes it if it is new.
func (w *wish) chord(number, side int, sign float64, l line, on [3]int) int {
	key := [5]int{number, side, on[0], on[1], on[2]}
	if i, ok := w.found[key]; ok {
		return i
	}
	share := (l.s[on[1]] - l.s[on[0]]) / (l.s[on[2]] - l.s[on[0]])
	e := w.height(l.at[on[1]])
	for k, part := range [2]float64{1 - share, share} {
		f := w.height(l.at[on[2*k]])
		for i, a := range f.a {
			e.a[i] -= float64(part * a)
		}
		e.b -= float64(part * f.b)
	}
	for i := range e.a {
		e.a[i] *= sign
	}
	e.a[w.first[3]] = -l.limit
	w.rows = append(w.rows, row{e.a, float64(-sign * e.b)})
	w.found[key] = len(w.rows) - 1
	return len(w.rows) - 1
}
