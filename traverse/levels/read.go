package levels

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/measure"
	"slatewright/traverse"
	"slatewright/trouble"
)

// Limits of a walk. A spread of u beyond 10,000 would leave too few digits for the small ones.
const (
	MostSteps    = 20_000
	MostStations = 2_000
	widestU      = 1e4
)

// Off is how far, mm, a station may lie beside its line: marked out by hand with a chalk line.
const Off = 5.0

// Step is one reading: how much higher the place To is than the place From.
type Step struct {
	Row      int     // line of the file
	From, To int     // numbers of places
	Rise     float64 // mm
	U        float64 // standard uncertainty, mm; 0 = not given
	Line     int     // number of its line, −1 when the walk has no lines
	Along    float64 // signed length along the line, mm
}

// Walk is a level walk as read.
type Walk struct {
	Name     string
	At       [][2]float64 // places, mm
	Steps    []Step
	Free     bool     // each line has a datum slope of its own, which nobody knows; else gravity is common to all
	Lines    []string // marks of the lines, in the order of the file
	Warnings []string
}

const (
	colX1 = iota
	colY1
	colX2
	colY2
	colRise
	colU
	colLine
	colDivisions
)

// Read reads a walk: CSV with the columns x1,y1,x2,y2,rise_um and, where they are wanted, u_um, line and divisions. The name is used
// in messages; errors are *trouble.Trouble with the line.
func Read(name string, r io.Reader) (*Walk, error) {
	s, err := traverse.ReadSheet(name, r, MostSteps, traverse.Column{Name: "x1", Must: true}, traverse.Column{Name: "y1", Must: true},
		traverse.Column{Name: "x2", Must: true}, traverse.Column{Name: "y2", Must: true}, traverse.Column{Name: "rise", Unit: "um"},
		traverse.Column{Name: "u", Unit: "um"}, traverse.Column{Name: "line", Unit: "-"}, traverse.Column{Name: "divisions", Unit: "-"})
	if err != nil {
		return nil, err
	}
	b := booking{Sheet: s, walk: &Walk{Name: name}}
	if err := b.headers(); err != nil {
		return nil, err
	}
	for i := range s.Rows {
		if err := b.step(i); err != nil {
			return nil, err
		}
	}
	return b.finish()
}

// booking is a sheet on its way to a walk.
type booking struct {
	*traverse.Sheet
	walk     *Walk
	places   traverse.Places
	u        float64 // of every step that has none of its own, mm
	foot     float64 // mm
	division float64 // mm per mm
	short    int     // steps that are not a foot long
	shortRow int
	empty    int
	lines    map[string]int
}

func (b *booking) headers() (err error) {
	for _, k := range []struct {
		key string
		to  *float64
	}{{"u", &b.u}, {"foot", &b.foot}} {
		if h, ok := b.Take(k.key); ok {
			if *k.to, err = b.Length(h); err != nil {
				return err
			}
			if *k.to == 0 {
				return b.Bad(h, trouble.Data("", "", "it must be more than 0", "correct the number, or leave the line out"))
			}
		}
	}
	if h, ok := b.Take("division"); ok {
		if b.division, err = slope(h.Value); err != nil {
			return b.Bad(h, err)
		}
	}
	if h, ok := b.Take("reference"); ok {
		switch strings.ToLower(h.Value) {
		case "gravity":
		case "lines":
			b.walk.Free = true
		default:
			return b.Bad(h, trouble.Data("", "", fmt.Sprintf("%q is no reference", h.Value),
				"write gravity (a level), or lines (an autocollimator or a level that was set anew for each line)"))
		}
	}
	b.Rest()
	return b.complete()
}

