package slabfile

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"slatewright/cutting/marking"
	"slatewright/cutting/slab"
	"slatewright/measure"
	"slatewright/sheet"
)

// A slab as a list: header lines # kerf, # angles and # grain, then what,name,x,y,far,clearance,face,forbids with a corner or a point a line. What is outline, crack,
// vein, stain or hole; rows that follow each other with the same what and name are one shape, a crack or a vein a line, all others areas. An outline that was measured
// from a base line has the near edge in y and the far one in far; that of a slab with four corners may be rows with side, AB,
// BC, CD, DA, AC or BD and the length under x.

// listed is a list on its way to a slab.
type listed struct {
	*slabJSON
	sheet   *sheet.Sheet
	columns map[string]sheet.Column
	last    string // what and name of the shape that the next row may go on with
	far     []point
	sides   map[string]float64
}

// readList turns a list into a slab as the program's own JSON has it.
func readList(name string, text []byte) (*slabJSON, error) {
	s, err := sheet.Read(name, bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	l := listed{slabJSON: &slabJSON{}, sheet: s, sides: map[string]float64{}}
	if err := heads(s, l.slabJSON); err != nil {
		return nil, err
	}
	if l.columns, err = s.Columns([]string{"what", "x", "y"}, "name", "far", "clearance", "face", "forbids"); err != nil {
		return nil, err
	}
	for _, r := range s.Rows {
		if err := l.row(r); err != nil {
			return nil, err
		}
	}
	return l.slabJSON, l.closeOutline(name, l.far, l.sides)
}

// row takes one row: a side, a corner of the outline, or a point of a flaw.
func (l *listed) row(r sheet.Row) (err error) {
	what, called := r.Text(l.columns["what"]), r.Text(l.columns["name"])
	var p point
	if p[0], err = l.sheet.Length(r, l.columns["x"]); err != nil {
		return err
	}
	if what == "side" {
		if !slices.Contains(taped, called) {
			return l.sheet.Bad(r.Line, "bad-row", fmt.Sprintf("%q is no side", called), "name sides and diagonals AB, BC, CD, DA, AC and BD, and write the length under x")
		}
		l.sides[called], l.last = p[0], ""
		return nil
	}
	if p[1], err = l.sheet.Length(r, l.columns["y"]); err != nil {
		return err
	}
	if what == "outline" {
		l.last = ""
		return l.corner(r, p)
	}
	return l.flaw(r, what, called, p)
}

// corner takes a corner of the outline, or both edges at a place of a base line.
func (l *listed) corner(r sheet.Row, p point) (err error) {
	if r.Text(l.columns["far"]) != "" {
		end := point{p[0]}
		if end[1], err = l.sheet.Length(r, l.columns["far"]); err != nil {
			return err
		}
		l.far = append(l.far, end)
	}
	l.Outline = append(l.Outline, p)
	if len(l.far) > 0 && len(l.far) != len(l.Outline) {
		return l.sheet.Bad(r.Line, "bad-row", "some rows of the outline have a far edge and some have none", "measure both edges at every place of the base line, or list corners")
	}
	return nil
}

// flaw takes a point of a flaw: of the one of the row before, if it is called the same.
func (l *listed) flaw(r sheet.Row, what, called string, p point) (err error) {
	if key := what + "\x00" + called; key != l.last {
		w := flawJSON{Name: called, Kind: what, Face: r.Text(l.columns["face"]), Forbids: r.Text(l.columns["forbids"])}
		if what == "" {
			return l.sheet.Bad(r.Line, "bad-row", "the row does not say what it is", "write outline, crack, vein, stain or hole")
		}
		if r.Text(l.columns["clearance"]) != "" {
			if w.Clearance, err = l.sheet.Length(r, l.columns["clearance"]); err != nil {
				return err
			}
		}
		l.Flaws, l.last = append(l.Flaws, w), key
	}
	w := &l.Flaws[len(l.Flaws)-1]
	if what == "crack" || what == "vein" {
		w.Line = append(w.Line, p)
	} else {
		w.Area = append(w.Area, p)
	}
	return nil
}

// closeOutline comes back along the far edge, or takes the corners from sides and diagonals that were measured.
func (f *slabJSON) closeOutline(name string, far []point, sides map[string]float64) error {
	for _, p := range slices.Backward(far) {
		if p != f.Outline[len(f.Outline)-1] && p != f.Outline[0] { // the edges may meet at the ends
			f.Outline = append(f.Outline, p)
		}
	}
	if len(sides) == 0 {
		return nil
	}
	if f.Outline != nil {
		return bad(name, "the outline is given by corners and by sides", "leave one of them out")
	}
	t := marking.Tape{AB: sides["AB"], BC: sides["BC"], CD: sides["CD"], DA: sides["DA"], AC: sides["AC"], BD: sides["BD"]}
	corners, off, err := t.Corners()
	if err != nil {
		return within(name, err)
	}
	if off > worstDiagonal*max(t.AC, t.BD) {
		return bad(name, fmt.Sprintf("the diagonals disagree by %.0f mm", off), "measure sides and diagonals again")
	}
	for _, c := range corners {
		f.Outline = append(f.Outline, point{c.X, c.Y})
	}
	return nil
}

// worstDiagonal is how far the two diagonals of a taped slab may disagree, as a share of the longer.
const worstDiagonal = 0.01

// taped are the names of sides and diagonals.
var taped = []string{"AB", "BC", "CD", "DA", "AC", "BD"}

func heads(s *sheet.Sheet, f *slabJSON) error {
	kerf, ok, err := s.TakeLength("kerf")
	if err != nil {
		return err
	}
	if ok {
		f.Kerf = &kerf
	}
	if h, ok, err := s.Take("slab"); err != nil {
		return err
	} else if ok {
		f.Name = h.Value
	}
	for _, key := range []string{"angles", "grain"} {
		h, ok, err := s.Take(key)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		v, err := degrees(h.Value)
		if err != nil || key == "grain" && len(v) != 1 {
			return s.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q is no angle in degrees", key, h.Value), "write degrees, parted by commas")
		}
		if key == "grain" {
			f.Grain = &v[0]
		} else {
			f.Angles = v
		}
	}
	return nil
}

// degrees reads angles that are parted by commas or blanks.
func degrees(text string) (list []float64, err error) {
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == ';' || r == '°' }) {
		v, err := measure.ParseNumber(part)
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("no angle")
	}
	return list, nil
}

