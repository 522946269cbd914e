package float_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"slatewright/bed/holes/fit"
	"slatewright/bed/holes/float"
	"slatewright/chance"
	"slatewright/trouble"
)

func at(x, y float64) fit.Vector { return fit.Vector{X: x, Y: y} }

// table is a bed of three pieces with six rails of four bolts each and six screws a piece to the frame; noise scatters the holes.
func table(s *chance.Stream, noise, boltFloat float64) float.Question {
	var q float.Question
	for i, name := range []string{"head", "centre", "foot"} {
		q.Parts = append(q.Parts, float.Part{Name: name, Middle: at(float64(i-1)*914, 0), Turn: 0.005, Shift: 10})
	}
	pieceAt := func(x float64) int { return max(0, min(2, int(math.Floor(x/914+1.5)))) }
	hole := func(name string, bolt int, x, y, left float64) {
		q.Passages = append(q.Passages, float.Passage{Name: name, Hole: pieceAt(x), Bolt: bolt, At: at(x+noise*s.Normal(), y+noise*s.Normal()), To: at(x, y), Float: left, U: 0.05, UFloat: 0.02})
	}
	for r, m := range []fit.Vector{at(-1300, 0), at(1300, 0), at(-650, -680), at(650, -680), at(-650, 680), at(650, 680)} {
		q.Parts = append(q.Parts, float.Part{Name: fmt.Sprint("rail ", r+1), Middle: m, Turn: 0.01, Shift: 10})
		for k := range 4 {
			away := float64(k-1)*300 - 150
			if r < 2 {
				hole(fmt.Sprintf("rb-%d%d", r+1, k+1), 3+r, m.X, m.Y+away, boltFloat)
			} else {
				hole(fmt.Sprintf("rb-%d%d", r+1, k+1), 3+r, m.X+away, m.Y, boltFloat)
			}
		}
	}
	for p := range 3 {
		for k := range 6 {
			hole(fmt.Sprintf("bs-%d%d", p+1, k+1), float.Ground, float64(p-1)*914+float64(k%3-1)*350, 500*float64(2*(k/3)-1), 3)
		}
	}
	for j := range 2 {
		for _, y := range []float64{-700, 700} {
			place := at((float64(j)-0.5)*914, y)
			q.Closures = append(q.Closures, float.Closure{Name: "opens", A: j, B: j + 1, At: place, N: at(1, 0), Low: -0.1, High: 0.5},
				float.Closure{Name: "slides", A: j, B: j + 1, At: place, N: at(0, 1), Low: -1, High: 1})
		}
	}
	return q
}

func lay(t *testing.T, q float.Question) *float.Answer {
	t.Helper()
	a, err := float.Lay(q)
	if err != nil {
		t.Fatal(err)
	}
	if a.Most < a.Left || a.Most-a.Left > 0.05 {
		t.Errorf("left %g, at most %g", a.Left, a.Most)
	}
	return a
}

func TestHolesAsDrawnLeaveTheWholeFloat(t *testing.T) {
	a := lay(t, table(chance.NewStream(1), 0, 1.6))
	if a.Left < 1.6-0.001 || a.Left > 1.6 || a.Most < 1.6 || a.Most > 1.605 {
		t.Errorf("left %g, at most %g of 1.6", a.Left, a.Most)
	}
}

// One hole moved along its rail leaves half of what it moved once the rail gives way; moved together with its neighbours, the rail goes with them.
func TestOneBoltFightsItsNeighbours(t *testing.T) {
	for _, by := range []float64{0.5, 2, 3, 3.5, 6} {
		q := table(chance.NewStream(1), 0, 1.6)
		q.Passages[13].At.X += by // second of the fourth rail, along the rail: the others of the rail hold it
		a := lay(t, q)
		want := 1.6 - by/2
		if math.Abs(a.Left-want) > 0.01 || math.Abs(a.Most-want) > 0.02 {
			t.Errorf("moved by %g: left %g, at most %g, want %g", by, a.Left, a.Most, want)
		}
		if len(a.Holding) != 2 || a.Holding[0].Name != q.Passages[13].Name && a.Holding[1].Name != q.Passages[13].Name || math.Abs(a.Holding[0].Share-0.5) > 0.01 {
			t.Errorf("held by %+v", a.Holding)
		}
	}
	q := table(chance.NewStream(1), 0, 1.6)
	for i := 12; i < 16; i++ {
		q.Passages[i].At.X += 3
	}
	if a := lay(t, q); a.Left < 1.6-0.001 {
		t.Errorf("a rail whose holes all moved alike leaves %g", a.Left)
	}
}

