package disc

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/internal/truth"
	"slatewright/trouble"
)

// ring is a disc of n even places at 150 mm with bits of about 40 g.
func ring(t testing.TB, n int, seed uint64, sd float64) *Ring {
	t.Helper()
	s := chance.NewStream(seed)
	var places []Place
	var bits []Bit
	for i := range n {
		places = append(places, Place{Name: fmt.Sprint(i + 1), Degrees: 360 * float64(i) / float64(n), Radius: 150})
		bits = append(bits, Bit{Name: fmt.Sprint(i + 1), Mass: 40 + sd*s.Normal(), Height: 10})
	}
	return made(t, places, bits, Vector{})
}

func made(t testing.TB, places []Place, bits []Bit, body Vector) *Ring {
	t.Helper()
	r, err := NewRing(places, bits, body)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, within)
	}
}

// Published: the permissible unbalance of ISO 21940-11's formula, in both systems of units.
func TestPermissible(t *testing.T) {
	rows := truth.Rotors()
	if len(rows) == 0 {
		t.Fatal("no rows")
	}
	for _, r := range rows {
		d := Duty{Speed: r.Speed, Grade: r.Grade, Rotor: r.Mass}
		near(t, r.Mark, d.Permissible(), r.Computed, 6e-7*r.Computed+5e-5)
		if !math.IsNaN(r.Published) {
			near(t, "published", d.Permissible(), r.Published, r.Within*r.Published)
		}
		near(t, "grade back", d.GradeOf(d.Permissible()), r.Grade, 1e-12*r.Grade)
	}
	const pound, ounceInch = 0.45359237, 28.349523125 * 25.4
	inch := Duty{Speed: 1, Grade: 1, Rotor: pound}.Permissible() / ounceInch
	near(t, "inch", inch, truth.InchUnbalanceComputed, 1e-5)
	near(t, "inch, published", inch, truth.InchUnbalance, 5e-4)
}

// Closed forms: an even ring of equal bits is balanced; one that is d heavier leaves d·r at its place; two of them at a right angle leave d·r·√2.
func TestUnbalanceInClosedForm(t *testing.T) {
	for _, n := range []int{2, 3, 7, 96} {
		r := ring(t, n, 1, 0)
		near(t, "even ring", r.Unbalance(r.AsListed()).Size(), 0, 1e-9)
		r.Bits[1].Mass += 2
		u := r.Unbalance(r.AsListed())
		near(t, "one heavy bit", u.Size(), 300, 1e-9)
		near(t, "its angle", u.Angle(), 360/float64(n), 1e-9)
	}
	r := ring(t, 4, 1, 0)
	r.Bits[2].Mass, r.Bits[3].Mass = 42, 42
	u := r.Unbalance(r.AsListed())
	near(t, "two heavy bits", u.Size(), 300*math.Sqrt2, 1e-9)
	near(t, "their angle", u.Angle(), 225, 1e-9)
	r.Body = Polar(300*math.Sqrt2, 45)
	near(t, "against the body", r.Unbalance(r.AsListed()).Size(), 0, 1e-9)
	// Two bits opposite each other, one 4 mm higher: the couple is m r Δh/2; one that is heavier alone makes none.
	r = ring(t, 2, 1, 0)
	r.Bits[0].Height += 4
	near(t, "couple", r.Couple(r.AsListed()), 40*150*2, 1e-6)
	r.Bits[0].Height -= 4
	r.Bits[0].Mass++
	near(t, "no couple", r.Couple(r.AsListed()), 0, 1e-6)
	r.Bits[0].Mass--
	near(t, "mass", r.Mass(r.AsListed()), 80, 1e-9)
}

// The doubt in closed form on an even ring: u² = n/2·(r·u_m)² + n·(m·u_p)²; and by drawing: the errors' standard deviation along each axis, and the
// circle of Cover·u, which holds 95 % of them.
func TestDoubtByDrawing(t *testing.T) {
	r := ring(t, 24, 1, 0)
	d := Doubt{Mass: 0.02, Place: 0.1}
	u := r.U(d)
	near(t, "closed form", u, math.Sqrt(12*150*150*0.02*0.02+24*40*40*0.1*0.1), 1e-9)
	one := made(t, []Place{{Name: "a", Radius: 100}, {Name: "b", Degrees: 180, Radius: 100}}, []Bit{{Mass: 50, Height: 9}, {Mass: 50, Height: 9}}, Vector{})
	near(t, "two places on a line", one.U(Doubt{Mass: 0.01}), math.Sqrt2, 1e-12)
	s := chance.NewStream(5)
	const draws = 20000
	inside, sum := 0, 0.0
	for range draws {
		var e Vector
		for p, at := range r.at {
			m := r.Bits[p].Mass + d.Mass*s.Normal()
			e = e.plus(Vector{m*(at.X+d.Place*s.Normal()) - r.Bits[p].Mass*at.X, m*(at.Y+d.Place*s.Normal()) - r.Bits[p].Mass*at.Y})
		}
		sum += e.X*e.X + e.Y*e.Y
		if e.Size() <= Cover*u {
			inside++
		}
	}
	near(t, "drawn", math.Sqrt(sum/2/draws), u, 4*u/math.Sqrt(4*draws)) // four standard errors of a deviation from 2·draws values
	near(t, "held", float64(inside)/draws, 0.95, 4*math.Sqrt(0.95*0.05/draws))
	near(t, "Rayleigh's 95 % point", Cover, 2.447747, 1e-6)
}

