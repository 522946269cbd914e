package check_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/check"
	"slatewright/cutting/slab/search"
)

type part struct{ x1, y1, x2, y2 int }

// slow tries every cut at every whole mm and every place of every piece, and keeps all sets of copies that a part can give.
type slow struct {
	s     *slab.Slab
	angle float64
	sound map[string]bool
	known map[part]map[string][]int
}

func (w *slow) value() int64 {
	box := part{math.MaxInt, math.MaxInt, math.MinInt, math.MinInt}
	a := w.angle / 180 * math.Pi
	for _, p := range w.s.Outline {
		x, y := p.X*math.Cos(a)+p.Y*math.Sin(a), p.Y*math.Cos(a)-p.X*math.Sin(a)
		box = part{min(box.x1, int(math.Floor(x+1e-6))), min(box.y1, int(math.Floor(y+1e-6))), max(box.x2, int(math.Ceil(x-1e-6))), max(box.y2, int(math.Ceil(y-1e-6)))}
	}
	var best int64
	for _, n := range w.sets(box) {
		var v int64
		for k, m := range n {
			v += int64(m) * w.s.Types[k].Value
		}
		best = max(best, v)
	}
	return best
}

// stands tells whether some piece of a type stands exactly in a part.
func (w *slow) stands(k int, p part) bool {
	key := fmt.Sprint(k, p)
	if got, ok := w.sound[key]; ok {
		return got
	}
	t := w.s.Types[k]
	l, b := int(math.Ceil(t.Length+2*t.Allowance)), int(math.Ceil(t.Width+2*t.Allowance))
	a := w.angle / 180 * math.Pi
	x, y := float64(p.x1), float64(p.y1)
	ok := false
	for q := range 4 {
		along, across := l, b
		if q%2 == 1 {
			along, across = b, l
		}
		if along != p.x2-p.x1 || across != p.y2-p.y1 || !t.Quarters[q] {
			continue
		}
		for _, over := range []bool{false, true} {
			piece := slab.Piece{Kind: k, At: slab.Point{X: x*math.Cos(a) - y*math.Sin(a), Y: x*math.Sin(a) + y*math.Cos(a)}, Along: float64(along), Across: float64(across), Quarter: q, Over: over}
			ok = ok || len(check.Piece(w.s, w.angle, piece)) == 0
		}
	}
	w.sound[key] = ok
	return ok
}

func (w *slow) sets(p part) map[string][]int {
	if got, ok := w.known[p]; ok {
		return got
	}
	all := map[string][]int{}
	add := func(n []int) {
		for k, m := range n {
			if most := w.s.Types[k].Most; most >= 0 && m > most {
				return
			}
		}
		all[fmt.Sprint(n)] = n
	}
	none := make([]int, len(w.s.Types))
	w.known[p] = map[string][]int{"": none}
	if p.x2 <= p.x1 || p.y2 <= p.y1 {
		return w.known[p]
	}
	add(none)
	for k := range w.s.Types {
		if w.stands(k, p) {
			n := make([]int, len(w.s.Types))
			n[k] = 1
			add(n)
		}
	}
	both := func(a, b part) {
		for _, m := range w.sets(a) {
			for _, n := range w.sets(b) {
				sum := make([]int, len(m))
				for i := range m {
					sum[i] = m[i] + n[i]
				}
				add(sum)
			}
		}
	}
	kerf := int(math.Ceil(w.s.Kerf))
	for c := p.x1 + 1 - kerf; c < p.x2; c++ {
		both(part{p.x1, p.y1, c, p.y2}, part{c + kerf, p.y1, p.x2, p.y2})
	}
	for c := p.y1 + 1 - kerf; c < p.y2; c++ {
		both(part{p.x1, p.y1, p.x2, c}, part{p.x1, c + kerf, p.x2, p.y2})
	}
	w.known[p] = all
	return all
}

// Tiny slabs agree with the slow way: what is proven is the best, and no bound is too low.
func TestEveryCutTried(t *testing.T) {
	proven := 0
	rapid.Check(t, func(t *rapid.T) {
		size := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
		w, h := size("w", 6, 11), size("h", 5, 9)
		off := func(name string) float64 { return size(name, 0, 8) / 4 }
		s := &slab.Slab{Outline: []slab.Point{{X: off("a"), Y: 0}, {X: w, Y: off("b")}, {X: w - off("c"), Y: h}, {X: 0, Y: h - off("d")}}, Kerf: size("kerf", 0, 2),
			Angles: []float64{rapid.SampledFrom([]float64{0, 7, -20}).Draw(t, "angle")}}
		for range rapid.IntRange(0, 2).Draw(t, "flaws") {
			x, y := size("x", 0, int(w)), size("y", 0, int(h))
			s.Flaws = append(s.Flaws, slab.Flaw{Points: []slab.Point{{X: x, Y: y}, {X: x + off("dx"), Y: y + off("dy")}}, Clearance: off("clearance") / 4,
				Face: rapid.SampledFrom([]slab.Face{slab.Through, slab.Top, slab.Bottom}).Draw(t, "face"), Playing: rapid.Bool().Draw(t, "playing")})
		}
		for range rapid.IntRange(1, 2).Draw(t, "types") {
			l, b := size("l", 2, 6), size("b", 2, 5)
			k := slab.Type{Length: l, Width: b, Value: int64(size("value", 1, 20)), Most: rapid.IntRange(-1, 3).Draw(t, "most"), Quarters: [4]bool{true, rapid.Bool().Draw(t, "turn")},
				Shown: rapid.SampledFrom([]slab.Shown{slab.PlaysTop, slab.PlaysEither}).Draw(t, "shown")}
			if rapid.Bool().Draw(t, "zone") {
				k.Zones = []slab.Zone{{Corners: []slab.Point{{X: 0, Y: 0}, {X: l / 2, Y: 0}, {X: l / 2, Y: b / 2}, {X: 0, Y: b / 2}}}}
			}
			s.Types = append(s.Types, k)
		}
		if s.Check() != nil {
			t.Skip("a slab that the check refuses is not cut")
		}
		p, err := search.Solve(s, search.Limits{Work: 20_000_000})
		if err != nil {
			t.Fatal(err)
		}
		if faults := check.Plan(s, p); len(faults) > 0 {
			t.Fatal(faults)
		}
		best := (&slow{s: s, angle: s.Angles[0], sound: map[string]bool{}, known: map[part]map[string][]int{}}).value()
		if p.Value > best || p.Bound < best {
			t.Fatalf("%d of at most %d; everything tried gives %d", p.Value, p.Bound, best)
		}
		if p.Proven && best > 0 {
			proven++
		}
	})
	if proven == 0 {
		t.Fatal("nothing was proven")
	}
}
