package desk

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/paper"
	"slatewright/internal/paper/page"
	"slatewright/judge"
)

// example composes the set of the handbook's examples, changed as a test needs.
func example(t *testing.T, change func(*certificate.Input)) *Set {
	t.Helper()
	in := certificate.Input{Program: "slatewright test", Mill: "Some Mill", Set: "A-1", Issued: "2026-11-25", Spec: bed.NineFoot(), Seed: 1, Draws: judge.FewestDraws}
	for k, name := range []string{"head", "centre", "foot"} {
		f, err := face.ReadFile("../../../docs/examples/" + name + ".csv")
		if err != nil {
			t.Fatal(err)
		}
		in.Faces[k] = f
	}
	if change != nil {
		change(&in)
	}
	body, err := certificate.Compose(in)
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(body)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func key(t *testing.T, demo bool) *certificate.Key {
	t.Helper()
	k, err := certificate.NewKey(bytes.NewReader(bytes.Repeat([]byte{7}, 32)), demo)
	if err != nil {
		t.Fatal(err)
	}
	return &k
}

func names(papers []Paper) string {
	var list []string
	for _, p := range papers {
		list = append(list, p.Name)
	}
	return strings.Join(list, " ")
}

func TestVerdictDecidesWhichPapersThereAre(t *testing.T) {
	good := example(t, nil)
	if good.Verdict() != judge.Conforms {
		t.Fatalf("the examples do not conform: %s", good.Reason())
	}
	papers, err := good.Papers(key(t, false), paper.Form{})
	if err != nil || names(papers) != "A-1.json A-1.pdf" {
		t.Errorf("%s, %v", names(papers), err)
	}
	if _, err := certificate.Parse("A-1.json", papers[0].Text); err != nil {
		t.Error(err)
	}
	if papers, err := good.Papers(nil, paper.Form{}); len(papers) != 0 || err != nil {
		t.Errorf("without a key: %s, %v", names(papers), err)
	}
	if _, err := good.Papers(key(t, true), paper.Form{}); err == nil {
		t.Error("a trial key signed readings that bear no mark")
	}
	wet := example(t, func(in *certificate.Input) { in.Faces[1].DrySince = "" })
	if papers, err := wet.Papers(key(t, false), paper.Form{Size: paper.Letter}); err != nil || names(papers) != "A-1-refusal.pdf" {
		t.Errorf("%s, %v", names(papers), err)
	}
}

// Readings that nobody dated cannot be judged, and there is a paper that says so.
func TestReadingsWithoutDates(t *testing.T) {
	s := example(t, func(in *certificate.Input) {
		in.Issued = ""
		for _, f := range in.Faces {
			f.Date = ""
		}
	})
	if papers, err := s.Papers(nil, paper.Form{}); err != nil || names(papers) != "A-1-refusal.pdf" || s.Verdict() != judge.CannotTell {
		t.Errorf("%v: %s, %v", s.Verdict(), names(papers), err)
	}
}

func TestReasonNamesWhatDecidesAndTheMargin(t *testing.T) {
	s := example(t, nil)
	r := s.deciding()
	if want := Name(r.Name) + " decides: it keeps " + s.both(r.Margin) + " inside what the decision rule accepts."; s.Reason() != want {
		t.Errorf("%q, want %q", s.Reason(), want)
	}
	tight := example(t, func(in *certificate.Input) { in.Spec.Limits.Zone = 0.03 })
	if got := tight.Reason(); tight.Verdict() != judge.DoesNotConform || !strings.HasPrefix(got, "Zone of the bed misses its limit by 0.0") ||
		!strings.Contains(got, "beyond what the decision rule accepts.") {
		t.Errorf("%v: %q", tight.Verdict(), got)
	}
	near := example(t, func(in *certificate.Input) { in.Spec.Limits.Zone = 0.1 })
	got := near.Reason()
	if near.Verdict() != judge.CannotTell || !strings.HasPrefix(got, "Zone of the bed cannot be told: ") || !strings.Contains(got, "margin") {
		t.Errorf("%v: %q", near.Verdict(), got)
	}
	if entry := near.Entry(nil); !strings.HasSuffix(entry.Reason, got) || !strings.HasPrefix(entry.Reason, "Predicted from three pieces. ") {
		t.Errorf("the page says %q", entry.Reason)
	}
	if got := near.refusal().Reason; got != near.Margin() || !strings.Contains(got, " beyond what ") {
		t.Errorf("the refusal says %q", got)
	}
	wet := example(t, func(in *certificate.Input) { in.Faces[1].DrySince = "" })
	if got := wet.Margin(); !strings.Contains(got, " would decide: it keeps 0.") {
		t.Errorf("%q", got)
	}
	if got := wet.Reason(); !strings.Contains(got, " cannot be told: Nothing says that the stone was dry") || !strings.Contains(got, "margin") {
		t.Errorf("%q", got)
	}
	unread := example(t, func(in *certificate.Input) {
		for _, f := range in.Faces {
			f.Thickness = nil
		}
	})
	if got := unread.Margin(); got != "Thickness of stone decides: it was not read." {
		t.Errorf("%q", got)
	}
}

// The bias is what noise is expected to have added; what is put on for the places between the readings is told by itself.
func TestBiasIsTheNoiseAndNothingElse(t *testing.T) {
	s := example(t, nil)
	looked := 0
	for i, r := range s.Results() {
		given := s.Body.Found.Results[i]
		if r.Bias != given.Noise.Float64() || r.Between != given.Between.Float64() {
			t.Errorf("%s: bias %g and %g between, sealed %s and %s", r.Name, r.Bias, r.Between, given.Noise, given.Between)
		}
		if given.Between != 0 && given.Noise != 0 {
			looked++
		}
		if s.name(given.Name) == given.Name || s.what(given.Name) == "" {
			t.Errorf("%s has no words", given.Name)
		}
	}
	if looked == 0 {
		t.Error("no result has both noise and an allowance")
	}
}

// Every sentence of the sealed statement of method goes to the paper.
func TestWholeStatementOfMethodIsPrinted(t *testing.T) {
	s := example(t, nil)
	c := s.certificate(certificate.Seal{})
	if len(c.Method.Statement) < 5 || !slices.Equal(c.Method.Statement, s.Body.Found.Method) {
		t.Errorf("%q", c.Method.Statement)
	}
	if c.Method.Readings != "a grid of 6 by 9 readings a piece" && c.Method.Readings != "a grid of 9 by 6 readings a piece" {
		t.Errorf("readings: %q", c.Method.Readings)
	}
}

// Levels are the specification's, and a direction that could not be read is no zero.
func TestLevels(t *testing.T) {
	s := example(t, func(in *certificate.Input) {
		in.Spec.Levels = []bed.Level{{Division: "0.05 mm/m", Rise: 0.05, Over: 1000}}
	})
	found := s.Body.Found.Levels
	card := s.levels()
	if len(card.Divisions) != 1 || card.Divisions[0] != "0.05 mm/m" || 2*len(card.Marks) != len(found) {
		t.Fatalf("%+v", card)
	}
	m := card.Marks[0]
	if m.Along.Slope != 1000*found[0].Slope.Float64() || math.Abs(m.Along.Divisions[0]-m.Along.Slope/0.05) > 0.001 {
		t.Errorf("%+v, sealed %+v", m, found[0])
	}
	s.Body.Found.Levels = found[1:] // only across is known at the first mark
	m = s.levels().Marks[0]
	if !math.IsNaN(m.Along.Slope) || len(m.Along.Divisions) != 1 || !math.IsNaN(m.Along.Divisions[0]) || math.IsNaN(m.Across.Slope) {
		t.Errorf("%+v", m)
	}
}

// The map lies in the bed frame: its highest and lowest judged reading stand half a zone from its middle.
func TestMapIsTheSeatedBed(t *testing.T) {
	s := example(t, nil)
	m := s.Map()
	half := m.Zone / 2
	if len(m.Contacts) == 0 || !(half > 0) {
		t.Fatalf("%+v", m)
	}
	for _, c := range m.Contacts {
		near := math.Inf(1)
		for _, p := range m.Pieces {
			for i := range p.X {
				near = min(near, math.Abs(p.X[i]-c.X)+math.Abs(p.Y[i]-c.Y)+1000*math.Abs(p.Z[i]-c.Z))
			}
		}
		if near > 0.01 || math.Abs(math.Abs(c.Z)-half) > 2e-6 {
			t.Errorf("contact %+v is no reading of the map, or not half a zone (%g) high", c, half)
		}
	}
	for i, p := range m.Pieces {
		if i > 0 && p.MinX < m.Pieces[i-1].MaxX {
			t.Errorf("%s lies on its neighbour", p.Place)
		}
	}
}

func TestLaidUpStepsStandInPlaceOfThePredicted(t *testing.T) {
	s := example(t, func(in *certificate.Input) { in.LayUp = layUp(t, in) })
	if s.Body.Found.LaidUp == nil {
		t.Fatal("not laid up")
	}
	all, compared := s.Results(), s.Compared()
	if len(all) != 8 || len(compared) != 6 {
		t.Fatalf("%d results, %d compared", len(all), len(compared))
	}
	for joint := range 2 {
		if compared[3+joint].Value != all[6+joint].Value || compared[3+joint].Name != all[3+joint].Name {
			t.Errorf("joint %d: %+v", joint+1, compared[3+joint])
		}
	}
	if j := s.Map().Joints[0]; len(j.Steps) != 5 || len(j.Predicted) != 5 || j.NotMeasured {
		t.Errorf("%+v", j)
	}
	if l := s.layUp(); l == nil || l.U != 2*0.004 || len(l.Joints[1]) != 5 {
		t.Errorf("%+v", l)
	}
	if entry := s.Entry([]page.Link{{Text: "x", Href: "x.pdf"}}); entry.Results[3].Value != all[6].Value || len(entry.Links) != 1 {
		t.Errorf("%+v", entry)
	}
}

// layUp is a lay-up whose steps are 0.004 mm more than predicted.
func layUp(t *testing.T, in *certificate.Input) *certificate.LayUp {
	t.Helper()
	plain := *in
	plain.LayUp = nil
	body, err := certificate.Compose(plain)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("# support: bench\n# instrument: step gauge 3\n# u: 0.004 mm\n# date: 2026-11-24\n# unit: mm\n# pieces: ")
	for i, p := range body.Found.Pieces {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(p.Piece)
	}
	b.WriteString("\njoint,y,step\n")
	for j, joint := range body.Found.Seating.Joints {
		for k := 0; k < len(joint.Stations); k += (len(joint.Stations) - 1) / 4 {
			at := joint.Stations[k]
			step := at[1] + 4000 // whole nanometres
			b.WriteString([]string{"head-centre,", "centre-foot,"}[j] + at[0].String() + "," + step.String() + "\n")
		}
	}
	l, err := certificate.ReadLayUp("layup.csv", strings.NewReader(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	return &l
}