// What is said of a place is true of that place: each float is within its circle, and closures and reach are kept.
func TestThePlaceIsAsItSays(t *testing.T) {
	s := chance.NewStream(5)
	for range 20 {
		q := table(s, 0.5, 1.6)
		a := lay(t, q)
		worst := math.Inf(1)
		for i, p := range q.Passages {
			d := q.Apart(p, a.Moves)
			left := p.Float - d.Size()
			worst = min(worst, left)
			if math.Abs(left-a.Each[i]) > 1e-12 {
				t.Errorf("%s: %g, said %g", p.Name, left, a.Each[i])
			}
		}
		if worst != a.Left {
			t.Errorf("left %g, said %g", worst, a.Left)
		}
		for _, c := range q.Closures {
			move := func(i int) fit.Vector {
				m := a.Moves[i]
				return at(m.DX-m.Angle*(c.At.Y-q.Parts[i].Middle.Y), m.DY+m.Angle*(c.At.X-q.Parts[i].Middle.X))
			}
			x, y := move(c.A), move(c.B)
			if d := c.N.X*(y.X-x.X) + c.N.Y*(y.Y-x.Y); d < c.Low-1e-9 || d > c.High+1e-9 {
				t.Errorf("closure %s: %g", c.Name, d)
			}
		}
	}
}

// byGeneralSimplex solves the same problem with 24 tangents a bolt by a general simplex method: inside and outside tangents bound what is left.
func byGeneralSimplex(t *testing.T, q float.Question) (low, high float64) {
	const sides = 24
	n := 3*len(q.Parts) + 1
	var rows [][]float64
	var right []float64
	put := func(a []float64, part int, p, dir fit.Vector, f float64) {
		if part >= 0 {
			m := q.Parts[part].Middle
			a[3*part] += f * dir.X
			a[3*part+1] += f * dir.Y
			a[3*part+2] += f * (dir.Y*(p.X-m.X) - dir.X*(p.Y-m.Y)) / 1000
		}
	}
	for _, p := range q.Passages {
		for k := range sides {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / sides)
			row := make([]float64, n)
			put(row, p.Hole, p.At, at(cos, sin), 1)
			put(row, p.Bolt, p.To, at(cos, sin), -1)
			row[n-1] = -1
			rows, right = append(rows, row), append(right, p.Float-cos*(p.At.X-p.To.X)-sin*(p.At.Y-p.To.Y))
		}
	}
	for _, c := range q.Closures {
		for _, f := range []float64{1, -1} {
			row := make([]float64, n)
			put(row, c.B, c.At, c.N, f)
			put(row, c.A, c.At, c.N, -f)
			b := c.High
			if f < 0 {
				b = -c.Low
			}
			rows, right = append(rows, row), append(right, b)
		}
	}
	g := mat.NewDense(len(rows), n, nil)
	for i, r := range rows {
		g.SetRow(i, r)
	}
	cost := make([]float64, n)
	cost[n-1] = 1
	c, a, b := lp.Convert(cost, g, right, nil, nil)
	v, _, err := lp.Simplex(c, a, b, 1e-10, nil)
	if err != nil {
		t.Fatal(err)
	}
	// Within the tangents the circle is reached to a share of cos(π/sides).
	most := 0.
	for _, p := range q.Passages {
		most = max(most, p.Float-v)
	}
	return -v - most*(1/math.Cos(math.Pi/sides)-1), -v
}

func TestAgainstAGeneralSimplex(t *testing.T) {
	s := chance.NewStream(7)
	for k := range 3 {
		q := table(s, []float64{0.2, 0.6, 1.5}[k], 1.6)
		q.Parts, q.Closures = q.Parts[:4], q.Closures[:]
		var few []float.Passage
		for _, p := range q.Passages {
			if p.Bolt < 4 && len(few) < 10 {
				few = append(few, p)
			}
		}
		q.Passages = few
		a := lay(t, q)
		low, high := byGeneralSimplex(t, q)
		if a.Most < low-0.01 || a.Left > high+0.01 {
			t.Errorf("left %g to %g; the general method says %g to %g", a.Left, a.Most, low, high)
		}
		t.Logf("left %.6f to %.6f; general %.6f to %.6f", a.Left, a.Most, low, high)
	}
}

func TestQuestionsThatCannotBeAsked(t *testing.T) {
	var told *trouble.Trouble
	if _, err := float.Lay(float.Question{}); !errors.As(err, &told) || told.Code != "no-bolts" {
		t.Error(err)
	}
	q := table(chance.NewStream(1), 0, 1)
	for len(q.Parts) <= float.MostParts {
		q.Parts = append(q.Parts, q.Parts[0])
	}
	if _, err := float.Lay(q); !errors.As(err, &told) || told.Code != "too-many-parts" {
		t.Error(err)
	}
}

