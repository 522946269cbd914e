package seasoning

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Kind says what a list of values is of.
type Kind string

// The kinds.
const (
	Weight Kind = "weight"
	Shape  Kind = "shape"
)

// Values are the series of one kind, in one unit.
type Values struct {
	Kind   Kind
	Unit   string // g, kg, mm or µm
	Series []Series
}

// List is a file of readings.
type List struct {
	Layer     string
	Dated     bool // days were written as dates
	Entered   map[string]time.Time
	Values    []Values // weights before shapes
	Reference string   // the old dry piece
	Sentinels []string
	Thickness float64 // mm, 0: not said
	Warnings  []string
}

// units of each kind, and how many of the first they hold.
var units = map[string]struct {
	kind Kind
	size float64
}{"g": {Weight, 1}, "kg": {Weight, 1000}, "mm": {Shape, 1}, "µm": {Shape, 0.001}}

// MostPerWeek is the largest movement of a sentinel in the unit of the values.
func (v Values) MostPerWeek() float64 { return MostPerWeek / units[v.Unit].size }

// reading is a list while it is read.
type reading struct {
	*sheet.Sheet
	list    *List
	columns map[string]sheet.Column
	noise   map[Kind]float64 // in the unit of the column
	moved   map[string][]float64
	begin   *float64
}

// Read reads a list of one piece (day, value) or of a layer (piece, day and value, or piece, day, weight and shape); docs/season.md has the form. Errors
// are *trouble.Trouble with file and line.
func Read(s *sheet.Sheet) (*List, error) {
	r := &reading{Sheet: s, list: &List{Entered: map[string]time.Time{}}, moved: map[string][]float64{}, noise: map[Kind]float64{}}
	var err error
	if r.columns, err = s.Columns([]string{"day"}, "piece", "value", "value g", "value kg", "weight", "weight g", "weight kg", "shape"); err != nil {
		return nil, err
	}
	unit, err := r.unit()
	if err != nil {
		return nil, err
	}
	if err := r.places(unit); err != nil {
		return nil, err
	}
	if err := r.names(); err != nil {
		return nil, err
	}
	if err := r.take(); err != nil {
		return nil, err
	}
	if err := r.subtract(); err != nil {
		return nil, err
	}
	r.list.Warnings = append(r.list.Warnings, s.Rest()...)
	return r.list, nil
}

// unitOf reads the name of a unit.
func unitOf(name string) (string, bool) {
	switch name = strings.ToLower(strings.TrimSpace(name)); name {
	case "g", "kg", "mm":
		return name, true
	case "um", "µm", "μm":
		return "µm", true
	}
	return "", false
}

// Convert turns an amount from one unit into another of the same kind.
func Convert(x float64, from, to string) (float64, bool) {
	from, ok := unitOf(from)
	if !ok || units[from].kind != units[to].kind {
		return 0, false
	}
	return x * units[from].size / units[to].size, true
}

func (r *reading) unit() (string, error) {
	h, ok, err := r.Take("unit")
	if err != nil || !ok {
		return "", err
	}
	unit, known := unitOf(h.Value)
	if !known {
		return "", r.Bad(h.Line, "bad-unit", fmt.Sprintf("there is no unit %q here", h.Value), "write g, kg, mm or um")
	}
	return unit, nil
}

// places lays out the columns of values.
func (r *reading) places(unit string) error {
	for _, name := range []string{"value", "value g", "value kg", "weight", "weight g", "weight kg", "shape"} {
		c, ok := r.columns[name]
		if !ok {
			continue
		}
		words := strings.Fields(name)
		own := c.Unit
		if len(words) > 1 {
			own = words[1]
		}
		if own == "" && words[0] == "value" {
			own = unit
		}
		if own == "" {
			own = map[string]string{"weight": "kg", "shape": "mm", "value": "mm"}[words[0]]
			r.list.Warnings = append(r.list.Warnings, fmt.Sprintf("%s does not say the unit of %s: taken as %s", r.Name, words[0], own))
		}
		own, known := unitOf(own)
		if !known || unit != "" && words[0] == "value" && own != unit || words[0] == "weight" && units[own].kind != Weight || words[0] == "shape" && units[own].kind != Shape {
			return r.Bad(1, "bad-unit", fmt.Sprintf("the unit of the column %s cannot be", words[0]), "write g or kg for a weight, mm or um for a shape")
		}
		for _, v := range r.list.Values {
			if v.Kind == units[own].kind {
				return r.Bad(1, "bad-title", "two columns hold the same", "keep one of them")
			}
		}
		r.list.Values = append(r.list.Values, Values{Kind: units[own].kind, Unit: own})
	}
	if len(r.list.Values) == 0 {
		return r.Bad(1, "columns", "no column holds values", "the titles are day,value or piece,day,weight_kg,shape_mm")
	}
	return nil
}

