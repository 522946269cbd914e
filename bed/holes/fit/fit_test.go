package fit_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
	"slatewright/bed/holes/fit"
	"slatewright/chance"
	"slatewright/internal/truth"
	"slatewright/trouble"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

func pairsOf(f truth.RigidFit) (list []fit.Pair) {
	for i := range f.From {
		list = append(list, fit.Pair{Nominal: fit.Vector{X: f.From[i][0], Y: f.From[i][1]}, Measured: fit.Vector{X: f.To[i][0], Y: f.To[i][1]}, U: 1})
	}
	return list
}

func TestRigidFitsOfOthers(t *testing.T) {
	seen := 0
	for _, f := range truth.RigidFits() {
		r, err := fit.Least(pairsOf(f))
		if err != nil {
			t.Fatal(err)
		}
		seen++
		near(t, f.Name+" rms", r.RMS, f.RMS, 1e-9)
		if math.IsNaN(f.Degrees) {
			continue
		}
		near(t, f.Name+" angle", r.Angle*180/math.Pi, f.Degrees, 1e-9)
		near(t, f.Name+" x", r.DX, f.X, 1e-9)
		near(t, f.Name+" y", r.DY, f.Y, 1e-9)
		near(t, f.Name+" squares", r.Squares, f.Squares, 1e-9)
	}
	if seen != 2 {
		t.Fatalf("%d sets", seen)
	}
}

// drawn invents a pattern of n places over a bed, moved and scattered.
func drawn(s *chance.Stream, n int, noise float64) (list []fit.Pair, m fit.Motion) {
	m = fit.Motion{DX: 3 * s.Normal(), DY: 3 * s.Normal(), Angle: 0.01 * s.Normal()}
	for range n {
		p := fit.Pair{Nominal: fit.Vector{X: 2600 * (s.Float64() - 0.5), Y: 1400 * (s.Float64() - 0.5)}, U: 0.02 + 0.2*s.Float64()}
		p.Measured = m.Of(p.Nominal)
		p.Measured.X += noise * p.U * s.Normal()
		p.Measured.Y += noise * p.U * s.Normal()
		list = append(list, p)
	}
	return list, m
}

func TestExactMotionsComeBack(t *testing.T) {
	s := chance.NewStream(1)
	for range 200 {
		list, m := drawn(s, 2+s.IntN(40), 0)
		r, err := fit.Least(list)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "dx", r.DX, m.DX, 1e-8)
		near(t, "dy", r.DY, m.DY, 1e-8)
		near(t, "angle", r.Angle, m.Angle, 1e-11)
		x, err := fit.Smallest(list)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "minimax of an exact motion", x.Largest, 0, 1e-8)
	}
}

// The weighted fit is a stationary point that no small motion betters, and its uncertainties are those that many drawn lists show.
func TestLeastIsLeastAndItsDoubtIsTrue(t *testing.T) {
	s := chance.NewStream(2)
	list, m := drawn(s, 9, 0)
	for i := range list { // far from the origin, so that the angle's doubt reaches the shift
		list[i].Nominal.X += 3000
		list[i].Nominal.Y -= 1000
		list[i].Measured = m.Of(list[i].Nominal)
	}
	var sum [3]float64
	var along [9]float64
	const trials = 4000
	for range trials {
		moved := append([]fit.Pair{}, list...)
		for i := range moved {
			moved[i].Measured.X += moved[i].U * s.Normal()
			moved[i].Measured.Y += moved[i].U * s.Normal()
		}
		r, err := fit.Least(moved)
		if err != nil {
			t.Fatal(err)
		}
		for k, d := range []float64{r.DX - m.DX, r.DY - m.DY, r.Angle - m.Angle} {
			sum[k] += d * d
		}
		for i, d := range r.Deviations {
			along[i] += d.X * d.X
		}
		for _, by := range []fit.Motion{{DX: 1e-4}, {DY: 1e-4}, {Angle: 1e-7}} {
			for _, sign := range []float64{1, -1} {
				other := fit.Motion{DX: r.DX + sign*by.DX, DY: r.DY + sign*by.DY, Angle: r.Angle + sign*by.Angle}
				var squares float64
				for _, p := range moved {
					squares += math.Pow(other.Deviation(p).Size()/p.U, 2)
				}
				if squares < r.Squares {
					t.Fatalf("%+v is better than the fit", other)
				}
			}
		}
	}
	r, err := fit.Least(list)
	if err != nil {
		t.Fatal(err)
	}
	for k, u := range []float64{r.UX, r.UY, r.UAngle} {
		near(t, "uncertainty against the spread", math.Sqrt(sum[k]/trials)/u, 1, 0.05)
	}
	for i := range list {
		near(t, "uncertainty of a deviation", math.Sqrt(along[i]/trials)/r.U(i, fit.Vector{X: 1}), 1, 0.05)
	}
}

