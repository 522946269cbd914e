package bending

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"slatewright/plate"
)

// TestHandbookNamesEveryPattern holds the table of docs/sag.md to the list of patterns and to what they sag.
func TestHandbookNamesEveryPattern(t *testing.T) {
	text, err := os.ReadFile("../../../docs/sag.md")
	if err != nil {
		t.Fatal(err)
	}
	p := plate.Piece{Outline: plate.Rectangle(914, 1473), Thickness: plate.Even(25.4), Elastic: plate.Isotropic(48000, 0.2), Density: 2790}
	rows := 0
	for _, n := range plate.Patterns() {
		b, err := plate.Bend(p, n.Under(p.Outline), 0)
		if err != nil {
			t.Fatal(err)
		}
		rows++
		if row := fmt.Sprintf("| `%s` | %s | %.3f mm |", n.Name, n.About, b.PeakToValley); !strings.Contains(string(text), row) {
			t.Errorf("docs/sag.md lacks\n%s", row)
		}
	}
	if rows == 0 {
		t.Fatal("no pattern")
	}
}

// TestHandbookCuts reads the list of cuts that the page shows.
func TestHandbookCuts(t *testing.T) {
	text, err := os.ReadFile("../../../docs/sag.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(text), "```csv cuts\n")
	list, _, _ := strings.Cut(rest, "```")
	cuts, err := readCuts("page", strings.NewReader(list))
	if !found || err != nil || len(cuts) != 1 || len(cuts[0]) != 4 {
		t.Fatalf("%v, %v", cuts, err)
	}
}

func TestPlacesAndMasses(t *testing.T) {
	list, err := places("-274, -354; 274 -354;0,471;", 2)
	if err != nil || len(list) != 3 || list[1][0] != 274 || list[2][1] != 471 {
		t.Errorf("%v, %v", list, err)
	}
	for _, bad := range []string{"", "1", "1,2,3", "1,x", "1,2;3"} {
		if _, err := places(bad, 2); err == nil {
			t.Errorf("%q is taken for places", bad)
		}
	}
	if kg, err := mass("200lb"); err != nil || kg < 90.7 || kg > 90.8 {
		t.Errorf("200 lb are %g kg, %v", kg, err)
	}
	for _, bad := range []string{"20", "-3kg", "kg", "20 stone"} {
		if _, err := mass(bad); err == nil {
			t.Errorf("%q is taken for a weight", bad)
		}
	}
}

func FuzzReadCuts(f *testing.F) {
	f.Add("cut,x,y\na,1,2\na,3,4\na,5,7\n")
	f.Add("cut;x;y\n1;1,5;2\n")
	f.Fuzz(func(t *testing.T, text string) {
		cuts, err := readCuts("fuzz", strings.NewReader(text))
		if err == nil {
			for _, c := range cuts {
				if len(c) == 0 {
					t.Fatal("a cut without corners")
				}
			}
		}
		readCaliper("fuzz", strings.NewReader(text))
	})
}
