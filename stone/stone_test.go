package stone

import (
	"math"
	"testing"

	"slatewright/internal/truth"
)

// TestSlateIsAsDataSheetsSay holds the default against the data sheet that it is rounded from.
func TestSlateIsAsDataSheetsSay(t *testing.T) {
	s := Slate()
	if err := s.Check(); err != nil {
		t.Fatal(err)
	}
	sheet := truth.SlateSheet()
	for _, c := range []struct {
		what      string
		got, want float64
	}{{"density", s.Density, sheet.Density}, {"modulus", s.Along, sheet.Modulus}, {"strength", s.Strength[0], sheet.Rupture},
		{"expansion", s.Expansion, sheet.Expansion}} {
		if math.Abs(c.got/c.want-1) > 0.01 {
			t.Errorf("%s %g, the sheet has %g", c.what, c.got, c.want)
		}
	}
	if across, along := LeastStrength(); across != sheet.LeastAcross || along != sheet.LeastAlong {
		t.Errorf("least strengths %g, %g", across, along)
	}
}

func TestMassOfAPiece(t *testing.T) {
	if m := Slate().Mass(914*1473, 25.4); math.Abs(m-95.41) > 0.01 { // 0.914 · 1.473 · 0.0254 · 2790
		t.Errorf("%g kg", m)
	}
	if s := Slate().Thermal(10); math.Abs(s-1.12e-4) > 1e-9 {
		t.Errorf("strain %g", s)
	}
}

func TestRefusesWhatIsNoStone(t *testing.T) {
	spoil := map[string]func(*Stone){
		"density": func(s *Stone) { s.Density = 27.9 }, "modulus": func(s *Stone) { s.Across = 48 }, "poisson": func(s *Stone) { s.Poisson = 0.5 },
		"range": func(s *Stone) { s.Low = 100000 }, "not a number": func(s *Stone) { s.Along = math.NaN() },
	}
	for what, do := range spoil {
		s := Slate()
		do(&s)
		if s.Check() == nil {
			t.Errorf("%s: taken", what)
		}
	}
	if s := Slate().Tested(52000, 0.1); s.Low != 46800 || math.Abs(s.High-57200) > 1e-6 || s.Across != 52000 {
		t.Errorf("tested %+v", s)
	}
}
