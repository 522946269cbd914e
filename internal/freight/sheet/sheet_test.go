package sheet

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"slatewright/trouble"
)

var columns = []Column{
	{Name: "piece", Also: []string{"serial"}, Needed: true},
	{Name: "mass", Also: []string{"weight"}, Quantity: Mass},
	{Name: "thickness", Quantity: Length},
	{Name: "size", Quantity: Size},
	{Name: "air", Quantity: Temperature},
	{Name: "humidity", Quantity: Percent},
	{Name: "at", Quantity: Moment},
	{Name: "holes", Quantity: Count},
	{Name: "wet", Quantity: YesNo},
	{Name: "instruments", Quantity: Words},
}

// zone is one hour ahead of UTC, so that a time read in the wrong zone shows.
var zone = time.FixedZone("mill", 3600)

func open(t *testing.T, text string) *Table {
	t.Helper()
	table, err := Open("l.csv", strings.NewReader(text), columns, zone)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return table
}

func next(t *testing.T, table *Table) *Row {
	t.Helper()
	row, err := table.Next()
	if err != nil {
		t.Fatal(err)
	}
	return row
}

// The same list in every way that people keep it: the same piece, mass and thickness come out.
func TestOneListManyHands(t *testing.T) {
	texts := []string{
		"piece,mass_kg,thickness_mm\nQ-1,96.5,25.4\n",
		"piece;mass [kg];thickness [mm]\r\nQ-1;96,5;25,4\r\n",
		"\ufeffpiece\tmass (g)\tthickness (in)\r\nQ-1\t96500\t1\r\n",
		"piece;mass;thickness\n;kg;mm\nQ-1;96,5;25,4\n",
		"serial;weight;thickness\nQ-1;96,5 kg;1 in\n",
		"thickness cm, Weight T ,PIECE\n2.54, 0.0965 , Q-1",
		"\n\npiece,mass,thickness,,\n,,,,\nQ-1,\"96,5 kg\",\"1\"\"\",,\n",
		"piece,mass [kg],thickness [thou]\nQ-1,96.5,1000",
	}
	for _, text := range texts {
		row := next(t, open(t, text))
		mass, ok1 := row.Number("mass")
		thick, ok2 := row.Number("thickness")
		if row.Text("piece") != "Q-1" || mass != 96.5 || thick != 25.4 || !ok1 || !ok2 || len(row.Faults) != 0 {
			t.Errorf("%q: %q %v kg %v mm, %v", text, row.Text("piece"), mass, thick, row.Faults)
		}
	}
}

func TestEveryQuantity(t *testing.T) {
	table := open(t, "piece;size [in];air;humidity [%];at;holes;wet;instruments;thickness [mm]\n"+
		"Q-1;36 x 58;68 F;47,5;2026-11-25 14:30;5;yes;DIAL-1, BENCH-2;1/32 in\n"+
		"Q-2;914 x 1473 mm;−3,5 °C;44 %;2026-11-25;;;;\n"+
		"Q-3;;;;2026-11-25T14:30:05.1239+02:00;;no;;\n")
	r := next(t, table)
	x, y, _ := r.Size("size")
	air, _ := r.Number("air")
	damp, _ := r.Number("humidity")
	at, day, _ := r.Moment("at")
	holes, _ := r.Count("holes")
	thick, _ := r.Number("thickness")
	if x != 914.4 || y != 1473.2 || air != 20 || damp != 47.5 || day || !at.Equal(time.Date(2026, 11, 25, 13, 30, 0, 0, time.UTC)) ||
		holes != 5 || !r.YesNo("wet") || !slices.Equal(r.Words("instruments"), []string{"DIAL-1", "BENCH-2"}) || thick != 0.79375 || r.Faults != nil {
		t.Errorf("first row: %v %v %v %v %v %v %v %v", x, y, air, damp, at, holes, thick, r.Faults)
	}
	r = next(t, table)
	x, _, _ = r.Size("size")
	air, _ = r.Number("air")
	damp, _ = r.Number("humidity")
	at, day, _ = r.Moment("at")
	if _, given := r.Count("holes"); x != 914 || air != -3.5 || damp != 44 || !day || !at.Equal(time.Date(2026, 11, 24, 23, 0, 0, 0, time.UTC)) || given || r.YesNo("wet") || r.Faults != nil {
		t.Errorf("second row: %v %v %v %v %v %v", x, air, damp, day, at, r.Faults)
	}
	r = next(t, table)
	if at, _, _ := r.Moment("at"); !at.Equal(time.Date(2026, 11, 25, 12, 30, 5, 123e6, time.UTC)) || at.Location() != time.UTC {
		t.Errorf("third row: %v", at)
	}
	if _, err := table.Next(); !errors.Is(err, io.EOF) {
		t.Errorf("after the last row: %v", err)
	}
}