// names takes the header lines.
func (r *reading) names() error {
	h, _, err := r.Take("layer")
	if err != nil {
		return err
	}
	r.list.Layer = h.Value
	if h, _, err = r.Take("reference"); err != nil {
		return err
	}
	r.list.Reference = h.Value
	for _, h := range r.TakeAll("sentinel") {
		for _, name := range strings.FieldsFunc(h.Value, func(c rune) bool { return c == ',' || c == ';' }) {
			r.list.Sentinels = append(r.list.Sentinels, strings.TrimSpace(name))
		}
	}
	if r.list.Thickness, _, err = r.TakeLength("thickness"); err != nil {
		return err
	}
	for _, v := range r.list.Values {
		for _, key := range []string{"noise", "noise of " + string(v.Kind), "step", "step of " + string(v.Kind)} {
			if err := r.doubt(key, v); err != nil {
				return err
			}
		}
	}
	if h, ok, err := r.Take("start"); err != nil {
		return err
	} else if ok {
		x, err := r.amount(h, r.list.Values[0].Unit)
		if err != nil {
			return err
		}
		r.begin = &x
	}
	return r.dates()
}

// doubt takes the noise of one kind; the step of a display adds the standard deviation of what it rounds away.
func (r *reading) doubt(key string, v Values) error {
	h, ok, err := r.Take(key)
	if err != nil || !ok {
		return err
	}
	x, err := r.amount(h, v.Unit)
	if err != nil {
		return err
	}
	if !(x > 0) {
		return r.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q is not above 0", key, h.Value), "write the standard deviation of a reading, such as 5 g")
	}
	if strings.HasPrefix(key, "step") {
		x /= math.Sqrt(12)
	}
	r.noise[v.Kind] = math.Hypot(r.noise[v.Kind], x)
	return nil
}

// amount reads a number with its unit, into another unit of the same kind; a bare number is in that unit.
func (r *reading) amount(h sheet.Head, unit string) (float64, error) {
	digits := strings.TrimRight(strings.ToLower(h.Value), "abcdefghijklmnopqrstuvwxyzµμ \t")
	own := unit
	if rest := strings.TrimSpace(h.Value[len(digits):]); rest != "" {
		own, _ = unitOf(rest)
	}
	x, err := measure.ParseNumber(strings.TrimSpace(digits))
	if err != nil || units[own].kind != units[unit].kind || math.Abs(x) > 1e9 {
		return 0, r.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q is no number in %s", h.Key, h.Value, unit), "write a number and its unit, such as 5 g or 0.003 mm")
	}
	return x * units[own].size / units[unit].size, nil
}

// dates takes the lines '# entered:', of all pieces or of one ('# entered: P-3 2026-10-01').
func (r *reading) dates() error {
	for _, h := range r.TakeAll("entered") {
		name, day := parted(h.Value)
		at, err := time.Parse(time.DateOnly, day)
		if err != nil {
			return r.Bad(h.Line, "bad-day", fmt.Sprintf("# entered: %q has no day of the calendar", h.Value), "write '# entered: 2026-11-25', or '# entered: P-3 2026-11-25' for one piece")
		}
		if _, twice := r.list.Entered[name]; twice {
			return r.Bad(h.Line, "bad-header", "the piece entered twice", "keep one of the lines; a piece that came back begins a new list")
		}
		r.list.Entered[name] = at
	}
	return nil
}

// parted splits "P-3 12" into name and rest; one word alone is the rest.
func parted(text string) (name, rest string) {
	if i := strings.LastIndexAny(text, " \t"); i >= 0 {
		return strings.TrimSpace(text[:i]), text[i+1:]
	}
	return "", text
}

// when is a day since the piece entered, from a number or a date.
func (r *reading) when(line int, piece, text string, number func() (float64, error)) (float64, error) {
	at, err := time.Parse(time.DateOnly, text)
	if err != nil && len(text) > 10 {
		at, err = time.Parse("2006-01-02 15:04", strings.Replace(text, "T", " ", 1)[:min(16, len(text))])
	}
	if err != nil {
		day, bad := number()
		if bad != nil || math.Abs(day) > 1e5 {
			return 0, r.Bad(line, "bad-day", fmt.Sprintf("day = %q is neither a number of days nor a date", text), "write 12.5, or 2026-11-25")
		}
		return day, nil
	}
	r.list.Dated = true
	from, ok := r.list.Entered[piece]
	if !ok {
		if from, ok = r.list.Entered[""]; !ok {
			r.list.Entered[piece] = at
			from = at
		}
	}
	return at.Sub(from).Hours() / 24, nil
}

