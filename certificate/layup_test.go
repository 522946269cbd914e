package certificate

import (
	"math"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/judge"
)

func TestReadLayUp(t *testing.T) {
	l := readLayUp(t, inventedLayUp)
	if l.Name != "lay-up.csv" || l.Pieces != [3]string{"QH-0401", "QH-0402", "QH-0403"} || l.Support != "bench, shimmed as on the card" ||
		l.Instrument != "step gauge 3" || l.Date != "2026-11-24" || l.U != 5000 || len(l.Warnings) != 0 {
		t.Errorf("%+v", l)
	}
	for j, want := range [2][]Position{
		{{-660000000, -6000}, {-330000000, 2000}, {0, 4000}, {330000000, -3000}, {660000000, 1000}},
		{{-660000000, -1000}, {-330000000, 6000}, {0, 4000}, {330000000, -2000}, {660000000, 1000}}, // sorted
	} {
		if len(l.Joints[j]) != len(want) {
			t.Fatalf("joint %d: %v", j, l.Joints[j])
		}
		for i := range want {
			if l.Joints[j][i] != want[i] {
				t.Errorf("joint %d, station %d: %v, want %v", j, i, l.Joints[j][i], want[i])
			}
		}
	}
}

// Thousandths of an inch, decimal commas, semicolons and other line ends say the same.
func TestReadLayUpAsOthersWriteIt(t *testing.T) {
	want := readLayUp(t, inventedLayUp)
	german := strings.NewReplacer("joint,y_mm,step_mm", "Joint;Y;Step", "head-centre,", "head-centre;", "centre-foot,", "centre-foot;").Replace(inventedLayUp)
	lines := strings.Split(german, "\n")
	for i, line := range lines {
		if !strings.HasPrefix(line, "#") {
			at := strings.LastIndex(line, ",")
			if at >= 0 {
				line = strings.ReplaceAll(line[:at]+";"+line[at+1:], ".", ",")
			}
			lines[i] = line
		}
	}
	for _, text := range []string{
		"\ufeff" + strings.ReplaceAll(inventedLayUp, "\n", "\r\n"),
		strings.Join(lines, "\n"),
		strings.Replace(inventedLayUp, "# date", "\n# a remark\n# date", 1),
		strings.ReplaceAll(inventedLayUp, "head-centre", "Head-Centre"),
	} {
		if got := readLayUp(t, text); got.Joints[0][0] != want.Joints[0][0] || got.Joints[1][4] != want.Joints[1][4] || got.U != want.U || len(got.Warnings) != 0 {
			t.Errorf("%+v\n%s", got, text)
		}
	}
	inches := readLayUp(t, `# unit: in
# support: bench
joint,y_in,step_in
head-centre,-26,0.001
head-centre,-13,0
head-centre,0,0
head-centre,13,0
head-centre,26,-0.0005
centre-foot,-26,0
centre-foot,-13,0
centre-foot,0,0
centre-foot,13,0
centre-foot,26,0
`)
	if first, last := inches.Joints[0][0], inches.Joints[0][4]; first != (Position{-660400000, 25400}) || last != (Position{660400000, -12700}) {
		t.Errorf("in inches: %v, %v", first, last)
	}
}

func TestBadLayUpsAreRefused(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"# support: bench, shimmed as on the card\n", "", "does not say what the pieces lay on"},
		{"head-centre,0,0.004\n", "", "read at 4 places"},
		{"centre-foot,0,0.004\n", "centre-foot,330,0.004\n", "read twice at y = 330.000000 mm"},
		{"centre-foot,0,0.004", "center-foot,0,0.004", `lay-up.csv:16: "center-foot" is no joint`},
		{"centre-foot,0,0.004", "centre-foot,0,0.004,1", "lay-up.csv:16: 4 columns"},
		{"centre-foot,0,0.004", "centre-foot,0,thin", "lay-up.csv:16"},
		{"centre-foot,0,0.004", "centre-foot,0,nan", "lay-up.csv:16"},
		{"centre-foot,0,0.004", "centre-foot,0,1e300", "too large"},
		{"joint,y_mm,step_mm", "joint,step_mm,y_mm", "lay-up.csv:8: the titles"},
		{"joint,y_mm,step_mm", "joint,y_in,step_in", `the title says "in"`},
		{"# u: 0.005 mm", "# u: 0.005", "lay-up.csv:6: # u:"},
		{"# u: 0.005 mm", "# u: -0.005 mm", "is negative"},
		{"# unit: mm", "# unit: ells", "lay-up.csv:3"},
		{"# date: 2026-11-24", "# date: yesterday", "is no date"},
		{"# pieces: QH-0401, ", "# pieces: ", "names 2 pieces"},
		{inventedLayUp, "", "does not say what the pieces lay on"},
		{inventedLayUp, strings.Repeat("\n", layUpLines+1), "more than 10000 lines"},
		{inventedLayUp, strings.Repeat("x", 1<<17), "could not be read"},
	} {
		text := strings.Replace(inventedLayUp, c.from, c.to, 1)
		if text == inventedLayUp {
			t.Fatalf("%s does not stand in the sample", c.from)
		}
		if l, err := ReadLayUp("mill/lay-up.csv", strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want an error with %q, got %v, %+v", c.want, err, l)
		}
	}
	l := readLayUp(t, strings.Replace(inventedLayUp, "# unit", "# weather: fair\n# unit", 1))
	if len(l.Warnings) != 1 || l.Warnings[0] != `lay-up.csv:3: the header line "weather" is not known here` {
		t.Errorf("the warnings are %q", l.Warnings)
	}
}

