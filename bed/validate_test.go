package bed

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"slatewright/trouble"
)

func TestNineFootIsValid(t *testing.T) {
	if err := NineFoot().Validate(); err != nil {
		t.Fatal(err)
	}
}

func TestEdgesOfRangesAreValid(t *testing.T) {
	for name, change := range map[string]func(*Spec){
		"no edge band":            func(s *Spec) { s.EdgeBand = 0 },
		"not lined":               func(s *Spec) { s.Lining, s.LiningDensity = 0, 0 },
		"no supports":             func(s *Spec) { s.Supports = [3][][2]float64{} },
		"no shims":                func(s *Spec) { s.Shims = nil },
		"promise of the free set": func(s *Spec) { s.State = StateFree },
		"simple acceptance":       func(s *Spec) { s.Decision = Decision{RuleSimple, SimpleRisk} },
		"two per cent":            func(s *Spec) { s.Decision = Decision{RuleGuardBand, 0.02} },
		"three supports":          func(s *Spec) { s.Supports[0] = [][2]float64{{-400, -600}, {-400, 600}, {400, 0}} },
		"support at a corner":     func(s *Spec) { x, y := s.PieceSize(); s.Supports[2][0] = [2]float64{x / 2, -y / 2} },
	} {
		s := NineFoot()
		change(&s)
		if err := s.Validate(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestValidateNamesTheKey(t *testing.T) {
	for _, c := range []struct {
		where, what string
		change      func(*Spec)
	}{
		{"pattern", "has no pattern", func(s *Spec) { s.Pattern = " " }},
		{"pattern", "begins or ends", func(s *Spec) { s.Pattern = " nine" }},
		{"pattern", "longer than 80", func(s *Spec) { s.Pattern = strings.Repeat("é", 81) }},
		{"revision", "cannot be printed", func(s *Spec) { s.Revision = "a\nb" }},
		{"revision", "has no revision", func(s *Spec) { s.Revision = "" }},
		{"size", "along the table is 2.743 mm", func(s *Spec) { s.SizeX = 2.743 }},
		{"size", "across the table is 14730 mm", func(s *Spec) { s.SizeY = 14730 }},
		{"edge_band", "between 0 and 228.583", func(s *Spec) { s.EdgeBand = 229 }},
		{"joint_gap", "-1 mm", func(s *Spec) { s.JointGap = -1 }},
		{"density", "2.79 kg/m3", func(s *Spec) { s.Density = 2.79 }},
		{"lining_density", "between 100", func(s *Spec) { s.LiningDensity = 0 }},
		{"supports.foot[5]", "not under the piece", func(s *Spec) { s.Supports[2][5][0] = 458 }},
		{"supports.head[3]", "listed twice", func(s *Spec) { s.Supports[0][3] = s.Supports[0][0] }},
		{"supports.centre", "on one line", func(s *Spec) { s.Supports[1] = [][2]float64{{-1, -1}, {0, 0}, {300, 300}} }},
		{"supports.centre", "on one line", func(s *Spec) { s.Supports[1] = [][2]float64{{-300, -300}, {0, 0.2}, {300, 300}} }},
		{"supports.centre", "fewer than three", func(s *Spec) { s.Supports[1] = [][2]float64{{-1, -1}} }},
		{"supports.head", "41 supports", func(s *Spec) { s.Supports[0] = make([][2]float64, 41) }},
		{"supports.head[0]", "not under", func(s *Spec) { s.Supports[0][0][1] = math.NaN() }},
		{"shims[2]", "follows one of", func(s *Spec) { s.Shims[2] = s.Shims[1] }},
		{"shims[0]", "a shim of 0 mm", func(s *Spec) { s.Shims[0] = 0 }},
		{"shims[6]", "a shim of NaN mm", func(s *Spec) { s.Shims[6] = math.NaN() }},
		{"shims", "33 thicknesses", func(s *Spec) { s.Shims = make([]float64, 33) }},
		{"shims_per_pack", "0 shims", func(s *Spec) { s.ShimsPerPack = 0 }},
		{"limits.step", "0 mm", func(s *Spec) { s.Limits.Step = 0 }},
		{"state", `"Laid"`, func(s *Spec) { s.State = "Laid" }},
		{"decision.rule", `"iso"`, func(s *Spec) { s.Decision.Rule = "iso" }},
		{"decision.consumer_risk", "of 0.05 at its limit, not 0.01", func(s *Spec) { s.Decision.Risk = 0.01 }},
		{"decision.consumer_risk", "of 0.5 at its limit", func(s *Spec) { s.Decision = Decision{RuleSimple, 0} }},
		{"decision.consumer_risk", "is 0.5", func(s *Spec) { s.Decision = Decision{RuleGuardBand, 0.5} }},
		{"joint_row.min_stations", "2 stations", func(s *Spec) { s.JointRow.MinStations = 2 }},
		{"levels", "0 levels", func(s *Spec) { s.Levels = nil }},
		{"levels[1]", "no level's", func(s *Spec) { s.Levels[1].Over = 0.3048 }},
		{"levels[0]", "without the words", func(s *Spec) { s.Levels[0].Division = "" }},
	} {
		s := NineFoot()
		c.change(&s)
		var bad *trouble.Trouble
		if err := s.Validate(); !errors.As(err, &bad) {
			t.Errorf("%s (%s): got %v", c.where, c.what, err)
			continue
		}
		if bad.Kind != trouble.KindData || bad.Code != "bad-spec" || bad.Where != c.where || !strings.Contains(bad.What, c.what) || bad.Next == "" {
			t.Errorf("%s (%s): got %+v", c.where, c.what, bad)
		}
	}
}

// No number of the specification may be left unchecked: each one in turn is made absurd.
func TestEveryNumberIsChecked(t *testing.T) {
	for _, absurd := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 1e9} {
		numbers := 0
		for i := 0; ; i++ {
			s := NineFoot()
			at, name := 0, ""
			eachNumber(reflect.ValueOf(&s).Elem(), "spec", func(path string, v reflect.Value) {
				if at == i {
					v.SetFloat(absurd)
					name = path
				}
				at++
			})
			if name == "" {
				break
			}
			numbers++
			position := strings.Contains(name, "Supports") && absurd == -1 // a fair position
			if err := s.Validate(); (err == nil) != position {
				t.Errorf("%s = %v: %v", name, absurd, err)
			}
		}
		if numbers < 60 {
			t.Fatalf("only %d numbers made absurd", numbers)
		}
	}
}

// eachNumber calls visit for every float64 below v.
func eachNumber(v reflect.Value, path string, visit func(string, reflect.Value)) {
	switch v.Kind() {
	case reflect.Float64:
		visit(path, v)
	case reflect.Struct:
		for i := range v.NumField() {
			eachNumber(v.Field(i), path+"."+v.Type().Field(i).Name, visit)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			eachNumber(v.Index(i), path+"[]", visit)
		}
	}
}
