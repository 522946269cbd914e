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

// readList turns a list into a slab as the program's own JSON has it.
func readList(name string, text []byte) (f *slabJSON, err error) {
	s, err := sheet.Read(name, bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	f = &slabJSON{}
	if err := heads(s, f); err != nil {
		return nil, err
	}
	columns, err := s.Columns([]string{"what", "x", "y"}, "name", "far", "clearance", "face", "forbids")
	if err != nil {
		return nil, err
	}
	var last string
	var far []point
	sides := map[string]float64{}
	for _, r := range s.Rows {
		what, called := r.Text(columns["what"]), r.Text(columns["name"])
		var p point
		if p[0], err = s.Length(r, columns["x"]); err != nil {
			return nil, err
		}
		if what == "side" {
			if !slices.Contains(taped, called) {
				return nil, s.Bad(r.Line, "bad-row", fmt.Sprintf("%q is no side", called), "name sides and diagonals AB, BC, CD, DA, AC and BD, and write the length under x")
			}
			sides[called], last = p[0], ""
			continue
		}
		if p[1], err = s.Length(r, columns["y"]); err != nil {
			return nil, err
		}
		if what == "outline" {
			if r.Text(columns["far"]) != "" {
				end := point{p[0]}
				if end[1], err = s.Length(r, columns["far"]); err != nil {
					return nil, err
				}
				far = append(far, end)
			}
			f.Outline = append(f.Outline, p)
			if last = ""; len(far) > 0 && len(far) != len(f.Outline) {
				return nil, s.Bad(r.Line, "bad-row", "some rows of the outline have a far edge and some have none", "measure both edges at every place of the base line, or list corners")
			}
			continue
		}
		if key := what + "\x00" + called; key != last {
			w := flawJSON{Name: called, Kind: what, Face: r.Text(columns["face"]), Forbids: r.Text(columns["forbids"])}
			if what == "" {
				return nil, s.Bad(r.Line, "bad-row", "the row does not say what it is", "write outline, crack, vein, stain or hole")
			}
			if r.Text(columns["clearance"]) != "" {
				if w.Clearance, err = s.Length(r, columns["clearance"]); err != nil {
					return nil, err
				}
			}
			f.Flaws, last = append(f.Flaws, w), key
		}
		w := &f.Flaws[len(f.Flaws)-1]
		if what == "crack" || what == "vein" {
			w.Line = append(w.Line, p)
		} else {
			w.Area = append(w.Area, p)
		}
	}
	return f, f.closeOutline(name, far, sides)
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
