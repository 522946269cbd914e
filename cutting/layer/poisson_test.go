package layer_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/cutting/layer"
)

// gap draws the length between two joints of mean spacing 1.
func gap(s *chance.Stream) float64 { return -math.Log(1 - s.Float64()) }

// What docs/layer.md derives: blocks of length λ in gaps of mean 1 use λ/(e^λ−1) of the length. A gap of g holds ⌊g/λ⌋ = n blocks with the chance (1−q)·qⁿ, q = e^−λ, so n has the
// variance q/(1−q)² and its covariance with g is (Σ over k ≥ 1 of kλ·q^k) = λq/(1−q)²; the share is a ratio of two sums, and the delta method gives its error. A million gaps
// lie within four of these.
func TestDerivedShare(t *testing.T) {
	const gaps = 1_000_000
	for _, lambda := range []float64{0.1, 0.25, 0.5, 1, 2} {
		s := chance.NewStream(uint64(1000 * lambda))
		var blocks, length float64
		for range gaps {
			g := gap(s)
			blocks, length = blocks+math.Floor(g/lambda), length+g
		}
		q := math.Exp(-lambda)
		want := lambda * q / (1 - q)
		variance := q/((1-q)*(1-q))*lambda*lambda + want*want - 2*want*lambda*lambda*q/((1-q)*(1-q))
		doubt := 4 * math.Sqrt(variance/gaps)
		if got := lambda * blocks / length; math.Abs(got-want) > doubt || doubt > 0.01*want {
			t.Errorf("λ %v: %.6f of the length, want %.6f within %.6f", lambda, got, want, doubt)
		}
		if math.Abs(want-lambda/math.Expm1(lambda)) > 1e-12 {
			t.Errorf("λ %v: %v is not λ/(e^λ−1)", lambda, want)
		}
	}
}

// The plan takes of each gap what there is, but for the cells of 2 mm at its two ends: no luck of a draw is in that.
func TestEveryGapIsUsed(t *testing.T) {
	const block, width, long = 1000.0, 600.0, 60e3
	for _, lambda := range []float64{0.25, 0.5, 1} {
		for seed := range uint64(3) {
			q := &layer.Question{Ground: layer.Ground{Outline: rectangle(long, width)}, Samples: 1, Sizes: []layer.Size{{Length: block, Width: width, Value: 1}}}
			s := chance.NewStream(seed)
			least, most, at := 0.0, 0.0, 0.0
			hold := func(g float64) {
				least, most = least+math.Max(0, math.Floor((g-4.1)/block)), most+math.Floor(g/block+1e-9)
			}
			for x := gap(s) * block / lambda; x < long; x += gap(s) * block / lambda {
				q.Joints = append(q.Joints, layer.Joint{Name: "j", Trace: []layer.Point{{X: x, Y: -1}, {X: x, Y: width + 1}}, Chance: 1})
				hold(x - at)
				at = x
			}
			hold(long - at)
			p, err := layer.Lay(q)
			if err != nil {
				t.Fatal(err)
			}
			if n := float64(len(p.Blocks)); n < least || n > most {
				t.Errorf("λ %v, %d: %v blocks, the gaps hold %v to %v", lambda, seed, n, least, most)
			}
		}
	}
}
