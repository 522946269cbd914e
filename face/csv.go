package face

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"slatewright/face/stream"
	"slatewright/measure"
	"slatewright/trouble"
)

// A table is what the head of a CSV file settles about its rows.
type table struct {
	unit      measure.Unit
	separator byte
	columns   int // 3, or 4 with the row marks
}

// decimalComma tells whether a comma may be a decimal mark.
func (t *table) decimalComma() bool { return t.separator != ',' }

const columnsHow = "write one reading a line as x,y,z, with a fourth column row only for joint rows; " +
	"if numbers have decimal commas, put semicolons between the columns"

func readCSV(s *stream.Source) (*Face, error) {
	if err := skipMark(s); err != nil {
		return nil, err
	}
	h := heading{Header: Header{Name: s.Name}}
	first, err := headOf(s, &h)
	if err != nil {
		return nil, err
	}
	if err := h.read(); err != nil {
		return nil, err
	}
	t := table{unit: h.Unit}
	var rows io.Reader = s
	if titled, err := t.titles(&h, s, first); err != nil {
		return nil, err
	} else if !titled && first != nil {
		s.Lines--
		row := string(first)
		if !s.Torn {
			row += "\n"
		}
		rows = io.MultiReader(strings.NewReader(row), s)
	}
	return t.read(s, rows, &h)
}

// skipMark takes off a byte order mark, and refuses what is no text in UTF-8.
func skipMark(s *stream.Source) error {
	start, _ := s.Peek(4)
	switch {
	case bytes.HasPrefix(start, []byte("\xef\xbb\xbf")):
		_, err := s.Discard(3)
		return err
	case bytes.HasPrefix(start, []byte("\xff\xfe")), bytes.HasPrefix(start, []byte("\xfe\xff")):
		return trouble.Data("encoding", stream.At(s.Name, 1), "the file is UTF-16 text", "save it as UTF-8")
	case bytes.HasPrefix(start, []byte("PK\x03\x04")):
		return trouble.Data("encoding", stream.At(s.Name, 1), "the file is a spreadsheet workbook or a zip archive, not CSV",
			"save the sheet as CSV, or unpack the archive")
	case bytes.HasPrefix(start, []byte("\x1f\x8b")):
		return trouble.Data("encoding", stream.At(s.Name, 1), "the file is compressed", "unpack it with gunzip")
	}
	return nil
}

// headOf takes the header lines and returns the first line behind them, nil at the end of the file.
func headOf(s *stream.Source, h *heading) ([]byte, error) {
	for {
		text, err := s.Line()
		if err == io.EOF {
			return nil, nil
		}
		if err != nil {
			return nil, err
		}
		trimmed := bytes.TrimSpace(text)
		if bytes.HasPrefix(trimmed, []byte(`"#`)) { // a spreadsheet quotes a cell that holds a separator
			trimmed = []byte(bare(strings.TrimRight(string(trimmed), ",;\t ")))
		}
		switch {
		case len(trimmed) == 0:
		case trimmed[0] != '#':
			return text, nil
		default:
			if err := h.add(string(trimmed[1:]), s.Lines); err != nil {
				return nil, err
			}
		}
	}
}

// titles finds the separator and the number of columns from the first line, and tells whether that line is the titles.
func (t *table) titles(h *heading, s *stream.Source, first []byte) (bool, error) {
	line := string(first)
	t.separator = ','
	for _, c := range []byte(";\t") {
		if strings.IndexByte(line, c) >= 0 {
			t.separator = c
			break
		}
	}
	cells := strings.Split(line, string(rune(t.separator)))
	t.columns = len(cells)
	if first == nil {
		t.columns = 3
		return false, nil
	}
	if t.columns != 3 && t.columns != 4 {
		return false, trouble.Data("columns", stream.At(s.Name, s.Lines), fmt.Sprintf("the line has %d column(s) instead of 3 or 4", t.columns), columnsHow)
	}
	if !isTitle(cells[0]) {
		return false, nil
	}
	for i, cell := range cells {
		name, unit := titleOf(cell)
		if want := [...]string{"x", "y", "z", "row"}[i]; name != want {
			return false, trouble.Data("bad-title", stream.At(s.Name, s.Lines), fmt.Sprintf("the title of column %d is %q instead of %q", i+1, name, want),
				"put the columns in the order x,y,z or x,y,z,row")
		}
		if u, ok := unitOf(unit); unit != "" && (!ok || u != h.Unit) {
			return false, trouble.Data("mixed-units", stream.At(s.Name, s.Lines),
				fmt.Sprintf("the title of column %s says %q and the file's unit is %s", name, unit, h.Unit.String()),
				"a file has one unit: name it in a '# unit:' line and convert every column to it")
		}
	}
	return true, nil
}

