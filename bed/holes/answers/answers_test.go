package answers_test

import (
	"encoding/json"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/bed/holes"
	"slatewright/bed/holes/answers"
	"slatewright/bed/holes/holefile"
	"slatewright/bed/pattern"
	"slatewright/judge"
	"slatewright/sheet"
)

// trial is a bed of two pieces with four rail bolts and two screws in each.
func trial() *pattern.Pattern {
	p := &pattern.Pattern{Name: "trial", Revision: "1", SizeX: 2000, SizeY: 1200, Thickness: 25, Promise: bed.NineFoot()}
	for i, name := range []string{"head", "foot"} {
		p.Pieces = append(p.Pieces, pattern.Piece{Name: name, From: float64(i-1) * 1000, To: float64(i) * 1000})
		p.Pieces[i].Middle.X = float64(2*i-1) * 500
	}
	p.Joints = []pattern.Joint{{Name: "a", Straightness: 0.1, Squareness: 0.1, Chip: 1}}
	for i, at := range [][2]float64{{-900, -400}, {-900, 300}, {-400, 540}, {-100, 540}, {300, 540}, {800, 540}, {910, 100}, {920, -350}} {
		h := pattern.Hole{Name: "rb-" + string(rune('1'+i)), Kind: pattern.RailBolt, X: at[0], Y: at[1], Diameter: 12.7, Bolt: 9.5, Piece: p.PieceAt(at[0])}
		h.Position, h.Tolerance.Diameter = 1.5875, 0.2
		p.Holes = append(p.Holes, h)
	}
	for i, at := range [][2]float64{{-600, -200}, {-300, 100}, {350, -200}, {700, 150}} {
		p.Holes = append(p.Holes, pattern.Hole{Name: "bs-" + string(rune('1'+i)), Kind: pattern.BedScrew, X: at[0], Y: at[1], Diameter: 8, Bolt: 5, Piece: p.PieceAt(at[0])})
	}
	return p
}

func answer(t *testing.T, measured, edges string) *answers.Answer {
	t.Helper()
	p := trial()
	d := holes.Of(p)
	s, err := sheet.Read("m.csv", strings.NewReader(measured))
	if err != nil {
		t.Fatal(err)
	}
	m, warnings, err := holefile.Read(s, d)
	if err != nil {
		t.Fatal(err)
	}
	var e *holefile.Edges
	if edges != "" {
		if s, err = sheet.Read("e.csv", strings.NewReader(edges)); err != nil {
			t.Fatal(err)
		}
		if e, _, err = holefile.ReadEdges(s, d, 0.03); err != nil {
			t.Fatal(err)
		}
	}
	a, err := answers.Of("m.csv", p, d, m, 0, e, warnings)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

const drawn = `feature,x,y
rb-1,-900,-400
rb-2,-900,300
rb-3,-400,540
rb-4,-100,540
rb-5,300,540
rb-6,800,540
rb-7,910,100
rb-8,920,-350
bs-1,-600,-200
bs-2,-300,100
bs-3,350,-200
bs-4,700,150
`

func TestTheContract(t *testing.T) {
	a := answer(t, "# u: 0.05 mm\n"+drawn, "")
	text, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"verdict", "fits", "worst", "fit", "minimax_mm", "features", "cause"} {
		if _, ok := out[key]; !ok {
			t.Errorf("no %s", key)
		}
	}
	if a.Verdict != "conforms" || a.Fits == nil || !*a.Fits || a.Fit.DX != 0 || *a.Minimax != 0 || a.Cause != "none" || len(a.Features) != 12 || a.Worst == nil || a.Features[0].Limit != 0.79375 || len(a.Limits) != 2 {
		t.Errorf("%s", text)
	}
	if strings.Contains(string(text), "null,\"rivals\"") || strings.Contains(string(text), "\"warnings\":null") {
		t.Errorf("a list is null: %s", text)
	}
}

