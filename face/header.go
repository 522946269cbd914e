package face

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"slatewright/face/stream"
	"slatewright/measure"
	"slatewright/trouble"
)

// An entry is one header line: what stands behind the # of a CSV file or behind the word comment of a PLY file.
type entry struct {
	line       int
	key, value string // key "" = remark
}

// A heading collects the entries of a file and then gives them their meaning.
type heading struct {
	Header
	entries  []entry
	lines    map[string]int // line of each key that stands once
	warnings []string
}

func (h *heading) warn(line int, format string, args ...any) {
	h.warnings = append(h.warnings, stream.At(h.Name, line)+": "+fmt.Sprintf(format, args...))
}

// bad returns the error of an entry: err says what is wrong, and next what to do where err does not.
func (h *heading) bad(e entry, err error, next string) error {
	what := err.Error()
	var known *trouble.Trouble
	if errors.As(err, &known) {
		what, next = known.What, known.Next
	}
	return trouble.Data("bad-header", stream.At(h.Name, e.line), "# "+e.key+": "+what, next).Because(err)
}

// A keyword is a header key with a meaning. One that repeats may stand several times.
type keyword struct {
	name    string
	repeats bool
	read    func(h *heading, e entry) error
}

// keywords stand in the order in which they are read, wherever they are in the file: the unit, the size and the origin come before
// the lengths and places that depend on them.
func keywords() []keyword {
	return []keyword{
		{"piece", false, func(h *heading, e entry) error { h.Piece = e.value; return nil }},
		{"unit", false, (*heading).unit},
		{"size", false, (*heading).size},
		{"face", false, (*heading).side},
		{"origin", false, (*heading).origin},
		{"turn", false, (*heading).turn},
		{"zero", false, (*heading).zero},
		{"frame", false, (*heading).frame},
		{"support", false, (*heading).support},
		{"instrument", false, func(h *heading, e entry) error { h.Instrument = e.value; return nil }},
		{"u", false, (*heading).uncertainty},
		{"temperature", false, (*heading).temperature},
		{"dry_since", false, func(h *heading, e entry) error { return h.day(e, &h.DrySince) }},
		{"date", false, func(h *heading, e entry) error { return h.day(e, &h.Date) }},
		{"thickness", true, func(h *heading, e entry) error { return h.caliper(e, &h.Header.Thickness) }},
		{"lined", true, func(h *heading, e entry) error { return h.caliper(e, &h.Lined) }},
	}
}

// add takes one header line, without its # or comment.
func (h *heading) add(text string, line int) error {
	if !utf8.ValidString(text) {
		text = fromLatin1(text)
		h.warn(line, "the line is not UTF-8 and was read as Latin-1; save the file as UTF-8")
	}
	e := entry{line: line, value: clean(text)}
	if strings.ContainsFunc(e.value, unicode.IsControl) {
		return trouble.Data("bad-header", stream.At(h.Name, line), "the line holds a control character", "delete it or save the file as plain text")
	}
	if key, value, ok := strings.Cut(e.value, ":"); ok {
		if name := keyName(key); name != "" {
			e.key, e.value = name, strings.TrimSpace(value)
		}
	}
	if e.key != "" || e.value != "" {
		h.entries = append(h.entries, e)
	}
	return nil
}

// clean makes runs of space one space and takes off what spreadsheets put behind a line: separators.
func clean(text string) string {
	return strings.TrimRight(strings.Join(strings.Fields(text), " "), ",; ")
}

func fromLatin1(text string) string {
	var out []rune
	for _, b := range []byte(text) {
		out = append(out, rune(b))
	}
	return string(out)
}

// keyName returns the key that text names: a known key in any case and with space or hyphen for the underscore, or one
// word as written; "" for anything else.
func keyName(text string) string {
	text = strings.TrimSpace(text)
	low := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(text))
	if slices.ContainsFunc(keywords(), func(k keyword) bool { return k.name == low }) {
		return low
	}
	if text == "" || strings.ContainsFunc(text, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' && r != '-' && r != '.'
	}) {
		return ""
	}
	return text
}

// read gives the collected entries their meaning.
func (h *heading) read() error {
	h.Unit, h.lines = measure.MM, map[string]int{}
	known := keywords()
	for _, k := range known {
		if err := h.readKey(k); err != nil {
			return err
		}
	}
	h.readOther(known)
	if h.DrySince != "" && h.Date != "" && h.DrySince > h.Date {
		h.warn(h.lines["dry_since"], "the piece is dry since %s and was read before that, on %s: wet stone moves as it dries", h.DrySince, h.Date)
	}
	return nil
}

func (h *heading) readKey(k keyword) error {
	var first *entry
	for i := range h.entries {
		e := &h.entries[i]
		switch {
		case e.key != k.name:
			continue
		case e.value == "":
			h.warn(e.line, "# %s: has no value and counts as not given", k.name)
			continue
		case first != nil && !k.repeats && first.value == e.value:
			continue
		case first != nil && !k.repeats:
			return h.twice(*first, *e)
		}
		first = e
		h.lines[k.name] = e.line
		if err := k.read(h, *e); err != nil {
			return err
		}
	}
	return nil
}

func (h *heading) twice(first, second entry) error {
	code, next := "twice", fmt.Sprintf("keep the right one of lines %d and %d", first.line, second.line)
	if first.key == "unit" {
		code, next = "mixed-units", "a file has one unit: convert the readings to it and keep one '# unit:' line"
	}
	return trouble.Data(code, stream.At(h.Name, second.line),
		fmt.Sprintf("# %s: is %q here and %q at line %d", first.key, second.value, first.value, first.line), next)
}

