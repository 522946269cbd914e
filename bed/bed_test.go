package bed

import (
	"math"
	"strings"
	"testing"

	"slatewright/internal/truth"
)

// Source of the limits: WPA tournament table & equipment specifications, November 2001 text (internal/truth).
func TestNineFootCarriesTheTournamentLimits(t *testing.T) {
	s := NineFoot()
	want := truth.Tournament()
	for item, got := range map[string]float64{
		"slate thickness min":                                            s.ThicknessMin,
		"overall flatness lengthwise (plus)":                             s.Limits.Lengthwise,
		"overall flatness across width (plus)":                           s.Limits.Across,
		"slate joints in one plane within, after levelling and shimming": s.Limits.Step,
		"pieces in a tournament set":                                     float64(len(placeNames)),
	} {
		figure, ok := want[item]
		if !ok {
			t.Fatalf("the tournament table has no item %q", item)
		}
		if got != figure.Value {
			t.Errorf("%s: %v, the text says %v %s (%s)", item, got, figure.Value, figure.Unit, figure.InchForm)
		}
	}
	if s.Limits.Zone != 0.508 {
		t.Errorf("zone limit %v, the design says 0.508 mm", s.Limits.Zone)
	}
}

// Every figure that a clause quotes stands in the published table, and every clause of the table that the stone does not
// answer is listed.
func TestNotCheckedQuotesTheText(t *testing.T) {
	text := ""
	for _, c := range NotChecked() {
		if c.Subject == "" || c.Demand == "" || c.Why == "" {
			t.Errorf("an empty word in %+v", c)
		}
		text += c.Demand + "\n"
	}
	quoted := 0
	for item, f := range truth.Tournament() {
		switch item {
		case "slate thickness min", "pieces in a tournament set",
			"overall flatness lengthwise (plus)", "overall flatness across width (plus)":
			continue // these the certificate does answer
		}
		quoted++
		if value := number(f.Value); !strings.Contains(text, value) {
			t.Errorf("%s: %s %s is quoted nowhere", item, value, f.Unit)
		}
		for _, word := range strings.Fields(f.InchForm) {
			if word != "in" && !strings.Contains(text, word) {
				t.Errorf("%s: %q is quoted nowhere", item, f.InchForm)
			}
		}
	}
	if quoted < 10 {
		t.Fatalf("only %d figures compared", quoted)
	}
}

func TestThreePiecesAndTheirGapsMakeTheBed(t *testing.T) {
	for _, gap := range []float64{0, 0.5} {
		s := NineFoot()
		s.JointGap = gap
		px, py := s.PieceSize()
		if py != s.SizeY {
			t.Errorf("a piece is %v mm across, the bed %v", py, s.SizeY)
		}
		if bed := 3*px + 2*gap; math.Abs(bed-s.SizeX) > 1e-9 {
			t.Errorf("three pieces with gaps of %v mm make %v mm, the bed has %v", gap, bed, s.SizeX)
		}
	}
}

// Common practice, no source: a bed is called flat within 0.010 in (0.254 mm), and its features lie within 1 mm of where
// they should. A bed that is flat so conforms to every default limit, and none of them is stricter; a piece's sides may be
// off by as much as any other feature.
func TestDefaultsAgreeWithCommonPractice(t *testing.T) {
	const flat, feature = 0.254, 1.0
	s := NineFoot()
	if strictest := min(s.Limits.Lengthwise, s.Limits.Across, s.Limits.Zone); strictest != flat {
		t.Errorf("the strictest flatness limit is %v mm, practice says %v", strictest, flat)
	}
	if s.SizeTolerance != feature {
		t.Errorf("a piece's sides may be off by %v mm, practice says %v", s.SizeTolerance, feature)
	}
}

// 2743 x 1473 mm of slate, 25.4 mm thick, at 2790 kg/m³: 2.743 · 1.473 · 0.0254 · 2790 = 286.33 kg (closed form). A
// finished nine-foot piece of 95 kg, a set of 286 kg and one of 338 kg at 30 mm are common practice.
func TestPieceMass(t *testing.T) {
	s := NineFoot()
	for _, c := range []struct{ stone, lining, set, tolerance float64 }{
		{25.4, 0, 286.33, 0.005},
		{30, 0, 338.185, 0.005},
		{25.4, 19, 286.33 + 2.743*1.473*0.019*720.8, 0.006},
	} {
		if got := 3 * s.PieceMass(c.stone, c.lining); math.Abs(got-c.set) > c.tolerance {
			t.Errorf("a set of %v mm stone and %v mm lining: %.3f kg, want %.3f", c.stone, c.lining, got, c.set)
		}
	}
}

// One division of 0.0005 in/ft is 41.7 µm/m; 0.25 mm of crown over 1.473 m slopes by 0.68 mm/m at the edge, about 16
// divisions (4 · 0.25/1473 / (0.0005/12) = 16.3).
func TestLevelDivisions(t *testing.T) {
	levels := NineFoot().Levels
	slope := 4 * 0.25 / 1473
	for i, want := range []float64{33.944, 16.293} {
		if got := levels[i].Divisions(slope); math.Abs(got-want) > 0.001 {
			t.Errorf("%s: %v divisions, want %v", levels[i].Division, got, want)
		}
		if got := levels[i].Divisions(-slope); math.Abs(got+want) > 0.001 {
			t.Errorf("%s: %v divisions on the falling slope", levels[i].Division, got)
		}
	}
}

// The normal 95 % point is 1.644853627 (any table); ISO 14253-1:2017 prints 1.65.
func TestISO14253FactorIsTheNormalQuantile(t *testing.T) {
	if tail := 0.5 * math.Erfc(ISO14253Factor/math.Sqrt2); math.Abs(tail-ISO14253Risk) > 1e-7 {
		t.Errorf("beyond %v lies %v of the normal distribution, not %v", ISO14253Factor, tail, ISO14253Risk)
	}
	if math.Abs(ISO14253Factor-1.65) > 0.01 {
		t.Errorf("%v does not round to what the standard prints", ISO14253Factor)
	}
}

func TestPlacesAsText(t *testing.T) {
	for _, p := range Places() {
		text, err := p.MarshalText()
		if err != nil || string(text) != p.String() {
			t.Fatalf("%d: %q, %v", p, text, err)
		}
		var back Place
		if err := back.UnmarshalText(text); err != nil || back != p {
			t.Errorf("%q reads as %v, %v", text, back, err)
		}
	}
	var p Place
	if err := p.UnmarshalText([]byte("middle")); err == nil {
		t.Error("a place called middle was taken")
	}
	if _, err := Place(3).MarshalText(); err == nil {
		t.Error("a fourth place was written")
	}
	if got := Place(-1).String(); got != "no place" {
		t.Errorf("place -1 is called %q", got)
	}
}

func TestNineFootIsItsOwnCopy(t *testing.T) {
	s := NineFoot()
	s.Shims[0], s.Supports[0][0][0], s.Levels[0].Rise = 9, 9, 9
	if again := NineFoot(); again.Shims[0] == 9 || again.Supports[0][0][0] == 9 || again.Supports[1][0][0] == 9 || again.Levels[0].Rise == 9 {
		t.Error("a change to one copy shows in the next")
	}
	if s.Supports[1][0][0] == 9 {
		t.Error("the places share one list of supports")
	}
}