func TestWhatCannotBeFitted(t *testing.T) {
	one := fit.Pair{U: 1}
	for name, list := range map[string][]fit.Pair{"none": nil, "one": {one}, "one place": {one, one, one}} {
		_, err := fit.Least(list)
		_, other := fit.Smallest(list)
		var told *trouble.Trouble
		if !errors.As(err, &told) || !errors.As(other, &told) {
			t.Errorf("%s: %v, %v", name, err, other)
		}
	}
}

// largest is the answer by brute force: angles on a grid that is refined about its best ones; at each, every circle through two and three points.
func largest(list []fit.Pair) float64 {
	at := func(angle float64) float64 {
		var left []fit.Vector
		for _, p := range list {
			q := (fit.Motion{Angle: angle}).Of(p.Nominal)
			left = append(left, fit.Vector{X: p.Measured.X - q.X, Y: p.Measured.Y - q.Y})
		}
		return smallestCircle(left)
	}
	best, where, step := math.Inf(1), 0.0, math.Pi/720
	for k := -720; k < 720; k++ {
		if v := at(float64(k) * step); v < best {
			best, where = v, float64(k)*step
		}
	}
	for step > 1e-12 {
		middle := where
		for k := -20; k <= 20; k++ {
			if v := at(middle + float64(k)*step/10); v < best {
				best, where = v, middle+float64(k)*step/10
			}
		}
		step /= 5
	}
	return best
}

func smallestCircle(p []fit.Vector) float64 {
	best := math.Inf(1)
	try := func(x, y float64) {
		var r float64
		for _, q := range p {
			r = math.Max(r, math.Hypot(q.X-x, q.Y-y))
		}
		best = math.Min(best, r)
	}
	for i := range p {
		for j := range i {
			try((p[i].X+p[j].X)/2, (p[i].Y+p[j].Y)/2)
			for k := range j {
				ax, ay, bx, by := p[j].X-p[i].X, p[j].Y-p[i].Y, p[k].X-p[i].X, p[k].Y-p[i].Y
				d := 2 * (ax*by - ay*bx)
				if d != 0 {
					a, b := ax*ax+ay*ay, bx*bx+by*by
					try(p[i].X+(by*a-ay*b)/d, p[i].Y+(ax*b-bx*a)/d)
				}
			}
		}
	}
	return best
}

func TestSmallestAgainstBruteForce(t *testing.T) {
	s := chance.NewStream(3)
	for k := range 40 {
		list, _ := drawn(s, 2+s.IntN(6), []float64{0.5, 5, 400, 4000}[k%4])
		m, err := fit.Smallest(list)
		if err != nil {
			t.Fatal(err)
		}
		want := largest(list)
		if m.Largest > want+1e-6*(1+want) || m.Bound > want+1e-9*(1+want) || m.Largest-m.Bound > 2e-8*(1+want) {
			t.Errorf("%d: largest %.12g, bound %.12g, brute force %.12g", k, m.Largest, m.Bound, want)
		}
	}
}

// Two circles through two points nearly alike: neither the pair nor the three hold all but for rounding. It was found by drawing.
func TestSmallestWhereTwoCirclesMeet(t *testing.T) {
	var list []fit.Pair
	for _, r := range [][4]float64{{1, 1, 0.0625, -1}, {1, 1, -1, 0.25}, {1, -1, 0.00048828125, 0.0009765625}, {0, 1, -3, -1.25}, {1, 1, 6.103515625e-05, 0.0009765625}, {-2, 1, 0.000244140625, 0.00048828125}} {
		list = append(list, fit.Pair{Nominal: fit.Vector{X: r[0], Y: r[1]}, Measured: fit.Vector{X: r[0] + r[2], Y: r[1] + r[3]}, U: 1})
	}
	m, err := fit.Smallest(list)
	if err != nil || m.Largest-m.Bound > 2e-8 || math.Abs(m.Largest-largest(list)) > 1e-8 {
		t.Errorf("%+v, %v; brute force %.12g", m, err, largest(list))
	}
}

// Places that were found in one and the same point keep the answer level over a range of angles. It was found by drawing.
func TestSmallestWhereItIsLevel(t *testing.T) {
	for _, n := range []int{2, 3, 5} {
		list := []fit.Pair{{Nominal: fit.Vector{X: 3, Y: 1}, Measured: fit.Vector{X: 3.5, Y: 1.5}, U: 1}}
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			list = append(list, fit.Pair{Nominal: fit.Vector{X: 3 * cos, Y: 3 * sin}, U: 1})
		}
		m, err := fit.Smallest(list)
		if err != nil || m.Largest-m.Bound > 2e-7 || m.Bound > 3+1e-9 || m.Largest < 3-1e-9 {
			t.Errorf("%d: %+v, %v", n, m, err)
		}
	}
}

