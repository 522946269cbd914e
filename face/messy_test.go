package face

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"slatewright/measure"
)

// messy is how a file of readings may be written without any change of what it says.
type messy struct {
	unit      measure.Unit
	separator string
	comma     bool // decimal comma
	crlf      bool
	titles    bool
	rows      bool
	lastEnd   bool // the last line has a line end
}

func drawMessy(t *rapid.T) messy {
	m := messy{
		unit:      measure.Unit(rapid.IntRange(int(measure.MM), int(measure.Foot)).Draw(t, "unit")),
		separator: rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "separator"),
		crlf:      rapid.Bool().Draw(t, "crlf"), titles: rapid.Bool().Draw(t, "titles"), rows: rapid.Bool().Draw(t, "rows"),
		lastEnd: rapid.Bool().Draw(t, "last end"),
	}
	m.comma = m.separator != "," && rapid.Bool().Draw(t, "comma")
	return m
}

// number draws the text of a number with a point, of which the cell is a disguise.
func (m messy) number(t *rapid.T) (text, cell string) {
	text = rapid.StringMatching(`[+\-]?([0-9]{1,3}|[0-9]{0,2}[.][0-9]{1,20}|[0-9]{1,3}[.]|[0-9][.][0-9]{1,6}e[+\-]?[0-2])`).Draw(t, "number")
	cell = text
	if m.comma {
		cell = strings.Replace(cell, ".", ",", 1)
		if strings.HasSuffix(cell, ",") || strings.HasPrefix(strings.TrimLeft(cell, "+-"), ",") { // a comma has digits on both sides
			return "1.5", "1,5"
		}
	}
	switch rapid.IntRange(0, 5).Draw(t, "disguise") {
	case 0:
		cell = " " + cell + "  "
	case 1:
		cell = `"` + cell + `"`
	case 2:
		cell = strings.Replace(strings.ToUpper(cell), "-", "−", 1)
	}
	return text, cell
}

// write draws readings and returns the file, and one line for each record: numbers with points, "" where there is no reading.
func (m messy) write(t *rapid.T) (file string, truth [][]string) {
	end := "\n"
	if m.crlf {
		end = "\r\n"
	}
	lines := []string{"# unit: " + m.unit.String()}
	if m.titles {
		lines = append(lines, strings.Join([]string{"x", "Y", " z ", "row"}[:3+b2i(m.rows)], m.separator))
	}
	n := rapid.IntRange(1, 12).Draw(t, "n")
	for i := range n {
		last := i == n-1
		switch kind := rapid.IntRange(0, 9).Draw(t, "kind"); {
		case kind == 0 && i > 0 && !last:
			lines = append(lines, rapid.SampledFrom([]string{"", "  ", m.separator + m.separator, strings.Repeat(m.separator, 5)}).Draw(t, "blank"))
			continue
		case kind == 1 && i > 0 && !last:
			_, x := m.number(t)
			_, y := m.number(t)
			gap := rapid.SampledFrom([]string{"", " ", "NaN", "nan", "-NAN"}).Draw(t, "gap")
			lines = append(lines, strings.Join([]string{x, y, gap, ""}[:3+b2i(m.rows)], m.separator))
			continue
		}
		var cells, texts []string
		for range 3 {
			text, cell := m.number(t)
			texts, cells = append(texts, text), append(cells, cell)
		}
		if m.rows {
			cells = append(cells, rapid.SampledFrom([]string{"", " ", `""`}).Draw(t, "row"))
		}
		lines = append(lines, strings.Join(cells, m.separator))
		truth = append(truth, texts)
	}
	file = strings.Join(lines, end)
	if m.lastEnd {
		file += end
	}
	return file, truth
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// TestMessyFilesSayTheSame: whatever the separator, marks, blanks, quotes, gaps and line ends, the readings are the exact values rounded once.
func TestMessyFilesSayTheSame(t *testing.T) {
	whole := 0
	rapid.Check(t, func(rt *rapid.T) {
		m := drawMessy(rt)
		file, truth := m.write(rt)
		f, err := ReadCSV("messy.csv", strings.NewReader(file))
		if err != nil {
			rt.Fatalf("%v\n%q", err, file)
		}
		if f.Len() != len(truth) {
			rt.Fatalf("%d readings, want %d\n%q", f.Len(), len(truth), file)
		}
		for i, texts := range truth {
			for k, got := range []float64{f.X[i], f.Y[i], f.Z[i]} {
				if want := inMM(t, texts[k], m.unit); math.Float64bits(got) != math.Float64bits(want) {
					rt.Fatalf("%s %s: %v, want %v\n%q", texts[k], m.unit, got, want, file)
				}
			}
		}
		whole++
	})
	if whole < 40 {
		t.Errorf("only %d files were compared", whole)
	}
}

// bySlowReader reads canonical text by the standard CSV reader and exact rationals.
func bySlowReader(t *testing.T, text string) (out []string) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment = '#'
	for {
		cells, err := r.Read()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		if cells[0] == "x" {
			continue
		}
		out = append(out, fmt.Sprint(inMM(t, cells[0], measure.MM), inMM(t, cells[1], measure.MM), inMM(t, cells[2], measure.MM)))
	}
}

