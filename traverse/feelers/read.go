package feelers

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/measure"
	"slatewright/traverse"
	"slatewright/trouble"
)

// Limits of a sheet. A linear program takes 40 unknowns: two for each line, and the heights of four stations.
const (
	MostReadings = 1_000
	MostLines    = 18
)

// Off is how far, mm, a station may lie beside its line: half the width of an edge.
const Off = 5.0

const (
	colLine = iota
	colX
	colY
	colPasses
	colStops
)

// Read reads a sheet: CSV with the columns line,x,y,passes_mm,stops_mm below a header line "# edge: blocks 2.00 mm" or "# edge: laid".
// The name is used in messages; errors are *trouble.Trouble with the line.
func Read(name string, r io.Reader) (*Set, error) {
	s, err := traverse.ReadSheet(name, r, MostReadings, traverse.Column{Name: "line", Unit: "-", Must: true}, traverse.Column{Name: "x", Must: true},
		traverse.Column{Name: "y", Must: true}, traverse.Column{Name: "passes", Unit: "mm", Must: true}, traverse.Column{Name: "stops", Unit: "mm"})
	if err != nil {
		return nil, err
	}
	b := booking{Sheet: s, set: &Set{Name: name}, lines: map[string]int{}}
	if err := b.headers(); err != nil {
		return nil, err
	}
	for i := range s.Rows {
		if err := b.reading(i); err != nil {
			return nil, err
		}
	}
	return b.finish()
}

// booking is a sheet on its way to a set.
type booking struct {
	*traverse.Sheet
	set    *Set
	places traverse.Places
	lines  map[string]int
	blocks []traverse.Header
	first  []int // line of the file where each line begins
}

func (b *booking) headers() error {
	h, ok := b.Take("edge")
	if !ok {
		return trouble.Data("no-edge", b.Name, "nothing says how the edge lay", "add a line '# edge: blocks 2.00 mm' with the height of the blocks, or '# edge: laid'")
	}
	if err := b.edge(h); err != nil {
		return err
	}
	for _, k := range []struct {
		key string
		to  *float64
	}{{"edge straightness", &b.set.Limits.Straight}, {"edge sag", &b.set.Limits.Sag}, {"strip limits", &b.set.Limits.Strips}, {"block limits", &b.set.Limits.Blocks}} {
		h, ok := b.Take(k.key)
		if !ok {
			continue
		}
		var err error
		if *k.to, err = b.Length(h); err != nil {
			return err
		}
		if *k.to > 5 {
			return b.Bad(h, trouble.Data("", "", "more than 5 mm is no limit of a straightedge or a strip", "correct the number or its unit"))
		}
	}
	b.blocks = b.TakeAll("blocks")
	b.Rest()
	return nil
}

func (b *booking) edge(h traverse.Header) error {
	words := strings.ToLower(h.Value)
	if words == "laid" {
		b.set.Laid = true
		return nil
	}
	height, ok := strings.CutPrefix(words, "blocks")
	if ok {
		mm, err := b.Length(traverse.Header{Line: h.Line, Key: h.Key, Value: strings.TrimSpace(height)})
		if err != nil {
			return err
		}
		if mm > 0 && mm <= 100 {
			b.set.Block = mm
			return nil
		}
	}
	return b.Bad(h, trouble.Data("", "", fmt.Sprintf("%q does not say how the edge lay", h.Value), "write 'blocks 2.00 mm' (up to 100 mm) or 'laid'"))
}

// lineOf is the number of a line by its mark.
func (b *booking) lineOf(mark string, row int) (int, error) {
	if n, known := b.lines[mark]; known {
		return n, nil
	}
	n := len(b.set.Lines)
	if n == MostLines {
		return 0, trouble.Data("too-many-lines", b.At(row), fmt.Sprintf("more than %d lines", MostLines), "judge the face from fewer lines")
	}
	b.lines[mark] = n
	b.set.Lines = append(b.set.Lines, Line{Mark: mark})
	b.first = append(b.first, row)
	return n, nil
}

