package plate

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/internal/truth"
	"slatewright/trouble"
)

// slate is the middle piece of a nine-foot bed, E 48 GPa.
func slate() Piece {
	return Piece{Outline: Rectangle(914, 1473), Thickness: Even(25.4), Elastic: Isotropic(48000, 0.2), Density: 2790}
}

// strip is the same without sideways contraction: it bends as a beam does.
func strip() Piece {
	p := slate()
	p.Elastic.Poisson = 0
	return p
}

// notched has two pockets and a hole.
func notched() Piece {
	p := slate()
	p.Outline = p.Outline.WithRound(-457, -736.5, 65).WithRound(-457, 736.5, 65).WithRound(100, 100, 40)
	return p
}

func bend(t testing.TB, p Piece, u Under, loads ...Load) *Bent {
	t.Helper()
	b, err := Bend(p, u, 0, loads...)
	if err != nil {
		t.Fatal(err)
	}
	if !b.Good || !b.Proof.Holds() {
		t.Fatalf("doubt %g of %g mm, proof %+v", b.Error, b.PeakToValley, b.Proof)
	}
	return b
}

// rested is a plate at rest on supports.
func rested(t testing.TB, pl *Plate, at []Support) *Rest {
	t.Helper()
	s, err := pl.Stand(at, nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := s.Rest(nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t testing.TB, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: %.6g, not %.6g", what, got, want)
	}
}

// TestEndsAsABeamAndAsAPlate holds two end bars to the beam's 5qL⁴/(384EI) and to what a plate adds.
func TestEndsAsABeamAndAsAPlate(t *testing.T) {
	q := weight * 2790 * 25.4
	beam := 5 * q * math.Pow(1473, 4) / (384 * 48000 * math.Pow(25.4, 3) / 12)
	near(t, "published beam", beam, 0.650, 0.001)
	near(t, "as a beam", bend(t, strip(), Bars(slate().Outline, 0)).PeakToValley, beam, 1e-4)
	near(t, "as a plate", bend(t, slate(), Bars(slate().Outline, 0)).PeakToValley, 0.666, 0.001)
	if pv := bend(t, slate(), Bars(slate().Outline, 0.22)).PeakToValley; pv < 0.014 || pv > 0.018 {
		t.Errorf("at 0.22 L: %g mm, not 0.014 to 0.018", pv)
	}
	near(t, "best three points known", bend(t, slate(), Under{Points: []Support{{X: 274, Y: -354}, {X: -274, Y: -354}, {Y: 471}}}).PeakToValley, 0.0515, 0.01)
}

// TestBeamLimits finds the places of two bars that make the ends level, shorten the beam least, and sag it least.
func TestBeamLimits(t *testing.T) {
	const l = 1473.0
	at := func(f float64) *Bent {
		b, err := bendOn(strip(), Bars(slate().Outline, f), slate().Outline.lattice(l/64), l/32, nil)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	slope := func(b *Bent) float64 { return b.plate.mesh.derivative(Point{0, l / 2}, 0, 1).of(b.splice) }
	lo, hi := 0.2, 0.23
	for range 30 {
		mid := (lo + hi) / 2
		if slope(at(mid)) > 0 { // bars too far out: the middle hangs, the ends stand up
			lo = mid
		} else {
			hi = mid
		}
	}
	near(t, "ends level", lo, truth.AiryPoints, 3e-4)
	short := func(f float64) (s float64) {
		b := at(f)
		for k := range 400 {
			y := -l/2 + l*(float64(k)+0.5)/400
			d := b.plate.mesh.derivative(Point{0, y}, 0, 1).of(b.splice)
			s += d * d
		}
		return s
	}
	near(t, "least shortening", least(0.21, 0.23, short), truth.BesselPoints, 5e-4)
	sag := func(f float64) float64 { // middle, ends and bars
		b := at(f)
		high := math.Max(0, math.Max(b.Height(Point{0, l / 2}), b.Height(Point{0, 0})))
		return high - math.Min(b.Height(Point{0, l / 2}), b.Height(Point{0, 0}))
	}
	near(t, "least sag", least(0.215, 0.23, sag), truth.LeastSagPoints, 3e-4)
}

// least finds the minimum of a function with one valley by the golden section.
func least(a, b float64, f func(float64) float64) float64 {
	g := (math.Sqrt(5) - 1) / 2
	x, y := b-g*(b-a), a+g*(b-a)
	fx, fy := f(x), f(y)
	for b-a > 1e-5 {
		if fx < fy {
			b, y, fy = y, x, fx
			x = b - g*(b-a)
			fx = f(x)
		} else {
			a, x, fx = x, y, fy
			y = a + g*(b-a)
			fy = f(y)
		}
	}
	return (a + b) / 2
}

// TestDoubtIsMoreThanTheError holds the estimate to a mesh so fine that nothing is left.
func TestDoubtIsMoreThanTheError(t *testing.T) {
	cases := []struct {
		what string
		p    Piece
		u    Under
	}{
		{"whole, lines", slate(), Bars(slate().Outline, 0.22)}, {"whole, three", slate(), threePoints()},
		{"notched, lines", notched(), Bars(slate().Outline, 0.22)}, {"notched, three", notched(), threePoints()},
		{"notched, uneven 64", notched(), sixtyFour()},
	}
	for _, c := range cases {
		b := bend(t, c.p, c.u)
		xs, ys := c.u.knots(c.p.Outline)
		pl, err := newPlate(c.p, 1473./128, xs, ys)
		if err != nil {
			t.Fatal(err)
		}
		s, err := pl.Stand(pl.mesh.supports(c.u), nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := s.Rest(nil)
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for i, q := range b.Places {
			worst = math.Max(worst, math.Abs(r.Height(q)-b.Heights[i]))
		}
		if worst > b.Error {
			t.Errorf("%s: off by %g mm, and says %g", c.what, worst, b.Error)
		}
		if b.Error > 0.005*b.PeakToValley {
			t.Errorf("%s: doubt %g of %g mm", c.what, b.Error, b.PeakToValley)
		}
		near(t, c.what+": weight", sum(b.Force), weight*2790*25.4*c.p.Outline.Area(), 1e-8)
	}
}

func sum(v []float64) (s float64) {
	for _, x := range v {
		s += x
	}
	return s
}

func threePoints() Under {
	return Under{Points: []Support{{X: 274, Y: -354}, {X: -274, Y: -354}, {Y: 471}}}
}

// sixtyFour are 64 push-only points whose heights differ by up to 0.02 mm.
func sixtyFour() (u Under) {
	for j := range 8 {
		for i := range 8 {
			u.Points = append(u.Points, Support{X: -350 + 100*float64(i), Y: -650 + 1300/7.*float64(j), Height: 0.01 * float64((i*7+j*5)%3)})
		}
	}
	return u
}

// TestThicknessAndGrain holds pieces that a beam formula knows: only the modulus along the span counts, and a wedge is
// integrated by hand.
func TestThicknessAndGrain(t *testing.T) {
	const l = 1473.0
	along := strip()
	along.Elastic = Elastic{Along: 60000, Across: 30000, Poisson: 0, Grain: math.Pi / 2} // the grain runs along y
	want := bend(t, strip(), Bars(slate().Outline, 0)).PeakToValley
	near(t, "along the grain", bend(t, along, Bars(slate().Outline, 0)).PeakToValley, want*48/60, 1e-3)
	along.Elastic.Grain = 0
	near(t, "across the grain", bend(t, along, Bars(slate().Outline, 0)).PeakToValley, want*48/30, 1e-3)
	wedge := strip()
	wedge.Thickness = Surface{C: [6]float64{25.4, 0, 4 / l}} // 23.4 to 27.4 mm
	got := bend(t, wedge, Bars(slate().Outline, 0))
	// w″ = M/EI twice integrated by the trapezium rule.
	const n = 4000
	h := l / n
	q := func(y float64) float64 { return weight * 2790 * (25.4 + 4*y/l) }
	left := 0.0 // force at −l/2
	for k := range n {
		y := -l/2 + h*(float64(k)+0.5)
		left += q(y) * h * (l/2 - y) / l
	}
	slope, w, shear, moment := 0.0, 0.0, left, 0.0
	heights := []float64{0}
	for k := range n {
		y := -l/2 + h*(float64(k)+0.5)
		moment += shear*h - q(y)*h*h/2
		shear -= q(y) * h
		tt := 25.4 + 4*y/l
		slope += moment / (48000 * tt * tt * tt / 12) * h
		w += slope * h
		heights = append(heights, w)
	}
	low := 0.0
	for k, v := range heights {
		low = math.Min(low, v-w*float64(k)/n)
	}
	near(t, "wedge", -got.Lowest, -low, 2e-3)
}

// TestTurnedPieceIsTheSame turns a notched piece with its grain and supports by a right angle, and mirrors it.
func TestTurnedPieceIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(-0.8, 0.8)
		p := slate()
		p.Elastic = Elastic{Along: 60000, Across: 35000, Poisson: 0.2, Grain: rapid.Float64Range(0, 1.5).Draw(t, "grain")}
		cx, cy := 300*f.Draw(t, "cx"), 500*f.Draw(t, "cy")
		p.Outline = p.Outline.WithRound(cx, cy, 60)
		q := p
		q.Outline = Rectangle(1473, 914).WithRound(-cy, cx, 60) // (x, y) → (−y, x)
		q.Elastic.Grain += math.Pi / 2
		var a, b []Support
		var look, turned []Point
		for k := range 5 {
			x, y := 440*math.Cos(1.3*float64(k)), 700*math.Sin(1.3*float64(k))
			h := 0.05 * f.Draw(t, "height")
			a, b = append(a, Support{X: x, Y: y, Height: h}), append(b, Support{X: -y, Y: x, Height: h})
			look, turned = append(look, Point{x / 2, y}), append(turned, Point{-y, x / 2})
		}
		heights := func(p Piece, s []Support, at []Point) []float64 {
			pl, err := New(p, 60)
			if err != nil {
				t.Fatal(err)
			}
			st, err := pl.Stand(s, at)
			if err != nil {
				t.Skip("a support in the cut")
			}
			r, err := st.Rest(nil)
			if err != nil {
				t.Fatal(err)
			}
			return r.Observed()
		}
		u, v := heights(p, a, look), heights(q, b, turned)
		for i := range u {
			if math.Abs(u[i]-v[i]) > 2e-4*(1+math.Abs(u[i])) { // the round cut's polygon is not turned with it
				t.Fatalf("place %d: %g, turned %g", i, u[i], v[i])
			}
		}
	})
}

