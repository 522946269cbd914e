package stockfile_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/flatness"
	"slatewright/seating"
	"slatewright/sets/beds"
	"slatewright/sets/stockfile"
	"slatewright/sheet"
	"slatewright/trouble"
)

// opened gives small faces by name.
func opened(file string) (*face.Face, error) {
	switch file {
	case "gone.csv":
		return nil, trouble.IO("unreadable", file, "the file cannot be read: no such file or directory", "check the name")
	case "bad.csv":
		return nil, trouble.Data("bad-row", "bad.csv:3", "z is no number", "write one")
	}
	f := &face.Face{Header: face.Header{Name: file, TurnFixed: file == "fixed.csv", Lined: []face.Thickness{{T: 44}, {T: 44.2}}, Thickness: []face.Thickness{{T: 25}}}}
	if file == "plain.csv" {
		f.Lined = nil
	}
	return f, nil
}

func terms() stockfile.Terms {
	return stockfile.Terms{Spec: bed.NineFoot(), Sized: true, Today: "2026-11-25", Open: opened}
}

func read(text string) (*stockfile.Stock, error) {
	list, err := sheet.Read("stock.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	return stockfile.Read(list, terms())
}

// The contract's columns, as a spreadsheet writes them, and all that may be left out.
func TestListsAsMillsWriteThem(t *testing.T) {
	for name, text := range map[string]string{
		"contract":    "id,place,thickness_mm,layer,L,a,b,file\nP1,head,44.5,A,35.5,0.1,-2,\nP2,any,,,,,,fixed.csv\n",
		"semicolons":  "\xef\xbb\xbfid;place;thickness_mm;layer;L;a;b;file\r\nP1;Head;44,5;A;35,5;0,1;-2;\r\nP2;ANY;;;;;;fixed.csv\r\n",
		"micrometres": "file,b,a,L,layer,thickness [µm],place,id\n,-2,0.1,35.5,A,44500,head,P1\nfixed.csv,,,,,,any,P2\n",
		"two columns": "id,place,thickness_mm,lining_mm,layer,L,a,b,file\nP1,head,25.5,19,A,35.5,0.1,-2,\nP2,any,,,,,,,fixed.csv\n",
	} {
		s, err := read(text)
		if err != nil || len(s.Pieces) != 2 {
			t.Fatalf("%s: %v", name, err)
		}
		p, q := s.Pieces[0], s.Pieces[1]
		if p.ID != "P1" || p.Ways != beds.In(bed.Head) || math.Abs(p.Thickness-44.5) > 1e-9 || p.Layer != "A" || *p.Lab != [3]float64{35.5, 0.1, -2} || p.Face != nil {
			t.Errorf("%s: %+v", name, p)
		}
		if x, y := bed.NineFoot().PieceSize(); q.Face == nil || q.Face.SizeX != x || q.Face.SizeY != y {
			t.Fatalf("%s: the face has no size", name)
		}
		if q.Ways != beds.AnyWay().Unturned() || math.Abs(q.Thickness-44.1) > 1e-9 || q.Lab != nil || q.Layer != "" {
			t.Errorf("%s: %+v", name, q)
		}
		if !slices.Equal(s.Lines, []int{2, 3}) || !slices.Equal(s.Files, []string{"", "fixed.csv"}) {
			t.Errorf("%s: lines %v, files %v", name, s.Lines, s.Files)
		}
	}
	s, err := read("id,place\nP1,center\n")
	if err != nil || s.Pieces[0].Ways != beds.In(bed.Centre) || !math.IsNaN(s.Pieces[0].Thickness) || len(s.Warnings) != 0 {
		t.Errorf("the least list: %+v, %v", s, err)
	}
}

// After pockets are cut a head is a head, or a foot that is turned; what a row says of days and turns counts.
func TestWaysAndDays(t *testing.T) {
	s, err := read("id,place,pockets,turn,ready,size,batch\nH,head,cut,,2026-11-15,,\nF,foot,cut,free,2026-11-26,9 ft,B2\nC,centre,cut,fixed,,,\nU,any,uncut,fixed,,,\n")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := s.Pieces[0].Ways, beds.CutAs(bed.Head); got != want || !got.Has(bed.Foot, true) || got.Has(bed.Foot, false) || got.Has(bed.Centre, false) {
		t.Errorf("a cut head lies %b", got)
	}
	if got := s.Pieces[2].Ways; got != beds.In(bed.Centre).Unturned() {
		t.Errorf("a cut centre that is not turned lies %b", got)
	}
	if got := s.Pieces[3].Ways; got != beds.AnyWay().Unturned() {
		t.Errorf("a piece that is not turned lies %b", got)
	}
	if p := s.Pieces[0]; p.AgeDays != 10 || p.NotReady != "" {
		t.Errorf("%+v", p)
	}
	if p := s.Pieces[1]; p.AgeDays != 0 || p.NotReady != "it is ready on 2026-11-26" || p.Size != "9 ft" || p.Batch != "B2" {
		t.Errorf("%+v", p)
	}
	s, err = read("id,place,file\nP,any,plain.csv\n")
	if err != nil || s.Pieces[0].Thickness != 25 {
		t.Errorf("thickness of the stone alone: %+v, %v", s, err)
	}
}

// titles are those of a floor without maps.
var titles = "id,place,bow_along_mm,bow_across_mm,twist_mm,minus_1_um,minus_2_um,minus_3_um,minus_4_um,minus_5_um,minus_6_um,minus_7_um,minus_8_um,minus_9_um\n"

// A face of few numbers has the bow, twist and edges that were typed: flatness finds A, B and 4T again, and the minus edge is bent as its heights are,
// whatever line they were read from.
func TestAFaceOfFewNumbers(t *testing.T) {
	const a, b, twist = 0.12, -0.08, 0.06
	row := func(from, slope float64) string {
		text := fmt.Sprintf("P1,any,%g,%g,%g", a, b, twist)
		for i := range 9 {
			v := float64(i)/4 - 1
			text += fmt.Sprintf(",%.9g", from+slope*v+30*(1-v*v)) // µm: a bow of 0.03 mm
		}
		return titles + text + "\n"
	}
	var kept []float64
	for _, line := range [][2]float64{{0, 0}, {250, -70}} {
		s, err := read(row(line[0], line[1]))
		if err != nil || !s.Made[0] || len(s.Warnings) != 1 || !strings.Contains(s.Warnings[0], "1 face was made of") {
			t.Fatalf("%+v, %v", s, err)
		}
		f := s.Pieces[0].Face
		var points flatness.Points
		var edge []float64
		for i := range f.Z {
			switch f.Row[i] {
			case face.NoRow:
				points.X, points.Y, points.Z = append(points.X, f.X[i]), append(points.Y, f.Y[i]), append(points.Z, f.Z[i])
			case face.JointMinus:
				edge = append(edge, f.Z[i])
			}
		}
		shape, err := flatness.FitShape(points, f.SizeX, f.SizeY)
		if err != nil || math.Abs(shape.BowAlong-a) > 1e-9 || math.Abs(shape.BowAcross-b) > 1e-9 || math.Abs(shape.Twist-twist) > 1e-9 {
			t.Errorf("%+v, %v", shape, err)
		}
		if bow := edge[4] - (edge[0]+edge[8])/2; math.Abs(bow-0.03) > 1e-9 {
			t.Errorf("the edge is bent by %g", bow)
		}
		if kept == nil {
			kept = edge
		}
		for i := range edge {
			if math.Abs(edge[i]-kept[i]) > 1e-9 {
				t.Errorf("height %d hangs on the line it was read from: %g, %g", i, edge[i], kept[i])
			}
		}
		q := seating.Question{Faces: [3]*face.Face{f, f, f}, Spec: bed.NineFoot(), MaxStep: 1}
		r, err := seating.Seat(q)
		if err != nil || !r.Joints[0].Covered || r.Joints[0].Measured != [2]bool{true, true} {
			t.Errorf("seating: %+v, %v", r.Joints, err)
		}
	}
}

func refused(t *testing.T, what string, err error, code, where string) {
	t.Helper()
	var told *trouble.Trouble
	if !errors.As(err, &told) || told.Code != code || told.Where != where || told.Next == "" {
		t.Errorf("%s: want %s at %s, got %#v", what, code, where, err)
	}
}

func TestRefusals(t *testing.T) {
	for text, want := range map[string][2]string{
		"id,place\n":                                                                 {"no-rows", "stock.csv"},
		"place\nhead\n":                                                              {"columns", "stock.csv:1"},
		"id,place,weight\nP,any,3\n":                                                 {"bad-title", "stock.csv:1"},
		"id,place\n,any\n":                                                           {"no-id", "stock.csv:2"},
		"id,place\nP,any\nQ,any\nP,head\n":                                           {"twice", "stock.csv:4"},
		"id,place\nP,middle\n":                                                       {"no-place", "stock.csv:2"},
		"id,place\nP,\n":                                                             {"no-place", "stock.csv:2"},
		"id,place,thickness_mm\nP,any,abc\n":                                         {"bad-number", "stock.csv:2"},
		"id,place,thickness_mm\nP,any,NaN\n":                                         {"bad-number", "stock.csv:2"},
		"id,place,thickness_mm\nP,any,-3\n":                                          {"bad-number", "stock.csv:2"},
		"id,place,thickness_mm\nP,any,25400\n":                                       {"bad-number", "stock.csv:2"},
		"id,place,lining_mm\nP,any,-1\n":                                             {"bad-number", "stock.csv:2"},
		"id,place,L,a,b\nP,any,35,1,\n":                                              {"half-colour", "stock.csv:2"},
		"id,place,L,a,b\nP,any,135,1,0\n":                                            {"bad-number", "stock.csv:2"},
		"id,place,L,a,b\nP,any,dark,1,0\n":                                           {"bad-number", "stock.csv:2"},
		"id,place,pockets\nP,any,cut\n":                                              {"no-place", "stock.csv:2"},
		"id,place,pockets\nP,head,drilled\n":                                         {"bad-word", "stock.csv:2"},
		"id,place,turn\nP,head,never\n":                                              {"bad-word", "stock.csv:2"},
		"id,place,ready\nP,head,25.11.2026\n":                                        {"bad-date", "stock.csv:2"},
		"id,place,file\nP,any,\nQ,any,gone.csv\n":                                    {"unreadable", "stock.csv:3"},
		"id,place,file\nP,any,bad.csv\n":                                             {"bad-row", "bad.csv:3"},
		"id,place,bow_along_mm\nP,any,0.1\n":                                         {"half-shape", "stock.csv:2"},
		"id,place,plus_1_um\nP,any,1\n":                                              {"half-row", "stock.csv:2"},
		titles + "P,any,,,,1,1,1,1,1,1,1,1,1\n":                                      {"no-shape", "stock.csv:2"},
		titles + "P,any,900,0,0,1,1,1,1,1,1,1,1,1\n":                                 {"bad-number", "stock.csv:2"},
		titles + "P,any,0,0,0,1,1,1,1,1,1,1,1,1e9\n":                                 {"bad-number", "stock.csv:2"},
		"# from ends: far\n" + titles + "P,any\n":                                    {"bad-header", "stock.csv:1"},
		"id,place\n" + rows(stockfile.MostPieces+1, "P%d,any"):                       {"too-many-pieces", fmt.Sprintf("stock.csv:%d", stockfile.MostPieces+2)},
		"id,place,size,bow_along_mm,bow_across_mm,twist_mm\nP,any,9 x 14 mm,0,0,0\n": {"bad-size", "stock.csv:2"},
	} {
		_, err := read(text)
		refused(t, fmt.Sprintf("%.60q", text), err, want[0], want[1])
	}
	list, err := sheet.Read("stock.csv", strings.NewReader("id,place,file\nP,any,a.csv\n"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = stockfile.Read(list, stockfile.Terms{Spec: bed.NineFoot()})
	refused(t, "no files", err, "no-files", "stock.csv:2")
}

func rows(n int, format string) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, format+"\n", i)
	}
	return b.String()
}

