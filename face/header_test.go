package face_test

import (
	"fmt"
	"strings"
	"testing"

	"slatewright/face"
)

const full = `# piece: QH-0412 head
# unit: mm
# size: 914.4 x 1473 mm
# face: bottom
# origin: corner
# turn: fixed
# support: points 183 383; 731.2 383; 457.2 1207
# instrument: dial 0.001 mm on a bridge, no. 7
# u: 0.004
# temperature: top 20.1 C, bottom 20.3 C
# dry_since: 2026-09-01
# date: 2026-11-25
# thickness: 20 20 25.61
# thickness: 894 20 25.7
# lined: 20 20 44.7
# read in two halves
# shift: late
x,y,z,row
15,100,0.012,joint-
899.4,100,-0.003,joint+
457.2,736.5,0.1,
`

func TestEveryKeyIsReadAndWrittenBack(t *testing.T) {
	f := read(t, full)
	got := fmt.Sprintf("%s|%v x %v|%s|%s|%v|%s %v|%s|%v|%v %v %v|%s %s|%v|%v|%q",
		f.Piece, f.SizeX, f.SizeY, f.Side, f.Origin, f.TurnFixed, f.Support.Kind, f.Support.Points, f.Instrument, f.U,
		*f.TempTop, *f.TempBottom, f.OneTemp, f.DrySince, f.Date, f.Thickness, f.Lined, f.Other)
	want := `QH-0412 head|914.4 x 1473|bottom|corner|true|points [[183 383] [731.2 383] [457.2 1207]]|dial 0.001 mm on a bridge, no. 7|0.004|` +
		`20.1 20.3 false|2026-09-01 2026-11-25|[{20 20 25.61} {894 20 25.7}]|[{20 20 44.7}]|[{"" "read in two halves"} {"shift" "late"}]`
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if out := csvOf(t, f); out != full {
		t.Errorf("written as\n%s", out)
	}
}

