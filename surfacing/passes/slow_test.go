package passes_test

import (
	"math"
	"slices"
	"testing"

	"slatewright/surfacing/passes"
)

// slow walks a disc over a face cell by cell. Its bits shorten by what they take; in each cell the depth at which force and
// yielding balance is found by bisection, from the force alone.
type slow struct {
	cutter  passes.Cutter
	feed    float64
	heights []float64 // along the path, mm over the wanted plane
	worn    float64
}

// pass sets the disc to a height over the plane at the start of a pass, brought to zero, and returns the wear at its end.
func (s *slow) pass(height float64) float64 {
	cell := s.cutter.Area / float64(len(s.heights))
	worn := 0.0
	for i, h := range s.heights {
		reach := height + worn
		if h <= reach {
			continue
		}
		lo, hi := 0.0, h-reach // depth that comes off
		for range 40 {
			a := (lo + hi) / 2
			force := s.cutter.Normal.Value * s.cutter.Power(a, s.feed) * 1e6 / s.cutter.Rim() // N: kW over mm/s
			if yields := force / s.cutter.Head.Stiffness.Value; a+yields > h-reach {
				hi = a
			} else {
				lo = a
			}
		}
		s.heights[i] = h - lo
		worn += lo * cell / (s.cutter.G.Value * s.cutter.Disc.Area())
	}
	s.worn += worn
	return worn
}

func (s *slow) spread() float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, h := range s.heights {
		lo, hi = math.Min(lo, h), math.Max(hi, h)
	}
	return hi - lo
}

func (s *slow) mean() (m float64) {
	for _, h := range s.heights {
		m += h / float64(len(s.heights))
	}
	return m
}

func even(n int, height float64) []float64 {
	h := make([]float64, n)
	for i := range h {
		h[i] = height
	}
	return h
}

// The taper of a pass, the share that the machine's yielding leaves, and its decay at spark-outs, against the slow walk.
func TestTaperAndSparkOutAgainstTheSlowWalk(t *testing.T) {
	for _, g := range []float64{300, 1000, 3000} {
		for _, depth := range []float64{0.05, 0.2, 0.5} {
			for _, feed := range []float64{10, 25} {
				s := &slow{cutter: row(g), feed: feed, heights: even(1000, 0)}
				left := s.cutter.Left(feed)
				at := 0.0
				for range 12 { // until each pass is like the one before
					at -= depth
					s.pass(at)
				}
				taken := -s.mean()
				taper := s.pass(at - depth)
				taken = -s.mean() - taken
				near(t, "comes off in the long run", taken, depth, 1e-3*depth)
				near(t, "taper", taper, s.cutter.Taper(taken), 1e-6)
				near(t, "stands in the long run", s.heights[0]-(at-depth), depth*left/(1-left), 1e-4)
				before := s.heights[0] - (at - depth)
				for range 3 { // the start of the path meets bits that have not worn
					s.pass(at - depth)
					now := s.heights[0] - (at - depth)
					near(t, "decay", now/before, left, 1e-6)
					before = now
				}
			}
		}
	}
}

// After a wedge is cut clean, what is left uneven is what the recursion bounds, and not much less.
func TestUnevenStockPrintsThrough(t *testing.T) {
	s := &slow{cutter: row(1000), feed: 20, heights: make([]float64, 1000)}
	for i := range s.heights {
		s.heights[i] = 0.5 + 0.4*float64(i)/1000
	}
	at := 0.9
	depths := []float64{0.5, 0.3, 0.05, 0.05}
	stock := between(t, 0.5, 0.7, 0.9)
	u, high, left := 0.4, 0.0, s.cutter.Left(20)
	for i, d := range depths {
		mean := stock.Taken(0.9-at+d) - stock.Taken(0.9-at)
		at -= d
		s.pass(at)
		u, high = passes.After(u, high, mean, d, left, s.cutter.Taper(1))
		u = math.Max(u, at-0.5)
		if got := s.spread(); got > u*(1+1e-9) || i == len(depths)-1 && got < 0.6*u {
			t.Errorf("after pass %d: %.5f mm uneven, bound %.5f", i+1, got, u)
		}
		if got := slices.Max(s.heights) - at; got > high*(1+1e-9) || i == len(depths)-1 && got < 0.6*high {
			t.Errorf("after pass %d: %.5f mm high, bound %.5f", i+1, got, high)
		}
	}
}
