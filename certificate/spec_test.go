package certificate

import (
	"reflect"
	"strings"
	"testing"

	"slatewright/bed"
)

// A specification whose numbers have no more decimals than are sealed comes back as it was, whatever is set in it.
func TestSpecComesBack(t *testing.T) {
	for _, change := range []func(*bed.Spec){
		func(*bed.Spec) {},
		func(s *bed.Spec) { s.Supports = [3][][2]float64{1: {{-380.5, 0.000001}}} },
		func(s *bed.Spec) { s.Shims, s.Levels = nil, nil },
		func(s *bed.Spec) {
			s.Decision = bed.Decision{Rule: bed.RuleGuardBand, Risk: 0.00135}
			s.State, s.Pattern, s.Revision = bed.StateFree, "eight-foot", "B"
		},
	} {
		want := bed.NineFoot()
		change(&want)
		var s sealer
		got := s.spec(want).Bed()
		if s.err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("came back as %+v, %v\nand was %+v", got, s.err, want)
		}
	}
}

// No field of a specification is left out: each, changed alone, changes what is sealed.
func TestSpecIsSealedWhole(t *testing.T) {
	var s sealer
	was := s.spec(bed.NineFoot())
	changed := 0
	var walk func(v reflect.Value, name string, again func() Spec)
	walk = func(v reflect.Value, name string, again func() Spec) {
		old := reflect.ValueOf(v.Interface())
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i), name+"."+v.Type().Field(i).Name, again)
			}
			return
		case reflect.Slice, reflect.Array:
			for i := range v.Len() {
				walk(v.Index(i), name, again)
			}
			return
		case reflect.Float64:
			v.SetFloat(v.Float() + 0.001)
		case reflect.Int:
			v.SetInt(v.Int() + 1)
		case reflect.String:
			v.SetString(v.String() + "x")
		default:
			t.Fatalf("%s is a %s", name, v.Kind())
		}
		changed++
		if reflect.DeepEqual(again(), was) {
			t.Errorf("%s is not sealed", name)
		}
		v.Set(old)
	}
	spec := bed.NineFoot()
	walk(reflect.ValueOf(&spec).Elem(), "Spec", func() Spec { return s.spec(spec) })
	if s.err != nil || changed < 30 {
		t.Errorf("%d fields, %v", changed, s.err)
	}
}

// What has more decimals is rounded, and computed with as it is sealed: limits of 0.005 in are exact, 1/128 in is not.
func TestSpecIsComputedWithAsSealed(t *testing.T) {
	in := invented()
	in.Spec.EdgeBand = 25.4 * 101 / 128 // 20.0421875
	in.Spec.Limits.Step = 25.4 / 128    // 0.1984375, and the float64 next to it is less
	b := composed(t, in)
	if got := b.Given.Spec.EdgeBand.String() + " " + b.Given.Spec.Limits.Step.String(); got != "20.042188 0.198437" {
		t.Errorf("sealed as %s", got)
	}
	if got := b.Found.Results[3].Limit; got != 198437 || b.Given.Question.MaxStep != got {
		t.Errorf("the limit of the step is %s, and asked for is %s", got, b.Given.Question.MaxStep)
	}
	if r := check(t, written(t, sealedBy(t, b, testKey(t, true)))); !r.OK() {
		t.Errorf("%+v", r)
	}
}

func TestMethodSaysHow(t *testing.T) {
	for _, c := range []struct {
		decision bed.Decision
		want     []string
	}{
		{bed.Decision{Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk}, []string{"ISO 14253-1:2017", "guard band 1.644854 standard"}},
		{bed.Decision{Rule: bed.RuleSimple, Risk: bed.SimpleRisk}, []string{"simple acceptance"}},
		// The normal quantile of 0.99 is 2.326348 (any table).
		{bed.Decision{Rule: bed.RuleGuardBand, Risk: 0.01}, []string{"risk of 0.010000, which is 2.326348 standard"}},
	} {
		in := invented()
		in.Spec.Decision = c.decision
		b := composed(t, in)
		said := strings.Join(b.Found.Method, "\n")
		want := append(c.want, "no step is larger than 0.127 mm; the best of 8 arrangements", "without the outer 20 mm", "50 times", "seed 42",
			bed.TournamentReading, b.Found.Support.Reason)
		for _, text := range want {
			if !strings.Contains(said, text) {
				t.Errorf("%s: the method does not say %q:\n%s", c.decision.Rule, text, said)
			}
		}
		if strings.Contains(said, "laid up") {
			t.Errorf("%s: the set was not laid up:\n%s", c.decision.Rule, said)
		}
	}
	in := invented()
	in.LayUp = readLayUp(t, inventedLayUp)
	if said := strings.Join(composed(t, in).Found.Method, "\n"); !strings.Contains(said, "laid up on: bench, shimmed as on the card.") {
		t.Errorf("the method does not say what the set was laid up on:\n%s", said)
	}
}

func TestShortLengths(t *testing.T) {
	for l, want := range map[Length]string{0: "0", 127000: "0.127", 20000000: "20", -500000: "-0.5", 1: "0.000001", 100000000: "100"} {
		if got := short(l); got != want {
			t.Errorf("%s is %s, want %s", l, got, want)
		}
	}
}