// Between two stations the prediction is their straight line, beyond them that of the outer two.
func TestStepBetweenStations(t *testing.T) {
	stations := List[Position]{{-100000000, 10000}, {0, 30000}, {200000000, -10000}}
	for _, c := range [][2]float64{{-100, 0.01}, {-50, 0.02}, {0, 0.03}, {50, 0.02}, {200, -0.01}, {300, -0.03}, {-150, 0}} {
		if got := stepAt(stations, c[0]); math.Abs(got-c[1]) > 1e-15 {
			t.Errorf("at %g mm the step is %g, want %g", c[0], got, c[1])
		}
	}
	if got := stepAt(stations[:1], 5); got != 0.01 {
		t.Errorf("of one station: %g", got)
	}
	if got := stepAt(nil, 5); !math.IsNaN(got) {
		t.Errorf("of none: %g", got)
	}
}

func laid(t *testing.T, change func(*LayUp)) Found {
	t.Helper()
	in := invented()
	in.LayUp = readLayUp(t, inventedLayUp)
	change(in.LayUp)
	return composed(t, in).Found
}

// The lay-up can confirm or spoil the verdict; it cannot better it.
func TestLayUpIsJudged(t *testing.T) {
	good := laid(t, func(*LayUp) {})
	if good.Verdict != "conforms" || good.Basis != BasisLaidUp || good.Next.Code != string(StepDone) || len(good.Results) != 8 || len(good.Warnings) != 0 {
		t.Errorf("%s on %s, next %s, %d results, warnings %q", good.Verdict, good.Basis, good.Next.Code, len(good.Results), good.Warnings)
	}
	// Limit 0.127 mm, u = 0.005 mm, ISO 14253-1: accepted up to 0.127 − 1.644854·0.005 = 0.118776, refused beyond 0.135224.
	for _, c := range []struct {
		step    Length
		verdict string
	}{{-118776, "conforms"}, {118777, "cannot tell"}, {135224, "cannot tell"}, {-135225, "does not conform"}} {
		f := laid(t, func(l *LayUp) { l.Joints[1][2][1] = c.step })
		r := f.Results[7]
		if f.Verdict != c.verdict || r.Verdict != c.verdict || r.Name != "laid-up-step-centre-foot" || r.Value != max(c.step, -c.step) {
			t.Errorf("a measured step of %s mm: the set %s, the step %+v", c.step, f.Verdict, r)
		}
		if c.verdict != "conforms" && (f.DecidedBy != r.Name || f.Next.Code != string(StepShim)) {
			t.Errorf("a measured step of %s mm: decided by %s, next %s", c.step, f.DecidedBy, f.Next.Code)
		}
		if (r.Reason != "") != (c.verdict == "cannot tell") {
			t.Errorf("a measured step of %s mm: %q", c.step, r.Reason)
		}
		if !strings.Contains(strings.Join(f.Warnings, "\n"), "joint centre-foot: measured and predicted step differ by up to ") {
			t.Errorf("not warned that it was not predicted: %q", f.Warnings)
		}
	}
	in := invented()
	in.Faces[2].TempTop = nil // not judged: cannot tell
	in.LayUp = readLayUp(t, inventedLayUp)
	if f := composed(t, in).Found; f.Verdict != "cannot tell" || f.Next.Code == string(StepDone) {
		t.Errorf("a good lay-up made it %s, next %s", f.Verdict, f.Next.Code)
	}
}

func TestLayUpWithoutItsUncertainty(t *testing.T) {
	f := laid(t, func(l *LayUp) { l.U = 0 })
	if got, want := f.Results[6].U.Float64(), math.Sqrt2*bed.NineFoot().Uncertainty.Reading; math.Abs(got-want) > 1e-6 {
		t.Errorf("the uncertainty is %g, want that of two readings, %g", got, want)
	}
	if p := f.Results[6]; p.Name != LaidUpPrefix+string(judge.StepHead) || p.Parts[0].U != p.U {
		t.Errorf("%+v", p)
	}
}

func FuzzReadLayUp(f *testing.F) {
	f.Add(inventedLayUp)
	f.Add(strings.ReplaceAll(inventedLayUp, ",", ";"))
	f.Add("# unit: in\n# support: b\njoint\ty\tstep\nhead-centre\t1\t2,5\n")
	f.Add("#:\n#u:1 mm\n,,\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := ReadLayUp("lay-up.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		for _, list := range l.Joints {
			for i := 1; i < len(list); i++ {
				if list[i][0] <= list[i-1][0] {
					t.Fatalf("stations out of order: %v", list)
				}
			}
			if len(list) < LayUpStations {
				t.Fatalf("%d stations", len(list))
			}
		}
	})
}
