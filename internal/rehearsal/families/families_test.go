package families

import (
	"math"
	"slices"
	"testing"

	"slatewright/chance"
)

// The random field has the Matérn covariance that it is drawn for (closed form), over many fields: 4,000 of them leave a standard
// error of about √2/√4000 = 0.022 in a correlation; five of them are allowed.
func TestWavesHaveTheCovariance(t *testing.T) {
	const n, length = 4000, 150.0
	d := chance.NewStream(1)
	at := []float64{0, 40, 150, 400}
	sums := make([]float64, len(at))
	for range n {
		p := &Piece{waves: waves(d, 1, length)}
		z := p.Grid(at, []float64{17})
		for i := range at {
			sums[i] += z[0] * z[i] / n
		}
	}
	for i, r := range at {
		s := math.Sqrt(3) * r / length
		if want := (1 + s) * math.Exp(-s); math.Abs(sums[i]-want) > 0.11 {
			t.Errorf("distance %g: covariance %.3f, want %.3f", r, sums[i], want)
		}
	}
}

func TestAPieceIsItsNumber(t *testing.T) {
	xs, ys := Even(7, SizeX, 20), Even(11, SizeY, 20)
	for _, f := range All() {
		a, b := New(f, 3).Grid(xs, ys), New(f, 3).Grid(xs, ys)
		if !slices.Equal(a, b) || slices.Equal(a, New(f, 4).Grid(xs, ys)) {
			t.Errorf("%s: a piece is not what its number says", f)
		}
		if got := New(f, 3).At(xs[2], ys[5]); math.Abs(got-a[2*len(ys)+5]) > 1e-12 {
			t.Errorf("%s: one place %g, on the grid %g", f, got, a[2*len(ys)+5])
		}
	}
}

func TestChipsAreHollows(t *testing.T) {
	c := chip{x: 10, y: 20, depth: 0.1, radius: 30, stretch: 1}
	if c.at(10, 20) != -0.1 || c.at(41, 20) != 0 || c.at(10, 35) >= 0 {
		t.Errorf("a chip: %g, %g, %g", c.at(10, 20), c.at(41, 20), c.at(10, 35))
	}
}