// TestInfluences holds what is kept for reuse to what is solved anew: heights from forces, reciprocity, and a shim that is changed.
func TestInfluences(t *testing.T) {
	pl, err := New(notched(), 46)
	if err != nil {
		t.Fatal(err)
	}
	s, err := pl.Stand(sixtyFour().Points, slate().Outline.lattice(300))
	if err != nil {
		t.Fatal(err)
	}
	shims := make([]float64, 64)
	shims[9] = 0.3
	r, err := s.Rest(shims, Load{X: 50, Y: -20, N: 400, SideX: 80, SideY: 60})
	if err != nil {
		t.Fatal(err)
	}
	if r.Carries[8] || !r.Carries[9] {
		t.Errorf("a shim of 0.3 mm carries %v, its neighbour %v", r.Carries[9], r.Carries[8])
	}
	c := s.Compliance()
	for i := range c {
		for j := range i {
			if math.Abs(c[i][j]-c[j][i]) > 1e-12 {
				t.Fatalf("compliance %d, %d: %g and %g", i, j, c[i][j], c[j][i])
			}
		}
	}
	plain, err := s.Rest(shims)
	if err != nil {
		t.Fatal(err)
	}
	_, bare := s.Bare()
	tilts := s.Tilts()
	for k, row := range s.Influence() {
		h := bare[k]
		for i, f := range plain.Force {
			h += row[i] * f
		}
		for i, z := range plain.Rigid {
			h += tilts[k][i] * z
		}
		if math.Abs(h-plain.Observed()[k]) > 1e-9 {
			t.Fatalf("place %d: %g from forces, %g", k, h, plain.Observed()[k])
		}
	}
	three, err := pl.Stand(threePoints().Points, slate().Outline.lattice(300))
	if err != nil {
		t.Fatal(err)
	}
	unit, err := three.UnitHeights()
	if err != nil {
		t.Fatal(err)
	}
	level, err := three.Rest(nil)
	if err != nil {
		t.Fatal(err)
	}
	raised, err := three.Rest([]float64{0, 0.4, 0})
	if err != nil {
		t.Fatal(err)
	}
	for k, h := range raised.Observed() {
		if math.Abs(h-level.Observed()[k]-0.4*unit[k][1]) > 1e-9 {
			t.Fatalf("place %d: a shim of 0.4 mm lifts it by %g, by influence %g", k, h-level.Observed()[k], 0.4*unit[k][1])
		}
	}
	if _, err := s.Rest(make([]float64, 64), Load{N: math.NaN()}); err == nil {
		t.Error("a load that is no number is taken")
	}
	shims[3] = math.NaN()
	if _, err := s.Rest(shims); err == nil {
		t.Error("a height that is no number is taken")
	}
	near(t, "weight and load", sum(r.Force)-sum(plain.Force), 400, 1e-9)
}

