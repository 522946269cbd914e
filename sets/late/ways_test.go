package late

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// tail adds up the binomial tail in exact fractions of p as it stands.
func tail(k, n int, p float64) float64 {
	pass := new(big.Rat).SetFloat64(p)
	odds := new(big.Rat).Sub(big.NewRat(1, 1), pass)
	term := new(big.Rat).SetInt64(1) // all n pass
	for range n {
		term.Mul(term, pass)
	}
	odds.Quo(odds, pass)
	sum := new(big.Rat)
	for i := n; i >= k; i-- {
		sum.Add(sum, term)
		term.Mul(term, odds).Mul(term, big.NewRat(int64(i), int64(n-i+1)))
	}
	x, _ := sum.Float64()
	return x
}

// tails keeps what tail gave.
type tails map[tailOf]float64

type tailOf struct {
	k, n int
	p    float64
}

func (known tails) tail(k, n int, p float64) float64 {
	of := tailOf{k, n, p}
	x, ok := known[of]
	if !ok {
		x = tail(k, n, p)
		known[of] = x
	}
	return x
}

func TestTailsAgainstExactFractions(t *testing.T) {
	for _, p := range []float64{0.125, 0.5, 0.9, 1} {
		for n := 1; n <= 40; n += 7 {
			for k := 0; k <= n+1; k++ {
				if got, want := atLeast(k, n, p), tail(k, n, p); math.Abs(got-want) > 1e-13 {
					t.Errorf("%d of %d at %g: %.15g, exactly %.15g", k, n, p, got, want)
				}
			}
		}
	}
}

// TestWellKnownSizes: how many to look at so that one of a kind is met with the given probability (well-known sizes of sampling, from memory).
func TestWellKnownSizes(t *testing.T) {
	for _, s := range []struct {
		share, sure float64
		n           int
	}{{0.05, 0.95, 59}, {0.01, 0.95, 299}, {0.10, 0.95, 29}, {0.10, 0.90, 22}, {0.05, 0.90, 45}, {0.01, 0.99, 459}} {
		if n := fewest(1, s.share, s.sure); n != s.n {
			t.Errorf("share %g, %g sure: %d, well known %d", s.share, s.sure, n, s.n)
		}
	}
}

// TestBegunPiecesAreTheCheapest holds the search against every choice of heads, centres and feet.
func TestBegunPiecesAreTheCheapest(t *testing.T) {
	known := tails{}
	rapid.Check(t, func(t *rapid.T) {
		q := Question{Wanted: rapid.IntRange(1, 4).Draw(t, "wanted"), Sure: float64(rapid.IntRange(1, 19).Draw(t, "sure")) / 20}
		for place := range 3 {
			q.Pass[place] = float64(rapid.IntRange(12, 20).Draw(t, "pass")) / 20
			q.Cost[place] = float64(rapid.IntRange(1, 3).Draw(t, "cost"))
		}
		if rapid.Bool().Draw(t, "no money") {
			q.Cost = [3]float64{}
		}
		n, probability := q.begin()
		if got := q.together(n); got != probability || got < q.Sure {
			t.Fatalf("%v come with %g, said %g, asked %g", n, got, probability, q.Sure)
		}
		price := q.Cost
		if price == [3]float64{} {
			price = [3]float64{1, 1, 1}
		}
		own := money(price, n)
		most := 40 // pieces of a place: more than any cheapest choice here has
		for h := q.Wanted; h <= most; h++ {
			for c := q.Wanted; c <= most; c++ {
				for f := q.Wanted; f <= most; f++ {
					other := [3]int{h, c, f}
					if of := money(price, other); of > own || of == own && h+c+f >= n[0]+n[1]+n[2] {
						break // more feet cost more
					}
					if known.tail(q.Wanted, h, q.Pass[0])*known.tail(q.Wanted, c, q.Pass[1])*known.tail(q.Wanted, f, q.Pass[2]) >= q.Sure+1e-12 {
						t.Fatalf("%v costs %g, and %v less", n, own, other)
					}
				}
			}
		}
	})
}

// TestMeansOfSetsAgainstCounting adds up sets over every count of pieces that pass.
func TestMeansOfSetsAgainstCounting(t *testing.T) {
	q, err := Question{Wanted: 3, Pass: [3]float64{0.9, 0.8, 0.85}, PassAny: 0.84}.complete()
	if err != nil {
		t.Fatal(err)
	}
	early, fixed, anyPlace := q.ways()
	n := early.Begin[0]
	known := tails{}
	exactly := func(k, n int, p float64) float64 { return known.tail(k, n, p) - known.tail(k+1, n, p) }
	wantFixed, wantAny, wantEarly := 0.0, 0.0, 0.0
	for h := range n + 1 {
		for c := range n + 1 {
			for f := range n + 1 {
				wantFixed += exactly(h, n, 0.9) * exactly(c, n, 0.8) * exactly(f, n, 0.85) * float64(min(h, c, f))
			}
		}
		wantEarly += exactly(h, n, 0.9*0.8*0.85) * float64(h)
	}
	for k := range 3*n + 1 {
		wantAny += exactly(k, 3*n, 0.84) * float64(k/3)
	}
	for name, pair := range map[string][2]float64{"early": {early.OfTheSame, wantEarly}, "fixed": {fixed.OfTheSame, wantFixed}, "any": {anyPlace.OfTheSame, wantAny}} {
		if math.Abs(pair[0]-pair[1]) > 1e-10 {
			t.Errorf("%s: %.12g sets of the same pieces, counted %.12g", name, pair[0], pair[1])
		}
	}
}
