package guillotine_test

import (
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/guillotine"
)

// A table says of every size what a problem of that size has as its optimum, and its plans are worth that.
func TestTableOfAllSizes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t, 30, 5)
		for i := range p.Items {
			p.Items[i].Most = -1
		}
		table, err := guillotine.NewTable(p, func(int) bool { return false })
		if err != nil || table == nil {
			t.Fatal(table, err)
		}
		p.Length, p.Width = rapid.IntRange(1, p.Length).Draw(t, "x"), rapid.IntRange(1, p.Width).Draw(t, "y")
		want, err := guillotine.Solve(p, guillotine.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		if got := table.Value(p.Length, p.Width); got != want.Value {
			t.Fatalf("%d, alone %d", got, want.Value)
		}
		var sum int64
		var walk func(b *guillotine.Block) (w, h int)
		walk = func(b *guillotine.Block) (w, h int) {
			if b.First == nil {
				it := p.Items[b.Item]
				sum += it.Value
				if b.Turned {
					return it.Width, it.Length
				}
				return it.Length, it.Width
			}
			w1, h1 := walk(b.First)
			w2, h2 := walk(b.Then)
			if b.Above {
				return max(w1, w2), h1 + p.Kerf + h2
			}
			return w1 + p.Kerf + w2, max(h1, h2)
		}
		if b := table.Plan(p.Length, p.Width); b != nil {
			if w, h := walk(b); w > p.Length || h > p.Width {
				t.Fatalf("%d x %d in %d x %d", w, h, p.Length, p.Width)
			}
		}
		if sum != want.Value {
			t.Fatalf("the plan is worth %d, the table says %d", sum, want.Value)
		}
	})
}

// A table that is told to stop is none.
func TestStoppedTable(t *testing.T) {
	p := guillotine.Problem{Length: 50, Width: 50, Items: []guillotine.Item{{Length: 3, Width: 4, Value: 1}}}
	if table, err := guillotine.NewTable(p, func(int) bool { return true }); table != nil || err != nil {
		t.Error(table, err)
	}
	if _, err := guillotine.NewTable(guillotine.Problem{}, nil); err == nil {
		t.Error("no problem was not refused")
	}
}