func (b *booking) reading(i int) error {
	row := b.Rows[i].Line
	mark := b.Text(i, colLine)
	if mark == "" {
		return trouble.Data("no-line", b.At(row), "the reading says not of which line it is", "fill in the column line")
	}
	line, err := b.lineOf(mark, row)
	if err != nil {
		return err
	}
	at, err := b.Place(i, colX, colY)
	if err != nil {
		return err
	}
	r := Reading{Row: row, Line: line, Place: b.places.Number(at)}
	for k, to := range []*float64{&r.Passes, &r.Stops} {
		v, ok, err := b.Number(i, colPasses+k)
		if err != nil {
			return err
		}
		*to = math.NaN()
		if !ok {
			continue
		}
		if v < 0 || v > 200 {
			return trouble.Data("bad-strip", b.At(row), fmt.Sprintf("no strip is %s thick", measure.FormatLength(v, measure.MM)), "correct the number or its unit")
		}
		*to = v
	}
	b.set.Readings = append(b.set.Readings, r)
	return nil
}

// finish finds the lines and their blocks, and looks at the set as a whole.
func (b *booking) finish() (*Set, error) {
	for n := range b.set.Lines {
		if err := b.line(n); err != nil {
			return nil, err
		}
	}
	if !b.set.Laid {
		if err := b.stand(); err != nil {
			return nil, err
		}
	} else if len(b.blocks) > 0 {
		return nil, b.Bad(b.blocks[0], trouble.Data("", "", "the edge was laid on the face, without blocks", "delete the line, or correct '# edge:'"))
	}
	s := b.set
	s.At = b.places.At
	if err := b.overhang(); err != nil {
		return nil, err
	}
	s.Read = make([]bool, len(s.At))
	empty, kept := 0, s.Readings[:0]
	for _, r := range s.Readings {
		strips := !math.IsNaN(r.Passes) || !math.IsNaN(r.Stops)
		if !strips && !r.Block {
			empty++
			continue
		}
		kept = append(kept, r)
		s.Read[r.Place] = s.Read[r.Place] || strips || !b.headed(r.Row)
	}
	s.Readings = kept
	if empty > 0 {
		b.Warnings = append(b.Warnings, fmt.Sprintf("%s: %s where no strip was tried left out", b.Name, trouble.Count(empty, "station", "stations")))
	}
	s.Warnings = b.Warnings
	return s, nil
}

// overhang refuses a sagging edge that was read beyond its blocks: how it hangs there depends on its length, which nobody gave.
func (b *booking) overhang() error {
	s := b.set
	if s.Laid || s.Limits.Sag == 0 {
		return nil
	}
	for _, r := range s.Readings {
		ends := s.blocks(r.Line)
		if t := b.t(r.Line, r.Place); t < min(ends[0], ends[1]) || t > max(ends[0], ends[1]) {
			return trouble.Data("beyond-blocks", b.At(r.Row), "a reading beyond the blocks, under an edge whose sag is given between them",
				"leave it out, or leave out '# edge sag' and widen '# edge straightness' by what the edge can hang")
		}
	}
	return nil
}

// headed tells whether a line of the file is a header line: a block stands there, and nobody read the station.
func (b *booking) headed(row int) bool {
	for _, h := range b.blocks {
		if h.Line == row {
			return true
		}
	}
	return false
}

// line finds where a line runs.
func (b *booking) line(n int) error {
	var at [][2]float64
	for _, r := range b.set.Readings {
		if r.Line == n {
			at = append(at, b.places.At[r.Place])
		}
	}
	f := traverse.FrameOf(at)
	l := &b.set.Lines[n]
	where := b.At(b.first[n])
	if f.Length <= traverse.Same {
		return trouble.Data("short-line", where, fmt.Sprintf("line %s has one station", l.Mark), "a line needs two stations at least; give its other stations the same mark")
	}
	if f.Width > Off {
		return trouble.Data("bent-line", where, fmt.Sprintf("the stations of line %s are not on a straight line: they spread %.1f mm across it", l.Mark, f.Width),
			"an edge is straight; correct the places, or give each line its own mark")
	}
	for _, p := range at {
		l.origin[0], l.origin[1] = l.origin[0]+p[0]/float64(len(at)), l.origin[1]+p[1]/float64(len(at))
	}
	l.along = [2]float64{f.Along[0] / f.Length, f.Along[1] / f.Length}
	return nil
}

