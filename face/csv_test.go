package face_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/measure"
	"slatewright/trouble"
)

func read(t *testing.T, text string) *face.Face {
	t.Helper()
	f, err := face.Read("a.csv", strings.NewReader(text))
	if err != nil {
		t.Fatalf("%v\nin\n%s", err, text)
	}
	return f
}

// readings prints the readings in mm, one a line, with their marks.
func readings(f *face.Face) string {
	var b strings.Builder
	for i := range f.Z {
		fmt.Fprintf(&b, "%v %v %v", f.X[i], f.Y[i], f.Z[i])
		if f.Row != nil {
			b.WriteString(" " + f.Row[i].String())
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func TestCSVForms(t *testing.T) {
	const want = "-1.5 2 0.01\n3 -4.25 -0.02\n"
	cases := []struct{ name, text string }{
		{"plain", "-1.5,2,0.01\n3,-4.25,-0.02\n"},
		{"titles", "x,y,z\n-1.5,2,0.01\n3,-4.25,-0.02\n"},
		{"titles with unit", "X [mm], Y (mm), z_mm\n-1.5,2,0.01\n3,-4.25,-0.02\n"},
		{"byte order mark and CRLF", "\ufeff# unit: mm\r\nx,y,z\r\n-1.5,2,0.01\r\n3,-4.25,-0.02\r\n"},
		{"blanks and blank lines", "\n  -1.5, 2 ,0.01 \n\n3 ,-4.25,\t-0.02\n \n"},
		{"spreadsheet's empty rows", "x,y,z\n-1.5,2,0.01\n,,\n3,-4.25,-0.02\n,,\n"},
		{"decimal comma, semicolons", "-1,5;2;0,01\n3;-4,25;-0,02\n"},
		{"decimal comma, tabs", "x\ty\tz\n-1,5\t2\t0,01\n3\t-4,25\t-0,02\n"},
		{"points with semicolons", "-1.5;2;0.01\n3;-4.25;-0.02\n"},
		{"exponents", "-1.5e0,2E+0,1e-2\n3,-42.5e-1,-2e-2\n"},
		{"proper minus", "−1.5,2,0.01\n3,−4.25,−0.02\n"},
		{"centimetres", "# unit: cm\n-.15,.2,0.001\n.3,-.425,-.002\n"},
		{"microns", "# unit: µm\n-1500,2000,10\n3000,-4250,-20\n"},
		{"Latin-1", "# unit: \xb5m\n-1500,2000,10\n3000,-4250,-20\n"},
		{"quoted", "\"# date: 2026-11-25\",,\n\"x\",\"y\",\"z\"\n\"-1.5\",\"2\",0.01\n3,-4.25,\" -0.02\"\n"},
		{"no line end", "-1.5,2,0.01\n3,-4.25,-0.02"},
	}
	for _, c := range cases {
		f := read(t, c.text)
		if got := readings(f); got != want {
			t.Errorf("%s: %s", c.name, got)
		}
		if n := len(f.Warnings); n > 0 && c.name != "Latin-1" {
			t.Errorf("%s: warnings %q", c.name, f.Warnings)
		}
	}
	if f := read(t, "1,2,3"); readings(f) != "1 2 3\n" {
		t.Errorf("one line without an end: %s", readings(f))
	}
}

func TestALineOfUnitsSaysWhereTheUnitBelongs(t *testing.T) {
	_, err := face.ReadCSV("a.csv", strings.NewReader("x,y,z\nmm,mm,mm\n1,2,3\n"))
	if err == nil || !strings.Contains(err.Error(), "'# unit:' line and delete this line") {
		t.Errorf("%v", err)
	}
	f := read(t, "\"# temperature: top 20 C, bottom 21 C\",,\n1,2,3\n")
	if f.TempTop == nil || *f.TempBottom != 21 {
		t.Errorf("a quoted header line: %v", f.TempBottom)
	}
}

func TestRowMarks(t *testing.T) {
	f := read(t, "x,y,z,row\n450,-700,1,joint+\n450,700,2,Joint+\n0,0,3,\n-450,-700,4,joint-\n-450,700,5,joint−\n")
	want := "450 -700 1 joint+\n450 700 2 joint+\n0 0 3 \n-450 -700 4 joint-\n-450 700 5 joint-\n"
	if got := readings(f); got != want {
		t.Errorf("got %s", got)
	}
	if f := read(t, "x,y,z,row\n1,2,3,\n2,2,3, \n"); f.Row != nil {
		t.Errorf("no mark, yet rows %v", f.Row)
	}
	if f := read(t, "1;2;3;\n450;2;3;joint+\n"); !slices.Equal(f.Row, []face.Row{face.NoRow, face.JointPlus}) {
		t.Errorf("rows %v", f.Row)
	}
}

// refusals are inputs that are refused, with the code and the place of the error.
var refusals = []struct{ name, text, code, where string }{
	{"empty file", "", "no-readings", "a.csv:1"},
	{"header only", "# unit: mm\n", "no-readings", "a.csv:2"},
	{"titles only", "x,y,z\n", "no-readings", "a.csv:2"},
	{"all gaps", "1,2,\n3,4,\n", "no-readings", "a.csv:2"},
	{"word for number", "1,2,3\n4,5,six\n", "bad-number", "a.csv:2"},
	{"quoted comma", "\"1,5\",2,3\n1,2,3", "bad-number", "a.csv:1"},
	{"line of units", "x,y,z\nmm,mm,mm\n1,2,3\n", "bad-number", "a.csv:2"},
	{"infinite", "1,2,3\n4,5,inf\n", "infinite", "a.csv:2"},
	{"too large", "1,2,3\n4,5,1e7\n", "too-large", "a.csv:2"},
	{"place missing", "1,2,3\n,5,6\n", "no-place", "a.csv:2"},
	{"place NaN", "1,2,3\n1,nan,6\n", "no-place", "a.csv:2"},
	{"two columns", "# unit: mm\n1,2\n", "columns", "a.csv:2"},
	{"spaces between", "1 2 3\n", "columns", "a.csv:1"},
	{"decimal commas between commas", "1,5,2,5,3,5\n", "columns", "a.csv:1"},
	{"one column more", "1,2,3\n1,2,3\n1,2,3,4\n", "columns", "a.csv:3"},
	{"one column less", "1,2,3\n\n\n1,2\n1,2,3\n", "columns", "a.csv:4"},
	{"mark without its title", "x,y,z\n1,2,3,joint+\n", "columns", "a.csv:2"},
	{"unknown mark", "450,2,3,joint\n", "bad-row", "a.csv:1"},
	{"other titles", "east,north,height\n1,2,3\n", "bad-title", "a.csv:1"},
	{"other order", "y,x,z\n1,2,3\n", "bad-title", "a.csv:1"},
	{"units in titles", "x [mm],y [mm],z [µm]\n1,2,3\n", "mixed-units", "a.csv:1"},
	{"unknown unit in titles", "x,y,z [furlong]\n1,2,3\n", "mixed-units", "a.csv:1"},
	{"two units", "# unit: mm\n# unit: in\n1,2,3\n", "mixed-units", "a.csv:2"},
	{"header behind a reading", "1,2,3\n# unit: in\n", "late-header", "a.csv:2"},
	{"both decimal marks", "1,5;2;3\n1;2;3\n1.234;2;3\n", "decimal-mark", "a.csv:3"},
	{"both decimal marks in a number", "1.234,5;2;3\n", "bad-number", "a.csv:1"},
	{"cut number of columns", "1,2,3\n1,2", "truncated", "a.csv:2"},
	{"cut before z", "1,2,3\n1,2,", "truncated", "a.csv:2"},
	{"cut mark", "450,1,3,joint+\n450,2,3,joi", "truncated", "a.csv:2"},
	{"cut first line", "1,2", "columns", "a.csv:1"},
	{"UTF-16", "\xff\xfe1\x00", "encoding", "a.csv:1"},
	{"workbook", "PK\x03\x04abc", "encoding", "a.csv:1"},
	{"compressed", "\x1f\x8babc", "encoding", "a.csv:1"},
	{"control character", "# piece: a\x01b\n1,2,3\n", "bad-header", "a.csv:1"},
	{"endless header line", "# piece: " + strings.Repeat("a", 1<<16) + "\n1,2,3\n", "line-too-long", "a.csv:1"},
	{"endless line", "1,2,3\n1,2," + strings.Repeat("0", 1<<20) + "\n", "line-too-long", "a.csv:2"},
	{"old line ends", "# unit: mm\r1,2,3\r", "bad-header", "a.csv:1"},
}

// refused checks that the error is a Trouble of kind data with that code and place, and that it says what to do.
func refused(t *testing.T, name string, err error, code, where string) {
	t.Helper()
	var tr *trouble.Trouble
	if !errors.As(err, &tr) {
		t.Errorf("%s: error %v", name, err)
		return
	}
	if tr.Code != code || tr.Where != where || tr.Kind != trouble.KindData || tr.What == "" || tr.Next == "" {
		t.Errorf("%s: %s at %s, want %s at %s: %v", name, tr.Code, tr.Where, code, where, tr)
	}
}

func TestCSVRefusals(t *testing.T) {
	for _, c := range refusals {
		_, err := face.ReadCSV("a.csv", strings.NewReader(c.text))
		refused(t, c.name, err, c.code, c.where)
	}
}

// warned checks that there is exactly one warning, and that it holds the words.
func warned(t *testing.T, name string, f *face.Face, words ...string) {
	t.Helper()
	if len(f.Warnings) != 1 {
		t.Errorf("%s: %d warnings %q", name, len(f.Warnings), f.Warnings)
		return
	}
	for _, w := range words {
		if !strings.Contains(f.Warnings[0], w) {
			t.Errorf("%s: %q lacks %q", name, f.Warnings[0], w)
		}
	}
}

func TestCSVWarnings(t *testing.T) {
	cases := []struct {
		name, text string
		words      []string
		n          int // readings
	}{
		{"gap", "1,2,3\n2,2,\n3,2,4\n4,2,nan\n", []string{"a.csv:2", "2 such stations"}, 2},
		{"empty cloud point", "1,2,3\nnan,nan,nan\n", []string{"a.csv:2", "1 such station"}, 1},
		{"copy", "1,2,3\n2,2,3\n1,2,3\n1,2,3\n", []string{"a.csv:3", "a.csv:1", "2 readings are copies"}, 4},
		{"contradiction", "1,2,3\n\n2,2,3\n1,2,3.5\n", []string{"a.csv:4", "a.csv:1", "0.5 mm"}, 3},
		{"cut last number", "1,2,3.125\n2,2,3.12", []string{"a.csv:2", "may be cut"}, 2},
		{"cut last number, comma", "1;2;3,125\n2;2;3,12", []string{"a.csv:2", "may be cut"}, 2},
		{"unknown key", "# temprature: 3\n1,2,3\n", []string{"a.csv:1", `"temprature"`, `is "temperature" meant?`}, 1},
		{"empty value", "# date:\n1,2,3\n", []string{"a.csv:1", "date"}, 1},
		{"dry after reading", "# date: 2026-11-01\n# dry_since: 2026-11-02\n1,2,3\n", []string{"a.csv:2", "wet stone"}, 1},
		{"unknown support", "# support: three buckets\n1,2,3\n", []string{"a.csv:1", "three buckets", "unknown"}, 1},
		{"fraction without size", "# support: lines 0.22\n1,2,3\n", []string{"a.csv:1", "size"}, 1},
		{"Latin-1", "# piece: caf\xe9\n1,2,3\n", []string{"a.csv:1", "UTF-8"}, 1},
		{"z in microns", "# size: 914 x 1473 mm\n1,2,3\n5,9,120\n", []string{"a.csv", "another unit"}, 2},
	}
	for _, c := range cases {
		f := read(t, c.text)
		warned(t, c.name, f, c.words...)
		if f.Len() != c.n {
			t.Errorf("%s: %d readings, want %d", c.name, f.Len(), c.n)
		}
	}
}

func TestRepeatsAreLookedForUpToALimit(t *testing.T) {
	var b strings.Builder
	for i := range 100_000 {
		fmt.Fprintf(&b, "%d,%d,0\n", i%300, i/300)
	}
	if f := read(t, b.String()); len(f.Warnings) != 0 {
		t.Errorf("warnings %q", f.Warnings)
	}
	b.WriteString("0,0,0\n")
	warned(t, "above the limit", read(t, b.String()), "a.csv", "not looked for", "100001")
}

func TestRemarksAndUnknownKeysAreKept(t *testing.T) {
	f := read(t, "# made by hand, at 12:30 or so\n# Shift: late\n#\n# shift: early,,\n1,2,3\n")
	want := []face.KeyValue{{"", "made by hand, at 12:30 or so"}, {"Shift", "late"}, {"shift", "early"}}
	if !slices.Equal(f.Other, want) {
		t.Errorf("kept %q", f.Other)
	}
	if len(f.Warnings) != 2 {
		t.Errorf("warnings %q", f.Warnings)
	}
}

func TestUnitIsKeptAsRead(t *testing.T) {
	f := read(t, "# unit: thou\n1000,2000,3\n")
	if f.Unit != measure.Thou || readings(f) != "25.4 50.8 0.0762\n" {
		t.Errorf("%v: %s", f.Unit, readings(f))
	}
}
