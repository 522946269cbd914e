package belief_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/worked/belief"
)

var first = machine.Known{Value: 1000, U: 300, Seen: 2}

func shows(value, share float64) belief.Shown { return belief.Shown{Value: value, U: share * value} }

// With no job the belief is what it was: the machine's own value and the spread of jobs make it together.
func TestNoJob(t *testing.T) {
	h := belief.From(first, nil)
	if math.Abs(h.Typical-1000) > 1 || math.Abs(h.UTypical-math.Sqrt(300*300-200*200)) > 5 || math.Abs(h.Next.U-300) > 8 || h.Next.Seen != 2 {
		t.Errorf("%+v", h)
	}
}

// One job, however exact, does not make the next one sure; many that agree do, and many that differ tell by how much.
func TestOneJobIsNotMany(t *testing.T) {
	one := belief.From(first, []belief.Shown{shows(800, 0.01)})
	if one.Next.U/one.Next.Value < 0.15 || math.Abs(one.Typical-820) > 40 {
		t.Errorf("one: %+v", one)
	}
	var alike, apart []belief.Shown
	for i := range 12 {
		alike = append(alike, shows(800*(1+0.01*float64(i%3-1)), 0.01))
		apart = append(apart, shows(800*math.Exp(0.3*float64(i%3-1)), 0.01))
	}
	a, b := belief.From(first, alike), belief.From(first, apart)
	if a.Next.U/a.Next.Value > 0.03 || math.Abs(a.Typical-800) > 8 || a.Used != 12 || a.Next.Seen != 14 {
		t.Errorf("alike: %+v", a)
	}
	if b.Spread < 0.18 || b.Spread > 0.33 || b.Next.U/b.Next.Value < 0.2 {
		t.Errorf("apart: %+v", b)
	}
}

// A wear within its doubt pushes the belief one way only.
func TestAtLeast(t *testing.T) {
	h := belief.From(first, []belief.Shown{{Value: -0.0001, U: 0.0005, Inverse: true}})
	if h.Typical < 1000 || h.Typical > 1400 {
		t.Errorf("%+v", h)
	}
}

// slow draws machines and jobs, and weighs them by what they would show: another way to the same posterior.
func slow(first machine.Known, jobs []belief.Shown, n int) (mean, sd float64) {
	s := chance.NewStream(5)
	var w, m, q float64
	for range n {
		theta := math.Log(first.Value) + math.Sqrt(0.3*0.3-0.2*0.2)*s.Normal()
		tau := 0.2 * math.Abs(s.Normal())
		if tau < 0.01 {
			continue
		}
		p := 1.0
		for _, j := range jobs { // the job's own value is drawn too
			x := math.Exp(theta + tau*s.Normal())
			if j.Inverse {
				x = 1 / x
			}
			d := (j.Value - x) / j.U
			p *= math.Exp(-d * d / 2)
		}
		w, m, q = w+p, m+p*theta, q+p*theta*theta
	}
	return m / w, math.Sqrt(q/w - m*m/w/w)
}

func TestAgainstDrawing(t *testing.T) {
	for _, jobs := range [][]belief.Shown{
		{shows(700, 0.15)},
		{{Value: 0.0005, U: 0.0004, Inverse: true}},
		{{Value: 0.0012, U: 0.00015, Inverse: true}, {Value: 0.0014, U: 0.0002, Inverse: true}, {Value: 0.0008, U: 0.0003, Inverse: true}},
		{shows(1300, 0.2), shows(900, 0.12)},
	} {
		mean, sd := slow(first, jobs, 600000)
		h := belief.From(first, jobs)
		if math.Abs(math.Log(h.Typical)-mean) > 0.01 || math.Abs(h.UTypical/h.Typical-sd) > 0.012 {
			t.Errorf("%v: %.3f ± %.3f, drawn %.3f ± %.3f", jobs, math.Log(h.Typical), h.UTypical/h.Typical, mean, sd)
		}
	}
}

// The interval for the next job holds it at its rate, and a good job is far once in a hundred.
func TestTheNextJobIsHeld(t *testing.T) {
	s := chance.NewStream(11)
	const n = 80
	held, fars := 0, 0
	for range n {
		theta, tau := math.Log(first.Value)+math.Sqrt(0.3*0.3-0.2*0.2)*s.Normal(), 0.2*math.Abs(s.Normal())
		value := func() float64 { return math.Exp(theta + tau*s.Normal()) }
		var jobs []belief.Shown
		for range 1 + s.IntN(5) {
			u := 0.05 / first.Value * (1 + 3*s.Float64())
			jobs = append(jobs, belief.Shown{Value: 1/value() + u*s.Normal(), U: u, Inverse: true})
		}
		h := belief.From(first, jobs)
		next := value()
		if h.Low <= next && next <= h.High {
			held++
		}
		u := 0.1 / first.Value
		if is, _, _ := belief.Far(first, jobs, belief.Shown{Value: 1/next + u*s.Normal(), U: u, Inverse: true}); is {
			fars++
		}
	}
	t.Logf("held %d, far %d of %d", held, fars, n)
	if float64(held) < 0.89*n || fars > 6 {
		t.Errorf("held %d, far %d of %d", held, fars, n)
	}
}

func TestFar(t *testing.T) {
	many := []belief.Shown{shows(1000, 0.05), shows(1050, 0.05), shows(980, 0.05), shows(1010, 0.05)}
	for _, c := range []struct {
		job  belief.Shown
		far  bool
		side int
	}{{shows(1020, 0.05), false, 1}, {shows(300, 0.05), true, -1}, {shows(3000, 0.05), true, 1}, {belief.Shown{Value: 1.0 / 300, U: 0.0002, Inverse: true}, true, -1},
		{belief.Shown{Value: -0.001, U: 0.0001, Inverse: true}, true, 1}, {belief.Shown{Value: 0.0002, U: 0.001, Inverse: true}, false, 1}} {
		is, p, side := belief.Far(first, many, c.job)
		if is != c.far || is && side != c.side {
			t.Errorf("%+v: %v %g %d", c.job, is, p, side)
		}
	}
}