// What was not taken as it was written is told.
func TestWarnings(t *testing.T) {
	list, err := sheet.Read("stock.csv", strings.NewReader("# colour: grey\nid,place,file,bow_along_mm,bow_across_mm,twist_mm\nP,any,a.csv,0.1,0,0\nQ,any,,0.1,0,0\n"))
	if err != nil {
		t.Fatal(err)
	}
	in := terms()
	in.Sized = false
	s, err := stockfile.Read(list, in)
	if err != nil {
		t.Fatal(err)
	}
	again, err := read("id,place,size,bow_along_mm,bow_across_mm,twist_mm\nP,any,900 x 1400 mm,0.1,0,0\nQ,any,,0.1,0,0\n")
	if err != nil || !strings.Contains(strings.Join(again.Warnings, "\n"), "1 piece is not of the size of the specification, 914 x 1473 mm") {
		t.Errorf("another size is not told: %+v, %v", again, err)
	}
	told := strings.Join(s.Warnings, "\n")
	for _, want := range []string{"1 row with a file and with numbers of shape", "1 face was made of bow", "914 x 1473 mm was taken", `the key "colour" means nothing here`} {
		if !strings.Contains(told, want) {
			t.Errorf("%q is not told: %s", want, told)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("id,place,thickness_mm,layer,L,a,b,file\nP1,head,44.5,A,35.5,0.1,-2,\nP2,any,,,,,,fixed.csv\n")
	f.Add("id;place;size;bow_along_um;bow_across_mm;twist_mm;pockets;turn;ready\nP1;foot;900 x 1400 mm;1;2;3;cut;fixed;2026-11-25\n")
	f.Add("# from ends: 30 mm\n# from arris: 8 mm\n" + titles + "P,any,0.1,0,0,1,2,3,4,5,4,3,2,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := read(text)
		if err != nil {
			var told *trouble.Trouble
			if !errors.As(err, &told) || told.Code == "" || told.What == "" || told.Next == "" {
				t.Fatalf("no trouble: %v", err)
			}
			return
		}
		if len(s.Pieces) == 0 || len(s.Lines) != len(s.Pieces) {
			t.Fatalf("%d pieces", len(s.Pieces))
		}
		for _, p := range s.Pieces {
			if p.ID == "" || p.Ways == 0 || math.IsInf(p.Thickness, 0) || p.Thickness <= 0 || p.AgeDays < 0 {
				t.Fatalf("%+v", p)
			}
			if p.Face != nil && slices.ContainsFunc(p.Face.Z, func(z float64) bool { return math.IsNaN(z) || math.IsInf(z, 0) }) {
				t.Fatal("a height is no number")
			}
		}
	})
}

// TestLeastThickness: what a piece may be ground to is the specification's least of the stone with the lining that it has.
func TestLeastThickness(t *testing.T) {
	spec := bed.NineFoot()
	text := "id,place,thickness_mm,lining_mm\nA,any,44.9,\nB,any,26,18.5\n"
	for sized, want := range map[bool][2]float64{true: {spec.ThicknessMin + spec.Lining, spec.ThicknessMin + 18.5}, false: {}} {
		list, err := sheet.Read("stock.csv", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		s, err := stockfile.Read(list, stockfile.Terms{Spec: spec, Sized: sized})
		if err != nil || s.Pieces[0].Least != want[0] || s.Pieces[1].Least != want[1] {
			t.Errorf("sized %v: %+v, %v", sized, s, err)
		}
	}
}
