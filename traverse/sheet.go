package traverse

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"slatewright/face/stream"
	"slatewright/measure"
	"slatewright/trouble"
)

// reach is the largest length that is taken, in mm: a kilometre. Larger ones are damage.
const reach = 1e6

// Column is one column of a sheet. In the file its title may carry another unit: rise_mm, "passes [in]".
type Column struct {
	Name string
	Unit string // of its numbers where the title names none: "um"; "" = the file's unit; "-" = none, plain text or numbers
	Must bool   // the column must be there
}

// Header is one header line "# key: value", its key in small letters with single spaces.
type Header struct {
	Line       int
	Key, Value string
}

// Row is one line of the sheet: its number in the file and a cell a column, "" where there is none.
type Row struct {
	Line  int
	cells []string
}

// Sheet is a sheet of readings as written: header lines, titles and rows.
type Sheet struct {
	Name     string
	Unit     measure.Unit // of the file
	Rows     []Row
	Warnings []string

	headers []Header
	columns []Column
	units   []measure.Unit // of each column
	places  []int          // of each column among the cells of the file, -1 where it is absent
	comma   bool           // numbers may have decimal commas
	mark    byte           // decimal mark seen
}

// ReadSheet reads a sheet with these columns and at most so many rows. Without a line of titles the columns stand in the order
// given, and those at the end may be missing. Errors are *trouble.Trouble with the line.
func ReadSheet(name string, r io.Reader, most int, columns ...Column) (*Sheet, error) {
	source := stream.NewSource(name, r)
	s := &Sheet{Name: name, columns: columns}
	if err := skipMark(source); err != nil {
		return nil, err
	}
	first, err := s.head(source)
	if err != nil {
		return nil, err
	}
	if err := s.unit(); err != nil {
		return nil, err
	}
	if first == "" {
		return nil, trouble.Data("no-rows", name, "the file holds no readings", "write one reading a line below the titles "+s.wanted())
	}
	separator, titled, err := s.titles(source, first)
	if err != nil {
		return nil, err
	}
	if !titled {
		if err := s.row(source, separator, first); err != nil {
			return nil, err
		}
	}
	return s, s.read(source, separator, most)
}

// At names a line of the sheet as messages do.
func (s *Sheet) At(line int) string { return stream.At(s.Name, line) }

// Warn adds a doubt that every output must show.
func (s *Sheet) Warn(line int, format string, args ...any) {
	s.Warnings = append(s.Warnings, s.At(line)+": "+fmt.Sprintf(format, args...))
}

func (s *Sheet) wanted() string {
	names := make([]string, len(s.columns))
	for i, c := range s.columns {
		names[i] = c.Name
		if c.Unit != "" && c.Unit != "-" {
			names[i] += "_" + c.Unit
		}
	}
	return strings.Join(names, ",")
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
	}
	return nil
}

// head takes the header lines and returns the first line behind them, "" at the end of the file.
func (s *Sheet) head(source *stream.Source) (string, error) {
	for {
		raw, err := source.Line()
		if err == io.EOF {
			return "", nil
		}
		if err != nil {
			return "", err
		}
		if err := s.text(source, raw); err != nil {
			return "", err
		}
		text := strings.TrimSpace(string(raw))
		if strings.HasPrefix(text, `"#`) { // a spreadsheet quotes a cell that holds a separator
			text = bare(strings.TrimRight(text, ",;\t "))
		}
		if text == "" {
			continue
		}
		if text[0] != '#' {
			return string(raw), nil
		}
		if err := s.header(text[1:], source.Lines); err != nil {
			return "", err
		}
	}
}

func (s *Sheet) text(source *stream.Source, raw []byte) error {
	if !utf8.Valid(raw) {
		return trouble.Data("encoding", s.At(source.Lines), "the line is not UTF-8 text", "save the file as UTF-8")
	}
	if strings.ContainsFunc(strings.ReplaceAll(string(raw), "\t", ""), unicode.IsControl) {
		return trouble.Data("encoding", s.At(source.Lines), "the line holds a control character", "delete it or save the file as plain text")
	}
	return nil
}

// header takes one header line without its #. A line without a colon is a remark.
func (s *Sheet) header(text string, line int) error {
	key, value, ok := strings.Cut(text, ":")
	if !ok {
		return nil
	}
	h := Header{line, strings.ToLower(strings.Join(strings.FieldsFunc(key, isGap), " ")), strings.Join(strings.Fields(value), " ")}
	h.Value = strings.TrimRight(h.Value, ",; ") // what spreadsheets put behind a line
	if h.Value == "" {
		return nil
	}
	for _, other := range s.headers {
		if other.Key == h.Key && other.Value != h.Value {
			return trouble.Data("bad-header", s.At(line), fmt.Sprintf("# %s stands here and, with another value, at line %d", h.Key, other.Line),
				"keep one of the two lines")
		}
	}
	s.headers = append(s.headers, h)
	return nil
}

func isGap(r rune) bool { return unicode.IsSpace(r) || r == '_' }

