package mapfile

import (
	"fmt"
	"slices"
	"strings"

	"slatewright/cutting/layer"
	"slatewright/measure"
	"slatewright/sheet"
)

// readList reads a list: rows of corners and cracks, and header lines for the layer, the saw and the blocks.
func (m *Map) readList(s *sheet.Sheet) error {
	of, err := m.heads(s)
	if err != nil {
		return err
	}
	columns, err := s.Columns([]string{"what", "x", "y"}, "name", "x2", "y2", "stance", "dip", "toward", "length", "chance", "error", "clear", "photo")
	if err != nil {
		return err
	}
	r := &list{Sheet: s, columns: columns, m: m}
	for _, row := range s.Rows {
		if err := r.take(row); err != nil {
			return err
		}
	}
	for i, f := range r.cracks {
		if err := m.add(f, of, r.where[i]); err != nil {
			return err
		}
	}
	m.Warnings = append(m.Warnings, s.Rest()...)
	return nil
}

// heads takes the header lines.
func (m *Map) heads(s *sheet.Sheet) (of frameOf, err error) {
	var over float64
	for _, x := range []struct {
		key  string
		into *float64
		must bool
	}{{"depth", &m.Depth, true}, {"kerf", &m.Saw.Kerf, true}, {"reach", &m.Saw.Reach, false}, {"margin", &m.Margin, false}, {"overlength", &over, false}, {"clear", &of.clear, false}, {"error", &of.errorMM, false}} {
		mm, ok, err := s.TakeLength(x.key)
		if err != nil {
			return of, err
		}
		if !ok && x.must {
			return of, s.Bad(1, "no-header", fmt.Sprintf("there is no line # %s", x.key), fmt.Sprintf("add a line such as '# %s: 6 mm'", x.key))
		}
		*x.into = mm
	}
	if h, ok, err := s.Take("directions"); err != nil {
		return of, err
	} else if ok {
		if m.Saw.From, m.Saw.To, m.Saw.By, ok = directions(h.Value); !ok {
			return of, s.Bad(h.Line, "bad-header", fmt.Sprintf("# directions: %q are no directions", h.Value), "write degrees from the base line, such as -3 to 3 by 0.5")
		}
	}
	if h, ok, err := s.Take("runs"); err != nil {
		return of, err
	} else if ok {
		m.Saw.Runs = layer.Runs(strings.ToLower(h.Value))
	}
	if h, ok, err := s.Take("bearing"); err != nil {
		return of, err
	} else if ok {
		degrees, err := measure.ParseNumber(h.Value)
		if err != nil || degrees < 0 || degrees > 360 {
			return of, s.Bad(h.Line, "bad-header", fmt.Sprintf("# bearing: %q is no bearing", h.Value), "write degrees from north by east, 0 to 360")
		}
		of.bearing = &degrees
	}
	if v, ok, err := s.TakeNumber("least chance"); err != nil {
		return of, err
	} else if ok {
		m.Least = v
	}
	if h, ok, err := s.Take("density"); err != nil {
		return of, err
	} else if ok {
		if m.Density, err = measure.ParseDensity(h.Value); err != nil || m.Density < 1000 || m.Density > 5000 {
			return of, s.Bad(h.Line, "bad-header", fmt.Sprintf("# density: %q is no density of stone", h.Value), "write it with its unit, such as 2810 kg/m3")
		}
	}
	for _, h := range s.TakeAll("block") {
		z, ok := block(h.Value, over)
		if !ok {
			return of, s.Bad(h.Line, "bad-header", fmt.Sprintf("# block: %q is no block", h.Value), "write it like 9 ft, 1520 x 950 mm, value 300, most 40, turn")
		}
		m.Sizes = append(m.Sizes, z)
	}
	return of, nil
}

// list is a list being read.
type list struct {
	*sheet.Sheet
	columns map[string]sheet.Column
	m       *Map
	cracks  []found
	where   []string
}

