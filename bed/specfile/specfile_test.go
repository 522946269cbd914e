package specfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/trouble"
)

const examples = "../../docs/examples"

func read(t *testing.T, text string) bed.Spec {
	t.Helper()
	s, err := Read("test.yaml", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The example that explains every key is the built-in specification, word for word.
func TestNineFootExample(t *testing.T) {
	s, err := ReadFile(filepath.Join(examples, "nine-foot.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if want := bed.NineFoot(); !reflect.DeepEqual(s, want) {
		t.Errorf("the example reads as\n%+v\nthe built-in one is\n%+v", s, want)
	}
}

func TestEveryExampleReads(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(examples, "*foot.yaml"))
	if err != nil || len(files) < 3 {
		t.Fatalf("examples %v, %v", files, err)
	}
	for _, file := range files {
		s, err := ReadFile(file)
		if err != nil {
			t.Error(err)
		} else if s.Pattern+".yaml" != filepath.Base(file) {
			t.Errorf("%s is the pattern %s", file, s.Pattern)
		}
	}
}

// An inch is 25.4 mm exactly (international yard and pound agreement, 1959).
func TestEightFootExampleInInches(t *testing.T) {
	s, err := ReadFile(filepath.Join(examples, "eight-foot.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	want := bed.NineFoot()
	want.Pattern = "eight-foot"
	want.SizeX, want.SizeY, want.Lining = 2540, 1371.6, 19.05
	for p := range want.Supports {
		want.Supports[p] = [][2]float64{{-342.9, -457.2}, {-342.9, 0}, {-342.9, 457.2}, {342.9, -457.2}, {342.9, 0}, {342.9, 457.2}}
	}
	want.Shims = []float64{0.0508, 0.127, 0.254, 0.508, 0.79375, 1.5875}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("the example reads as\n%+v\nwant\n%+v", s, want)
	}
}

func TestSevenFootExampleHasItsOwnCentre(t *testing.T) {
	s, err := ReadFile(filepath.Join(examples, "seven-foot.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if s.Supports[bed.Head][0] != [2]float64{-300, -400} || s.Supports[bed.Centre][0] != [2]float64{-310, -400} || s.Supports[bed.Foot][3] != [2]float64{300, 400} {
		t.Errorf("supports %v", s.Supports)
	}
	if s.Decision != (bed.Decision{Rule: bed.RuleGuardBand, Risk: 0.02}) || s.Lining != 0 {
		t.Errorf("decision %+v, lining %v", s.Decision, s.Lining)
	}
}

func TestLeftOutKeys(t *testing.T) {
	s := read(t, "pattern: own\nrevision: 3\nsize: 2743 x 1473 mm\n")
	want := bed.NineFoot()
	want.Pattern, want.Revision = "own", "3"
	want.Supports, want.Shims, want.Lining = [3][][2]float64{}, nil, 0
	if !reflect.DeepEqual(s, want) {
		t.Errorf("read %+v\nwant %+v", s, want)
	}
}

func TestRisksOfTheRules(t *testing.T) {
	for text, want := range map[string]bed.Decision{
		"decision: {rule: simple}":                              {Rule: bed.RuleSimple, Risk: bed.SimpleRisk},
		"decision: {rule: iso14253-1}":                          {Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk},
		"decision: {consumer_risk: '0,5 %', rule: guard-band}":  {Rule: bed.RuleGuardBand, Risk: 0.005},
		"decision: {rule: guard-band, consumer_risk: 0.001}":    {Rule: bed.RuleGuardBand, Risk: 0.001},
		"decision: {rule: iso14253-1, consumer_risk: '5 %'}":    {Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk},
		"decision: {rule: \"simple\", consumer_risk: \"0.50\"}": {Rule: bed.RuleSimple, Risk: bed.SimpleRisk},
	} {
		if got := read(t, head+text).Decision; got != want {
			t.Errorf("%s: %+v, want %+v", text, got, want)
		}
	}
}

const head = "pattern: p\nrevision: r\nsize: 2743 x 1473 mm\n"

func TestFaultsNameLineAndNextStep(t *testing.T) {
	for name, c := range map[string]struct{ text, where, what, next string }{
		"empty":              {"", "t.yaml", "empty", "pattern, revision and size"},
		"comment only":       {"# nothing\n", "t.yaml", "empty", "pattern"},
		"no size":            {"pattern: p\nrevision: r\n", "t.yaml", "no size", "size: "},
		"slip":               {head + "edge_bnad: 20 mm\n", "t.yaml:4", `no key "edge_bnad"`, "did you mean edge_band?"},
		"hyphen":             {head + "edge-band: 20 mm\n", "t.yaml:4", `no key "edge-band"`, "edge_band"},
		"capital":            {head + "Limits:\n  step: 1 mm\n", "t.yaml:4", `no key "Limits"`, "did you mean limits?"},
		"foreign key":        {head + "colour: grey\n", "t.yaml:4", `no key "colour"`, "known here: pattern, revision"},
		"slip below":         {head + "limits:\n  acros: 1 mm\n", "t.yaml:5", `limits has no key "acros"`, "did you mean across?"},
		"twice":              {head + "edge_band: 20 mm\nstate: laid\nedge_band: 20 mm\n", "t.yaml:6", "given twice, first on line 4", "keep one"},
		"merge key":          {"a: &a\n  pattern: p\n<<: *a\n", "t.yaml:1", `no key "a"`, "known"},
		"alias":              {"pattern: &p x\nrevision: *p\nsize: 2743 x 1473 mm\n", "t.yaml:2", "refers to another place", "write the value itself"},
		"alias in a list":    {head + "shims: [&s 1 mm, *s]\n", "t.yaml:4", "refers to another place", "write the value itself"},
		"no unit":            {head + "edge_band: 20\n", "t.yaml:4", "edge_band: ", ""},
		"nonsense":           {head + "thickness_min: thick\n", "t.yaml:4", "thickness_min: ", ""},
		"no value":           {head + "state:\n", "t.yaml:4", "state: no value", "take the key away"},
		"tilde":              {head + "state: ~\n", "t.yaml:4", "no value", ""},
		"tag":                {head + "state: !x laid\n", "t.yaml:4", "tag", ""},
		"list for value":     {head + "state: [laid]\n", "t.yaml:4", "one value is wanted", ""},
		"value for list":     {head + "shims: 1 mm\n", "t.yaml:4", "a list is wanted", "[0.05 mm, 0.1 mm]"},
		"value for keys":     {head + "limits: 1 mm\n", "t.yaml:4", "limits does not hold keys", "lengthwise, across, zone, step"},
		"list for the file":  {"- pattern: p\n", "t.yaml:1", "the file does not hold keys", "pattern"},
		"key not a word":     {"? [a, b]\n: c\n", "t.yaml:1", "not a word", "known"},
		"two documents":      {head + "---\n" + head, "t.yaml:4", "more follows after the first document", "one specification"},
		"not YAML":           {"pattern: p\nrevision: [\n", "t.yaml:", "not YAML", "indent with spaces"},
		"tab":                {"limits:\n\tstep: 1 mm\n", "t.yaml:2", "not YAML", "spaces"},
		"whole number":       {head + "shims_per_pack: two\n", "t.yaml:4", "not a whole number", "write it like 3"},
		"position":           {head + "supports:\n  each:\n    - [1 mm]\n", "t.yaml:6", "supports.each[0]: a position is two lengths", "[-380 mm, 520 mm]"},
		"position unit":      {head + "supports:\n  each:\n    - [1 mm, 2]\n", "t.yaml:6", "supports.each[0].y: ", ""},
		"guard band":         {head + "decision:\n  rule: guard-band\n", "t.yaml:5", "needs the consumer's risk", "consumer_risk"},
		"bad rule":           {head + "decision:\n  rule: mine\n", "t.yaml:5", `decision.rule: no decision rule is called "mine"`, "guard-band"},
		"bad level":          {head + "levels: [0.02 mm]\n", "t.yaml:4", "there is no /", "0.0005 in/ft"},
		"bad level base":     {head + "levels: [0.02 mm/yonder]\n", "t.yaml:4", "levels[0]: ", ""},
		"steep level":        {head + "levels:\n  - 0.02 mm/m\n  - 2 mm/m\n", "t.yaml:6", "levels[1]: ", "check the division"},
		"range":              {head + "limits:\n  zone: 1 mm\n  step: 0 mm\n", "t.yaml:6", "limits.step: the limit of the joint steps is 0 mm", "unit"},
		"range of a default": {head + "joint_gap: 3 mm\nlining: 20 mm\nlining_density: 0 kg/m3\n", "t.yaml:6", "lining_density", ""},
		"shims fall":         {head + "shims:\n  - 1 mm\n  - 0.5 mm\n", "t.yaml:6", "shims[1]: ", "thin to thick"},
		"support outside":    {head + "supports:\n  each:\n    - [1 mm, 2 mm]\n    - [900 mm, 0 mm]\n    - [3 mm, 4 mm]\n", "t.yaml:7", "supports.head[1]: ", "middle of the piece"},
		"supports in line":   {head + "supports:\n  foot:\n    - [1 mm, 2 mm]\n", "t.yaml:5", "supports.foot: ", "at least three"},
		"too long":           {head + "#" + strings.Repeat("x", 1<<20), "t.yaml", "longer than 1 MiB", ""},
	} {
		_, err := Read("t.yaml", strings.NewReader(c.text))
		var bad *trouble.Trouble
		if !errors.As(err, &bad) {
			t.Errorf("%s: got %v", name, err)
			continue
		}
		where := bad.Where == c.where || strings.HasSuffix(c.where, ":") && strings.HasPrefix(bad.Where, c.where)
		if bad.Kind != trouble.KindData || !where || !strings.Contains(bad.What, c.what) || !strings.Contains(bad.Next, c.next) || bad.Next == "" {
			t.Errorf("%s: kind %v, where %q, what %q, next %q", name, bad.Kind, bad.Where, bad.What, bad.Next)
		}
	}
}

func TestReadingTheFileItself(t *testing.T) {
	var bad *trouble.Trouble
	if _, err := ReadFile("no such file"); !errors.As(err, &bad) || bad.Kind != trouble.KindIO {
		t.Errorf("a missing file gives %v", err)
	}
	if _, err := Read("pipe", iotest.ErrReader(io.ErrClosedPipe)); !errors.As(err, &bad) || bad.Kind != trouble.KindIO || !errors.Is(err, io.ErrClosedPipe) {
		t.Errorf("a broken pipe gives %v", err)
	}
	if err := Write(brokenPipe{}, bed.NineFoot()); !errors.As(err, &bad) || bad.Kind != trouble.KindIO {
		t.Errorf("writing to a broken pipe gives %v", err)
	}
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

// What is written reads back as the very same specification.
func TestWriteReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySpec(t)
		var b bytes.Buffer
		if err := Write(&b, s); err != nil {
			t.Fatalf("%v\n%+v", err, s)
		}
		back, err := Read("written", bytes.NewReader(b.Bytes()))
		if err != nil || !reflect.DeepEqual(back, s) {
			t.Fatalf("%v\nwrote %+v\nread  %+v\n%s", err, s, back, b.Bytes())
		}
	})
}

func TestWriteRefuses(t *testing.T) {
	bad := bed.NineFoot()
	bad.State = ""
	words := bed.NineFoot()
	words.Levels[0].Division = "fine"
	empty := bed.NineFoot()
	empty.Shims = []float64{}
	for name, s := range map[string]bed.Spec{"invalid": bad, "words that do not say the rise": words, "an empty list": empty} {
		var b bytes.Buffer
		if err := Write(&b, s); err == nil || b.Len() > 0 {
			t.Errorf("%s: %v, %d bytes written", name, err, b.Len())
		}
	}
}

// anySpec draws a valid specification.
func anySpec(t *rapid.T) bed.Spec {
	number := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	word := rapid.StringMatching(`[A-Za-z0-9'"#:&*!|>%@{}\[\],?-](([ -~]|é|µ|⌀){0,20}[A-Za-z0-9'"#:-])?`)
	s := bed.NineFoot()
	s.Pattern, s.Revision = word.Draw(t, "pattern"), word.Draw(t, "revision")
	s.SizeX, s.SizeY = number("x", 900, 6000), number("y", 500, 6000)
	s.EdgeBand, s.ThicknessMin, s.Density = number("band", 0, 70), number("min", 5, 100), number("density", 1500, 3500)
	s.Lining, s.JointGap, s.SizeTolerance = number("lining", 0, 60), number("gap", 0, 5), number("tolerance", 0, 10)
	s.Limits = bed.Limits{Lengthwise: number("l", 0.001, 10), Across: number("a", 0.001, 10), Zone: number("z", 0.001, 10), Step: number("s", 0.001, 10)}
	s.State = rapid.SampledFrom([]string{bed.StateFree, bed.StateLaid}).Draw(t, "state")
	s.Decision = rapid.SampledFrom([]bed.Decision{
		{Rule: bed.RuleSimple, Risk: bed.SimpleRisk}, {Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk},
		{Rule: bed.RuleGuardBand, Risk: number("risk", 1e-6, 0.4999)},
	}).Draw(t, "decision")
	s.Uncertainty.Bench, s.JointRow.MinStations = number("bench", 0, 1), rapid.IntRange(3, 1000).Draw(t, "stations")
	px, py := s.PieceSize()
	for place := range s.Supports {
		s.Supports[place] = nil
		if rapid.Bool().Draw(t, "supported") {
			x, y := number("support x", 20, px/2), number("support y", 20, py/2)
			s.Supports[place] = [][2]float64{{-x, y}, {x, y}, {x, -y}}
		}
	}
	s.Shims = rapid.SliceOfNDistinct(rapid.Float64Range(0.001, 25), 0, 8, rapid.ID[float64]).Draw(t, "shims")
	slices.Sort(s.Shims)
	if len(s.Shims) == 0 {
		s.Shims = nil
	}
	return s
}

// Read never panics; its errors are troubles that name the file; what it accepts is valid and can be written.
func FuzzRead(f *testing.F) {
	files, err := filepath.Glob(filepath.Join(examples, "*foot.yaml"))
	if err != nil || len(files) == 0 {
		f.Fatalf("no seeds: %v, %v", files, err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(head + "decision: {rule: guard-band, consumer_risk: 3 %}\nlevels: ['0,02 mm/m']\nshims: []\n"))
	f.Add([]byte("a: &a [*a]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := Read("fuzz", bytes.NewReader(text))
		if err != nil {
			var bad *trouble.Trouble
			if !errors.As(err, &bad) || !strings.HasPrefix(bad.Where, "fuzz") || bad.What == "" {
				t.Fatalf("%#v", err)
			}
			return
		}
		if err := Write(io.Discard, s); err != nil {
			t.Fatalf("%v: %s", err, fmt.Sprintf("%+v", s))
		}
	})
}
