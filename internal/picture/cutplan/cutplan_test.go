package cutplan_test

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"slatewright/cutting/slab"
	"slatewright/internal/picture/cutplan"
)

// specimen is a slab with a plan of two pieces and three cuts, in a frame that is turned by 2 degrees.
func specimen() (*slab.Slab, *slab.Plan) {
	s := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 0}, {X: 900, Y: 30}, {X: 880, Y: 420}, {X: 0, Y: 400}},
		Flaws: []slab.Flaw{{Points: []slab.Point{{X: 430, Y: 20}, {X: 440, Y: 300}}, Clearance: 4}, {Points: []slab.Point{{X: 30, Y: 380}}},
			{Area: true, Points: []slab.Point{{X: 700, Y: 350}, {X: 740, Y: 350}, {X: 720, Y: 390}}}},
		Types: []slab.Type{{Name: "Größe & <A>"}}}
	f := slab.NewFrame(2)
	p := &slab.Plan{Angle: 2, Kerf: 5, Corner: slab.Point{X: 0, Y: -1}}
	for _, x := range []float64{10, 460} {
		p.Pieces = append(p.Pieces, slab.Piece{At: f.Out(slab.Point{X: x, Y: 20}), Along: 400, Across: 300})
	}
	for _, x := range []float64{412.5, 457.5} {
		p.Cuts = append(p.Cuts, slab.Cut{A: f.Out(slab.Point{X: x, Y: 0}), B: f.Out(slab.Point{X: x, Y: 400}), At: x})
	}
	p.Cuts = append(p.Cuts, slab.Cut{A: f.Out(slab.Point{X: 0, Y: 322.5}), B: f.Out(slab.Point{X: 410, Y: 322.5}), Along: true, At: 322.5})
	return s, p
}

// Every cut has its number in the picture, and the name of a piece stands there as it is written.
func TestPicture(t *testing.T) {
	s, p := specimen()
	var b, again bytes.Buffer
	if cutplan.SVG(&b, s, p, "B & 7") != nil || cutplan.SVG(&again, s, p, "B & 7") != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Fatal("the picture differs from itself")
	}
	words := map[string]int{}
	for d := xml.NewDecoder(&b); ; {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if c, ok := token.(xml.CharData); ok {
			words[strings.TrimSpace(string(c))]++
		}
	}
	if words["1"] != 1 || words["2"] != 1 || words["3"] != 1 || words["4"] != 0 || words["Größe & <A>"] != 2 || words["B & 7"] != 1 {
		t.Errorf("%v", words)
	}
}

// A name stands in the middle of its piece, and beside a flaw that lies there: nearest to the middle, in the piece, and on no flaw of any kind.
func TestNamePlace(t *testing.T) {
	q := slab.Piece{At: slab.NewFrame(30).Out(slab.Point{X: 100, Y: 50}), Along: 400, Across: 300}
	at := func(x, y float64) slab.Point { return slab.NewFrame(30).Out(slab.Point{X: x, Y: y}) }
	area := func(x1, y1, x2, y2 float64) slab.Flaw {
		return slab.Flaw{Area: true, Points: []slab.Point{at(x1, y1), at(x2, y1), at(x2, y2), at(x1, y2)}}
	}
	for name, c := range map[string]struct {
		flaws []slab.Flaw
		want  slab.Point
	}{
		"none":            {nil, slab.Point{X: 300, Y: 200}},
		"elsewhere":       {[]slab.Flaw{area(110, 60, 150, 90)}, slab.Point{X: 300, Y: 200}},
		"a point":         {[]slab.Flaw{{Points: []slab.Point{at(290, 205)}}}, slab.Point{X: 300, Y: 170}},
		"a line":          {[]slab.Flaw{{Points: []slab.Point{at(0, 200), at(900, 200)}}}, slab.Point{X: 300, Y: 170}},
		"around a name":   {[]slab.Flaw{area(200, 120, 420, 260)}, slab.Point{X: 300, Y: 290}},
		"the whole of it": {[]slab.Flaw{area(0, 0, 900, 900)}, slab.Point{X: 300, Y: 200}},
	} {
		got := slab.NewFrame(30).In(cutplan.NamePlace(&slab.Slab{Flaws: c.flaws}, q, 30, 60, 12))
		if math.Hypot(got.X-c.want.X, got.Y-c.want.Y) > 1e-9 {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// The drawing has what the plan has, in pairs of a code and a value.
func TestDrawing(t *testing.T) {
	s, p := specimen()
	var b bytes.Buffer
	if err := cutplan.DXF(&b, s, p); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	count := map[string]int{}
	for i := 0; i+1 < len(lines); i += 2 {
		if _, err := strconv.Atoi(strings.TrimSpace(lines[i])); err != nil {
			t.Fatalf("line %d is no code: %q", i+1, lines[i])
		}
		if strings.TrimSpace(lines[i]) == "0" {
			count[lines[i+1]]++
		}
	}
	if len(lines)%2 != 0 || count["POLYLINE"] != 1+3+2+3 || count["TEXT"] != 5 || count["VERTEX"] != 4+2+1+3+8+6 || count["EOF"] != 1 {
		t.Errorf("%d lines, %v", len(lines), count)
	}
	if !strings.Contains(b.String(), `Gr\U+00F6\U+00DFe`) {
		t.Error("letters beyond ASCII are lost")
	}
}

func TestCuts(t *testing.T) {
	_, p := specimen()
	var b bytes.Buffer
	if err := cutplan.CSV(&b, p); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 4 || rows[1][1] != "across" || rows[1][2] != "412.5" || rows[3][1] != "along" || rows[3][2] != "323.5" || rows[3][0] != "3" {
		t.Errorf("%v, %v", rows, err)
	}
}
