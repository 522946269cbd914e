package certificate

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"slatewright/bed"
	"slatewright/judge"
	"slatewright/trouble"
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
		{"head-centre,0,0.004", strings.Repeat("x", 1<<17), "lay-up.csv:11: the line is longer than 64 KiB"},
		{inventedLayUp, strings.Repeat("x", 1<<17), "lay-up.csv:1: the line is longer than 64 KiB"},
	} {
		text := strings.Replace(inventedLayUp, c.from, c.to, 1)
		if text == inventedLayUp {
			t.Fatalf("%s does not stand in the sample", c.from)
		}
		l, err := ReadLayUp("mill/lay-up.csv", strings.NewReader(text))
		var is *trouble.Trouble
		if !errors.As(err, &is) || is.Kind != trouble.KindData || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want an error with %q, got %v, %+v", c.want, err, l)
		}
	}
	broken := errors.New("the disk is gone")
	var is *trouble.Trouble
	if _, err := ReadLayUp("lay-up.csv", iotest.ErrReader(broken)); !errors.Is(err, broken) || !errors.As(err, &is) || is.Kind != trouble.KindIO {
		t.Errorf("a file that cannot be read: %v", err)
	}
	l := readLayUp(t, strings.Replace(inventedLayUp, "# unit", "# weather: fair\n# unit", 1))
	if !slices.Equal(l.Remarks, List[string]{"invented data, not a real certificate", "weather: fair"}) {
		t.Errorf("the remarks are %q", l.Remarks)
	}
	if len(l.Warnings) != 1 || l.Warnings[0] != `lay-up.csv:3: the header line "weather" is not known here` {
		t.Errorf("the warnings are %q", l.Warnings)
	}
}

func laid(t *testing.T, change func(*LayUp)) Found {
	t.Helper()
	in := invented()
	in.LayUp = readLayUp(t, inventedLayUp)
	change(in.LayUp)
	return composed(t, in).Found
}

// ofLayUp are the warnings that speak of the lay-up.
func ofLayUp(f Found) (list []string) {
	for _, w := range f.Warnings {
		if strings.Contains(strings.ToLower(w), "lay-up") {
			list = append(list, w)
		}
	}
	return list
}

// The lay-up is sealed with its comparison, its results and what it does to the verdict. How it is judged is the judge's matter.
func TestLayUpIsSealed(t *testing.T) {
	good := laid(t, func(*LayUp) {})
	if good.Verdict != "conforms" || good.Basis != BasisLaidUp || good.Next.Code != string(judge.Done) || len(good.Results) != 8 || len(ofLayUp(good)) != 0 {
		t.Errorf("%s on %s, next %s, %d results, warnings %q", good.Verdict, good.Basis, good.Next.Code, len(good.Results), good.Warnings)
	}
	l := good.LaidUp
	if l.Largest != (Position{6000, 6000}) || len(l.Joints[0]) != 5 || l.Joints[1][1].Measured != 6000 || l.Joints[1][1].Y != -330000000 {
		t.Errorf("%+v", l)
	}
	most := Length(0)
	for j, list := range l.Joints {
		for _, at := range list {
			most = max(most, at.Measured-at.Predicted, at.Predicted-at.Measured)
		}
		if l.Allowed[j] <= 0 || l.Misfit[j] > l.Allowed[j] || l.Misfit[j] == 0 {
			t.Errorf("joint %d: a misfit of %s mm where %s mm are allowed", j, l.Misfit[j], l.Allowed[j])
		}
	}
	if l.Difference != most {
		t.Errorf("the largest difference is %s mm, want %s", l.Difference, most)
	}
	higher := laid(t, func(l *LayUp) { // shimmed higher by 0.2 mm
		for i := range l.Joints[1] {
			l.Joints[1][i][1] += 200000
		}
	})
	r := higher.Results[7]
	if higher.Verdict != "does not conform" || r.Name != LaidUpPrefix+"step-centre-foot" || higher.DecidedBy != r.Name || r.Value != 206000 ||
		higher.Next.Code != string(judge.ShimLayUp) || len(ofLayUp(higher)) != 1 {
		t.Errorf("%s by %s, %+v, next %+v, warned %q", higher.Verdict, higher.DecidedBy, r, higher.Next, higher.Warnings)
	}
	bent := laid(t, func(l *LayUp) { l.Joints[0][2][1] = 150000 })
	if bent.Verdict != "cannot tell" || len(bent.Hindrances) != 1 || bent.Hindrances[0].Code != string(judge.Misfit) || bent.Next.Code != string(judge.Misfit) ||
		bent.LaidUp.Misfit[0] <= bent.LaidUp.Allowed[0] || !strings.Contains(bent.Results[6].Reason, "The margin to what is accepted is -0.031 mm.") {
		t.Errorf("%s, %+v, %+v, %q", bent.Verdict, bent.Hindrances, bent.LaidUp, bent.Results[6].Reason)
	}
}

// A lay-up that does not show the joints of this table certifies nothing.
func TestLayUpOffTheTable(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"head-centre,-660,", "head-centre,-760,", "the bed ends at 736.5 mm"},
		{"head-centre,0,0.004\n", "", "is read at 4 places"},
	} {
		text := strings.Replace(inventedLayUp, c.from, c.to, 1)
		in := invented()
		in.LayUp = readLayUp(t, text)
		if _, err := Compose(in); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want an error with %q, got %v", c.want, err)
		}
	}
}

// What the lay-up file does not say is said in its place, or keeps its steps from being told.
func TestLayUpWithoutItsHeader(t *testing.T) {
	f := laid(t, func(l *LayUp) { l.U = 0 })
	if got, want := f.Results[6].U.Float64(), math.Sqrt2*bed.NineFoot().Uncertainty.Reading; math.Abs(got-want) > 1e-6 {
		t.Errorf("the uncertainty is %g, want that of two readings, %g", got, want)
	}
	if p := f.Results[6]; p.Name != LaidUpPrefix+string(judge.StepHead) || p.Parts[0].U != p.U {
		t.Errorf("%+v", p)
	}
	in := invented()
	in.LayUp = readLayUp(t, strings.Replace(inventedLayUp, "# u: 0.005 mm\n", "", 1))
	in.Spec.Uncertainty.Reading = 0
	if f := composed(t, in).Found; f.Verdict != "cannot tell" || f.Next.Code != string(judge.NoU) || f.Results[6].Verdict != "cannot tell" || f.Results[7].Verdict != "cannot tell" {
		t.Errorf("without any uncertainty: %s, next %+v", f.Verdict, f.Next)
	}
	for name, date := range map[string]string{"none": "", "no date at all": "x", "no day": "2026-02-30", "before the readings": "2026-11-19", "after the issue": "2026-11-26"} {
		if f := laid(t, func(l *LayUp) { l.Date = date }); f.Verdict != "cannot tell" || f.Next.Code != string(judge.BadDate) && date != "" {
			t.Errorf("%s: %s, next %+v", name, f.Verdict, f.Next)
		}
	}
	f = laid(t, func(l *LayUp) { l.Pieces = [3]string{} })
	if f.Verdict != "conforms" || len(ofLayUp(f)) != 1 || !strings.Contains(ofLayUp(f)[0], "lay-up.csv: the lay-up does not name its pieces") {
		t.Errorf("%s, warned %q", f.Verdict, f.Warnings)
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
		}
	})
}