func (h *heading) readOther(known []keyword) {
	for _, e := range h.entries {
		if slices.ContainsFunc(known, func(k keyword) bool { return k.name == e.key }) {
			continue
		}
		h.Other = append(h.Other, KeyValue{e.key, e.value})
		if e.key == "" {
			continue
		}
		like := ""
		for _, k := range known {
			if len(k.name) > 3 && editDistance(k.name, strings.ToLower(e.key)) <= 2 {
				like = fmt.Sprintf(" (is %q meant?)", k.name)
			}
		}
		h.warn(e.line, "the key %q is not known%s; it is kept and not used", e.key, like)
	}
}

func (h *heading) unit(e entry) error {
	u, ok := unitOf(e.value)
	if !ok {
		return trouble.Data("bad-header", stream.At(h.Name, e.line), fmt.Sprintf("# unit: %q is not a unit of length", e.value),
			"write mm, µm, in or thou")
	}
	h.Unit = u
	return nil
}

// Sizes outside these, in mm, are taken for a wrong unit or a slip: a whole bed is 3.7 m at most (common practice, no source).
const (
	smallest = 10
	largest  = 10000
)

func (h *heading) size(e entry) error {
	const next = "write the size along x by the size along y, such as '# size: 914 x 1473 mm'"
	text := e.value
	if strings.IndexFunc(strings.TrimLeft(text, "0123456789., xX×"), isUnitRune) < 0 {
		text += " " + h.Unit.String()
	}
	x, y, err := measure.ParseSize(text)
	if err != nil {
		return h.bad(e, err, next)
	}
	if !(min(x, y) >= smallest && max(x, y) <= largest) {
		return h.bad(e, fmt.Errorf("%s x %s mm is no size of a piece of slate", decimal(x), decimal(y)), next)
	}
	h.SizeX, h.SizeY = x, y
	return nil
}

func (h *heading) side(e entry) error {
	switch strings.ToLower(e.value) {
	case "top":
		h.Side = Top
	case "bottom":
		h.Side = Bottom
	default:
		return h.bad(e, fmt.Errorf("%q is not a face", e.value), "write top (the playing face) or bottom")
	}
	return nil
}

func (h *heading) origin(e entry) error {
	switch strings.ToLower(e.value) {
	case "middle":
		h.Origin = Middle
	case "corner":
		h.Origin = Corner
	default:
		return h.bad(e, fmt.Errorf("%q is not an origin", e.value), "write middle, or corner for the one at −x and −y")
	}
	return nil
}

func (h *heading) turn(e entry) error {
	switch strings.ToLower(e.value) {
	case "fixed":
		h.TurnFixed = true
	case "free":
	default:
		return h.bad(e, fmt.Errorf("%q is not known", e.value), "write fixed if the piece may not be turned end for end, or leave the line out")
	}
	return nil
}

func (h *heading) zero(e entry) error {
	z, err := h.lengths(e.value, 1)
	if err != nil {
		return h.bad(e, err, "write how far outward from the middle plane of the piece the gauge reads 0, such as '# zero: 12.7 mm', or leave the line out")
	}
	h.Zero = &z[0]
	return nil
}

func (h *heading) frame(e entry) error {
	switch strings.ToLower(e.value) {
	case "piece":
		h.InPiece = true
	case "face":
	default:
		return h.bad(e, fmt.Errorf("%q is not a frame", e.value), "write piece if x and z are in the piece frame already, z up, or leave the line out")
	}
	return nil
}

func (h *heading) uncertainty(e entry) error {
	u, err := h.lengths(e.value, 1)
	if err == nil && !(u[0] > 0) {
		err = fmt.Errorf("%q is not above zero", e.value)
	}
	if err != nil {
		return h.bad(e, err, "write the standard uncertainty of one reading, such as '# u: 0.004 mm', or leave the line out")
	}
	h.U = u[0]
	return nil
}

func (h *heading) temperature(e entry) error {
	const next = "write '# temperature: 20.1 C' or '# temperature: top 20.1 C, bottom 20.3 C'"
	var of *[]string // the words on the face named last
	var whole, top, bottom []string
	of = &whole
	for _, word := range strings.Fields(e.value) {
		switch strings.ToLower(word) {
		case "top":
			of = &top
		case "bottom":
			of = &bottom
		default:
			*of = append(*of, word)
		}
	}
	h.OneTemp = of == &whole
	if h.OneTemp {
		top, bottom = whole, whole
	} else if len(whole) > 0 {
		return h.bad(e, fmt.Errorf("%q belongs to no face", strings.Join(whole, " ")), next)
	}
	for _, t := range []struct {
		words []string
		to    **float64
	}{{top, &h.TempTop}, {bottom, &h.TempBottom}} {
		if t.words == nil {
			continue
		}
		celsius, err := measure.ParseTemperature(clean(strings.Join(t.words, " ")))
		if err != nil {
			return h.bad(e, err, next)
		}
		*t.to = &celsius
	}
	return nil
}

func (h *heading) day(e entry, to *string) error {
	if _, err := time.Parse(time.DateOnly, e.value); err != nil {
		return h.bad(e, fmt.Errorf("%q is not a day of the calendar", e.value), "write year-month-day, such as 2026-11-25")
	}
	*to = e.value
	return nil
}

func (h *heading) caliper(e entry, to *[]Thickness) error {
	t, err := h.thickness(e)
	if err == nil {
		*to = append(*to, t)
	}
	return err
}

// editDistance is the least number of letters put in, left out or changed to make b of a (V. I. Levenshtein, 1966).
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := corner
			if a[i] != b[j] {
				cost++
			}
			corner = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
