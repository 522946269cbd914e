package flatness_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"slatewright/flatness"
)

const sizeX, sizeY = 914, 1473

// formed is a piece read at the given stations whose heights follow the formula of the shape.
func formed(at flatness.Points, centre, tiltX, tiltY, a, b, twist float64) flatness.Points {
	p := flatness.Points{X: at.X, Y: at.Y}
	for i := range at.X {
		u, v := 2*at.X[i]/sizeX, 2*at.Y[i]/sizeY
		p.Z = append(p.Z, centre+tiltX*at.X[i]+tiltY*at.Y[i]+a*(1-u*u)+b*(1-v*v)+twist/4*u*v)
	}
	return p
}

func shape(t *testing.T, p flatness.Points) flatness.Shape {
	t.Helper()
	s, err := flatness.FitShape(p, sizeX, sizeY)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Readings that follow the formula give its terms back, wherever on the piece they were taken.
func TestShapeGivesTheFormulaBack(t *testing.T) {
	r := rand.New(rand.NewPCG(51, 51))
	for trial := range trials(300) {
		at := piece(func(u, v float64) float64 { return 0 })
		if trial%2 == 1 {
			at = rough(r, 12+r.IntN(60))
		}
		c, tx, ty := 10*r.NormFloat64(), 1e-3*r.NormFloat64(), 1e-3*r.NormFloat64()
		a, b, w := r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
		s := shape(t, formed(at, c, tx, ty, a, b, w))
		for name, d := range map[string]float64{
			"bow along":  s.BowAlong - a,
			"bow across": s.BowAcross - b, "twist": s.Twist - w, "remainder": s.Remainder, "remainder s.e.": s.RemainderSE,
			"bow along s.e.": s.BowAlongSE, "bow across s.e.": s.BowAcrossSE, "twist s.e.": s.TwistSE,
			"roll-off": s.RollOff, "roll-off s.e.": s.RollOffSE,
		} {
			if math.Abs(d) > 1e-11 {
				t.Fatalf("trial %d: %s is off by %g", trial, name, d)
			}
		}
		if len(s.Warnings) != 0 {
			t.Fatalf("trial %d: %q", trial, s.Warnings)
		}
	}
}

// The signs, each on a case that a person can picture.
func TestShapeSigns(t *testing.T) {
	at := piece(func(u, v float64) float64 { return 0 })
	crown := shape(t, formed(at, 0, 0, 0, 0.2, 0, 0))
	if !(crown.BowAlong > 0) {
		t.Error("high in the middle, low at the −x and +x edges is a crown along: +")
	}
	lifted := shape(t, flatness.Points{X: []float64{-457, 457, -457, 457, 0, 0}, Y: []float64{-736.5, -736.5, 736.5, 736.5, 0, 300},
		Z: []float64{0, 0, 0, 0.4, 0.1, 0.1 + 0.2*300/1473}})
	// Three corners at 0 and the fourth 0.4 up: the gap under it is 0.4.
	if math.Abs(lifted.Twist-0.4) > 0.05 {
		t.Errorf("twist %g with the (+,+) corner 0.4 up", lifted.Twist)
	}
	exact := shape(t, formed(at, 0, 0, 0, 0, 0, 0.4))
	corner := func(u, v float64) float64 { return exact.Twist / 4 * u * v }
	// Over the plane through three corners the fourth stands by the twist.
	if gap := corner(1, 1) - corner(1, -1) - corner(-1, 1) + corner(-1, -1); math.Abs(gap-0.4) > 1e-12 {
		t.Errorf("gap under the fourth corner %g, want 0.4", gap)
	}
}

// exactFit is a least-squares fit of the shape: the coefficients of 1, x, y, A, B, T, (AᵀA)⁻¹, and for each reading its row of A
// and what is left of it.
type exactFit struct {
	coefficient [6]float64
	inverse     [6][6]float64
	row         [][6]float64
	left        []float64
}

// rationals solves the least-squares problem of the shape exactly: normal equations in big.Rat, a slow second method.
func rationals(p flatness.Points) (e exactFit) {
	rat := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	mul := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	rows := make([][6]*big.Rat, p.Len())
	var m [6][13]*big.Rat // AᵀA, Aᵀz, unit matrix
	for i := range m {
		for j := range m[i] {
			m[i][j] = new(big.Rat)
		}
		m[i][7+i].SetInt64(1)
	}
	for i := range rows {
		u, v := mul(rat(p.X[i]), big.NewRat(2, sizeX)), mul(rat(p.Y[i]), big.NewRat(2, sizeY))
		one := big.NewRat(1, 1)
		rows[i] = [6]*big.Rat{one, rat(p.X[i]), rat(p.Y[i]), new(big.Rat).Sub(one, mul(u, u)), new(big.Rat).Sub(one, mul(v, v)), mul(u, v)}
		for r := range 6 {
			for c := range 6 {
				m[r][c].Add(m[r][c], mul(rows[i][r], rows[i][c]))
			}
			m[r][6].Add(m[r][6], mul(rows[i][r], rat(p.Z[i])))
		}
	}
	for k := range 6 {
		pivot := new(big.Rat).Inv(m[k][k])
		for j := range m[k] {
			m[k][j] = mul(m[k][j], pivot)
		}
		for i := range 6 {
			if i == k {
				continue
			}
			f := new(big.Rat).Set(m[i][k])
			for j := range m[i] {
				m[i][j] = new(big.Rat).Sub(m[i][j], mul(f, m[k][j]))
			}
		}
	}
	for i := range rows {
		d := rat(p.Z[i])
		var row [6]float64
		for c := range 6 {
			d.Sub(d, mul(rows[i][c], m[c][6]))
			row[c], _ = rows[i][c].Float64()
		}
		left, _ := d.Float64()
		e.left, e.row = append(e.left, left), append(e.row, row)
	}
	for c := range 6 {
		e.coefficient[c], _ = m[c][6].Float64()
		for k := range 6 {
			e.inverse[c][k], _ = m[c][7+k].Float64()
		}
	}
	return e
}

// variance is that of one reading.
func (e exactFit) variance() (s float64) {
	for _, d := range e.left {
		s += d * d / float64(len(e.left)-6)
	}
	return s
}

// remainder is the highest reading over the fit less the lowest, and the standard error of their difference by the full
// covariance of what is left, variance·(I − A(AᵀA)⁻¹Aᵀ).
func (e exactFit) remainder() (peak, se float64) {
	high, low := 0, 0
	for i, d := range e.left {
		if d > e.left[high] {
			high = i
		}
		if d < e.left[low] {
			low = i
		}
	}
	covariance := func(i, j int) (c float64) {
		if i == j {
			c = 1
		}
		for r := range 6 {
			for k := range 6 {
				c -= e.row[i][r] * e.inverse[r][k] * e.row[j][k]
			}
		}
		return c
	}
	return e.left[high] - e.left[low], math.Sqrt(e.variance() * (covariance(high, high) + covariance(low, low) - 2*covariance(high, low)))
}

// Fit and standard errors against exact rational arithmetic, readings all over the piece and in one corner of it.
func TestShapeAgainstRationals(t *testing.T) {
	r := rand.New(rand.NewPCG(52, 52))
	for trial := range 12 {
		p := rough(r, 20+r.IntN(20))
		tol := 1e-12
		if trial%3 == 2 {
			for i := range p.X {
				p.X[i], p.Y[i] = 400+p.X[i]/10, 650+p.Y[i]/10
			}
			tol = 1e-8
		}
		s := shape(t, p)
		e := rationals(p)
		variance := e.variance()
		peak, peakSE := e.remainder()
		for name, pair := range map[string][2]float64{
			"bow along": {s.BowAlong, e.coefficient[3]}, "bow across": {s.BowAcross, e.coefficient[4]}, "twist": {s.Twist, 4 * e.coefficient[5]},
			"bow along s.e.": {s.BowAlongSE, math.Sqrt(variance * e.inverse[3][3])}, "bow across s.e.": {s.BowAcrossSE, math.Sqrt(variance * e.inverse[4][4])},
			"twist s.e.": {s.TwistSE, 4 * math.Sqrt(variance*e.inverse[5][5])}, "remainder": {s.Remainder, peak}, "remainder s.e.": {s.RemainderSE, peakSE},
		} {
			if math.Abs(pair[0]-pair[1]) > tol*(1+math.Abs(pair[1])) {
				t.Errorf("trial %d: %s %.17g, want %.17g", trial, name, pair[0], pair[1])
			}
		}
	}
}

// The standard errors are what repeated measuring shows.
func TestStandardErrorsByRepetition(t *testing.T) {
	r := rand.New(rand.NewPCG(53, 53))
	at := piece(func(u, v float64) float64 { return 0 })
	const noise = 0.01
	draws := trials(4000)
	var sum, square, said [4]float64
	for range draws {
		p := formed(at, 1, 0, 0, 0.1, -0.05, 0.2)
		for i := range p.Z {
			p.Z[i] += noise * r.NormFloat64()
		}
		s := shape(t, p)
		for k, x := range [4]float64{s.BowAlong, s.BowAcross, s.Twist, s.RollOff} {
			sum[k] += x / float64(draws)
			square[k] += x * x / float64(draws)
		}
		for k, x := range [4]float64{s.BowAlongSE, s.BowAcrossSE, s.TwistSE, s.RollOffSE} {
			said[k] += x * x / float64(draws)
		}
	}
	for k, want := range [4]float64{0.1, -0.05, 0.2, 0} {
		sd := math.Sqrt(square[k] - sum[k]*sum[k])
		if math.Abs(sum[k]-want) > 5*sd/math.Sqrt(float64(draws)) {
			t.Errorf("term %d: mean %g, want %g", k, sum[k], want)
		}
		if ratio := math.Sqrt(said[k]) / sd; math.Abs(ratio-1) > 3/math.Sqrt(float64(draws)) {
			t.Errorf("term %d: standard error %g, scatter %g", k, math.Sqrt(said[k]), sd)
		}
	}
}

// An edge that falls away by 30 µm in the outer ring, over crown and tilt.
func TestRollOff(t *testing.T) {
	at := piece(func(u, v float64) float64 { return 0 })
	p := formed(at, 3, 1e-4, 0, 0.1, 0.05, 0.02)
	for i := range p.Z {
		if math.Abs(p.X[i]) == 437 || math.Abs(p.Y[i]) == 716 {
			p.Z[i] -= 0.03
		}
	}
	s := shape(t, p)
	if math.Abs(s.RollOff-0.03) > 1e-12 || s.RollOffSE > 1e-12 {
		t.Errorf("grid: roll-off %g ± %g, want 0.03", s.RollOff, s.RollOffSE)
	}
	if math.Abs(s.EdgeUnread-20.5) > 1e-12 {
		t.Errorf("the outer stations lie 20 and 20.5 mm from the edges, got %g", s.EdgeUnread)
	}

	r := rand.New(rand.NewPCG(54, 54))
	var scan flatness.Points
	for range 40_000 {
		x, y := sizeX/2*(2*r.Float64()-1), sizeY/2*(2*r.Float64()-1)
		z := 0.1 * (1 - 4*x*x/sizeX/sizeX)
		if edge := min(sizeX/2-math.Abs(x), sizeY/2-math.Abs(y)); edge < 20 {
			z -= 0.04 * (1 - edge/20) // falls to 40 µm at the edge, 20 µm in the mean
		}
		scan = with(scan, x, y, z)
	}
	s = shape(t, scan)
	if math.Abs(s.RollOff-0.02) > 0.001 || s.EdgeUnread > 1 {
		t.Errorf("scan: roll-off %g ± %g, unread %g", s.RollOff, s.RollOffSE, s.EdgeUnread)
	}
}

// Readings that cannot tell a term: it is NaN, and a warning names it and no other.
func TestShapeThatCannotBeTold(t *testing.T) {
	all := []string{"bow along", "bow across", "twist", "edge roll-off"}
	grid := func(us, vs []float64) (p flatness.Points) {
		for _, u := range us {
			for _, v := range vs {
				p = with(p, 400*u, 700*v, 0.01*u*v+0.02*u*u+0.001*float64(p.Len()%3))
			}
		}
		return p
	}
	five := []float64{-1, -0.5, 0, 0.5, 1}
	cross := flatness.Points{}
	for _, u := range five {
		cross = with(with(cross, 400*u, 0, 0.1*u*u), 0, 700*u, 0.1*u)
	}
	cases := []struct {
		name  string
		p     flatness.Points
		named []string
	}{
		{"two lines across", grid([]float64{-1, 1}, five), []string{"bow along", "edge roll-off"}},
		{"two lines along", grid(five, []float64{-1, 1}), []string{"bow across", "edge roll-off"}},
		{"four corners", grid([]float64{-1, 1}, []float64{-1, 1}), []string{"bow along", "bow across", "edge roll-off"}},
		{"corners and middle", with(grid([]float64{-1, 1}, []float64{-1, 1}), 0, 0, 0.1), []string{"bow along", "bow across", "edge roll-off"}},
		{"centre lines only", cross, []string{"twist"}},
		{"grid", grid(five, five), nil},
	}
	for _, c := range cases {
		s := shape(t, c.p)
		said := strings.Join(s.Warnings, "; ")
		for k, x := range [4][2]float64{{s.BowAlong, s.BowAlongSE}, {s.BowAcross, s.BowAcrossSE}, {s.Twist, s.TwistSE}, {s.RollOff, s.RollOffSE}} {
			named := false
			for _, n := range c.named {
				named = named || n == all[k]
			}
			if math.IsNaN(x[0]) != named || strings.Contains(said, all[k]) != named {
				t.Errorf("%s: %s is %g, warnings %q", c.name, all[k], x[0], s.Warnings)
			}
			if named && !math.IsNaN(x[1]) {
				t.Errorf("%s: %s has standard error %g", c.name, all[k], x[1])
			}
		}
	}
	mixed := shape(t, cases[3].p)
	if !strings.Contains(mixed.Warnings[0], "bow along and bow across cannot be told apart") {
		t.Errorf("corners and middle: %q", mixed.Warnings)
	}
}

func TestShapeWithNoReadingsToSpare(t *testing.T) {
	at := flatness.Points{X: []float64{-400, 0, 400, -400, 300, 0}, Y: []float64{-700, -600, -700, 100, 200, 700}, Z: []float64{1, 2, 1, 3, 2, 1}}
	s := shape(t, at)
	if s.Remainder > 1e-12 || !math.IsNaN(s.BowAlongSE) || !math.IsNaN(s.RemainderSE) || math.IsNaN(s.BowAlong) || !strings.Contains(strings.Join(s.Warnings, " "), "6 readings for 6 terms") {
		t.Errorf("got %+v", s)
	}
}

func TestShapeRefusalsAndWarnings(t *testing.T) {
	p := piece(func(u, v float64) float64 { return u })
	for _, size := range [][2]float64{{0, 1473}, {914, 0}, {-914, 1473}, {math.NaN(), 1473}, {math.Inf(1), 1473}} {
		if _, err := flatness.FitShape(p, size[0], size[1]); err == nil || !strings.Contains(err.Error(), "# size: 914 x 1473 mm") {
			t.Errorf("size %v: %v", size, err)
		}
	}
	if _, err := flatness.FitShape(pick(p, []int{0, 1, 2}), sizeX, sizeY); err == nil || !strings.Contains(err.Error(), "too few") {
		t.Errorf("three readings: %v", err)
	}
	corner := flatness.Points{Z: p.Z}
	for i := range p.X {
		corner.X, corner.Y = append(corner.X, p.X[i]+sizeX/2), append(corner.Y, p.Y[i]+sizeY/2)
	}
	if s := shape(t, corner); len(s.Warnings) == 0 || !strings.Contains(s.Warnings[0], "lie outside the piece") {
		t.Errorf("origin in a corner: %q", s.Warnings)
	}
}
