package certificate

import (
	"reflect"
	"regexp"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
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

// methodOf is the method of the invented set after a change, as one text.
func methodOf(t *testing.T, change func(*Input)) string {
	t.Helper()
	in := invented()
	change(&in)
	return strings.Join(composed(t, in).Found.Method, "\n")
}

// The method says what was computed and how it was decided, with the figures that it was done with.
func TestMethodSaysHow(t *testing.T) {
	always := []string{"the zone of the bed is smallest while no step is larger than 0.127 mm", "the best of 8 arrangements", "two parallel planes", "outer 20 mm",
		"lines of readings along and across", "proud", "0.0125 mm", "50 times", "seed 42", bed.TournamentReading}
	for name, c := range map[string]struct {
		change func(*Input)
		want   []string
	}{
		"as it is": {func(*Input) {}, []string{"ISO 14253-1:2017, at 95 % one-sided", "by 1.644854 standard uncertainties", "hold for the laid state", "on a full bench"}},
		"simple": {func(in *Input) { in.Spec.Decision = bed.Decision{Rule: bed.RuleSimple, Risk: bed.SimpleRisk} },
			[]string{"simple acceptance"}},
		// The normal quantile of 0.99 is 2.326348 (any table).
		"guard band": {func(in *Input) { in.Spec.Decision = bed.Decision{Rule: bed.RuleGuardBand, Risk: 0.01} },
			[]string{"risk of 0.010000, a result", "by 2.326348 standard uncertainties"}},
		"free": {func(in *Input) {
			in.Spec.State = bed.StateFree
			for _, f := range in.Faces {
				f.Support = face.Support{Kind: face.SupportLines, Text: "lines 0.22", Fraction: 0.22, Lines: []face.Line{{Axis: 'y', At: -412.44}, {Axis: 'y', At: 412.44}}}
			}
		}, []string{"hold for the free state", "hide its twist"}},
		"as read": {func(in *Input) { in.Spec.State = bed.StateFree }, []string{"not the free state that is promised", "gravity"}},
	} {
		said := methodOf(t, c.change)
		for _, text := range append(always, c.want...) {
			if !strings.Contains(said, text) {
				t.Errorf("%s: the method does not say %q:\n%s", name, text, said)
			}
		}
		if strings.Contains(said, "laid up") {
			t.Errorf("%s: the set was not laid up:\n%s", name, said)
		}
	}
	said := methodOf(t, func(in *Input) { in.LayUp = readLayUp(t, inventedLayUp) })
	for _, text := range []string{`laid up dry, on what is stated as "bench, shimmed as on the card"`, "at 5 and 5 places", "is 0.005 mm", "another lie of rigid pieces"} {
		if !strings.Contains(said, text) {
			t.Errorf("the method does not say %q:\n%s", text, said)
		}
	}
	if said := methodOf(t, func(in *Input) { in.LayUp = readLayUp(t, inventedLayUp); in.LayUp.U = 0 }); !strings.Contains(said, "two readings of the specification") {
		t.Errorf("the method does not say where the uncertainty of a step is from:\n%s", said)
	}
	if said := methodOf(t, func(in *Input) { in.MaxZone = 0.2 }); !strings.Contains(said, "the larger step is smallest while the zone of the bed is no larger than 0.2 mm") {
		t.Errorf("the method does not say what was asked:\n%s", said)
	}
	if said := linesMethod(Seating{Lengthwise: Line{Cells: true}}); !strings.Contains(said, "means over cells of at most 25 mm") {
		t.Errorf("of a scan: %s", said)
	}
}

// Papers print the method whole, so each of its sentences stands alone: one sentence, with a beginning, an end and a verb.
func TestMethodIsSentences(t *testing.T) {
	in := invented()
	in.LayUp = readLayUp(t, inventedLayUp)
	method := composed(t, in).Found.Method
	verb := regexp.MustCompile(` (is|are|was|were|hold|comes|conforms) `)
	for _, s := range method {
		if first := s[:1]; first != strings.ToUpper(first) || !strings.HasSuffix(s, ".") || strings.Contains(s, ". ") || !verb.MatchString(s) {
			t.Errorf("no sentence: %q", s)
		}
	}
	if len(method) != 11 {
		t.Errorf("%d sentences", len(method))
	}
}

func TestShortLengths(t *testing.T) {
	for l, want := range map[Length]string{0: "0", 127000: "0.127", 20000000: "20", -500000: "-0.5", 1: "0.000001", 100000000: "100"} {
		if got := short(l); got != want {
			t.Errorf("%s is %s, want %s", l, got, want)
		}
	}
}