func TestFaultsNameLineAndColumn(t *testing.T) {
	cases := []struct{ row, column, code string }{
		{"Q;1,234;;;;;;", "mass", "ambiguous-number"},
		{"Q;heavy kg;;;;;;", "mass", "bad-number"},
		{"Q;3 mm;;;;;;", "mass", "bad-unit"},
		{"Q;;7;;;;;", "thickness", "no-unit"},
		{"Q;;;36;;;;", "size", "bad-size"},
		{"Q;;;;25/11/2026;;;", "at", "bad-time"},
		{"Q;;;;0026-11-25;;;", "at", "bad-time"},
		{"Q;;;;2026-02-30;;;", "at", "bad-time"},
		{"Q;;;;;2.5;;", "holes", "bad-number"},
		{"Q;;;;;-2;;", "holes", "bad-number"},
		{"Q;;;;;;perhaps;", "wet", "bad-answer"},
		{"  ;;;;;;;x", "piece", "empty-cell"},
		{"Q;;", "", "columns"},
	}
	for _, c := range cases {
		r := next(t, open(t, "piece;mass [kg];thickness;size;at;holes;wet;colour\n\""+"\"\"first\n\nrow\"\"\";;;;;;;\n"+c.row+"\n"))
		if r.Text("piece") != "\"first\n\nrow\"" {
			t.Fatalf("first row: %q", r.Text("piece"))
		}
		r = next(t, r.table)
		r.Need("piece")
		r.Number("mass")
		r.Number("thickness")
		r.Size("size")
		r.Moment("at")
		r.Count("holes")
		r.YesNo("wet")
		if len(r.Faults) == 0 {
			t.Errorf("%s: nothing found", c.row)
			continue
		}
		where := "l.csv:5"
		if c.column != "" {
			where += ", " + c.column
		}
		if f := r.Faults[0]; f.Where != where || f.Code != c.code || f.Next == "" {
			t.Errorf("%s: %s %s (%v)", c.row, f.Code, f.Where, f)
		}
	}
}

func TestBrokenLists(t *testing.T) {
	cases := []struct{ text, code, where string }{
		{"", "empty", "l.csv"},
		{"\n \n", "empty", "l.csv"},
		{"piece\n\"a", "open-quote", "l.csv:2"},
		{"piece,mass\n\"a\"b,1", "stray-quote", "l.csv:2"},
		{"piece\n\"a\"\rb", "stray-quote", "l.csv:2"},
		{"piece\rQ-1\r", "bad-text", "l.csv:1"},
		{"piece\nQ\xff", "bad-text", "l.csv:2"},
		{"piece\nQ\x00", "bad-text", "l.csv:2"},
		{"\xff\xfep\x00", "bad-text", "l.csv:1"},
		{"mass\n1 kg", "no-column", "l.csv:1"},
		{"piece,serial\n", "double-column", "l.csv:1"},
		{"piece\n" + strings.Repeat("x", MaxCell+1), "too-long", "l.csv:2"},
		{"piece\n\"" + strings.Repeat("x", MaxCell+1), "too-long", "l.csv:2"},
		{"piece\n" + strings.Repeat(",", MaxColumns+1), "too-long", "l.csv:2"},
	}
	for _, c := range cases {
		table, err := Open("l.csv", strings.NewReader(c.text), columns, zone)
		for err == nil {
			_, err = table.Next()
		}
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != c.code || tr.Where != c.where || tr.Next == "" {
			t.Errorf("%.40q: %v", c.text, err)
		}
	}
}

func TestUnknownColumnsAreKept(t *testing.T) {
	table := open(t, "piece,colour,mass [stone],\nQ-1,blue-grey,15,see page 3\n")
	if !slices.Equal(table.Unknown, []string{"colour", "mass [stone]"}) {
		t.Errorf("unknown: %q", table.Unknown)
	}
	if got := next(t, table).Rest(); got != "colour: blue-grey; mass [stone]: 15; see page 3" {
		t.Errorf("rest: %q", got)
	}
}