// complete refuses a sheet that cannot give rises.
func (b *booking) complete() error {
	switch {
	case !b.Has(colRise) && !b.Has(colDivisions):
		return trouble.Data("columns", b.Name, "there is neither a column rise nor a column divisions", "write x1,y1,x2,y2,rise_um")
	case b.Has(colRise) && b.Has(colDivisions):
		return trouble.Data("columns", b.Name, "there is a column rise and a column divisions", "keep one of the two")
	case b.Has(colDivisions) && b.division == 0:
		return trouble.Data("bad-header", b.Name, "the readings are in divisions, and nothing says what a division is",
			"add a line such as '# division: 0.02 mm/m'")
	case b.walk.Free && !b.Has(colLine):
		return trouble.Data("columns", b.Name, "the reference is the lines, and no column says which line a step is of", "add a column line")
	}
	return nil
}

// angles are the units in which an autocollimator is read, in rad.
var angles = []struct {
	unit string
	size float64
}{{"arcsec", math.Pi / 648000}, {"″", math.Pi / 648000}, {"µrad", 1e-6}, {"μrad", 1e-6}, {"urad", 1e-6}, {"mrad", 1e-3}}

// slope reads a division value such as "0.02 mm/m" or "0.0005 in/ft", or the angle of an autocollimator such as "1 arcsec".
func slope(text string) (float64, error) {
	for _, a := range angles {
		if number, ok := strings.CutSuffix(strings.TrimSpace(text), a.unit); ok {
			if v, err := measure.ParseNumber(strings.TrimSpace(number)); err == nil && v > 0 && v*a.size < 1 {
				return v * a.size, nil
			}
		}
	}
	up, over, ok := strings.Cut(text, "/")
	if ok {
		rise, err := measure.ParseLength(up)
		if err != nil {
			return 0, err
		}
		run, err := measure.ParseLength("1 " + strings.TrimSpace(over))
		if err != nil {
			run, err = measure.ParseLength(over)
		}
		if err == nil && rise > 0 && run > 0 && rise < run {
			return rise / run, nil
		}
	}
	return 0, trouble.Data("", "", fmt.Sprintf("%q is no value of a division", text), "write a slope such as 0.02 mm/m or 0.0005 in/ft, or an angle such as 1 arcsec or 10 µrad")
}

func (b *booking) step(i int) error {
	row := b.Rows[i].Line
	rise, ok, err := b.rise(i)
	if err != nil {
		return err
	}
	from, err := b.Place(i, colX1, colY1)
	if err != nil {
		return err
	}
	to, err := b.Place(i, colX2, colY2)
	if err != nil {
		return err
	}
	if !ok {
		b.empty++
		return nil
	}
	s := Step{Row: row, From: b.places.Number(from), To: b.places.Number(to), Rise: rise, U: b.u, Line: -1}
	length := traverse.Apart(b.places.At[s.From], b.places.At[s.To])
	if s.From == s.To {
		return trouble.Data("no-step", b.At(row), "the step ends where it begins", "correct the places")
	}
	if b.foot > 0 && math.Abs(length-b.foot) > 0.02*b.foot {
		if b.short++; b.short == 1 {
			b.shortRow = row
		}
	}
	if b.Has(colDivisions) {
		s.Rise = rise * b.division * length
	}
	if u, ok, err := b.Number(i, colU); err != nil {
		return err
	} else if ok {
		if u <= 0 {
			return trouble.Data("bad-u", b.At(row), "u must be more than 0", "correct it, or leave the cell empty")
		}
		s.U = u
	}
	if s.Line, err = b.lineOf(i); err != nil {
		return err
	}
	b.walk.Steps = append(b.walk.Steps, s)
	return nil
}

// rise is the reading of a row, in mm or in divisions.
func (b *booking) rise(i int) (float64, bool, error) {
	if b.Has(colDivisions) {
		return b.Number(i, colDivisions)
	}
	return b.Number(i, colRise)
}

func (b *booking) lineOf(i int) (int, error) {
	mark := b.Text(i, colLine)
	if mark == "" {
		if b.walk.Free {
			return -1, trouble.Data("no-line", b.At(b.Rows[i].Line), "the step says not of which line it is", "fill in the column line")
		}
		return -1, nil
	}
	if b.lines == nil {
		b.lines = map[string]int{}
	}
	n, known := b.lines[mark]
	if !known {
		n = len(b.walk.Lines)
		b.lines[mark] = n
		b.walk.Lines = append(b.walk.Lines, mark)
	}
	return n, nil
}