// TestScrewsAndSprings holds a piece over a low support by a screw up to its limit, and lets it sink into elastic supports.
func TestScrewsAndSprings(t *testing.T) {
	pl, err := New(slate(), 60)
	if err != nil {
		t.Fatal(err)
	}
	corner := []Support{{X: 400, Y: 650}, {X: -400, Y: 650}, {X: 400, Y: -650}, {X: -400, Y: -650}, {Height: -1}}
	rest := func(s []Support) *Rest { return rested(t, pl, s) }
	free := rest(corner)
	if free.Carries[4] || free.Gap[4] < 0.2 {
		t.Fatalf("over a low support: %+v", free.Solution)
	}
	corner[4].Pull = 100
	held := rest(corner)
	near(t, "screw at its limit", held.Force[4], -100, 1e-9)
	if held.Gap[4] >= free.Gap[4] || held.Gap[4] <= 0 {
		t.Errorf("gap %g, without the screw %g", held.Gap[4], free.Gap[4])
	}
	corner[4].Pull = math.Inf(1)
	if tight := rest(corner); tight.Gap[4] != 0 || tight.Force[4] > -100 {
		t.Errorf("held for good: %+v", tight.Solution)
	}
	three := threePoints().Points
	for i := range three {
		three[i].Give = 0.001
	}
	soft := rest(three)
	for i := range three {
		near(t, "sinks in", -soft.Height(Point{three[i].X, three[i].Y}), 0.001*soft.Force[i], 1e-6)
	}
	_, err = pl.Stand([]Support{{X: 10}, {X: 20}, {X: 30}}, nil)
	if err != nil {
		t.Fatal(err)
	}
}

