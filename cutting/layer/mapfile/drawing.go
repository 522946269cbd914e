package mapfile

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"slatewright/cutting/drawing"
	"slatewright/cutting/layer"
	"slatewright/polygon"
	"slatewright/trouble"
)

// A survey as a drawing (DXF in ASCII). The layer of a shape says what it is: OUTLINE, CRACK or JOINT, VEIN, STAIN, in the plural too; words behind it, parted by _, - or
// a blank, say what is known of all that is drawn there: STEEP, LEANING, DIP78, TOWARD345, CHANCE60 (per cent), ERROR80 (mm), and a number alone is what is kept off to
// either side (mm). A name that is written on the layer of a crack, beside it, is its name.

// mostLines is how many lines may make an outline or the stains.
const mostLines = 2000

// class is what the name of a layer says.
type class struct {
	what string
	found
}

var spoken = regexp.MustCompile(`^([a-z]+)([0-9]+(?:\.[0-9]+)?)?$`)

// classOf reads the name of a layer; ok is false where it is no part of a survey, and wrong the word behind a known name that nobody knows.
func classOf(name string) (c class, ok bool, wrong string) {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == '_' || r == '-' || r == ' ' })
	if len(words) == 0 {
		return c, false, ""
	}
	what := strings.TrimSuffix(words[0], "s")
	if !slices.Contains([]string{"outline", "crack", "joint", "vein", "stain"}, what) {
		return c, false, ""
	}
	c.what = what
	for _, w := range words[1:] {
		if !c.word(w) {
			return c, true, w
		}
	}
	return c, true, ""
}

// word takes one word behind the name.
func (c *class) word(w string) bool {
	if mm, err := strconv.ParseFloat(w, 64); err == nil && w[0] >= '0' && w[0] <= '9' && mm < 1e6 && c.what != "outline" {
		c.clear = &mm
		return true
	}
	m := spoken.FindStringSubmatch(w)
	if m == nil || c.what == "outline" || c.what == "stain" {
		return false
	}
	v, err := strconv.ParseFloat(m[2], 64)
	switch given := err == nil; {
	case (m[1] == "steep" || m[1] == "leaning") && !given:
		c.stance = m[1]
	case m[1] == "dip" && given:
		c.dip = &v
	case m[1] == "toward" && given && v <= 360:
		c.toward = &v
	case m[1] == "chance" && given && v <= 100:
		v /= 100
		c.chance = &v
	case m[1] == "error" && given && v < 1e6:
		c.errorMM = &v
	default:
		return false
	}
	return true
}

// readDrawing takes a drawing.
func (m *Map) readDrawing(text string, beside terms) error {
	d, err := drawing.Read(m.File, text)
	if err != nil {
		return err
	}
	if beside.depth == nil || beside.kerf == nil {
		return trouble.Data("no-header", m.File, "a drawing does not say how deep the layer is and what the saw takes", "give a list of the wanted blocks too, with the header lines # depth and # kerf")
	}
	m.settle(beside)
	if !d.Stated {
		m.note("the drawing does not say its unit: mm is taken")
	}
	edges, areas, others := []drawing.Shape{}, map[string][]drawing.Shape{}, map[string]int{}
	for _, s := range d.Shapes {
		c, ok, wrong := classOf(s.Layer)
		where := fmt.Sprintf("%s:%d", m.File, s.Line)
		switch {
		case wrong != "":
			return trouble.Data("bad-drawing", where, fmt.Sprintf("the layer %q has a word behind its name that is not known: %s", s.Layer, wrong), "write STEEP, LEANING, DIP78, TOWARD345, CHANCE60, ERROR80 or what is kept off in mm")
		case !ok:
			others[s.Layer]++
		case c.what == "outline":
			edges = append(edges, s)
		case c.what == "stain":
			areas[s.Layer] = append(areas[s.Layer], s)
		default:
			if err := m.line(d, s, c, where); err != nil {
				return err
			}
		}
	}
	if err := m.rings(edges, areas); err != nil {
		return err
	}
	if told := d.Told(); told != "" {
		m.note(fmt.Sprintf("the drawing has shapes that are not read: %s", told))
	}
	for _, name := range slices.Sorted(maps.Keys(others)) {
		m.note(fmt.Sprintf("the layer %q of the drawing is no part of a survey: %d shapes are left out", name, others[name]))
	}
	return nil
}

// line takes a crack or a vein; a ring is a line that comes back.
func (m *Map) line(d *drawing.Drawing, s drawing.Shape, c class, where string) error {
	f := c.found
	f.points = placesOf(s.Points)
	if s.Closed {
		f.points = append(f.points, f.points[0])
	}
	if len(f.points) == 1 {
		return trouble.Data("bad-drawing", where, "a crack is drawn as a point", "draw its trace as a line")
	}
	f.name = nameOf(d, s)
	return m.add(f, where)
}

// nameOf is the name that is written nearest to a shape on its own layer, no farther than twice the height of its letters.
func nameOf(d *drawing.Drawing, s drawing.Shape) (name string) {
	nearest := math.Inf(1)
	for _, n := range d.Names {
		if n.Layer != s.Layer {
			continue
		}
		for i := range s.Points {
			off := polygon.Away(n.Points[0], s.Points[max(0, i-1)], s.Points[i])
			if off <= 2*max(n.High, 1) && off < nearest {
				nearest, name = off, n.Text
			}
		}
	}
	return name
}

// rings takes the outline and the stains, whose lines may be drawn one by one.
func (m *Map) rings(edges []drawing.Shape, areas map[string][]drawing.Shape) error {
	const next = "draw it as one closed polyline, or as lines that meet end to end"
	if len(edges) > mostLines {
		return trouble.Data("too-many", m.File, fmt.Sprintf("more than %d lines make the outline or a stain", mostLines), next)
	}
	switch edges = drawing.Join(edges); {
	case len(edges) == 0:
		return trouble.Data("bad-outline", m.File, "nothing is drawn on the layer OUTLINE", next)
	case len(edges) > 1 || !edges[0].Closed:
		return trouble.Data("bad-outline", fmt.Sprintf("%s:%d", m.File, edges[0].Line), "the outline is not closed, or there are several", next)
	}
	m.Outline = placesOf(edges[0].Points)
	for _, name := range slices.Sorted(maps.Keys(areas)) {
		if len(areas[name]) > mostLines {
			return trouble.Data("too-many", m.File, fmt.Sprintf("more than %d lines make the outline or a stain", mostLines), next)
		}
		c, _, _ := classOf(name)
		for _, s := range drawing.Join(areas[name]) {
			if !s.Closed {
				return trouble.Data("bad-area", fmt.Sprintf("%s:%d", m.File, s.Line), "a stain is not closed", next)
			}
			a := layer.Area{Name: fmt.Sprintf("stain %d", len(m.Areas)+1), Ring: placesOf(s.Points)}
			if c.clear != nil {
				a.Clear = *c.clear
			}
			m.Areas = append(m.Areas, a)
		}
	}
	return nil
}

func placesOf(points []drawing.Point) (p []layer.Point) {
	for _, q := range points {
		p = append(p, layer.Point(q))
	}
	return p
}