// finish looks at the walk as a whole.
func (b *booking) finish() (*Walk, error) {
	w := b.walk
	w.At = b.places.At
	if len(w.Steps) == 0 {
		return nil, trouble.Data("no-rows", b.Name, "no step has a reading", "fill in the rises")
	}
	if b.empty > 0 {
		b.Warnings = append(b.Warnings, fmt.Sprintf("%s: %s without a reading left out", b.Name, trouble.Count(b.empty, "step", "steps")))
	}
	if b.short > 0 {
		b.Warn(b.shortRow, "this step is not as long as the foot of the level (%s in all)", trouble.Count(b.short, "such step", "such steps"))
	}
	if len(w.At) > MostStations {
		return nil, trouble.Data("too-many-stations", b.Name, fmt.Sprintf("%d stations; at most %d", len(w.At), MostStations), "part the sheet")
	}
	if err := b.doubts(); err != nil {
		return nil, err
	}
	if w.Free {
		if err := b.along(); err != nil {
			return nil, err
		}
	}
	if err := w.connected(); err != nil {
		return nil, err
	}
	w.Warnings = b.Warnings
	return w, nil
}

// doubts looks whether every step or none has an uncertainty.
func (b *booking) doubts() error {
	least, most := math.Inf(1), 0.0
	for _, s := range b.walk.Steps {
		least, most = min(least, s.U), max(most, s.U)
	}
	if least == 0 && most > 0 {
		return trouble.Data("bad-u", b.Name, "some steps have an uncertainty and others have none", "fill in u everywhere, or add a line '# u: 1 um' for the rest")
	}
	if most > widestU*least {
		return trouble.Data("bad-u", b.Name, "the largest u is more than 10,000 times the smallest", "look for a slip; leave out what says nothing")
	}
	return nil
}

// along measures the steps of each line along it.
func (b *booking) along() error {
	w := b.walk
	for line, mark := range w.Lines {
		var at [][2]float64
		var of []int
		for k, s := range w.Steps {
			if s.Line == line {
				at, of = append(at, w.At[s.From], w.At[s.To]), append(of, k)
			}
		}
		f := traverse.FrameOf(at)
		if f.Width > Off {
			return trouble.Data("bent-line", b.At(w.Steps[of[0]].Row), fmt.Sprintf("the stations of line %s are not on a straight line: they spread %.1f mm across it", mark, f.Width),
				"a line with a datum of its own is straight; correct the places or part the line")
		}
		for i, k := range of {
			d := [2]float64{at[2*i+1][0] - at[2*i][0], at[2*i+1][1] - at[2*i][1]}
			w.Steps[k].Along = float64(d[0]*f.Along[0]) + float64(d[1]*f.Along[1])
		}
	}
	return nil
}

// connected refuses a walk in several parts, and names a place in each.
func (w *Walk) connected() error {
	g := graphOf(w)
	part := make([]int, len(w.At))
	var first []int
	for i := range w.At {
		if part[i] == 0 {
			first = append(first, i)
			for _, k := range g.reach(i) {
				part[k] = len(first)
			}
		}
	}
	if len(first) == 1 {
		return nil
	}
	var names []string
	for k, i := range first[:min(len(first), 4)] {
		n := 0
		for _, p := range part {
			if p == k+1 {
				n++
			}
		}
		names = append(names, fmt.Sprintf("%s around (%s, %s)", trouble.Count(n, "station", "stations"), measure.Decimal(w.At[i][0], 0), measure.Decimal(w.At[i][1], 0)))
	}
	return trouble.Data("not-connected", w.Name, fmt.Sprintf("the steps fall into %d parts that no step joins: %s", len(first), strings.Join(names, "; ")),
		"read a step from one part to the other, or correct the places: stations are the same within "+measure.FormatLength(traverse.Same, measure.MM))
}