// No motion at all is better than the bound, and the answer is within it, whatever is drawn.
func TestSmallestHoldsForEveryMotion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(label string, reach float64) float64 { return rapid.Float64Range(-reach, reach).Draw(t, label) }
		var list []fit.Pair
		for range rapid.IntRange(2, 30).Draw(t, "places") {
			x, y := math.Round(number("x", 1400)), math.Round(number("y", 700))
			list = append(list, fit.Pair{Nominal: fit.Vector{X: x, Y: y}, Measured: fit.Vector{X: x + number("dx", 3), Y: y + number("dy", 3)}, U: 1})
		}
		m, err := fit.Smallest(list)
		if err != nil {
			t.Skip("all in one place")
		}
		if m.Largest-m.Bound > 1e-7*(1+m.Largest) {
			t.Fatalf("largest %g, bound %g", m.Largest, m.Bound)
		}
		other := fit.Motion{DX: m.DX + number("shift x", 1), DY: m.DY + number("shift y", 1), Angle: m.Angle + number("turn", 0.001)}
		var worst float64
		for _, p := range list {
			worst = math.Max(worst, other.Deviation(p).Size())
		}
		if worst < m.Bound-1e-9 {
			t.Fatalf("%+v has %g, the bound is %g", other, worst, m.Bound)
		}
	})
}

// inFortyDigits are the same circles by the fixed point m = mean − r·mean direction in decimal arithmetic of forty digits, the first sixteen of them.
var inFortyDigits = map[string][4]float64{
	"ggs6": {4.739782410906074, 2.983532699292475, 4.714226037792110, 1.227599078183656},
	"ggs8": {4.840141169910228, 4.797125987846697, 3.390681968374248, 2.314113803671872},
}

func TestCirclesOfOthers(t *testing.T) {
	seen := 0
	for _, f := range truth.CircleFits() {
		var points []fit.Vector
		for _, p := range f.Points {
			points = append(points, fit.Vector{X: p[0], Y: p[1]})
		}
		c, err := fit.Round(points, 0)
		if err != nil {
			t.Fatal(err)
		}
		seen++
		for i, v := range []float64{c.Middle.X, c.Middle.Y, c.Radius, c.Squares} {
			near(t, f.Name, v, []float64{f.X, f.Y, f.R, f.Squares}[i], 5e-8) // as far as an optimiser took them
			near(t, f.Name+" in forty digits", v, inFortyDigits[f.Name][i], 1e-12)
			if !math.IsNaN(f.Published[i]) {
				near(t, f.Name+" as published", v, f.Published[i], 5.1e-5)
			}
		}
	}
	if seen != 2 {
		t.Fatalf("%d sets", seen)
	}
}

// Points round a rim of 12.7 mm: the uncertainty of middle and radius are those that many drawn rims show, and the textbook's u·√(2/n) and u/√n.
func TestDoubtOfACircle(t *testing.T) {
	s := chance.NewStream(4)
	const n, trials, u = 8, 3000, 0.02
	var x, r float64
	for range trials {
		var points []fit.Vector
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / n)
			points = append(points, fit.Vector{X: 1000 + 6.35*cos + u*s.Normal(), Y: -500 + 6.35*sin + u*s.Normal()})
		}
		c, err := fit.Round(points, u)
		if err != nil {
			t.Fatal(err)
		}
		x += math.Pow(c.Middle.X-1000, 2)
		r += math.Pow(c.Radius-6.35, 2)
	}
	near(t, "middle", math.Sqrt(x/trials), u*math.Sqrt(2./n), 0.05*u)
	near(t, "radius", math.Sqrt(r/trials), u/math.Sqrt(n), 0.05*u)
	c, err := fit.Round([]fit.Vector{{X: 1, Y: 0}, {X: 0, Y: 1}, {X: -1, Y: 0}, {X: 0, Y: -1}}, u)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "stated middle", c.U, u*math.Sqrt(0.5), 1e-12)
	near(t, "stated radius", c.URadius, u/2, 1e-12)
}

// On an arc of a quarter the middle is known worst towards the arc, and that is what is said.
func TestDoubtOnAnArc(t *testing.T) {
	s := chance.NewStream(6)
	const n, trials, u = 12, 2000, 0.002
	arc := func(noise float64) (points []fit.Vector) {
		for k := range n {
			sin, cos := math.Sincos(math.Pi / 2 * float64(k) / (n - 1))
			points = append(points, fit.Vector{X: 6*cos + noise*s.Normal(), Y: 6*sin + noise*s.Normal()})
		}
		return points
	}
	var along float64
	for range trials {
		c, err := fit.Round(arc(u), u)
		if err != nil {
			t.Fatal(err)
		}
		along += math.Pow((c.Middle.X+c.Middle.Y)/math.Sqrt2, 2)
	}
	c, err := fit.Round(arc(0), u)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "towards the arc", math.Sqrt(along/trials)/c.U, 1, 0.06)
}

func TestNoCircle(t *testing.T) {
	for _, points := range [][]fit.Vector{nil, {{X: 1}, {X: 2}}, {{X: 1}, {X: 2}, {X: 3}, {X: 4}}, {{X: 1}, {X: 1}, {X: 1}}} {
		var told *trouble.Trouble
		if c, err := fit.Round(points, 0.1); !errors.As(err, &told) {
			t.Errorf("%v gave %+v, %v", points, c, err)
		}
	}
}
