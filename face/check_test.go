package face_test

import (
	"fmt"
	"strings"
	"testing"

	"slatewright/face"
)

// mapOf writes readings at 15 mm from each edge of a piece of 914 x 1473 mm and in its middle, scaled and shifted.
func mapOf(scale, dx, dy float64, swap bool) string {
	var b strings.Builder
	for _, p := range [][2]float64{{-442, -721}, {442, -721}, {0, 0}, {-442, 721}, {442, 721}} {
		x, y := (p[0]+dx)*scale, (p[1]+dy)*scale
		if swap {
			x, y = y, x
		}
		fmt.Fprintf(&b, "%.9g,%.9g,0\n", x, y)
	}
	return b.String()
}

func TestReadingsAreComparedWithTheSize(t *testing.T) {
	const size = "# size: 914 x 1473 mm\n"
	cases := []struct{ name, text, code, where, words string }{
		{"as it should be", size + mapOf(1, 0, 0, false), "", "", ""},
		{"corner", size + "# origin: corner\n" + mapOf(1, 457, 736.5, false), "", "", ""},
		{"inch", size + "# unit: in\n" + mapOf(1/25.4, 0, 0, false), "", "", ""},
		{"on the edge, size rounded", size + "457.2,736.6,0\n", "", "", ""},
		{"part of a face", size + mapOf(0.3, 0, 0, false), "", "", ""},
		{"one reading off", size + mapOf(1, 0, 0, false) + "459,0,0\n", "outside-size", "a.csv:7", "correct the reading"},
		{"one slip of the point", size + "0,0,0\n4570,0,0\n", "outside-size", "a.csv:3", "correct the reading"},
		{"axes exchanged", size + mapOf(1, 0, 0, true), "reversed-axes", "a.csv:2", "x and y exchanged"},
		{"size the wrong way round", "# size: 1473 x 914 mm\n" + mapOf(1, 0, 0, false), "reversed-axes", "a.csv:2", "x by y"},
		{"axes exchanged, from a corner", size + mapOf(1, 457, 736.5, true), "reversed-axes", "a.csv:3", "x and y exchanged"},
		{"corner not said", size + mapOf(1, 457, 736.5, false), "wrong-origin", "a.csv:3", "# origin: corner"},
		{"corner wrongly said", size + "# origin: corner\n" + mapOf(1, 0, 0, false), "wrong-origin", "a.csv:3", "# origin: middle"},
		{"inch not said", size + mapOf(1/25.4, 0, 0, false), "wrong-unit", "a.csv:2", "# unit: in'"},
		{"inch wrongly said", size + "# unit: in\n" + mapOf(1, 0, 0, false), "wrong-unit", "a.csv:3", "# unit: mm'"},
		{"metres not said", size + mapOf(0.001, 0, 0, false), "wrong-unit", "a.csv:2", "# unit: m'"},
		{"centimetres not said", size + mapOf(0.1, 0, 0, false), "wrong-unit", "a.csv:2", "# unit: cm'"},
		{"microns not said", size + mapOf(1000, 0, 0, false), "wrong-unit", "a.csv:2", "# unit: µm'"},
		{"thou not said", size + mapOf(1/0.0254, 0, 0, false), "wrong-unit", "a.csv:2", "# unit: thou'"},
		{"inch from a corner", size + "# origin: corner\n" + mapOf(1/25.4, 457, 736.5, false), "wrong-unit", "a.csv:3", "# unit: in'"},
	}
	for _, c := range cases {
		f, err := face.ReadCSV("a.csv", strings.NewReader(c.text))
		if c.code == "" {
			if err != nil || len(f.Warnings) > 0 {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		refused(t, c.name, err, c.code, c.where)
		if err != nil && !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %v lacks %q", c.name, err, c.words)
		}
	}
}

func TestJointRowsLieWhereTheirMarksSay(t *testing.T) {
	const size = "# size: 914 x 1473 mm\n"
	cases := []struct{ name, text, code, where string }{
		{"near the edges", size + "442,-700,0,joint+\n442,700,0,joint+\n-445,-700,0,joint-\n-445,700,0,joint-\n", "", ""},
		{"from a corner", size + "# origin: corner\n899,30,0,joint+\n899,700,0,joint+\n12,30,0,joint-\n", "", ""},
		{"25 mm in", size + "432,0,0,joint+\n", "", ""},
		{"too far in", size + "442,-700,0,joint+\n431.9,0,0,joint+\n", "joint-row", "a.csv:3"},
		{"signs exchanged", size + "442,-700,0,joint-\n", "joint-row", "a.csv:2"},
		{"along x", size + "440,-700,0,joint+\n445,-700,0,joint+\n442,-700.5,0,joint+\n", "reversed-axes", "a.csv:2"},
		{"no size", "442,-700,0,joint+\n-442,-700,0,joint-\n", "", ""},
		{"no size, signs exchanged", "442,-700,0,joint-\n-442,-700,0,joint+\n", "joint-row", "a.csv:2"},
		{"no size, along x", "-400,700,0,joint+\n400,700,0,joint+\n", "reversed-axes", "a.csv:1"},
		{"no size, one row only", "442,-700,0,joint+\n442.5,700,0,joint+\n", "", ""},
	}
	for _, c := range cases {
		_, err := face.ReadCSV("a.csv", strings.NewReader(c.text))
		if c.code != "" {
			refused(t, c.name, err, c.code, c.where)
		} else if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestLinesAreCountedOverGapsAndBlocks(t *testing.T) {
	var b strings.Builder
	b.WriteString("# size: 914 x 1473 mm\nx,y,z\n")
	line, want := 2, 0
	for i := range 300_000 { // several blocks of 1 MiB
		line++
		switch {
		case i%1000 == 7:
			b.WriteString("\n")
		case i%1000 == 8:
			b.WriteString("1,2,\n")
		case i == 290_123:
			b.WriteString("1000,2,0.001\n")
			want = line
		default:
			fmt.Fprintf(&b, "%d.25,%d.5,0.001\n", i%400, i%700)
		}
	}
	_, err := face.ReadCSV("a.csv", strings.NewReader(b.String()))
	refused(t, "far down", err, "outside-size", fmt.Sprintf("a.csv:%d", want))
}

// Common practice, no source: features lie within 1 mm of where they should. So a reading up to 1 mm off the edge of a piece, as
// its size is written, is taken, and one farther off is a slip.
func TestOneMillimetreOffTheEdgeIsTaken(t *testing.T) {
	for x, code := range map[string]string{"457.9": "", "458": "", "458.01": "outside-size", "-458": "", "-458.01": "outside-size"} {
		_, err := face.Read("a.csv", strings.NewReader("# size: 914 x 1473 mm\n"+x+",0,0\n-457,-736,0\n457,736,0\n"))
		if codeOf(err) != code {
			t.Errorf("x = %s mm: %v, want code %q", x, err, code)
		}
	}
}