func isTitle(cell string) bool {
	cell = bare(cell)
	letter, _ := utf8.DecodeRuneInString(cell)
	_, _, f := careful(cell, false, measure.MM)
	return unicode.IsLetter(letter) && f == noNumber
}

// titleOf splits titles such as "x", "X [mm]", "z (µm)" and "y_mm".
func titleOf(cell string) (name, unit string) {
	cell = bare(cell)
	n := strings.IndexAny(cell, " _[(")
	if n < 0 {
		return strings.ToLower(cell), ""
	}
	return strings.ToLower(cell[:n]), strings.Trim(cell[n:], " _[]()")
}

// read reads the rows and finishes the face.
func (t *table) read(s *stream.Source, rows io.Reader, h *heading) (*Face, error) {
	var all readings
	where := linesOf(s.Name, s.Lines)
	merge := func(b *block) error {
		if all.records == 0 && s.Size > 0 && len(b.Text) > 0 {
			all.reserve(int64(float64(len(b.Fruit.z)) / float64(len(b.Text)) * float64(s.Size) * 1.02)) // rows differ in length by little
		}
		if f := all.merge(&b.Fruit); f != nil {
			return f.at(where)
		}
		if b.Torn && t.shortened(b.Text) {
			h.warnings = append(h.warnings, where(all.records)+
				": the last line has no line end and fewer digits than the line before: it may be cut; check it against the instrument")
		}
		return nil
	}
	if _, err := stream.InOrder(rows, true, stream.WholeLines, t.block, merge); err != nil {
		return nil, stream.Stopped(err, where(all.records+1))
	}
	if point, comma := all.marks[0], all.marks[1]; point > 0 && comma > 0 {
		return nil, trouble.Data("decimal-mark", where(max(point, comma)),
			fmt.Sprintf("a decimal comma stands here or at line %d, and a point in the other: one of them may part thousands", s.Lines+min(point, comma)),
			"write all numbers with the same decimal mark and no mark between thousands")
	}
	return h.face(&all, where)
}

// block reads the rows of one block.
func (t *table) block(b *block) {
	text, comma, r := b.Text, t.decimalComma(), &b.Fruit
	r.reset()
	r.reserve(int64(len(text) / 24)) // a usual length of a row; longer or shorter ones do no harm
	for p := 0; p < len(text); {
		r.records++
		if end := t.plainRow(r, text, p, comma); end > p {
			p = end
			continue
		}
		end := p + bytes.IndexByte(text[p:], '\n')
		gaps := r.gaps
		f := t.row(r, string(stream.TrimLineEnd(text[p:end+1])))
		p = end + 1
		if b.Torn && p == len(text) && (f != nil || r.gaps > gaps) {
			f = tornLine(f)
		}
		if f != nil {
			r.stop(f)
			return
		}
	}
}

// tornLine is the fault of a last line without a line end that is no whole reading, for the reason of f or because z is missing.
func tornLine(f *fault) *fault {
	reason := "z is missing"
	if f != nil {
		reason = f.what
	}
	return &fault{code: "truncated", what: "the last line seems cut: it has no line end, and " + reason,
		next: "export or copy the file again; if nothing is missing, correct the line and end it with a line end"}
}

// plainRow reads the row at p if it is three plain numbers (with an empty fourth cell where there are four columns) and
// returns the start of the next row; otherwise it returns p and row must read it.
func (t *table) plainRow(r *readings, text []byte, p int, comma bool) int {
	var v [3]float64
	q := p
	for i := range v {
		for text[q] == ' ' {
			q++
		}
		mm, end, mark := plain(text, q, comma, t.unit)
		if end == q {
			return p
		}
		if comma && mark != 0 {
			r.sawMark(mark)
		}
		v[i], q = mm, end
		if i < 2 || t.columns == 4 {
			if text[q] != t.separator {
				return p
			}
			q++
		}
	}
	if text[q] == '\r' {
		q++
	}
	if text[q] != '\n' {
		return p
	}
	r.take(r.records, v[0], v[1], v[2])
	return q + 1
}

