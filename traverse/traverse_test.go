package traverse_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/measure"
	"slatewright/traverse"
)

// slowStrip tries every pair of points as one line of the strip.
func slowStrip(s, z []float64) float64 {
	best := math.Inf(1)
	for i := range s {
		for j := range s {
			if s[i] >= s[j] {
				continue
			}
			slope := (z[j] - z[i]) / (s[j] - s[i])
			lo, hi := 0.0, 0.0
			for k := range s {
				d := z[k] - z[i] - slope*(s[k]-s[i])
				lo, hi = min(lo, d), max(hi, d)
			}
			if lo == 0 || hi == 0 || lo > -1e-12 || hi < 1e-12 {
				best = min(best, (hi-lo)/math.Sqrt(1+slope*slope))
			}
		}
	}
	return best
}

func TestStripAgainstEveryPair(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(r, "n")
		s, z := make([]float64, n), make([]float64, n)
		for i := range s {
			s[i] = float64(rapid.IntRange(0, 40).Draw(r, "s")) * 25
			z[i] = float64(rapid.IntRange(-9, 9).Draw(r, "z")) / 8
		}
		want := slowStrip(s, z)
		if math.IsInf(want, 1) {
			want = 0 // all above one place
		}
		if got := traverse.Strip(s, z); math.Abs(got-want) > 1e-9 {
			r.Fatalf("got %g, every pair gives %g", got, want)
		}
	})
}

func TestPlacesAreTheSameWithinReach(t *testing.T) {
	var p traverse.Places
	for i, c := range []struct {
		at   [2]float64
		want int
	}{{[2]float64{0, 0}, 0}, {[2]float64{0.4, 0.2}, 0}, {[2]float64{0.4, 0.4}, 1}, {[2]float64{-0.3, 0}, 0}, {[2]float64{-0.499999, 0}, 0}, {[2]float64{100, 0}, 2}} {
		if got := p.Number(c.at); got != c.want {
			t.Errorf("place %d: number %d, want %d", i, got, c.want)
		}
	}
}

// The frame of planes takes planes off and leaves what is square to them, whatever way the places lie.
func TestFrame(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		turn := rapid.Float64Range(0, 3.2).Draw(r, "turn")
		c, s := math.Cos(turn), math.Sin(turn)
		var at [][2]float64
		var z []float64
		for i := range 4 {
			for j := range 3 {
				x, y := float64(100*i), float64(70*j)
				at = append(at, [2]float64{c*x - s*y + 3000, s*x + c*y - 500})
				z = append(z, 5+0.01*x-0.02*y)
			}
		}
		f := traverse.FrameOf(at)
		f.Level(z)
		for _, v := range z {
			if math.Abs(v) > 1e-10 {
				r.Fatalf("a plane leaves %g", v)
			}
		}
		if len(f.Basis) != 3 || math.Abs(f.Length-300) > 1e-6 || math.Abs(f.Width-140) > 1e-6 {
			r.Fatalf("%d columns, %g x %g", len(f.Basis), f.Length, f.Width)
		}
	})
	line := traverse.FrameOf([][2]float64{{0, 0}, {30, 40}, {60, 80}})
	if len(line.Basis) != 2 || line.Width != 0 || math.Abs(line.Length-100) > 1e-9 {
		t.Errorf("a line: %+v", line)
	}
}

func TestSheet(t *testing.T) {
	s, err := traverse.ReadSheet("s.csv", strings.NewReader("\ufeff# Unit: in\n\"# mark_up: 0.5 mm;;\"\n# a remark\n# colour: grey\nname;depth [mm]\r\n\"a\";1,5\r\n\r\nb;\r\n"), 10,
		traverse.Column{Name: "name", Unit: "-", Must: true}, traverse.Column{Name: "depth"}, traverse.Column{Name: "absent"})
	if err != nil {
		t.Fatal(err)
	}
	h, ok := s.Take("mark up")
	if mm, err := s.Length(h); !ok || err != nil || mm != 0.5 {
		t.Errorf("header %+v: %g, %v", h, mm, err)
	}
	s.Rest()
	if len(s.Warnings) != 1 || !strings.Contains(s.Warnings[0], "s.csv:4") || s.Unit != measure.Inch || s.Has(2) {
		t.Errorf("%+v", s)
	}
	if v, ok, err := s.Number(0, 1); v != 1.5 || !ok || err != nil || s.Text(0, 0) != "a" || s.Rows[1].Line != 8 {
		t.Errorf("%g %v %v %+v", v, ok, err, s.Rows)
	}
	if _, ok, err := s.Number(1, 1); ok || err != nil {
		t.Errorf("an empty cell: %v, %v", ok, err)
	}
}
