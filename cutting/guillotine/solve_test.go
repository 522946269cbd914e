package guillotine_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/guillotine"
	"slatewright/trouble"
)

type box struct{ x1, y1, x2, y2 int }

// holds checks a plan by following its cuts: each divides one part from edge to edge, and at the end every piece is a part of its own.
func holds(p guillotine.Problem, got guillotine.Plan) string {
	parts := []box{{0, 0, p.Length, p.Width}}
	for i, c := range got.Cuts {
		found := false
		for k, b := range parts {
			one, two := b, b
			if c.Along {
				found = c.X1 == b.x1 && c.X2 == b.x2 && b.y1 < c.Y1 && c.Y2 <= b.y2
				one.y2, two.y1 = c.Y1, c.Y1+p.Kerf
			} else {
				found = c.Y1 == b.y1 && c.Y2 == b.y2 && b.x1 < c.X1 && c.X2 <= b.x2
				one.x2, two.x1 = c.X1, c.X1+p.Kerf
			}
			if found {
				parts[k] = one
				if two.x1 < two.x2 && two.y1 < two.y2 {
					parts = append(parts, two)
				}
				break
			}
		}
		if !found {
			return fmt.Sprintf("cut %d %+v runs through no part", i, c)
		}
	}
	var value int64
	used := make([]int, len(p.Items))
	for _, q := range got.Pieces {
		it := p.Items[q.Item]
		w, h := it.Length, it.Width
		if q.Turned {
			if !it.Turn {
				return "an item is turned that may not be"
			}
			w, h = h, w
		}
		at := -1
		for k, b := range parts {
			if b == (box{q.X, q.Y, q.X + w, q.Y + h}) {
				at = k
			}
		}
		if at < 0 {
			return fmt.Sprintf("piece %+v is no part", q)
		}
		parts[at] = box{}
		used[q.Item]++
		value += it.Value
	}
	for i, n := range used {
		if m := p.Items[i].Most; m >= 0 && n > m {
			return "more copies than there may be"
		}
	}
	if value != got.Value || got.Bound < got.Value || got.Proven != (got.Bound == got.Value) {
		return fmt.Sprintf("the pieces are worth %d, the plan says %d of at most %d, proven %v", value, got.Value, got.Bound, got.Proven)
	}
	return ""
}

// slow finds the best value by trying every cut at every whole place, with every set of copies that each side can give.
func slow(p guillotine.Problem) int64 {
	type state struct{ w, h int }
	known := map[state]map[string][]int{} // sets of copies
	var sets func(w, h int) map[string][]int
	sets = func(w, h int) map[string][]int {
		if got, ok := known[state{w, h}]; ok {
			return got
		}
		all := map[string][]int{}
		add := func(n []int) {
			for i, m := range n {
				if most := p.Items[i].Most; most >= 0 && m > most {
					return
				}
			}
			all[fmt.Sprint(n)] = n
		}
		add(make([]int, len(p.Items)))
		for i, it := range p.Items {
			if it.Length <= w && it.Width <= h || it.Turn && it.Width <= w && it.Length <= h {
				n := make([]int, len(p.Items))
				n[i] = 1
				add(n)
			}
		}
		both := func(a, b map[string][]int) {
			for _, m := range a {
				for _, n := range b {
					sum := make([]int, len(m))
					for i := range m {
						sum[i] = m[i] + n[i]
					}
					add(sum)
				}
			}
		}
		for c := 1; c+p.Kerf < w; c++ {
			both(sets(c, h), sets(w-c-p.Kerf, h))
		}
		for c := 1; c+p.Kerf < h; c++ {
			both(sets(w, c), sets(w, h-c-p.Kerf))
		}
		known[state{w, h}] = all
		return all
	}
	var best int64
	for _, n := range sets(p.Length, p.Width) {
		var v int64
		for i, m := range n {
			v += int64(m) * p.Items[i].Value
		}
		best = max(best, v)
	}
	return best
}