func BenchmarkLay(b *testing.B) {
	for _, noise := range []float64{0.1, 0.5, 1.5} {
		q := table(chance.NewStream(5), noise, 1.6)
		b.Run(fmt.Sprint(noise), func(b *testing.B) {
			for b.Loop() {
				if _, err := float.Lay(q); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Bolts that lie as a turn of 20 mrad puts the holes: with true turns nothing is lost, though turns taken as linear lose 0.1 mm.
func TestTrueTurnsMayGainWhatLinearOnesLose(t *testing.T) {
	turned := fit.Motion{Angle: 0.0199}
	q := float.Question{Parts: []float.Part{{Name: "piece", Turn: 0.02, Shift: 5}}}
	for _, p := range []fit.Vector{at(-500, 0), at(500, 0), at(0, 300)} {
		q.Passages = append(q.Passages, float.Passage{Name: "b", Hole: 0, Bolt: float.Ground, At: p, To: turned.Of(p), Float: 1})
	}
	a, err := float.Lay(q)
	if err != nil {
		t.Fatal(err)
	}
	left := math.Inf(1)
	for _, p := range q.Passages {
		left = min(left, p.Float-q.Apart(p, []fit.Motion{turned}).Size())
	}
	if math.Abs(left-1) > 1e-9 || a.Most < left || a.Most > 1.01 || a.Left > a.Most {
		t.Errorf("the turn leaves %g; found %g, at most %g", left, a.Left, a.Most)
	}
}

// The uncertainty of what is left is that which many readings of the same holes show, where it is clear which bolts hold.
func TestDoubtIsTrue(t *testing.T) {
	s := chance.NewStream(21)
	q := table(chance.NewStream(1), 0, 1.6)
	q.Passages[13].At.X += 2.5
	q.Passages[14].Float = 1.2
	truth := lay(t, q)
	var sum, squares float64
	const trials = 400
	for range trials {
		p := q
		p.Passages = append([]float.Passage{}, q.Passages...)
		for i := range p.Passages {
			x := &p.Passages[i]
			x.At.X += x.U * s.Normal()
			x.At.Y += x.U * s.Normal()
			x.Float += x.UFloat * s.Normal()
		}
		d := lay(t, p).Left - truth.Left
		sum += d
		squares += d * d
	}
	mean := sum / trials
	if spread := math.Sqrt(squares/trials - mean*mean); math.Abs(spread/truth.U-1) > 0.12 {
		t.Errorf("left %g with u = %g spreads by %g about %g", truth.Left, truth.U, spread, mean)
	}
}

// No place of the parts leaves more than Most, with true turns: many are tried about the place that was found, and each improvement is kept.
func TestNoPlaceLeavesMore(t *testing.T) {
	s := chance.NewStream(11)
	for range 8 {
		q := table(s, 2*s.Float64(), 1.6)
		q.Closures = nil
		a := lay(t, q)
		moves := append([]fit.Motion{}, a.Moves...)
		best, step := a.Left, 0.2
		for k := range 3000 {
			other := append([]fit.Motion{}, moves...)
			i := s.IntN(len(other))
			other[i].DX += step * s.Normal()
			other[i].DY += step * s.Normal()
			other[i].Angle += step / 500 * s.Normal()
			if math.Abs(other[i].Angle) > q.Parts[i].Turn {
				continue
			}
			left := math.Inf(1)
			for _, p := range q.Passages {
				left = min(left, p.Float-q.Apart(p, other).Size())
			}
			if left > best {
				best, moves = left, other
			} else if k%300 == 299 {
				step /= 2
			}
		}
		if best > a.Most {
			t.Errorf("a place leaves %g, the bound was %g", best, a.Most)
		}
	}
}

// Eased, each bolt keeps half of what the tightest can have, and no part that needs not moves; where holes are as drawn nothing does.
func TestEaseMovesLittle(t *testing.T) {
	q := table(chance.NewStream(1), 0, 1.6)
	a := lay(t, q)
	moves, err := float.Ease(q, a)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range moves {
		if m != (fit.Motion{}) {
			t.Errorf("%+v", m)
		}
	}
	q.Passages[13].At.X += 2 // tight: 0.6 is left at most, so 0.3 is kept; rail and pieces together go 2 − 1.6 + 0.3
	if moves, err = float.Ease(q, lay(t, q)); err != nil {
		t.Fatal(err)
	}
	for i, m := range moves {
		size := math.Hypot(m.DX, m.DY)
		if i == 6 && (size < 0.3 || size > 0.7) || i > 2 && i != 6 && size > 1e-6 {
			t.Errorf("%s: %+v", q.Parts[i].Name, m)
		}
	}
	s := chance.NewStream(13)
	for range 10 {
		q := table(s, 0.7, 1.6)
		a := lay(t, q)
		moves, err := float.Ease(q, a)
		if err != nil {
			t.Fatal(err)
		}
		var eased, laid float64
		for i := range moves {
			eased += moves[i].DX*moves[i].DX + moves[i].DY*moves[i].DY
			laid += a.Moves[i].DX*a.Moves[i].DX + a.Moves[i].DY*a.Moves[i].DY
		}
		for _, p := range q.Passages {
			if a.Left > 0 && p.Float-q.Apart(p, moves).Size() < 0.44*a.Left {
				t.Errorf("%s has %g left of %g", p.Name, p.Float-q.Apart(p, moves).Size(), a.Left)
			}
		}
		if a.Left > 0 && eased > laid {
			t.Errorf("eased %g, laid %g", eased, laid)
		}
	}
}

func BenchmarkEase(b *testing.B) {
	q := table(chance.NewStream(5), 0.5, 1.6)
	a, err := float.Lay(q)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := float.Ease(q, a); err != nil {
			b.Fatal(err)
		}
	}
}