func TestPiecesOfTheirOwnFrame(t *testing.T) {
	a := answer(t, "# u: 0.05 mm\n# frame: piece\n"+strings.NewReplacer("-900,", "-400,", "-400,5", "100,5", "-100,", "400,", "300,540", "-200,540", "800,", "300,", "910,", "410,", "920,", "420,",
		"-600,", "-100,", "-300,", "200,", "350,-200", "-150,-200", "700,", "200,").Replace(drawn), "")
	if a.Fit != nil || len(a.Pieces) != 2 || a.Pieces[1].Piece != "foot" || len(a.Causes) != 2 || a.Minimax == nil || *a.Minimax > 1e-3 || a.Verdict != "conforms" {
		text, _ := json.Marshal(a)
		t.Errorf("%s", text)
	}
}

// The correction undoes the fault: holes 2 mm too far along x ask for a zero 2 mm back.
func TestCorrectionsHaveTheirSign(t *testing.T) {
	moved := strings.NewReplacer("-900,", "-898,", "-400,5", "-398,5", "-100,", "-98,", "300,540", "302,540", "800,", "802,", "910,", "912,", "920,", "922,",
		"-600,", "-598,", "-300,", "-298,", "350,-200", "352,-200", "700,", "702,").Replace(drawn)
	a := answer(t, "# u: 0.05 mm\n# datum: edges\n"+moved, "")
	if a.Cause != "shift" || !strings.HasPrefix(a.Causes[0].Correction, "move the zero of the drilling by -2.00 mm along x and 0.00 mm") || a.Fit.DX != 2 {
		t.Errorf("%+v, %+v", a.Causes, a.Fit)
	}
	if strings.Contains(a.Causes[0].Correction, "datum") {
		t.Error("the datum is stated")
	}
	if a = answer(t, "# u: 0.05 mm\n# datum: none\n"+moved, ""); a.Cause != "none" {
		t.Errorf("an own frame: %s", a.Cause)
	}
}

func TestEdgesCount(t *testing.T) {
	edges := "edge,at,top,bottom,chip\n"
	for _, e := range []string{"head/foot,-500,0,0,", "head/foot,0,-0.3,-0.3,2", "head/foot,500,0,0.05,", "foot/head,-500,0,0,", "foot/head,0,0,0,", "foot/head,500,0,0,"} {
		edges += e + "\n"
	}
	a := answer(t, "# u: 0.05 mm\n"+drawn, "# u: 0.01 mm\n"+edges)
	j := a.Joints[0]
	if a.Outcome() != judge.DoesNotConform || a.Verdict != "does not conform" || *j.Edges[0].Straightness.Verdict != "does not conform" || j.Edges[0].Chip == nil || *j.Edges[0].Chip.Verdict != "does not conform" ||
		j.Gap.Value < 0.3 || j.Gap.Limit != nil || *j.Edges[0].Lean != -2 {
		text, _ := json.Marshal(j)
		t.Errorf("%s: %s", a.Verdict, text)
	}
	a = answer(t, "# u: 0.05 mm\n"+drawn, "edge,at,top\nhead/foot,0,0\nhead/foot,1,0\nhead/foot,2,0\n")
	if j := a.Joints[0]; j.Gap != nil || len(a.Warnings) != 2 {
		t.Errorf("%+v, %q", j, a.Warnings)
	}
}

// Whatever is measured, the answer can be written for other programs.
func FuzzOf(f *testing.F) {
	f.Add("# u: 0.05 mm\n" + drawn)
	f.Add("# method: tape\n# frame: piece\nfeature,x,y,diameter\nrb-1,1,2,12\nrb-2,3,4,1e9\nrb-5,1,1,2\nbs-3,0,1e9,\n")
	f.Add("# pin: 11 mm\nfeature,point,x,y,gauge,u_mm\nrb-1,1,1,2,,1e-9\nrb-1,2,3,4,,\nrb-1,3,3,5,,1e9\nrb-2,,,,go,\n")
	p := trial()
	d := holes.Of(p)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("m.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		m, warnings, err := holefile.Read(s, d)
		if err != nil {
			return
		}
		a, err := answers.Of("m.csv", p, d, m, 0, nil, warnings)
		if err != nil {
			return
		}
		if _, err := json.Marshal(a); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
	})
}
