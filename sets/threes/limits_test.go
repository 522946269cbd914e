package threes

import (
	"math"
	"testing"

	"slatewright/chance"
)

// loose is a table of costs whose floors are low for two threes in five.
type loose struct {
	n    int
	cost []float64
	low  []float64
}

func drawnLoose(n int, stream *chance.Stream) loose {
	l := loose{n, make([]float64, n*n*n), make([]float64, n*n*n)}
	for i := range l.cost {
		l.cost[i] = stream.Float64()
		if l.low[i] = l.cost[i]; stream.Float64() < 0.4 {
			l.low[i] *= 0.8
		}
	}
	return l
}

func (l loose) Floors(i, j int, floors []float64) {
	copy(floors, l.low[(i*l.n+j)*l.n+j+1:])
}

func (l loose) Price(i, j, k int) (float64, uint32) { return l.cost[(i*l.n+j)*l.n+k], 1 }

// TestFewAtOnce searches as large questions are searched: parts are mended, the most promising threes are looked at first, and the
// rest is fetched when it is wanted. The answer is that of the search which has all threes at once.
func TestFewAtOnce(t *testing.T) {
	stream := chance.NewStream(13)
	branched, fetched := 0, 0
	for range 3 {
		l := drawnLoose(24, stream)
		ask := Ask{N: l.n, Triples: l}
		want, err := Choose(ask)
		if err != nil || want.Bound != want.Cost {
			t.Fatalf("cost %v, bound %v, %v", want.Cost, want.Bound, err)
		}
		if err := check(&ask); err != nil {
			t.Fatal(err)
		}
		s, err := newSearch(ask)
		if err != nil {
			t.Fatal(err)
		}
		s.limits = limits{open: 30, few: 25, ever: 1_000_000}
		if err := s.run(); err != nil {
			t.Fatal(err)
		}
		p := s.plan()
		if math.Abs(p.Cost-want.Cost) > 1e-9 || p.Bound != p.Cost {
			t.Errorf("cost %.9f, bound %.9f; want %.9f", p.Cost, p.Bound, want.Cost)
		}
		branched += p.Nodes
		fetched += s.fetched
	}
	if branched == 0 || fetched == 0 {
		t.Errorf("%d nodes, %d fetched: no question was large", branched, fetched)
	}
}