func (r *list) take(row sheet.Row) error {
	p, err := r.point(row, "x", "y")
	if err != nil {
		return err
	}
	name := row.Text(r.columns["name"])
	switch what := strings.ToLower(row.Text(r.columns["what"])); what {
	case "outline":
		r.m.Outline = append(r.m.Outline, p)
	case "stain", "zone":
		i := slices.IndexFunc(r.m.Areas, func(a layer.Area) bool { return a.Name == name })
		if i < 0 {
			i, r.m.Areas = len(r.m.Areas), append(r.m.Areas, layer.Area{Name: name})
		}
		r.m.Areas[i].Ring = append(r.m.Areas[i].Ring, p)
		if clear, err := r.length(row, "clear"); err != nil {
			return err
		} else if clear != nil {
			r.m.Areas[i].Clear = *clear
		}
	case "crack", "joint", "vein":
		return r.crack(row, name, p)
	default:
		return r.Bad(row.Line, "bad-row", fmt.Sprintf("there is no %q in a survey", what), "write outline, crack, vein or stain")
	}
	return nil
}

// crack reads a joint or a vein; further rows with its name carry its trace on.
func (r *list) crack(row sheet.Row, name string, p layer.Point) error {
	if name == "" {
		return r.Bad(row.Line, "bad-row", "a crack is not named", "number it, as on the rock")
	}
	points := []layer.Point{p}
	if row.Text(r.columns["x2"]) != "" || row.Text(r.columns["y2"]) != "" {
		q, err := r.point(row, "x2", "y2")
		if err != nil {
			return err
		}
		points = append(points, q)
	}
	if i := slices.IndexFunc(r.cracks, func(f found) bool { return f.name == name }); i >= 0 {
		r.cracks[i].points = append(r.cracks[i].points, points...)
		return nil
	}
	f := found{name: name, points: points, photo: row.Text(r.columns["photo"]), stance: row.Text(r.columns["stance"])}
	var err error
	for _, x := range []struct {
		name string
		into **float64
	}{{"dip", &f.dip}, {"toward", &f.toward}} {
		if *x.into, err = r.number(row, x.name); err != nil {
			return err
		}
	}
	if f.chance, err = r.chance(row); err != nil {
		return err
	}
	if f.errorMM, err = r.length(row, "error"); err != nil {
		return err
	}
	if f.clear, err = r.length(row, "clear"); err != nil {
		return err
	}
	long, err := r.length(row, "length")
	if err != nil {
		return err
	}
	if long != nil {
		f.length = *long
	}
	r.cracks, r.where = append(r.cracks, f), append(r.where, fmt.Sprintf("%s:%d", r.Name, row.Line))
	return nil
}

func (r *list) point(row sheet.Row, x, y string) (p layer.Point, err error) {
	if p.X, err = r.Length(row, r.columns[x]); err != nil {
		return p, err
	}
	p.Y, err = r.Length(row, r.columns[y])
	return p, err
}

func (r *list) length(row sheet.Row, name string) (*float64, error) {
	if row.Text(r.columns[name]) == "" {
		return nil, nil
	}
	mm, err := r.Length(row, r.columns[name])
	return &mm, err
}

func (r *list) number(row sheet.Row, name string) (*float64, error) {
	if row.Text(r.columns[name]) == "" {
		return nil, nil
	}
	x, err := r.Number(row, r.columns[name])
	return &x, err
}

// chance reads a chance as a share or in per cent.
func (r *list) chance(row sheet.Row) (*float64, error) {
	text, percent := strings.CutSuffix(row.Text(r.columns["chance"]), "%")
	if text == "" {
		return nil, nil
	}
	x, err := measure.ParseNumber(strings.TrimSpace(text))
	if percent {
		x /= 100
	}
	if err != nil || x < 0 || x > 1 {
		return nil, r.Bad(row.Line, "bad-number", fmt.Sprintf("chance = %q is no chance", row.Text(r.columns["chance"])), "write 0 to 1, or per cent with its sign")
	}
	return &x, nil
}