func (r *readings) sawMark(mark byte) {
	i := 0
	if mark == ',' {
		i = 1
	}
	if r.marks[i] == 0 {
		r.marks[i] = r.records
	}
}

// row reads one row of any form.
func (t *table) row(r *readings, line string) *fault {
	if strings.Trim(line, " \t,;") == "" {
		return nil
	}
	if line[0] == '#' {
		return &fault{code: "late-header", what: "a header line stands behind the first reading",
			next: "put all # lines above the readings; if two files were joined, part them"}
	}
	cells := strings.Split(line, string(rune(t.separator)))
	if len(cells) != t.columns {
		return &fault{code: "columns", what: fmt.Sprintf("%s instead of %d as in the first line", trouble.Count(len(cells), "column", "columns"), t.columns), next: columnsHow}
	}
	var v [3]float64
	var absent [3]bool
	for i := range v {
		cell := bare(cells[i])
		mm, mark, form := careful(cell, t.decimalComma(), t.unit)
		if f := form.fault("xyz"[i], cell); f != nil {
			return f
		}
		if t.decimalComma() && mark != 0 {
			r.sawMark(mark)
		}
		v[i], absent[i] = mm, form == missing
	}
	mark := NoRow
	if t.columns == 4 {
		var ok bool
		if mark, ok = rowOf(cells[3]); !ok {
			return &fault{code: "bad-row", what: fmt.Sprintf("%q is no row mark", bare(cells[3])),
				next: "write joint+ (along the +x edge), joint- (along the −x edge) or nothing"}
		}
	}
	return r.place(v, absent, mark)
}

// place takes a reading that may have gaps.
func (r *readings) place(v [3]float64, absent [3]bool, mark Row) *fault {
	switch {
	case absent[2]:
		r.leaveOut(r.records)
	case absent[0] || absent[1]:
		return &fault{code: "no-place", what: "a reading without its place: x or y is empty or NaN", next: "fill in x and y, or delete the line"}
	default:
		r.take(r.records, v[0], v[1], v[2])
		r.mark(mark)
	}
	return nil
}

// bare takes off the blanks around a cell, and the quotes that some programs put around every text.
func bare(cell string) string {
	cell = strings.TrimSpace(cell)
	if n := len(cell); n >= 2 && cell[0] == '"' && cell[n-1] == '"' {
		cell = strings.TrimSpace(strings.ReplaceAll(cell[1:n-1], `""`, `"`))
	}
	return cell
}

func rowOf(cell string) (Row, bool) {
	switch strings.Replace(strings.ToLower(bare(cell)), "−", "-", 1) {
	case "":
		return NoRow, true
	case "joint+":
		return JointPlus, true
	case "joint-":
		return JointMinus, true
	}
	return NoRow, false
}

// fault returns what is wrong with a cell of this form, nil if it is a number or missing.
func (f form) fault(axis byte, cell string) *fault {
	switch f {
	case infinite:
		return &fault{code: "infinite", what: fmt.Sprintf("%c is infinite", axis), next: "delete the line, or leave z empty where there is no reading"}
	case tooLarge:
		return &fault{code: "too-large", what: fmt.Sprintf("%c = %s is more than a kilometre", axis, cell), next: "correct the number, or the '# unit:' line"}
	case noNumber:
		next := "write a plain number such as -12.345, without unit or spaces; leave z empty where there is no reading"
		if _, ok := unitOf(cell); ok {
			next = "name the unit in a '# unit:' line and delete this line"
		}
		return &fault{code: "bad-number", what: fmt.Sprintf("%c = %q is not a number", axis, cell), next: next}
	}
	return nil
}

// shortened tells whether the last line has fewer decimals in its z than the line before it.
func (t *table) shortened(text []byte) bool {
	text = bytes.TrimSuffix(text, []byte("\n"))
	n := bytes.LastIndexByte(text, '\n')
	if n < 0 {
		return false
	}
	before := bytes.TrimRight(text[:n], "\r")
	before = before[bytes.LastIndexByte(before, '\n')+1:]
	return t.decimals(text[n+1:]) < t.decimals(before)
}

func (t *table) decimals(line []byte) int {
	cell := line[bytes.LastIndexByte(line, t.separator)+1:]
	if i := bytes.IndexAny(cell, ".,"); i >= 0 {
		return len(cell) - i
	}
	return 0
}
