package holes_test

import (
	"testing"

	"slatewright/bed/holes"
	"slatewright/bed/holes/fit"
	"slatewright/chance"
)

// Of beds whose tightest bolts just pass, no more than one in twenty may be called fit, and no more than one in twenty unfit, whether the parts hang on one bolt or on many.
func TestFitsIsRightAtTheEdge(t *testing.T) {
	s := chance.NewStream(9)
	const beds = 40
	for _, scatter := range []float64{0.3, 1.2} {
		for _, u := range []float64{0.05, 0.15, 0.3} {
			said := map[string]int{}
			for range beds {
				d := drawing()
				truth := map[int]fit.Vector{}
				for i, f := range d.Features {
					truth[i] = at(f.At.X+scatter*s.Normal(), f.At.Y+scatter*s.Normal())
				}
				place := func(i int, _ holes.Feature) fit.Vector { return truth[i] }
				m := measured(d, 0, nil, place)
				for i := range m.Readings {
					m.Readings[i].U = 1e-9
				}
				left := check(t, d, m, 0).Function.Left
				for i := range d.Features { // bolts thicker, so that exactly nothing is left
					d.Features[i].Size = 0
					if f := &d.Features[i]; f.Bolt > 0 {
						f.Bolt += 2 * left
					}
				}
				fn := check(t, d, measured(d, u, s, place), 0).Function
				switch {
				case fn.Fits == nil:
					said["open"]++
				case *fn.Fits:
					said["fits"]++
				default:
					said["no"]++
				}
			}
			t.Logf("scatter %g, u %g: %v", scatter, u, said)
			if said["fits"] > beds/10 || said["no"] > beds/10 {
				t.Errorf("scatter %g, u %g: %v of %d", scatter, u, said, beds)
			}
		}
	}
}
