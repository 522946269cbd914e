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
func (m *Map) readList(s *sheet.Sheet, beside terms) error {
	t, err := headTerms(s)
	if err != nil {
		return err
	}
	t.fill(beside)
	for _, must := range []struct {
		key string
		mm  *float64
	}{{"depth", t.depth}, {"kerf", t.kerf}} {
		if must.mm == nil {
			return s.Bad(1, "no-header", fmt.Sprintf("there is no line # %s", must.key), fmt.Sprintf("add a line such as '# %s: 6 mm'", must.key))
		}
	}
	m.settle(t)
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
		if err := m.add(f, r.where[i]); err != nil {
			return err
		}
	}
	m.Warnings = append(m.Warnings, s.Rest()...)
	return nil
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
	what := strings.ToLower(row.Text(r.columns["what"]))
	if row.Text(r.columns["x2"])+row.Text(r.columns["y2"]) != "" && slices.Contains([]string{"outline", "stain", "zone"}, what) {
		return r.Bad(row.Line, "bad-row", fmt.Sprintf("a corner of %s has two points", what), "write one corner a row, in order")
	}
	switch what {
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
		for _, c := range []string{"stance", "dip", "toward", "length", "chance", "error", "clear", "photo"} {
			if row.Text(r.columns[c]) != "" {
				return r.Bad(row.Line, "bad-row", fmt.Sprintf("the crack %s is told twice", name), "give points alone in further rows of a crack, and another name to another crack")
			}
		}
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