// unit reads "# unit:", which the columns without a unit of their own are in.
func (s *Sheet) unit() error {
	h, ok := s.Take("unit")
	if !ok {
		return nil
	}
	u, err := measure.ParseUnit(h.Value)
	s.Unit = u
	return s.Bad(h, err)
}

// Take returns a header line and strikes it off; ok is false when there is none.
func (s *Sheet) Take(key string) (h Header, ok bool) {
	rest := s.headers[:0]
	for _, other := range s.headers {
		if other.Key == key {
			h, ok = other, true
		} else {
			rest = append(rest, other)
		}
	}
	s.headers = rest
	return h, ok
}

// TakeAll is Take for all keys that begin with this word, in the order of the file; their keys come without it.
func (s *Sheet) TakeAll(word string) (found []Header) {
	var rest []Header
	for _, h := range s.headers {
		if name, ok := strings.CutPrefix(h.Key, word+" "); ok {
			found = append(found, Header{h.Line, name, h.Value})
		} else {
			rest = append(rest, h)
		}
	}
	s.headers = rest
	return found
}

// Rest warns of the header lines that nobody has taken. Three that a sheet may carry mean nothing to the computing.
func (s *Sheet) Rest() {
	for _, h := range s.headers {
		switch h.Key {
		case "piece", "instrument", "date":
		default:
			s.Warn(h.Line, "the key %q means nothing here", h.Key)
		}
	}
	s.headers = nil
}

// Length reads the length of a header line, with its unit or in the file's, not below 0.
func (s *Sheet) Length(h Header) (mm float64, err error) {
	mm, err = measure.ParseLength(h.Value)
	if plain, e := s.Unit.ToMM(h.Value); e == nil {
		mm, err = plain, nil
	}
	if err == nil && (mm < 0 || mm > reach) {
		err = trouble.Data("out-of-range", "", "a length from 0 to a kilometre is wanted", "correct the number or its unit")
	}
	return mm, s.Bad(h, err)
}

// Bad is the error of a header line for the reason of err; nil if there is none.
func (s *Sheet) Bad(h Header, err error) error {
	if err == nil {
		return nil
	}
	what, next := err.Error(), "correct the line"
	var known *trouble.Trouble
	if errors.As(err, &known) {
		what, next = known.What, known.Next
	}
	return trouble.Data("bad-header", s.At(h.Line), "# "+h.Key+": "+what, next).Because(err)
}

// titles finds the separator, and the columns if the line names them.
func (s *Sheet) titles(source *stream.Source, line string) (separator string, titled bool, err error) {
	separator = ","
	for _, c := range []string{";", "\t"} {
		if strings.Contains(line, c) {
			separator = c
			break
		}
	}
	s.comma = separator != ","
	cells := strings.Split(line, separator)
	s.units, s.places = make([]measure.Unit, len(s.columns)), make([]int, len(s.columns))
	for i := range s.columns {
		s.places[i], s.units[i] = -1, s.unitOf(s.columns[i])
	}
	if !s.anyTitle(cells) {
		for i := range min(len(cells), len(s.columns)) {
			s.places[i] = i
		}
		if len(cells) > len(s.columns) {
			return "", false, s.wrongCount(source.Lines, len(cells))
		}
		return separator, false, s.complete(source.Lines)
	}
	for place, cell := range cells {
		if bare(cell) == "" && place >= len(s.columns) {
			continue
		}
		if err := s.title(source.Lines, place, cell); err != nil {
			return "", false, err
		}
	}
	return separator, true, s.complete(source.Lines)
}

func (s *Sheet) unitOf(c Column) measure.Unit {
	if u, err := measure.ParseUnit(c.Unit); err == nil {
		return u
	}
	return s.Unit
}

// anyTitle tells whether a line is the titles: one of its cells names a column.
func (s *Sheet) anyTitle(cells []string) bool {
	for _, cell := range cells {
		if i, _ := s.find(cell); i >= 0 {
			return true
		}
	}
	return false
}

// find returns the column that a title names, -1 for none, and the unit in the title.
func (s *Sheet) find(cell string) (column int, unit string) {
	words := strings.FieldsFunc(strings.ToLower(bare(cell)), func(r rune) bool { return strings.ContainsRune(" _[]()", r) })
	if len(words) == 0 || len(words) > 2 {
		return -1, ""
	}
	for i, c := range s.columns {
		if c.Name == words[0] {
			if len(words) == 2 {
				unit = words[1]
			}
			return i, unit
		}
	}
	return -1, ""
}

func (s *Sheet) title(line, place int, cell string) error {
	i, unit := s.find(cell)
	if i < 0 {
		return trouble.Data("bad-title", s.At(line), fmt.Sprintf("there is no column %q", bare(cell)), "the columns are "+s.wanted())
	}
	if s.places[i] >= 0 {
		return trouble.Data("bad-title", s.At(line), fmt.Sprintf("the column %q stands twice", s.columns[i].Name), "delete one of the two")
	}
	s.places[i] = place
	if unit == "" {
		return nil
	}
	u, err := measure.ParseUnit(unit)
	if err != nil || s.columns[i].Unit == "-" {
		return trouble.Data("bad-title", s.At(line), fmt.Sprintf("%q is no unit for the column %q", unit, s.columns[i].Name),
			"write a unit of length, as in "+s.wanted())
	}
	s.units[i] = u
	return nil
}