func anyProblem(t *rapid.T, size, items int) guillotine.Problem {
	p := guillotine.Problem{Length: rapid.IntRange(1, size).Draw(t, "length"), Width: rapid.IntRange(1, size).Draw(t, "width"), Kerf: rapid.IntRange(0, 2).Draw(t, "kerf")}
	for range rapid.IntRange(1, items).Draw(t, "items") {
		p.Items = append(p.Items, guillotine.Item{Length: rapid.IntRange(1, size).Draw(t, "l"), Width: rapid.IntRange(1, size).Draw(t, "w"),
			Most: rapid.IntRange(-1, 3).Draw(t, "most"), Value: int64(rapid.IntRange(0, 30).Draw(t, "value")), Turn: rapid.Bool().Draw(t, "turn")})
	}
	return p
}

// Tiny problems agree with the slow way.
func TestEveryCutTried(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t, 7, 3)
		for i := range p.Items { // so that the sets stay few
			if p.Items[i].Length*p.Items[i].Width < 4 {
				p.Items[i].Most = rapid.IntRange(0, 2).Draw(t, "few")
			}
		}
		got, err := guillotine.Solve(p, guillotine.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		if fault := holds(p, got); fault != "" {
			t.Fatal(fault)
		}
		if want := slow(p); got.Value != want || !got.Proven {
			t.Fatalf("%d of at most %d, and the slow way finds %d", got.Value, got.Bound, want)
		}
	})
}

// A search that is stopped has a plan that holds and a bound that holds.
func TestStoppedSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t, 40, 6)
		whole, err := guillotine.Solve(p, guillotine.Limits{Work: 30_000_000})
		if err != nil {
			t.Fatal(err)
		}
		part, err := guillotine.Solve(p, guillotine.Limits{Work: int64(rapid.IntRange(1, 20000).Draw(t, "work"))})
		if err != nil {
			t.Fatal(err)
		}
		for _, got := range []guillotine.Plan{whole, part} {
			if fault := holds(p, got); fault != "" {
				t.Fatal(fault)
			}
		}
		if part.Bound < whole.Value || part.Value > whole.Bound {
			t.Fatalf("stopped: %d of at most %d; whole: %d of at most %d", part.Value, part.Bound, whole.Value, whole.Bound)
		}
	})
}

// Twenty kinds with limits that bind, harder than the published ones: most are proven within a stated work, and no gap is wide.
func TestHarderProblems(t *testing.T) {
	proven := 0
	for seed := range uint64(6) {
		r := rand.New(rand.NewPCG(seed, 8))
		p := guillotine.Problem{Length: 70, Width: 40}
		for range 20 {
			a, b := r.IntN(p.Length/3)+p.Length/8, r.IntN(p.Width/3)+p.Width/8
			p.Items = append(p.Items, guillotine.Item{Length: a, Width: b, Most: 1 + r.IntN(4), Value: int64(float64(a*b) * (0.7 + 0.6*r.Float64()))})
		}
		got, err := guillotine.Solve(p, guillotine.Limits{Work: 30_000_000})
		if got.Proven {
			proven++
		}
		if err != nil || got.Gap() > 0.1 {
			t.Errorf("seed %d: %d of at most %d after %d steps, %v", seed, got.Value, got.Bound, got.Work, err)
		}
		if fault := holds(p, got); fault != "" {
			t.Error(fault)
		}
	}
	if proven < 4 {
		t.Errorf("only %d proven", proven)
	}
}

func TestNoProblem(t *testing.T) {
	one := []guillotine.Item{{Length: 1, Width: 1, Most: -1, Value: 1}}
	for _, p := range []guillotine.Problem{
		{}, {Length: 1, Width: 1}, {Length: -3, Width: 5, Items: one}, {Length: 3, Width: 5, Kerf: -1, Items: one},
		{Length: 3, Width: 5, Items: []guillotine.Item{{Length: 0, Width: 1, Value: 1}}},
		{Length: 3, Width: 5, Items: []guillotine.Item{{Length: 1, Width: 1, Value: -1}}},
		{Length: 3, Width: 5, Items: make([]guillotine.Item, 501)}, {Length: 1 << 40, Width: 5, Items: one}, {Length: 1 << 19, Width: 1 << 19, Items: one},
	} {
		var told *trouble.Trouble
		if _, err := guillotine.Solve(p, guillotine.Limits{}); !errors.As(err, &told) || told.Kind != trouble.KindData {
			t.Errorf("%+v: %v", p, err)
		}
	}
}