// TestElasticStrips lets a piece sink into two strips of felt: by the load on each mm of them.
func TestElasticStrips(t *testing.T) {
	u := Bars(slate().Outline, 0.22)
	for i := range u.Lines {
		u.Lines[i].Give = 0.5
	}
	b := bend(t, strip(), u)
	at := u.Lines[0].At
	near(t, "sinks in", -b.Height(Point{0, at}), 0.5*b.WeightN()/2/914, 2e-3)
	held := u
	held.Lines = append([]Line(nil), u.Lines...)
	held.Lines = append(held.Lines, Line{Axis: 'y', At: 0, From: -100, To: 100, Height: -5, Pull: 0.1})
	pulled := 0.0
	for i, s := range bend(t, strip(), held).Supports {
		if s.Y == 0 {
			pulled += bend(t, strip(), held).Force[i]
		}
	}
	near(t, "a strip that pulls 0.1 N on each of 200 mm", pulled, -20, 1e-6)
}

// TestThreeBars lifts a beam off its middle bar, closed form: with the bar lower than the free sag it carries nothing.
func TestThreeBars(t *testing.T) {
	o := slate().Outline
	u := Bars(o, 0)
	sag := bend(t, strip(), u).PeakToValley
	u.Lines = append(u.Lines, Line{Axis: 'y', At: 0, Height: -1.01 * sag})
	if b := bend(t, strip(), u); math.Abs(b.PeakToValley-sag) > 1e-6 {
		t.Errorf("over a low bar %g, free %g", b.PeakToValley, sag)
	}
	u.Lines[2].Height = 0 // two spans: the middle bar takes 5/8
	b := bend(t, strip(), u)
	middle := 0.0
	for i, s := range b.Supports {
		if s.Y == 0 {
			middle += b.Force[i]
		}
	}
	near(t, "middle bar", middle, b.WeightN()*5/8, 1e-4)
	u.Lines[2].Height = 2 * sag // it stands on the middle bar alone, and the ends are off: it tips
	_, err := Bend(strip(), u, 0)
	var tr *trouble.Trouble
	if err != nil && !errors.As(err, &tr) {
		t.Errorf("got %v", err)
	}
}