// stand places the blocks: where a header line says, else at the first and the last station along the line.
func (b *booking) stand() error {
	for n := range b.set.Lines {
		named := false
		for _, h := range b.blocks {
			if h.Key == strings.ToLower(b.set.Lines[n].Mark) {
				named = true
				if err := b.named(n, h); err != nil {
					return err
				}
			}
		}
		if !named {
			b.ends(n)
		}
	}
	for _, h := range b.blocks {
		known := false
		for _, l := range b.set.Lines {
			known = known || strings.ToLower(l.Mark) == h.Key
		}
		if !known {
			return b.Bad(traverse.Header{Line: h.Line, Key: "blocks " + h.Key}, trouble.Data("", "", "there is no such line", "write the mark of a line of the column line"))
		}
	}
	return nil
}

// t is where a place lies on a line.
func (b *booking) t(n, place int) float64 {
	l, p := b.set.Lines[n], b.places.At[place]
	return (p[0]-l.origin[0])*l.along[0] + (p[1]-l.origin[1])*l.along[1]
}

func (b *booking) ends(n int) {
	first, last := -1, -1
	for k, r := range b.set.Readings {
		if r.Line != n {
			continue
		}
		if first < 0 || b.t(n, r.Place) < b.t(n, b.set.Readings[first].Place) {
			first = k
		}
		if last < 0 || b.t(n, r.Place) > b.t(n, b.set.Readings[last].Place) {
			last = k
		}
	}
	b.set.Readings[first].Block, b.set.Readings[last].Block = true, true
}

// named reads "x y; x y".
func (b *booking) named(n int, h traverse.Header) error {
	bad := func(what string) error {
		return b.Bad(traverse.Header{Line: h.Line, Key: "blocks " + h.Key}, trouble.Data("", "", what, "write the places of both blocks as in '# blocks A: -400 0; 400 0'"))
	}
	parts := strings.Split(h.Value, ";")
	if len(parts) != 2 {
		return bad("two places are wanted")
	}
	var at [2][2]float64
	for i, part := range parts {
		words := strings.Fields(part)
		if len(words) != 2 {
			return bad(fmt.Sprintf("%q is no place", strings.TrimSpace(part)))
		}
		for k, w := range words {
			mm, err := b.Unit.ToMM(w)
			if err != nil || math.Abs(mm) > 1e6 {
				return bad(fmt.Sprintf("%q is no number in the file's unit", w))
			}
			at[i][k] = mm
		}
	}
	l := b.set.Lines[n]
	length := 1 / math.Hypot(l.along[0], l.along[1])
	for _, p := range at {
		d := [2]float64{p[0] - l.origin[0], p[1] - l.origin[1]}
		if off := math.Abs(d[0]*l.along[1]-d[1]*l.along[0]) * length; off > Off {
			return bad(fmt.Sprintf("a block stands %.0f mm beside the line", off))
		}
		b.block(n, b.places.Number(p), h.Line)
	}
	if traverse.Apart(at[0], at[1]) < length/10 {
		return bad("the blocks stand closer than a tenth of the line")
	}
	return nil
}

// block marks the reading at a place, or adds one without strips.
func (b *booking) block(n, place, row int) {
	for k, r := range b.set.Readings {
		if r.Line == n && r.Place == place {
			b.set.Readings[k].Block = true
			return
		}
	}
	b.set.Readings = append(b.set.Readings, Reading{Row: row, Line: n, Place: place, Passes: math.NaN(), Stops: math.NaN(), Block: true})
}
