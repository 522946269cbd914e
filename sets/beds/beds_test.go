package beds_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"slatewright/bed"
	"slatewright/sets/beds"
)

// compare holds Price against the slow way, and the floors against both.
func compare(t *testing.T, s *beds.Stock) (priced int) {
	t.Helper()
	floors := make([]float64, s.Len())
	for i := range s.Len() {
		for j := i + 1; j < s.Len(); j++ {
			s.Floors(i, j, floors[:s.Len()-1-j])
			for k := j + 1; k < s.Len(); k++ {
				fast, slow := s.Price(i, j, k), s.Slowly(i, j, k)
				floor := floors[k-j-1]
				if fast.Serves != slow.Serves {
					t.Errorf("%d %d %d: serves %b, slowly %b\n%+v\n%+v", i, j, k, fast.Serves, slow.Serves, fast, slow)
					continue
				}
				if math.IsNaN(floor) || fast.Serves == 0 {
					if math.IsNaN(floor) {
						t.Errorf("%d %d %d: floor %v", i, j, k, floor)
					}
					continue
				}
				priced++
				if math.Abs(fast.Cost-slow.Cost) > 1e-8 || fast.Index != slow.Index || fast.Turned != slow.Turned ||
					math.Abs(fast.Step-slow.Step) > 1e-9 || math.Abs(fast.Zone-slow.Zone) > 1e-9 {
					t.Errorf("%d %d %d:\n%+v\n%+v", i, j, k, fast, slow)
				}
				if floor > fast.Cost {
					t.Errorf("%d %d %d: floor %v over %v", i, j, k, floor, fast.Cost)
				}
			}
		}
	}
	return priced
}

func TestAgainstTheSlowWay(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var list []beds.Piece
	for range 6 {
		list = append(list, beds.Piece{Face: drawn(r, kind{nx: 6, ny: 9, rows: true}), Ways: beds.AnyWay()})
	}
	s, err := beds.New(list, bed.NineFoot(), usual(), weights())
	if err != nil {
		t.Fatal(err)
	}
	t.Log(compare(t, s))
	s, err = beds.New(milled(3, 8), bed.NineFoot(), usual(), weights())
	if err != nil {
		t.Fatal(err)
	}
	t.Log(compare(t, s))
}