// TestBench holds a bench to the flat one, to the dual method over all its places (the slow second method), and to what is known.
func TestBench(t *testing.T) {
	if b := bend(t, slate(), Under{Bench: Even(0)}); b.PeakToValley > 1e-9 {
		t.Errorf("flat on flat: %g mm", b.PeakToValley)
	}
	for _, shape := range []Surface{{C: [6]float64{5: 0.3 / 736.5 / 736.5}}, {C: [6]float64{5: -0.3 / 736.5 / 736.5}}, {C: [6]float64{4: 0.6 / 736.5 / 457}}, {C: [6]float64{3: 0.1 / 457 / 457, 5: 0.2 / 736.5 / 736.5}}} {
		for _, p := range []Piece{slate(), notched()} {
			pl, err := New(p, 1473./14)
			if err != nil {
				t.Fatal(err)
			}
			r, touches, err := pl.OnBench(shape)
			if err != nil {
				t.Fatal(err)
			}
			var all []Support
			for _, c := range touches {
				all = append(all, Support{X: c.X, Y: c.Y, Height: shape.At(c.X, c.Y)})
			}
			s, err := pl.Stand(all, nil)
			if err != nil {
				t.Fatal(err)
			}
			for i := range all { // a bench does not yield
				s.problem.F[i][i] -= leastGive
			}
			want, err := s.Rest(nil)
			if err != nil {
				t.Fatal(err)
			}
			for i, c := range touches {
				if math.Abs(c.Force-want.Force[i]) > 1e-4 || math.Abs(c.Gap-want.Gap[i]) > 1e-7 {
					t.Fatalf("%v at (%g, %g): %g N, gap %g; dual method %g N, %g", shape, c.X, c.Y, c.Force, c.Gap, want.Force[i], want.Gap[i])
				}
			}
			near(t, "weight", sum(r.Force), pl.WeightN(), 1e-6)
		}
	}
	// The trade's figures: a bench presses a crown out whole up to about the sag, and leaves 0.04 mm at the ends of a dish of 0.25.
	if b := bend(t, slate(), Under{Bench: Surface{C: [6]float64{5: 0.5 / 736.5 / 736.5}}}); math.Abs(b.PeakToValley-0.5) > 0.002 {
		t.Errorf("crown of 0.5 mm: the piece follows by %g", b.PeakToValley)
	}
	b := bend(t, slate(), Under{Bench: Surface{C: [6]float64{5: -0.25 / 736.5 / 736.5}}})
	gap := 0.0
	for _, c := range b.Touches {
		gap = math.Max(gap, c.Gap)
	}
	if gap < 0.03 || gap > 0.05 {
		t.Errorf("dish of 0.25 mm: %g mm stay at the ends", gap)
	}
}

// TestRefusals asks for what cannot be.
func TestRefusals(t *testing.T) {
	three := threePoints()
	for what, c := range map[string]struct {
		p Piece
		u Under
	}{
		"bad-size":      {Piece{Outline: Rectangle(9, 1473), Thickness: Even(25), Elastic: Isotropic(48000, 0.2), Density: 2790}, three},
		"bad-thickness": {Piece{Outline: Rectangle(914, 1473), Thickness: Even(0.5), Elastic: Isotropic(48000, 0.2), Density: 2790}, three},
		"no-thickness":  {Piece{Outline: Rectangle(914, 1473), Elastic: Isotropic(48000, 0.2), Density: 2790}, three},
		"bad-density":   {Piece{Outline: Rectangle(914, 1473), Thickness: Even(25), Elastic: Isotropic(48000, 0.2)}, three},
		"bad-modulus":   {Piece{Outline: Rectangle(914, 1473), Thickness: Even(25), Elastic: Isotropic(math.NaN(), 0.2), Density: 2790}, three},
		"bad-poisson":   {Piece{Outline: Rectangle(914, 1473), Thickness: Even(25), Elastic: Isotropic(48000, 0.5), Density: 2790}, three},
		"bad-cut":       {Piece{Outline: Rectangle(914, 1473).WithRound(0, 0, 700), Thickness: Even(25), Elastic: Isotropic(48000, 0.2), Density: 2790}, three},
		"bad-cut ":      {Piece{Outline: Rectangle(914, 1473).WithRound(0, 0, 70).WithRound(60, 0, 70), Thickness: Even(25), Elastic: Isotropic(48000, 0.2), Density: 2790}, three},
		"bad-cut  ":     {Piece{Outline: Rectangle(914, 1473).WithCut([]Point{{0, 0}, {90, 60}, {90, 0}, {0, 200}}), Thickness: Even(25), Elastic: Isotropic(48000, 0.2), Density: 2790}, three},
		"loose-piece":   {Piece{Outline: Rectangle(914, 1473).WithCut([]Point{{-500, -200}, {500, -200}, {500, 200}, {-500, 200}}), Thickness: Even(25), Elastic: Isotropic(48000, 0.2), Density: 2790}, three},
		"support-off":   {slate(), Under{Points: []Support{{X: 500}, {X: -300, Y: 200}, {Y: -300}}}},
		"piece-tips":    {slate(), Under{Points: []Support{{X: 50, Y: 10}, {X: 300, Y: 200}, {X: 200, Y: -300}}}},
		"not-held":      {slate(), Under{Points: []Support{{X: 50}, {X: 300}, {X: 200}}}},
		"not-held ":     {slate(), Under{Points: []Support{{X: -0.0002, Y: -368}, {X: 0.457}, {Y: -368}, {Y: 0.736}}}},
		"no-supports":   {slate(), Under{}},
		"two-supports":  {slate(), Under{Points: three.Points, Bench: Even(0)}},
		"bad-line":      {slate(), Under{Lines: []Line{{Axis: 'z'}}}},
		"bad-support":   {slate(), Under{Points: []Support{{X: 50, Give: -1}, {X: 300}, {X: 200}}}},
	} {
		_, err := Bend(c.p, c.u, 0)
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != strings.TrimSpace(what) {
			t.Errorf("%s: got %v", what, err)
		}
	}
	if _, err := Bend(slate(), three, 0, Load{X: 600, N: 10}); err == nil {
		t.Error("a load beside the piece is taken")
	}
}