// Pieces reads the kinds of pieces that are wanted as a list: type,length,width,value, and where they matter place, allowance, thickness, most, turns, grain,
// grain_within and plays, as in JSON, and cut_away: circles "x y radius" and rectangles "x1 y1 x2 y2" in mm, parted by semicolons.
func Pieces(s *sheet.Sheet) ([]slab.Type, error) {
	columns, err := s.Columns([]string{"type", "length", "width", "value"}, "place", "allowance", "thickness", "most", "turns", "grain", "grain within", "plays", "cut away")
	if err != nil {
		return nil, err
	}
	var out []slab.Type
	for _, r := range s.Rows {
		cell := func(name string) string { return r.Text(columns[name]) }
		p := pieceJSON{Type: cell("type"), Place: cell("place"), Grain: cell("grain"), Plays: cell("plays")}
		into := []*float64{&p.Length, &p.Width, &p.Allowance, &p.Thickness}
		for i, name := range []string{"length", "width", "allowance", "thickness"} {
			if cell(name) == "" {
				continue
			}
			if *into[i], err = s.Length(r, columns[name]); err != nil {
				return nil, err
			}
		}
		if p.Value, err = s.Number(r, columns["value"]); err != nil {
			return nil, err
		}
		if cell("most") != "" {
			n, err := s.Number(r, columns["most"])
			if err != nil || n != float64(int(n)) || n < 0 {
				return nil, s.Bad(r.Line, "bad-number", fmt.Sprintf("most = %q is no number of pieces", cell("most")), "give a whole number, or leave it empty for no limit")
			}
			most := int(n)
			p.Most = &most
		}
		if cell("turns") != "" {
			if p.Turns, err = degrees(cell("turns")); err != nil {
				return nil, s.Bad(r.Line, "bad-number", fmt.Sprintf("turns = %q are no turns", cell("turns")), "write turns as 0 90 180 270")
			}
		}
		if cell("grain within") != "" {
			v, err := s.Number(r, columns["grain within"])
			if err != nil {
				return nil, err
			}
			p.Within = &v
		}
		if p.CutAway, err = zones(cell("cut away")); err != nil {
			return nil, s.Bad(r.Line, "bad-number", fmt.Sprintf("cut_away = %q is no place", cell("cut away")), "write a circle as x y radius and a rectangle as x1 y1 x2 y2, parted by semicolons")
		}
		t, err := p.piece(fmt.Sprintf("%s:%d", s.Name, r.Line))
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

// zones reads what is cut away of a piece later.
func zones(text string) (list []zoneJSON, err error) {
	for _, part := range strings.Split(text, ";") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		v, err := degrees(part) // numbers, parted by blanks
		switch {
		case err != nil:
			return nil, err
		case len(v) == 3 && v[2] > 0:
			list = append(list, zoneJSON{Centre: &point{v[0], v[1]}, Radius: v[2]})
		case len(v) == 4:
			list = append(list, zoneJSON{Rectangle: v})
		default:
			return nil, fmt.Errorf("%d numbers", len(v))
		}
	}
	return list, nil
}