// TestCanonicalTextMeansTheSameToTheStandardReader compares with encoding/csv.
func TestCanonicalTextMeansTheSameToTheStandardReader(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		f := &Face{Header: Header{Name: "drawn", Piece: "QH, no. 3", Instrument: `the "old" dial; 1 µm`}}
		coordinate := rapid.Float64Range(-1500, 1500)
		for range rapid.IntRange(1, 20).Draw(rt, "n") {
			f.X, f.Y, f.Z = append(f.X, coordinate.Draw(rt, "x")), append(f.Y, coordinate.Draw(rt, "y")), append(f.Z, coordinate.Draw(rt, "z"))
		}
		var text strings.Builder
		if err := f.WriteCSV(&text); err != nil {
			rt.Fatal(err)
		}
		slow := bySlowReader(t, text.String())
		if len(slow) != f.Len() {
			rt.Fatalf("%d records, want %d", len(slow), f.Len())
		}
		for i, got := range slow {
			if want := fmt.Sprint(f.X[i]+0, f.Y[i]+0, f.Z[i]+0); got != want {
				rt.Fatalf("record %d: %s, want %s", i, got, want)
			}
		}
	})
}

// TestEveryCutIsFound cuts a file after each byte behind its first reading. Inside a line that must give an error or a warning; between
// two lines nobody can tell, and the readings before the cut are given.
func TestEveryCutIsFound(t *testing.T) {
	const text = "# unit: mm\nx,y,z\n-437.00,-716.50,0.012\n437.00,-716.50,-0.004\n0.00,0.00,0.031\n-437.00,716.50,0.107\n"
	first := strings.Index(text, "437.00,-716.50,-0.004")
	inside, between := 0, 0
	for n := first; n < len(text); n++ {
		f, err := ReadCSV("cut.csv", strings.NewReader(text[:n]))
		if text[n-1] != '\n' && text[n] != '\n' {
			inside++
			if err == nil && len(f.Warnings) == 0 {
				t.Errorf("%q: neither error nor warning", text[:n])
			}
			continue
		}
		between++
		rows := strings.Count(text[:n], "\n") - 2 + b2i(text[n] == '\n')
		if err != nil || len(f.Warnings) > 0 || f.Len() != rows {
			t.Errorf("%q: %v", text[:n], err)
		}
	}
	if inside < 50 || between != 6 {
		t.Errorf("%d cuts inside lines, %d between", inside, between)
	}
	for n := range first - len("-437.00,-716.50,0.012\n") {
		if _, err := ReadCSV("cut.csv", strings.NewReader(text[:n])); err == nil {
			t.Errorf("%q: no error without readings", text[:n])
		}
	}
}

// TestEveryCutOfAPLYFileIsAnError: its head says how much there is.
func TestEveryCutOfAPLYFileIsAnError(t *testing.T) {
	f := &Face{Header: Header{Name: "whole", SizeX: 914, SizeY: 1473}, X: []float64{-437, 437, 0}, Y: []float64{1, 2, 700.5}, Z: []float64{0.125, -0.25, 3}}
	cuts := 0
	for format := ASCII; format <= BinaryBigEndian; format++ {
		var text strings.Builder
		if err := f.WritePLY(&text, format); err != nil {
			t.Fatal(err)
		}
		whole := text.String()
		n := len(whole)
		if format == ASCII {
			n -= 1 // the last line end may be missing
			whole = strings.Replace(whole, "3\n", "3.5\n", 1)
		}
		for cut := range n {
			if format == ASCII && cut > len(whole)-4 {
				break // inside the last number no reader can tell
			}
			if _, err := Read("cut.ply", strings.NewReader(whole[:cut])); err == nil {
				t.Errorf("%s cut after %d of %d bytes: no error", format, cut, n)
			}
			cuts++
		}
	}
	if cuts < 500 {
		t.Errorf("%d cuts", cuts)
	}
}