// TestSupportsAlmostAtOnePlace lays a piece on two supports at one place, one 0.6 mm above the other: as long as both carry, they push against
// each other with 10⁹ N, and what is lost in the last digits of that must not be taken for nothing among the forces that are left.
func TestSupportsAlmostAtOnePlace(t *testing.T) {
	under := Under{Points: []Support{{X: -0.2285, Y: -0.0736, Height: -0.15}, {X: 0.457, Y: -736, Height: -0.3}, {X: 457, Y: 0.736}, {X: 0.457, Y: -736, Height: 0.3}, {X: 0.000457, Y: 0.736}}}
	b, err := bendOn(slate(), under, []Point{{}}, 90, nil)
	if err != nil || !b.Proof.Holds() {
		t.Errorf("%v, %+v", err, b)
	}
}

// TestAnySupportsComeToRest lays notched pieces of any grain on any points: either there is trouble with a name, or the state is proved and
// the forces balance weight and moments.
func TestAnySupportsComeToRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.Float64Range(-1, 1)
		p := slate()
		p.Elastic = Elastic{Along: 48000 + 20000*u.Draw(t, "along"), Across: 40000 + 10000*u.Draw(t, "across"), Poisson: 0.2, Grain: u.Draw(t, "grain")}
		p.Thickness = Surface{C: [6]float64{25, 2e-3 * u.Draw(t, "wedge"), 2e-3 * u.Draw(t, "wedge"), 0, 0, 2e-6 * u.Draw(t, "hollow")}}
		for range rapid.IntRange(0, 2).Draw(t, "cuts") {
			p.Outline = p.Outline.WithRound(457*u.Draw(t, "x"), 736*u.Draw(t, "y"), 30+90*math.Abs(u.Draw(t, "r")))
		}
		var under Under
		for range rapid.IntRange(3, 12).Draw(t, "supports") {
			s := Support{X: 457 * u.Draw(t, "x"), Y: 736 * u.Draw(t, "y"), Height: 0.3 * u.Draw(t, "height")}
			if rapid.Bool().Draw(t, "screw") {
				s.Pull = 50
			}
			under.Points = append(under.Points, s)
		}
		b, err := bendOn(p, under, []Point{{}}, 90, nil)
		var tr *trouble.Trouble
		if err != nil {
			if !errors.As(err, &tr) || tr.Kind != trouble.KindData {
				t.Fatalf("got %v", err)
			}
			return
		}
		if !b.Proof.Holds() {
			t.Fatalf("proof %+v", b.Proof)
		}
		mid := b.plate.Middle()
		var mx, my float64
		for i, f := range b.Force {
			mx, my = mx+f*(b.Supports[i].X-mid.X), my+f*(b.Supports[i].Y-mid.Y)
		}
		if w := b.WeightN(); math.Abs(sum(b.Force)-w) > 1e-7*w || math.Abs(mx) > 1e-4*w || math.Abs(my) > 1e-4*w {
			t.Fatalf("forces %g N of %g, moments %g and %g", sum(b.Force), w, mx, my)
		}
	})
}
