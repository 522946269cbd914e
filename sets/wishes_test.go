package sets_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"slatewright/bed"
	"slatewright/sets"
	"slatewright/sets/beds"
)

// TestTogetherIsWorthMore: two pieces that are kept together are in a set though it is dearer than one without them, and the cost that is reported says
// so; where a set would be lost they stay out, and the plan says that too.
func TestTogetherIsWorthMore(t *testing.T) {
	q := plain(nil)
	for i, thick := range []float64{44, 44, 44, 45, 45.5} {
		q.Pieces = append(q.Pieces, sets.Piece{ID: fmt.Sprint("P", i), Ways: beds.AnyWay(), Thickness: thick})
	}
	q.Together = [][]int{{3, 0}}
	p := match(t, q)
	if len(p.Sets) != 1 || !slices.Contains(p.Sets[0].Pieces[:], 3) || math.Abs(p.Cost-4) > 1e-12 || math.Abs(p.Bound-4) > 1e-9 || len(p.Warnings) != 1 {
		t.Errorf("%+v", p)
	}
	q.Pieces = append(q.Pieces, sets.Piece{ID: "P5", Ways: beds.AnyWay(), Thickness: 44})
	for i, place := range []bed.Place{bed.Head, bed.Centre, bed.Foot, bed.Head, bed.Head, bed.Centre} { // the set of 3 and 0 is none of a bed
		q.Pieces[i].Ways = beds.In(place)
	}
	p = match(t, q)
	if len(p.Sets) != 1 || len(p.Warnings) != 2 || p.Warnings[1] != "P0, P3: to be kept together, and in no set: no set with them conforms, or a set would be lost" {
		t.Errorf("%+v", p)
	}
}

// mixed is a stock of faces from flat to bent, with a tight and a loose class.
func mixed(n int) sets.Question {
	r := rand.New(rand.NewPCG(4, 4))
	q := plain(nil)
	q.Spec = small()
	q.Classes = []sets.Class{{Name: "tight", Limits: bed.Limits{Lengthwise: 0.2, Across: 0.12, Zone: 0.2, Step: 0.05}}, {Name: "all", Limits: q.Spec.Limits}}
	for i := range n {
		size := 0.2 * float64(i) / float64(n)
		f := dished(size*r.NormFloat64(), size*r.NormFloat64(), size*r.NormFloat64(), func() float64 { return 0.02 * r.Float64() })
		q.Pieces = append(q.Pieces, sets.Piece{ID: fmt.Sprint("P", i), Ways: beds.AnyWay(), Face: f, Thickness: 44 + 0.1*r.NormFloat64()})
	}
	return q
}

// TestExchangesOfATightOrder: an exchange that makes the set for a tight order a loose one is none, and the best of the others are found, by asking
// every one.
func TestExchangesOfATightOrder(t *testing.T) {
	q := mixed(12)
	q.Orders = []sets.Order{{ID: "O1", Class: "tight", Sets: 1}}
	racks, p := matched(t, q)
	if len(p.Sets) < 3 || p.Sets[0].Order != 0 || p.Sets[0].Class != 0 {
		t.Fatalf("%+v", p)
	}
	loosened, fine := 0, 0
	for n, s := range p.Sets {
		found, err := racks.Exchanges(p, n, 4)
		if err != nil {
			t.Fatal(err)
		}
		for place, out := range s.Pieces {
			var all []sets.Exchange
			for in := range q.Pieces {
				if slices.Contains(s.Pieces[:], in) {
					continue
				}
				e, err := racks.Swap(p, out, in)
				if err != nil {
					t.Fatal(err)
				}
				tight := true // every set for the tight order is still of its class
				for _, now := range e.Sets {
					tight = tight && (now.Order < 0 || now.Class == 0)
				}
				if e.Conforms {
					all = append(all, e)
					fine++
				}
				if !tight {
					loosened++
				}
				if e.Conforms && !tight {
					t.Errorf("%d against %d makes a tight set loose, and is told as good", out, in)
				}
			}
			slices.SortStableFunc(all, func(a, b sets.Exchange) int { return cmp.Compare(a.More, b.More) })
			if len(found[place]) != min(4, len(all)) {
				t.Fatalf("%d exchanges of %d", len(found[place]), len(all))
			}
			for k, e := range found[place] {
				if math.Abs(e.More-all[k].More) > 1e-9 {
					t.Errorf("exchange %d of piece %d costs %v more, and %v is to be had", k, out, e.More, all[k].More)
				}
			}
		}
	}
	if loosened == 0 || fine == 0 {
		t.Errorf("%d exchanges make a tight set loose, %d are good", loosened, fine)
	}
}
