// Package sheet reads the small lists that questions come in: header lines "# key: value", one line of titles, rows.
//
// It checks the form and finds columns, numbers and lengths with their place in the file; what they mean is the caller's affair. It is not for
// the readings of a face (package face), and holds a file in memory.
package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"slatewright/measure"
	"slatewright/trouble"
)

// What a file may hold at most: lists that people write are far smaller.
const (
	mostBytes = 4 << 20
	mostRows  = 50000
	reach     = 1e9 // the largest number
)

// Head is one header line; its key is in small letters, words parted by single blanks.
type Head struct {
	Key, Value string
	Line       int
}

// Row is one line below the titles, a cell a title.
type Row struct {
	Line  int
	Cells []string
}

// Column is a place among the titles and the unit behind its name: value_mm, value [mm].
type Column struct {
	Name, Unit string
	place      int
}

// Sheet is a list as written.
type Sheet struct {
	Name  string
	Rows  []Row
	heads []Head
	title []Column
	line  int  // of the titles
	comma bool // numbers may have decimal commas
}

// Read reads a list. Errors are *trouble.Trouble with file and line.
func Read(name string, r io.Reader) (*Sheet, error) {
	text, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil {
		return nil, trouble.IO("unreadable", name, "the file cannot be read: "+err.Error(), "check the file and its medium").Because(err)
	}
	s := &Sheet{Name: name}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	switch {
	case len(text) > mostBytes:
		return nil, trouble.Data("too-large", name, "the file is larger than 4 MB", "give the list of one question only")
	case !utf8.Valid(text):
		return nil, trouble.Data("encoding", name, "the file is not UTF-8 text", "save it as UTF-8 CSV")
	}
	rest, err := s.header(text)
	if err != nil {
		return nil, err
	}
	return s, s.table(rest)
}

// header takes the header lines and returns what follows.
func (s *Sheet) header(text []byte) ([]byte, error) {
	for line := 1; len(text) > 0; line++ {
		first, rest, _ := bytes.Cut(text, []byte("\n"))
		words := strings.TrimSpace(string(first))
		if strings.HasPrefix(words, `"#`) { // a spreadsheet quotes a cell that holds a separator
			words = strings.ReplaceAll(strings.Trim(strings.TrimRight(words, ",;\t "), `"`), `""`, `"`)
		}
		if words != "" && words[0] != '#' {
			s.line = line
			return text, nil
		}
		if key, value, ok := strings.Cut(strings.TrimPrefix(words, "#"), ":"); ok && words != "" {
			h := Head{Key(key), strings.TrimSpace(strings.TrimRight(value, ",;\t ")), line}
			if strings.ContainsFunc(h.Key+h.Value, unicode.IsControl) {
				return nil, s.Bad(line, "bad-header", "the line holds a control character", "delete it or save the file as plain text")
			}
			if h.Value != "" {
				s.heads = append(s.heads, h)
			}
		}
		text = rest
	}
	return nil, nil
}

// Key is a key or a title in the form that is compared: small letters, words parted by single blanks.
func Key(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return unicode.IsSpace(r) || r == '_' }), " ")
}

// table reads titles and rows.
func (s *Sheet) table(text []byte) error {
	if len(text) == 0 {
		return trouble.Data("no-rows", s.Name, "the file holds no list", "write a line of titles and one row a line below it")
	}
	titles, _, _ := bytes.Cut(text, []byte("\n"))
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord, r.LazyQuotes, r.TrimLeadingSpace = -1, true, true
	for _, mark := range ";\t" {
		if bytes.ContainsRune(titles, mark) {
			r.Comma, s.comma = mark, true
			break
		}
	}
	before := s.line - 1
	for {
		cells, err := r.Read()
		if err == io.EOF {
			break
		}
		var wrong *csv.ParseError
		if errors.As(err, &wrong) {
			return s.Bad(before+wrong.Line, "bad-row", "the line cannot be read: "+wrong.Err.Error(), "look at its quotes").Because(err)
		}
		line, _ := r.FieldPos(0)
		if err := s.take(cells, before+line); err != nil {
			return err
		}
	}
	if len(s.Rows) == 0 {
		return trouble.Data("no-rows", s.Name, "there is no row below the titles", "write one row a line")
	}
	return nil
}

// take keeps one record: the titles first, then rows.
func (s *Sheet) take(cells []string, line int) error {
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
		if strings.ContainsFunc(cells[i], unicode.IsControl) {
			return s.Bad(line, "bad-row", "a cell holds a control character", "delete it or save the file as plain text")
		}
	}
	last := len(cells)
	for last > 0 && cells[last-1] == "" {
		last--
	}
	switch {
	case last == 0:
		return nil
	case strings.HasPrefix(cells[0], "#"):
		return s.Bad(line, "late-header", "a header line stands below the titles", "put all # lines above them; if two files were joined, part them")
	case s.title == nil:
		for i, c := range cells[:last] {
			s.title = append(s.title, titled(c, i))
		}
		return nil
	case last > len(s.title):
		return s.Bad(line, "columns", fmt.Sprintf("%d cells below %s", last, trouble.Count(len(s.title), "title", "titles")),
			"if numbers have decimal commas, put semicolons between the columns")
	case len(s.Rows) >= mostRows:
		return s.Bad(line, "too-many-rows", fmt.Sprintf("more than %d rows", mostRows), "give the list of one question only")
	}
	row := Row{line, make([]string, len(s.title))}
	copy(row.Cells, cells[:last])
	s.Rows = append(s.Rows, row)
	return nil
}

