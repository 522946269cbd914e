package lining

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/internal/truth"
	"slatewright/plate"
)

func near(t interface{ Errorf(string, ...any) }, what string, got, want, tolerance float64) {
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g ± %.2g", what, got, want, tolerance)
	}
}

func TestCurvatureAgainstPublishedStrips(t *testing.T) {
	list := truth.Bilayers()
	if len(list) < 2 {
		t.Fatalf("%d strips", len(list))
	}
	for _, b := range list {
		k := plate.TwoLayer(b.T1, b.E1, b.T2, b.E2, b.Strain)
		near(t, "curvature", k, b.Curvature, 1e-6*b.Curvature)
		if !math.IsNaN(b.Published) {
			near(t, "end of a cantilever", k*b.Length*b.Length/2, b.Published, 5e-4)
		}
	}
}

// Equal layers: κ = 3Δε/(2h).
func TestEqualLayersHaveAClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, e := rapid.Float64Range(2, 80).Draw(t, "h"), rapid.Float64Range(100, 1e5).Draw(t, "E")
		near(t, "equal layers", plate.TwoLayer(h/2, e, h/2, e, 1), 1.5/h, 1e-12/h)
	})
}

// layered is an independent way: the section is cut into many sheets, each with its modulus and free strain, and the plane strain ε₀ + κz that leaves no
// force and no moment is found from the sums over the sheets.
func layered(t1, e1, t2, e2 float64) float64 {
	const n = 4000
	var a, b, d, f, m float64
	for i := range n {
		h := (t1 + t2) / n
		z := (float64(i) + 0.5) * h // from the top down
		e, free := e1, 0.0
		if z > t1 {
			e, free = e2, 1
		}
		a, b, d = a+e*h, b+e*h*z, d+e*h*(z*z+h*h/12)
		f, m = f+e*h*free, m+e*h*free*z
	}
	return (a*m - b*f) / (a*d - b*b)
}

func TestCurvatureAgainstSheets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		t1 := float64(rapid.IntRange(1, 20).Draw(t, "t1"))
		t2 := 20 - t1 + float64(rapid.IntRange(0, 1).Draw(t, "even"))*20 // so that the joint lies between two sheets
		if t2 == 0 {
			t2 = 20
		}
		e1, e2 := rapid.Float64Range(1e3, 1e5).Draw(t, "E1"), rapid.Float64Range(1e3, 1e5).Draw(t, "E2")
		want := layered(t1, e1, t2, e2)
		near(t, "curvature", plate.TwoLayer(t1, e1, t2, e2, 1), want, 1e-9*want)
	})
}

// The shear-lag form against the equation itself: N″ = β²(N − N∞) with free ends, by finite differences.
func TestTransferAgainstTheDifferenceEquation(t *testing.T) {
	p := stiff{stone: 25.4, eStone: 48000, board: 12, eBoard: 3000, shear: 200, bond: 0.002}
	beta2 := (1/(p.eBoard*p.board) + 4/(p.eStone*p.stone)) / (p.board/(3*p.shear) + p.bond)
	for _, length := range []float64{30, 150, 600} {
		const n = 3000
		h := length / n
		// N∞ = 1; Thomas's elimination of N[i−1] − (2+β²h²)N[i] + N[i+1] = −β²h².
		c, r := make([]float64, n+1), make([]float64, n+1)
		for i := 1; i < n; i++ {
			diag := -(2 + beta2*h*h) - c[i-1]
			c[i], r[i] = 1/diag, (-beta2*h*h-r[i-1])/diag
		}
		sum, next := 0.0, 0.0
		for i := n - 1; i > 0; i-- {
			next = r[i] - c[i]*next
			sum += next
		}
		near(t, "mean force", transfer(length, p), sum/n, 1e-5)
	}
	near(t, "a stiff board", transfer(150, stiff{stone: 25.4, eStone: 48000, board: 12, eBoard: 3000, shear: math.Inf(1)}), 1, 0)
}

func TestMoistureAgainstTheHandbook(t *testing.T) {
	list := truth.WoodMoistures()
	if len(list) < 50 {
		t.Fatalf("%d rows", len(list))
	}
	tolerance := map[string]float64{"memory": 0.1, "quoted": 0.7}
	for _, m := range list {
		got := Moisture((m.Fahrenheit-32)/1.8, m.Humidity)
		near(t, "equation", got, m.Equation, 0.06) // °C and °F coefficients are rounded apart
		if m.Mark != "computed" {
			near(t, m.Mark, got, m.Published, tolerance[m.Mark])
		}
	}
}

// A board whose moisture lies in the published band at a humidity may be in balance with that humidity.
func TestBalanceHoldsThePublishedBands(t *testing.T) {
	list := truth.BoardBands()
	if len(list) != len(bands) {
		t.Fatalf("%d bands", len(list))
	}
	for _, b := range list {
		for _, m := range []float64{b.Low, (b.Low + b.High) / 2, b.High} {
			if s := balance(Exactly(m)); s.Low > b.Humidity+1e-9 || s.High < b.Humidity-1e-9 {
				t.Errorf("%g %% of water is in balance with %g to %g %%, and %g is published", m, s.Low, s.High, b.Humidity)
			}
		}
	}
	for _, g := range truth.BoardGrowths() {
		if g < equationStrain*(1-equationDoubt) || g > equationStrain*(1+equationDoubt)+1e-12 {
			t.Errorf("the equation's limits leave out %g mm/m", g)
		}
	}
	slope := (list[2].Low + list[2].High - list[0].Low - list[0].High) / 2 / (list[2].Humidity - list[0].Humidity)
	near(t, "usual moisture", UsualMoisture.Value, slope, 0.001)
}