func TestAFailingFileIsNoShortList(t *testing.T) {
	table, err := Open("l.csv", io.MultiReader(strings.NewReader("piece\nQ-1\nQ-2\n"), failing{}), columns, zone)
	for err == nil {
		_, err = table.Next()
	}
	var tr *trouble.Trouble
	if !errors.As(err, &tr) || tr.Kind != trouble.KindIO {
		t.Errorf("got %v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("the disk is gone") }

// anyCell draws text with everything in it that a list can stumble over.
func anyCell() *rapid.Generator[string] {
	return rapid.StringOf(rapid.OneOf(rapid.RuneFrom([]rune("'=+-@\t\r\n,;\"| a1＝")), rapid.Rune())).
		Filter(func(s string) bool { return !strings.ContainsRune(s, 0) })
}

// 1. Unguard(Guard(s)) is s. 2. Nothing guarded starts a formula. 3. What starts none is not touched.
func TestGuard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyCell().Draw(t, "s")
		g := Guard(s)
		if Unguard(g) != s {
			t.Fatalf("%q -> %q -> %q", s, g, Unguard(g))
		}
		if startsFormula(g) {
			t.Fatalf("%q starts a formula", g)
		}
	})
	for s, want := range map[string]string{"=1+1": "'=1+1", "'=1": "''=1", "'t is": "'t is", "-0.5 mm": "'-0.5 mm", " @SUM(A1)": "' @SUM(A1)", "a=b": "a=b", "": ""} {
		if got := Guard(s); got != want {
			t.Errorf("Guard(%q) = %q", s, got)
		}
	}
}

// What is written reads back, cell for cell.
func TestWriteRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.SliceOfN(anyCell(), 1, 4), 1, 6).Draw(t, "rows")
		rows = append([][]string{{"a", "b"}}, rows...) // titles settle the separator
		var b bytes.Buffer
		w := NewWriter(&b)
		for _, row := range rows {
			w.Row(row)
		}
		if err := w.Flush(); err != nil {
			t.Fatal(err)
		}
		x, err := newLexer("x", &b)
		for i := 0; err == nil; i++ {
			var cells []string
			if cells, _, err = x.row(); errors.Is(err, io.EOF) && i == len(rows) {
				return
			}
			if err == nil && !slices.Equal(cells, rows[i]) {
				t.Fatalf("row %d: %q is not %q", i, cells, rows[i])
			}
		}
		t.Fatal(err)
	})
}

// The csv module of Python reads what Writer writes, cell for cell.
func TestPythonReadsIt(t *testing.T) {
	const python = "/usr/bin/python3"
	if _, err := exec.LookPath(python); err != nil {
		t.Skip("no python3 here")
	}
	want := [][]string{{"a", "b", "c"}, {"", "", ""}, {"x,y", "he said \"no\"", "two\r\nlines\nthree"}, {" blank ", "µm ＝", "'=1+1"}, {"\t", ";", "\r"}}
	var b bytes.Buffer
	w := NewWriter(&b)
	for _, row := range want {
		w.Row(row)
	}
	w.Flush()
	cmd := exec.Command(python, "-c", "import csv,io,json,sys\nt=io.TextIOWrapper(sys.stdin.buffer,encoding='utf-8-sig',newline='')\nprint(json.dumps(list(csv.reader(t,strict=True))))")
	cmd.Stdin = &b
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var got [][]string
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("python read %q\nwritten was %q", got, want)
	}
}

func FuzzTable(f *testing.F) {
	f.Add([]byte("piece;mass [kg];thickness;size;at;holes;wet;air\n;kg;mm\nQ-1;96,5;1/2 in;36\" x 58\";2026-11-25;5;yes;68 F\n"))
	f.Add([]byte("\ufeffpiece,\"humidity\n[%]\"\r\n'=1,\"4\"\"\"\r\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		table, err := Open("f", bytes.NewReader(text), columns, zone)
		for err == nil {
			var r *Row
			if r, err = table.Next(); err != nil {
				break
			}
			r.Need("piece")
			for _, c := range []string{"mass", "thickness", "air", "humidity"} {
				if x, given := r.Number(c); given && x != x {
					t.Fatalf("%s is no number", c)
				}
			}
			r.Size("size")
			r.Count("holes")
			r.YesNo("wet")
			r.Moment("at")
			r.Words("instruments")
			r.Rest()
			for _, fault := range r.Faults {
				if fault.Where == "" || fault.What == "" || fault.Next == "" {
					t.Fatalf("a fault without %v", fault)
				}
			}
		}
		var tr *trouble.Trouble
		if !errors.Is(err, io.EOF) && !errors.As(err, &tr) {
			t.Fatalf("%v", err)
		}
	})
}