func TestJudge(t *testing.T) {
	for _, c := range []struct {
		u, guard float64
		want     State
	}{{80, 20, Meets}, {80.1, 20, CannotTell}, {120, 20, CannotTell}, {120.1, 20, MeetsNot}, {0, 101, CannotTell}, {100, 0, Meets}} {
		if got := Judge(c.u, 100, c.guard); got != c.want {
			t.Errorf("%g ± %g of 100: %s", c.u, c.guard, got)
		}
	}
}

func TestHeights(t *testing.T) {
	r := ring(t, 8, 1, 0)
	for i, h := range []float64{10, 10.02, 9.99, 10.05, 10.4, 9.5, 10.01, 10.03} {
		r.Bits[i].Height = h
	}
	h := r.Heights(r.AsListed(), 0.1)
	if fmt.Sprint(h.Proud, h.Low) != "[4] [5]" || h.Lowest != 9.99 || h.Highest != 10.05 || h.RunoutGiven {
		t.Errorf("%+v", h)
	}
	r.Places[4].Runout, r.Places[3].Runout = -0.36, 0.2
	h = r.Heights(r.AsListed(), 0.1)
	if fmt.Sprint(h.Proud, h.Low) != "[3] [5]" || !h.RunoutGiven {
		t.Errorf("with run-out: %+v", h)
	}
	near(t, "run-out", h.Runout, 0.56, 1e-12)
	// Half a ring of new bits: the old ones are the face, and all new ones stand proud.
	r = ring(t, 8, 1, 0)
	for i := range 4 {
		r.Bits[i].Height = 12
	}
	if h = r.Heights(r.AsListed(), 0.1); fmt.Sprint(h.Proud, h.Low) != "[0 1 2 3] []" {
		t.Errorf("half new: %+v", h)
	}
}

func TestRefusals(t *testing.T) {
	good := func() ([]Place, []Bit) {
		return []Place{{Name: "1", Radius: 100}, {Name: "2", Degrees: 180, Radius: 100}, {Name: "s", Spare: true}}, []Bit{{Mass: 40, Height: 10}, {Mass: 41, Height: 10}, {Mass: 40.5, Height: 10}}
	}
	for name, spoil := range map[string]func(p []Place, b []Bit) ([]Place, []Bit){
		"one place":     func(p []Place, b []Bit) ([]Place, []Bit) { return p[:1], b[:1] },
		"a bit short":   func(p []Place, b []Bit) ([]Place, []Bit) { return p, b[:2] },
		"no radius":     func(p []Place, b []Bit) ([]Place, []Bit) { p[1].Radius = 0; return p, b },
		"spare first":   func(p []Place, b []Bit) ([]Place, []Bit) { p[0], p[2] = p[2], p[0]; return p, b },
		"same name":     func(p []Place, b []Bit) ([]Place, []Bit) { p[1].Name = "1"; return p, b },
		"same place":    func(p []Place, b []Bit) ([]Place, []Bit) { p[1].Degrees = -360; return p, b },
		"negative mass": func(p []Place, b []Bit) ([]Place, []Bit) { b[0].Mass = -1; return p, b },
		"no height":     func(p []Place, b []Bit) ([]Place, []Bit) { b[0].Height = math.NaN(); return p, b },
		"far":           func(p []Place, b []Bit) ([]Place, []Bit) { p[0].Radius = math.Inf(1); return p, b },
		"no bit":        func(p []Place, b []Bit) ([]Place, []Bit) { b[0].Mass, b[1].Mass = 0, 0; return p, b },
		"too many":      func(p []Place, b []Bit) ([]Place, []Bit) { return make([]Place, Most+1), make([]Bit, Most+1) },
	} {
		p, b := good()
		if _, err := NewRing(p, b, Vector{}); err != nil {
			t.Fatal(err)
		}
		places, bits := spoil(p, b)
		_, err := NewRing(places, bits, Vector{})
		refused(t, name, err)
	}
	for _, d := range []Duty{{}, {Speed: 1400, Grade: 6.3}, {Speed: -1, Grade: 1, Rotor: 1}, {Speed: math.NaN(), Grade: 1, Rotor: 1}} {
		refused(t, fmt.Sprint(d), d.Check())
	}
	if err := (Duty{Speed: 1400, Grade: 6.3, Rotor: 12}).Check(); err != nil {
		t.Error(err)
	}
}

func refused(t *testing.T, name string, err error) {
	t.Helper()
	var told *trouble.Trouble
	if !errors.As(err, &told) || told.Next == "" {
		t.Errorf("%s: %v", name, err)
	}
}