// complete refuses a sheet that lacks a column which must be there.
func (s *Sheet) complete(line int) error {
	for i, c := range s.columns {
		if c.Must && s.places[i] < 0 {
			return trouble.Data("columns", s.At(line), fmt.Sprintf("there is no column %q", c.Name), "the columns are "+s.wanted())
		}
	}
	return nil
}

func (s *Sheet) wrongCount(line, n int) error {
	return trouble.Data("columns", s.At(line), trouble.Count(n, "column", "columns")+" do not fit "+s.wanted(),
		"write one reading a line; if numbers have decimal commas, put semicolons between the columns")
}

// read takes the rows.
func (s *Sheet) read(source *stream.Source, separator string, most int) error {
	for {
		raw, err := source.Line()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if err := s.text(source, raw); err != nil {
			return err
		}
		if err := s.row(source, separator, string(raw)); err != nil {
			return err
		}
		if len(s.Rows) > most {
			return trouble.Data("too-many-rows", s.At(source.Lines), fmt.Sprintf("more than %d readings", most), "part the sheet")
		}
	}
	if len(s.Rows) == 0 {
		return trouble.Data("no-rows", s.Name, "the file holds no readings", "write one reading a line below the titles "+s.wanted())
	}
	return nil
}

func (s *Sheet) row(source *stream.Source, separator, text string) error {
	if strings.Trim(text, " \t,;") == "" {
		return nil
	}
	line := source.Lines
	if strings.HasPrefix(strings.TrimSpace(text), "#") {
		return trouble.Data("late-header", s.At(line), "a header line stands behind the first reading",
			"put all # lines above the readings; if two files were joined, part them")
	}
	cells := strings.Split(text, separator)
	width := 0
	for _, p := range s.places {
		width = max(width, p+1)
	}
	for _, extra := range cells[min(width, len(cells)):] {
		if bare(extra) != "" {
			return s.wrongCount(line, len(cells))
		}
	}
	row := Row{Line: line, cells: make([]string, len(s.columns))}
	for i, p := range s.places {
		if p >= 0 && p < len(cells) {
			row.cells[i] = bare(cells[p])
		}
	}
	s.Rows = append(s.Rows, row)
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

// Has tells whether the file has the column.
func (s *Sheet) Has(column int) bool { return s.places[column] >= 0 }

// Text is a cell as written, "" where it is empty or absent.
func (s *Sheet) Text(row, column int) string { return s.Rows[row].cells[column] }

// Number reads a cell: a length in mm, or a plain number in a column without unit. There is none (ok is false) where the cell is
// empty, absent or NaN.
func (s *Sheet) Number(row, column int) (v float64, ok bool, err error) {
	r, c := s.Rows[row], s.columns[column]
	cell := r.cells[column]
	if cell == "" || strings.EqualFold(cell, "nan") {
		return 0, false, nil
	}
	if err := s.sameMark(r.Line, cell); err != nil {
		return 0, false, err
	}
	plain := cell
	if s.comma {
		plain = strings.Replace(cell, ",", ".", 1)
	}
	if c.Unit == "-" {
		v, err = measure.ParseNumber(plain)
	} else {
		v, err = s.units[column].ToMM(plain)
	}
	if err != nil {
		return 0, false, trouble.Data("bad-number", s.At(r.Line), fmt.Sprintf("%s = %q is not a number", c.Name, cell),
			"write a plain number such as -12.5, without unit or spaces; its unit stands in the title")
	}
	if math.Abs(v) > reach {
		return 0, false, trouble.Data("too-large", s.At(r.Line), fmt.Sprintf("%s = %s is more than a kilometre", c.Name, cell), "correct the number or its unit")
	}
	return v, true, nil
}

// sameMark refuses a file with decimal points and decimal commas: one of them may part thousands.
func (s *Sheet) sameMark(line int, cell string) error {
	i := strings.IndexAny(cell, ".,")
	if !s.comma || i < 0 {
		return nil
	}
	if s.mark != 0 && s.mark != cell[i] {
		return trouble.Data("decimal-mark", s.At(line), "the file has decimal points and decimal commas: one of them may part thousands",
			"write all numbers with the same decimal mark and no mark between thousands")
	}
	s.mark = cell[i]
	return nil
}

// Place reads the two columns of a place.
func (s *Sheet) Place(row, x, y int) ([2]float64, error) {
	var at [2]float64
	for k, column := range [2]int{x, y} {
		v, ok, err := s.Number(row, column)
		if err != nil {
			return at, err
		}
		if !ok {
			return at, trouble.Data("no-place", s.At(s.Rows[row].Line), "a reading without its place: "+s.columns[column].Name+" is empty",
				"fill it in, or delete the line")
		}
		at[k] = v
	}
	return at, nil
}
