package slabfile_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/slabfile"
	"slatewright/sheet"
	"slatewright/trouble"
)

var one = []slab.Type{{Name: "a", Length: 400, Width: 300, Value: 1, Most: -1, Quarters: [4]bool{true}}}

func outlineOf(t *testing.T, text string) []slab.Point {
	t.Helper()
	q, err := slabfile.Read("x.csv", strings.NewReader(text), one)
	if err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	return q.Slabs[0].Outline
}

// An outline that was measured from a base line runs along the near edge and comes back along the far one; the edges may meet at an end.
func TestABaseLine(t *testing.T) {
	got := outlineOf(t, "what,x,y,far\noutline,0,20,20\noutline,500,0,900\noutline,1500,10,1000\noutline,2000,0,700\nhole,300,300,\nhole,320,300,\nhole,310,320,\n")
	want := []slab.Point{{X: 0, Y: 20}, {X: 500, Y: 0}, {X: 1500, Y: 10}, {X: 2000, Y: 0}, {X: 2000, Y: 700}, {X: 1500, Y: 1000}, {X: 500, Y: 900}}
	if len(got) != len(want) {
		t.Fatalf("%v", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("corner %d at %v", i, got[i])
		}
	}
}

// Four sides and the diagonals of a rectangle of 2000 x 1500 are its corners.
func TestSidesAndDiagonals(t *testing.T) {
	for _, text := range []string{sides("2000", "1500", "2000", "1500", "2500", "2505") + "crack,,100,100\ncrack,,200,200\n", sides("2 m", "1500", "200 cm", "1.5 m", "2500 mm")} {
		got := outlineOf(t, text)
		for i, want := range []slab.Point{{}, {X: 2000}, {X: 2000, Y: 1500}, {Y: 1500}} {
			if len(got) != 4 || math.Hypot(got[i].X-want.X, got[i].Y-want.Y) > 1e-6 {
				t.Fatalf("%v", got)
			}
		}
	}
}

func sides(lengths ...string) string {
	text := "what,name,x,y\n"
	for i, l := range lengths {
		text += "side," + []string{"AB", "BC", "CD", "DA", "AC", "BD"}[i] + "," + l + ",\n"
	}
	return text
}

func TestCutAwayInAList(t *testing.T) {
	s, err := sheet.Read("p.csv", strings.NewReader("type,length,width,value,cut_away\na,1473,914,200,0 457 60; 1413 0 1473 60\nb,400,300,1,\n"))
	if err != nil {
		t.Fatal(err)
	}
	list, err := slabfile.Pieces(s)
	if err != nil || len(list) != 2 || len(list[0].Zones) != 2 || list[0].Zones[0].Radius != 60 || list[0].Zones[0].Centre != (slab.Point{Y: 457}) || list[0].Zones[1].Corners[2] != (slab.Point{X: 1473, Y: 60}) || list[1].Zones != nil {
		t.Errorf("%+v, %v", list, err)
	}
}

func TestTapeRefusals(t *testing.T) {
	for what, text := range map[string]string{
		"some rows of the outline": "what,x,y,far\noutline,0,0,500\noutline,500,0,\noutline,900,0,500\n",
		"by corners and by sides":  sides("2000", "1500", "2000", "1500", "2500") + "outline,,0,0\noutline,,1,0\noutline,,1,1\n",
		"AC is 0 mm long":          sides("2000", "1500", "2000", "1500"),
		"is no side":               "what,name,x,y\nside,XY,100,\n",
		"make no triangle":         sides("2000", "1500", "2000", "1500", "4000"),
		"disagree by 100 mm":       sides("2000", "1500", "2000", "1500", "2500", "2600"),
	} {
		_, err := slabfile.Read("x.csv", strings.NewReader(text), one)
		var said *trouble.Trouble
		if !errors.As(err, &said) || !strings.Contains(said.What, what) || said.Next == "" || !strings.HasPrefix(said.Where, "x.csv") {
			t.Errorf("%s: %v", what, err)
		}
	}
	for _, zone := range []string{"1 2", "1 2 -3", "round", "1 2 3 4 5"} {
		s, err := sheet.Read("p.csv", strings.NewReader("type,length,width,value,cut_away\na,1473,914,200,"+zone+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := slabfile.Pieces(s); err == nil {
			t.Errorf("%q is taken", zone)
		}
	}
}