// titled parts a title from its unit: the last word, where it is one.
func titled(cell string, place int) Column {
	words := strings.Fields(strings.NewReplacer("[", " ", "]", " ", "(", " ", ")", " ").Replace(Key(cell)))
	if n := len(words); n > 1 {
		if _, err := measure.ParseUnit(words[n-1]); err == nil {
			return Column{strings.Join(words[:n-1], " "), words[n-1], place}
		}
	}
	return Column{strings.Join(words, " "), "", place}
}

// Bad is trouble with a line of the file.
func (s *Sheet) Bad(line int, code, what, next string) *trouble.Trouble {
	return trouble.Data(code, s.Name+":"+strconv.Itoa(line), what, next)
}

// Has finds a column by its name.
func (s *Sheet) Has(name string) (Column, bool) {
	i := slices.IndexFunc(s.title, func(c Column) bool { return c.Name == name })
	if i < 0 {
		return Column{}, false
	}
	return s.title[i], true
}

// Columns finds columns that must be there, and refuses titles that stand twice or that nobody knows; those in optional may be missing.
func (s *Sheet) Columns(must []string, optional ...string) (map[string]Column, error) {
	found := map[string]Column{}
	wanted := strings.Join(append(slices.Clone(must), optional...), ",")
	for _, c := range s.title {
		if _, twice := found[c.Name]; twice {
			return nil, s.Bad(s.line, "bad-title", fmt.Sprintf("the title %q stands twice", c.Name), "delete one of the two columns")
		}
		if !slices.Contains(must, c.Name) && !slices.Contains(optional, c.Name) {
			return nil, s.Bad(s.line, "bad-title", fmt.Sprintf("there is no column %q", c.Name), "the titles are "+wanted)
		}
		found[c.Name] = c
	}
	for _, name := range must {
		if _, ok := found[name]; !ok {
			return nil, s.Bad(s.line, "columns", fmt.Sprintf("there is no column %q", name), "the titles are "+wanted)
		}
	}
	return found, nil
}

// Text is a cell as written.
func (r Row) Text(c Column) string {
	if c.Name == "" {
		return ""
	}
	return r.Cells[c.place]
}

// Number reads a cell that must hold a plain number.
func (s *Sheet) Number(r Row, c Column) (float64, error) {
	v, err := measure.ParseNumber(s.decimal(r.Text(c)))
	if err != nil || math.Abs(v) > reach {
		return 0, s.Bad(r.Line, "bad-number", fmt.Sprintf("%s = %q is not a number", c.Name, r.Text(c)), "write a plain number such as -12.5")
	}
	return v, nil
}

// Length reads a cell that must hold a length: in the unit of its title, with its own, or in mm.
func (s *Sheet) Length(r Row, c Column) (mm float64, err error) {
	unit := measure.MM
	if c.Unit != "" {
		if unit, err = measure.ParseUnit(c.Unit); err != nil {
			return 0, s.Bad(s.line, "bad-title", "there is no unit "+c.Unit, "write a unit of length")
		}
	}
	text := s.decimal(r.Text(c))
	if mm, err = unit.ToMM(text); err != nil {
		mm, err = measure.ParseLength(text)
	}
	if err != nil || math.Abs(mm) > reach {
		return 0, s.Bad(r.Line, "bad-number", fmt.Sprintf("%s = %q is not a length", c.Name, r.Text(c)), "write a number such as 0.125; its unit stands in the title")
	}
	return mm, nil
}

// decimal turns a decimal comma into a point where the columns are not parted by commas.
func (s *Sheet) decimal(text string) string {
	if s.comma && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		return strings.Replace(text, ",", ".", 1)
	}
	return text
}

// Take returns the header line of a key and strikes it off; ok is false where there is none. The same key twice is refused.
func (s *Sheet) Take(key string) (h Head, ok bool, err error) {
	all := s.TakeAll(key)
	if len(all) == 0 {
		return h, false, nil
	}
	if len(all) > 1 {
		return h, false, s.Bad(all[1].Line, "bad-header", fmt.Sprintf("# %s stands here and at line %d", key, all[0].Line), "keep one of the two lines")
	}
	return all[0], true, nil
}

// TakeAll returns all header lines of a key and strikes them off.
func (s *Sheet) TakeAll(key string) (found []Head) {
	s.heads = slices.DeleteFunc(s.heads, func(h Head) bool {
		if h.Key == key {
			found = append(found, h)
		}
		return h.Key == key
	})
	return found
}

// TakeNumber is Take for a number not below 0.
func (s *Sheet) TakeNumber(key string) (v float64, ok bool, err error) {
	h, ok, err := s.Take(key)
	if !ok || err != nil {
		return 0, false, err
	}
	v, err = measure.ParseNumber(h.Value)
	if err != nil || v < 0 || v > reach {
		return 0, false, s.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q is not a number of 0 or more", key, h.Value), "write a plain number")
	}
	return v, true, nil
}

// TakeLength is Take for a length with its unit, not below 0.
func (s *Sheet) TakeLength(key string) (mm float64, ok bool, err error) {
	h, ok, err := s.Take(key)
	if !ok || err != nil {
		return 0, false, err
	}
	mm, err = measure.ParseLength(h.Value)
	if err != nil || mm < 0 || mm > reach {
		return 0, false, s.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q is not a length", key, h.Value), "write a number and its unit, such as 0.25 mm")
	}
	return mm, true, nil
}

// Rest warns of header lines that nobody has taken; a few may stand in any list and mean nothing to the computing.
func (s *Sheet) Rest() (warnings []string) {
	for _, h := range s.heads {
		if !slices.Contains([]string{"title", "date", "note", "name", "by", "piece", "instrument"}, h.Key) {
			warnings = append(warnings, fmt.Sprintf("%s:%d: the key %q means nothing here", s.Name, h.Line, h.Key))
		}
	}
	return warnings
}
