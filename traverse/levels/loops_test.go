package levels

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
)

// Every loop of a walk whose lines have slopes of their own closes as well as it is said to: over many walks the mean square of closure
// over uncertainty is 1, to within four standard errors of such a mean, √(2/walks) each.
func TestClosuresAreAsLargeAsExpected(t *testing.T) {
	const walks = 2000
	stream := chance.NewStream(17)
	var sums []float64
	for range walks {
		var s strings.Builder
		s.WriteString("# reference: lines\n# u: 3 um\nx1,y1,x2,y2,rise_um,line\n")
		for k, l := range [][3][2]int{{{0, 0}, {1, 0}, {2, 0}}, {{0, 2}, {1, 2}, {2, 2}}, {{0, 0}, {0, 1}, {0, 2}}, {{2, 0}, {2, 1}, {2, 2}}, {{0, 1}, {1, 1}, {2, 1}},
			{{1, 0}, {1, 1}, {1, 2}}, {{0, 0}, {1, 1}, {2, 2}}, {{2, 0}, {1, 1}, {0, 2}}} {
			for i := range 2 {
				fmt.Fprintf(&s, "%d,%d,%d,%d,%.4f,%d\n", l[i][0]*400, l[i][1]*300, l[i+1][0]*400, l[i+1][1]*300, 3*stream.Normal(), k)
			}
		}
		w, err := Read("walk.csv", strings.NewReader(s.String()))
		if err != nil {
			t.Fatal(err)
		}
		h, err := fit(w, nil)
		if err != nil {
			t.Fatal(err)
		}
		tree, z, n := graphOf(w).tree(), h.factor.inverse(), 0
		for k, step := range w.Steps {
			if tree.up[step.From].step == k || tree.up[step.To].step == k {
				continue
			}
			if l := h.close(tree.loop(w, k), z); l.U > 1e-9 {
				if n == len(sums) {
					sums = append(sums, 0)
				}
				sums[n] += l.Closure / l.U * l.Closure / l.U / walks
				n++
			}
		}
	}
	if len(sums) < 4 {
		t.Fatalf("only %d loops", len(sums))
	}
	for n, mean := range sums {
		if math.Abs(mean-1) > 4*math.Sqrt(2.0/walks) {
			t.Errorf("loop %d: mean square %g", n, mean)
		}
	}
}
