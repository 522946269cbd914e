package paper

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
	"slatewright/judge"
)

// inEnglish are the words of an English paper.
var inEnglish = said{}

// Printed value and printed limit must stand to each other as the true ones do.
func TestPrintedValueKeepsItsSideOfTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		limit := rapid.SampledFrom([]float64{0.127, 0.254, 0.508, 25.4}).Draw(t, "limit")
		value := limit + rapid.Float64Range(-0.002, 0.002).Draw(t, "off")
		for _, unit := range []struct {
			per   float64
			least int
		}{{1, 3}, {1, 2}, {1 / look.PerThou, 1}} {
			d := decimals(Result{Value: value, Limit: limit}, unit.per, unit.least)
			v, l := look.Fixed(value*unit.per, d), look.Fixed(limit*unit.per, d)
			a, _ := strconv.ParseFloat(v, 64)
			b, _ := strconv.ParseFloat(l, 64)
			if d < 6 && (value < limit) != (a < b) {
				t.Fatalf("%v against %v is printed %s against %s", value, limit, v, l)
			}
			if d > unit.least && math.Abs(value-limit)*unit.per > 1.01*math.Pow(10, -float64(unit.least)) {
				t.Fatalf("%d decimals for %g against %g", d, value, limit)
			}
		}
	})
	if got := decimals(Result{Value: 0.50804, Limit: 0.508}, 1, 3); got != 5 {
		t.Errorf("0.50804 against 0.508 needs 5 decimals, got %d", got)
	}
	if got := decimals(Result{Value: math.NaN(), Limit: 1}, 1, 3); got != 3 {
		t.Errorf("no value: %d decimals", got)
	}
}

func TestMargin(t *testing.T) {
	if m := (Result{Value: 0.1, Limit: 0.3}).margin(); math.Abs(m-0.2) > 1e-15 {
		t.Errorf("%g", m)
	}
	if m := (Result{Value: 25, Limit: 25.4, AtLeast: true}).margin(); math.Abs(m+0.4) > 1e-12 {
		t.Errorf("%g", m)
	}
}

func TestMisses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		r    Result
		want string
	}{
		{Result{Name: "Zone", Value: 0.612, Limit: 0.508, Verdict: judge.DoesNotConform}, "Zone: 0.612 mm against a limit of 0.508 mm, over by 0.104 mm (4.1 thou)."},
		{Result{Name: "Zone", Value: 0.5081, Limit: 0.508, Verdict: judge.DoesNotConform}, "Zone: 0.5081 mm against a limit of 0.5080 mm, over by 0.000 mm (0.0 thou)."},
		{Result{Name: "Thickness", Value: 25.3, Limit: 25.4, AtLeast: true, Verdict: judge.DoesNotConform}, "Thickness: 25.300 mm against a limit of 25.400 mm, too little by 0.100 mm (3.9 thou)."},
		{Result{Name: "Across", Value: 0.25, U: 0.02, Limit: 0.254, Verdict: judge.DoesNotConform}, "Across: 0.250 mm against a limit of 0.254 mm, inside by only 0.004 mm (0.2 thou), with an uncertainty U of 0.020 mm (0.8 thou)."},
		{Result{Name: "Across", Value: 0.26, Limit: 0.254, Verdict: judge.CannotTell}, "Across: 0.260 mm lies 0.006 mm (0.2 thou) outside its limit of 0.254 mm: cannot tell."},
		{Result{Name: "Thickness", Value: nan, Limit: 25.4, Verdict: judge.CannotTell}, "Thickness: cannot tell."},
		{Result{Name: "State", Value: nan, Limit: nan, Verdict: judge.DoesNotConform}, "State: does not conform."},
	} {
		if got := inEnglish.misses([]Result{{Name: "fine", Verdict: judge.Conforms}, c.r}); len(got) != 1 || got[0] != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
	if got := inEnglish.misses([]Result{{Name: "across", Value: 0.1, Limit: 0.254, Verdict: judge.CannotTell, Withheld: true}}); len(got) != 0 {
		t.Errorf("what a hindrance withholds is no doubt of the value: %q", got)
	}
}

func TestResultRowOfWhatIsNotKnown(t *testing.T) {
	row := Result{Name: "thickness", Value: math.NaN(), Limit: math.NaN(), Verdict: judge.CannotTell}.Row(tongue.Words{}).cells(inEnglish)
	var words []string
	for _, c := range row {
		words = append(words, c.text)
	}
	if got := strings.Join(words, "|"); got != "thickness|–|–|none|–|–|–|none|–|cannot tell" {
		t.Error(got)
	}
}

func TestNotesOfAResult(t *testing.T) {
	for want, r := range map[string]Result{
		"as laid; read high by about 0.031 mm, which is taken off": {Note: "as laid", Bias: 0.031},
		"read low by about 0.002 mm, which is put on":              {Bias: -0.002},
		"as laid": {Note: "as laid", Bias: 0.0004},
		"0.010 mm (0.4 thou) is put on for what may lie between the readings": {Between: 0.010},
		"": {},
	} {
		if got := r.Row(tongue.Words{}).Note; got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// What lies between the readings is no bias of the reading, and each is told by itself.
func TestNoteTellsBiasAndAllowanceApart(t *testing.T) {
	got := inEnglish.resultsNote([]Result{{Name: "Zone", Note: "all readings", Bias: 0.003, Between: 0.010}, {Name: "Step", Bias: -0.0012, Between: 0.010},
		{Name: "Thickness", Note: "least"}}, "k = 2")
	want := " Zone: all readings. Thickness: least. Corrected for errors of the readings, mm: Zone −0.003, Step +0.001. " +
		"Put on for what may lie between the readings, mm: Zone 0.010, Step 0.010."
	if !strings.HasSuffix(got, want) {
		t.Errorf("%q, want it to end %q", got, want)
	}
	if got := inEnglish.resultsNote([]Result{{Name: "Zone", Bias: 0.0004}}, "k = 2"); got != inEnglish.columnsNote("k = 2") {
		t.Errorf("nothing to tell, and it says %q", got)
	}
}