// take reads the rows, and then the lines '# moved:'.
func (r *reading) take() error {
	if r.columns["piece"].Name != "" {
		r.TakeAll("piece") // means nothing where the rows name their pieces
	}
	numbers := 0
	for _, row := range r.Rows {
		name := row.Text(r.columns["piece"])
		if r.columns["piece"].Name != "" && name == "" {
			return r.Bad(row.Line, "bad-row", "the piece is not named", "write its number in every row")
		}
		dated := r.list.Dated
		day, err := r.when(row.Line, name, row.Text(r.columns["day"]), func() (float64, error) { return r.Number(row, r.columns["day"]) })
		if err != nil {
			return err
		}
		if !r.list.Dated {
			numbers++
		}
		if r.list.Dated && numbers > 0 || dated && !r.list.Dated {
			return r.Bad(row.Line, "bad-day", "some days are dates and some are numbers", "write all of one kind")
		}
		for i := range r.list.Values {
			if err := r.value(&r.list.Values[i], row, name, day); err != nil {
				return err
			}
		}
	}
	return r.moves()
}

// value takes one cell.
func (r *reading) value(v *Values, row sheet.Row, name string, day float64) error {
	var column sheet.Column
	for _, title := range []string{"value", "value " + v.Unit, string(v.Kind), string(v.Kind) + " " + v.Unit} {
		if c, ok := r.columns[title]; ok {
			column = c
		}
	}
	if row.Text(column) == "" && len(r.list.Values) > 1 {
		return nil
	}
	x, err := r.Number(row, column)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(v.Series, func(s Series) bool { return s.Name == name })
	if i < 0 {
		i = len(v.Series)
		v.Series = append(v.Series, Series{Name: name, Start: r.begin})
	}
	if len(v.Series[i].Readings) == mostRead {
		return r.Bad(row.Line, "too-many-rows", "more than 5000 readings of one piece", "give one a day")
	}
	v.Series[i].Readings = append(v.Series[i].Readings, Reading{day, x, r.noise[v.Kind]})
	return nil
}

// moves takes '# moved: 12' (every piece) and '# moved: P-3 12': from that day on the instrument had another zero.
func (r *reading) moves() error {
	for _, h := range r.TakeAll("moved") {
		name, text := parted(h.Value)
		found := false
		for _, v := range r.list.Values {
			for i := range v.Series {
				s := &v.Series[i]
				if name != "" && s.Name != name {
					continue
				}
				day, err := r.when(h.Line, s.Name, text, func() (float64, error) { return measure.ParseNumber(text) })
				if err != nil {
					return err
				}
				if found = true; len(s.Moved) == 3 {
					return r.Bad(h.Line, "bad-header", "the instrument was moved more than three times", "begin a new list after the last time")
				}
				s.Moved = append(s.Moved, day)
			}
		}
		if !found {
			return r.Bad(h.Line, "bad-header", fmt.Sprintf("there is no piece %q", name), "write '# moved: 12' or '# moved: P-3 12'")
		}
	}
	return nil
}

// subtract takes the change of the reference out of all other pieces.
func (r *reading) subtract() error {
	if r.list.Reference == "" {
		return nil
	}
	seen := false
	for i := range r.list.Values {
		v := &r.list.Values[i]
		k := slices.IndexFunc(v.Series, func(s Series) bool { return s.Name == r.list.Reference })
		if k < 0 {
			continue
		}
		seen = true
		ref := v.Series[k]
		v.Series = slices.Delete(v.Series, k, k+1)
		for j, s := range v.Series {
			scale := 1.0
			if v.Kind == Weight && first(ref) > 0 {
				scale = first(s) / first(ref)
			}
			clean, beyond := s.Against(ref.shifted(r.list, s.Name), scale)
			if v.Series[j] = clean; beyond {
				r.list.Warnings = append(r.list.Warnings, fmt.Sprintf("the reference %s was not read on all days on which %s was: the change of the room is guessed there", ref.Name, s.Name))
			}
		}
		if len(v.Series) == 0 {
			return trouble.Data("no-rows", r.Name, "there is no piece beside the reference", "give the readings of the pieces that season")
		}
	}
	if !seen {
		return r.Bad(1, "bad-header", fmt.Sprintf("there is no reading of the reference %q", r.list.Reference), "name the old dry piece as in the rows")
	}
	return nil
}

// shifted counts the days of the reference from the day on which another piece entered.
func (s Series) shifted(l *List, other string) Series {
	if !l.Dated {
		return s
	}
	from := func(name string) time.Time {
		if at, ok := l.Entered[name]; ok {
			return at
		}
		return l.Entered[""]
	}
	by := from(s.Name).Sub(from(other)).Hours() / 24
	s.Readings = slices.Clone(s.Readings)
	for i := range s.Readings {
		s.Readings[i].Day += by
	}
	return s
}