func csvOf(t *testing.T, f *face.Face) string {
	t.Helper()
	var b strings.Builder
	if err := f.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestHeaderForms: what stands in the header of a sized piece, and how it is written back.
func TestHeaderForms(t *testing.T) {
	const sized = "# size: 914 x 1473 mm\n"
	cases := []struct{ in, want string }{
		{"# Piece:  a   b \n", "# piece: a b\n# unit: mm\n"},
		{"# size: 914x1473mm\n", "# unit: mm\n" + sized},
		{"# size: 36 x 58 in\n", "# unit: mm\n# size: 914.4 x 1473.2 mm\n"},
		{"# size: 36 x 58\n# unit: in\n", "# unit: mm\n# size: 914.4 x 1473.2 mm\n"},
		{"# FACE: Top\n# turn: free\n# origin: middle\n", "# unit: mm\n# face: top\n"},
		{"# support: Bench\n", "# unit: mm\n# support: bench\n"},
		{sized + "# support: lines 0.22\n", "# unit: mm\n" + sized + "# support: lines 0.22\n"},
		{sized + "# support: lines y -412.4; y 412,4 mm\n", "# unit: mm\n" + sized + "# support: lines y -412.4; y 412.4\n"},
		{"# unit: in\n# support: lines X -10; x 254 mm\n", "# unit: mm\n# support: lines x -254; x 254\n"},
		{"# unit: in\n# support: points -10 -10; 10 -10 ; 0 x 254 mm\n", "# unit: mm\n# support: points -254 -254; 254 -254; 0 254\n"},
		{"# support: on the grinder\n", "# unit: mm\n# support: on the grinder\n"},
		{"# u: 4 µm\n", "# unit: mm\n# u: 0.004\n"},
		{"# unit: thou\n# u: 0,5\n", "# unit: mm\n# u: 0.0127\n"},
		{"# temperature: 20,1 °C\n", "# unit: mm\n# temperature: 20.1 C\n"},
		{"# temperature: bottom 68 F; top 20.5 C\n", "# unit: mm\n# temperature: top 20.5 C, bottom 20 C\n"},
		{"# temperature: bottom 20 C\n", "# unit: mm\n# temperature: bottom 20 C\n"},
		{"# dry since: 2026-02-28\n# dry-since: 2026-02-28\n", "# unit: mm\n# dry_since: 2026-02-28\n"},
		{"# thickness: -400, -700, 25,61\n", "# unit: mm\n# thickness: -400 -700 25.61\n"},
		{"# thickness: 400 x 700 mm 1 in\n", "# unit: mm\n# thickness: 400 700 25.4\n"},
		{"# unit: in\n# thickness: 10 -10 25.4 mm\n", "# unit: mm\n# thickness: 254 -254 25.4\n"},
		{"# unit: in\n# Zero: 1/2\n# Frame: PIECE\n", "# unit: mm\n# zero: 12.7\n# frame: piece\n"},
		{"# frame: face\n# zero: -0.25 mm\n", "# unit: mm\n# zero: -0.25\n"},
		{"# lined: 0 0 45\n# lined: -0 1 44\n", "# unit: mm\n# lined: 0 0 45\n# lined: 0 1 44\n"},
	}
	for _, c := range cases {
		f := read(t, c.in+"x,y,z\n0,0,0\n")
		if got, want := csvOf(t, f), c.want+"x,y,z\n0,0,0\n"; got != want {
			t.Errorf("%q: got\n%s", c.in, got)
		}
	}
}

func TestHeaderRefusals(t *testing.T) {
	cases := []struct{ in, code, where string }{
		{"# unit: furlong\n", "bad-header", "a.csv:1"},
		{"# size: 914\n", "bad-header", "a.csv:1"},
		{"# size: 914 x 1473 kg\n", "bad-header", "a.csv:1"},
		{"# size: 914 x 1473 m\n", "bad-header", "a.csv:1"},
		{"# size: -914 x 1473 mm\n", "bad-header", "a.csv:1"},
		{"# size: 914 x 1473 mm\n# size: 914 x 1472 mm\n", "twice", "a.csv:2"},
		{"# face: left\n", "bad-header", "a.csv:1"},
		{"# face: top\n# FACE: bottom\n", "twice", "a.csv:2"},
		{"# origin: edge\n", "bad-header", "a.csv:1"},
		{"# turn: maybe\n", "bad-header", "a.csv:1"},
		{"# zero: high\n", "bad-header", "a.csv:1"},
		{"# zero: 1 2\n", "bad-header", "a.csv:1"},
		{"# zero: 1\n# zero: 2\n", "twice", "a.csv:2"},
		{"# frame: bed\n", "bad-header", "a.csv:1"},
		{"# support: bench 0.2\n", "bad-header", "a.csv:1"},
		{"# support: lines 0.5\n", "bad-header", "a.csv:1"},
		{"# support: lines 0\n", "bad-header", "a.csv:1"},
		{"# size: 900 x 900 mm\n# support: lines 0.22\n", "bad-header", "a.csv:2"},
		{"# support: lines\n", "bad-header", "a.csv:1"},
		{"# support: lines y 3\n", "bad-header", "a.csv:1"},
		{"# support: lines y 3; z 4\n", "bad-header", "a.csv:1"},
		{"# support: lines y 3; y\n", "bad-header", "a.csv:1"},
		{"# support: lines y 800; y 100\n# size: 914 x 1473 mm\n", "bad-header", "a.csv:1"},
		{"# support: lines y -100; y 100\n# size: 914 x 1473 mm\n# origin: corner\n", "bad-header", "a.csv:1"},
		{"# support: points 1 2; 3 4\n", "bad-header", "a.csv:1"},
		{"# support: points 1 2; 3 4; 5\n", "bad-header", "a.csv:1"},
		{"# support: points 1 2 in; 3 4; 5 6\n", "bad-header", "a.csv:1"},
		{"# support: points 1 2; 3 4; 1e9 6\n", "bad-header", "a.csv:1"},
		{"# support: points 0 0; 3 4; 500 0\n# size: 914 x 1473 mm\n", "bad-header", "a.csv:1"},
		{"# u: 0\n", "bad-header", "a.csv:1"},
		{"# u: -1\n", "bad-header", "a.csv:1"},
		{"# u: small\n", "bad-header", "a.csv:1"},
		{"# temperature: 20.1\n", "bad-header", "a.csv:1"},
		{"# temperature: top 20 C, 21 C\n", "bad-header", "a.csv:1"},
		{"# temperature: about 20 C, top 21 C\n", "bad-header", "a.csv:1"},
		{"# date: 2026-02-30\n", "bad-header", "a.csv:1"},
		{"# date: 25.11.2026\n", "bad-header", "a.csv:1"},
		{"# dry_since: 2026-13-01\n", "bad-header", "a.csv:1"},
		{"# thickness: 1 2\n", "bad-header", "a.csv:1"},
		{"# thickness: 1 2 3 4\n", "bad-header", "a.csv:1"},
		{"# thickness: 0 0 1\n", "bad-header", "a.csv:1"},
		{"# unit: in\n# thickness: 0 0 25.4\n", "bad-header", "a.csv:2"},
		{"# lined: 0 0 thick\n", "bad-header", "a.csv:1"},
		{"# lined: 3 0 x\n", "bad-header", "a.csv:1"},
		{"# size: 914 x 1473 mm\n# thickness: 500 0 25\n", "bad-header", "a.csv:2"},
	}
	for _, c := range cases {
		_, err := face.ReadCSV("a.csv", strings.NewReader(c.in+"0,0,0\n"))
		refused(t, c.in, err, c.code, c.where)
	}
}

func TestFractionLinesStandSquareToTheLongSide(t *testing.T) {
	cases := []struct {
		in   string
		want string
	}{ // 1473·(0.5 − 0.22) = 412.44; from a corner 1473·0.22 = 324.06
		{"# size: 914 x 1473 mm\n", "[{y -412.44} {y 412.44}]"},
		{"# size: 1473 x 914 mm\n", "[{x -412.44} {x 412.44}]"},
		{"# size: 914 x 1473 mm\n# origin: corner\n", "[{y 324.06} {y 1148.94}]"},
	}
	for _, c := range cases {
		f := read(t, c.in+"# support: lines 0.22\n1,1,0\n")
		var got []string
		for _, l := range f.Support.Lines {
			got = append(got, fmt.Sprintf("{%c %.10g}", l.Axis, l.At))
		}
		if s := "[" + strings.Join(got, " ") + "]"; s != c.want || f.Support.Fraction != 0.22 || f.Support.Text != "lines 0.22" {
			t.Errorf("%q: %s, fraction %v, text %q", c.in, s, f.Support.Fraction, f.Support.Text)
		}
	}
}

func TestOneTemperatureIsForBothFacesAndSaysSo(t *testing.T) {
	f := read(t, "# temperature: 20.1 C\n1,2,3\n")
	if !f.OneTemp || *f.TempTop != 20.1 || *f.TempBottom != 20.1 {
		t.Errorf("%v %v %v", f.OneTemp, *f.TempTop, *f.TempBottom)
	}
	f = read(t, "# temperature: top 20.1 C\n1,2,3\n")
	if f.OneTemp || *f.TempTop != 20.1 || f.TempBottom != nil {
		t.Errorf("%v %v %v", f.OneTemp, *f.TempTop, f.TempBottom)
	}
}

func TestCentred(t *testing.T) {
	f := read(t, full)
	c, err := f.Centred()
	if err != nil {
		t.Fatal(err)
	}
	got := fmt.Sprintf("%v %.10g %.10g %.10g %.10g %.10g", c.Origin, c.X, c.Y, c.Support.Points, c.Thickness, c.Lined)
	want := "middle [-442.2 442.2 0] [-636.5 -636.5 0] [[-274.2 -353.5] [274 -353.5] [0 470.5]] [{-437.2 -716.5 25.61} {436.8 -716.5 25.7}] [{-437.2 -716.5 44.7}]"
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if &c.Z[0] != &f.Z[0] {
		t.Error("Z is not shared")
	}
	if f.Origin != face.Corner || f.X[0] != 15 || f.Thickness[0].X != 20 {
		t.Error("the face itself was changed")
	}
	if again, err := c.Centred(); err != nil || again == c || again.X[0] != c.X[0] {
		t.Errorf("centred again: %v, %v", again, err)
	}
	lines, err := read(t, "# size: 914 x 1473 mm\n# origin: corner\n# support: lines x 100; y 100\n1,1,0\n").Centred()
	if got := fmt.Sprint(lines.Support.Lines, err); got != "[{120 -357} {121 -636.5}] <nil>" { // 120, 121: x, y
		t.Errorf("lines %s", got)
	}
	_, err = read(t, "# origin: corner\n1,1,0\n").Centred()
	refused(t, "no size", err, "no-size", "a.csv")
}
