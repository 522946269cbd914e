// Package drawing reads the shapes of a drawing (DXF in ASCII, of any release): lines, polylines with their arcs, points and names, each with the layer on which it
// is drawn, in mm. What it cannot read it counts, so that nothing is lost without a word. It reads the coordinates of GeoJSON too.
//
// It does not know what a layer or a feature means, that is the affair of who asks; it reads no curves beyond arcs of polylines, no blocks and no heights, and
// writes nothing (package internal/picture/dxf does).
package drawing

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"slatewright/trouble"
)

// most is how many corners a drawing may have.
const most = 200000

// Point is a place in a drawing, mm.
type Point struct{ X, Y float64 }

// Shape is a line, a ring, a point or a name.
type Shape struct {
	Layer  string
	Points []Point
	Closed bool
	Text   string  // of a name; its place is the only point
	High   float64 // of a name's letters, mm
	Line   int     // of the file, where the shape begins
}

// Left is what was not read.
type Left struct {
	Kind   string // as the file has it: SPLINE, HATCH, …
	Number int
}

// Drawing is what was read.
type Drawing struct {
	Shapes []Shape
	Names  []Shape
	Unit   float64 // mm of a unit of the file
	Stated bool    // the file says its unit
	Left   []Left  // by kind
}

// units are the lengths of $INSUNITS in mm.
var units = map[string]float64{"1": 25.4, "2": 304.8, "4": 1, "5": 10, "6": 1000, "10": 914.4, "14": 100, "21": 1200e3 / 3937}

// Looks tells whether a text is a drawing of some form, even one that Read refuses.
func Looks(text string) bool {
	return isBinary(text) || isOther(text) || looksASCII(text)
}

func looksASCII(text string) bool {
	code, rest, _ := strings.Cut(strings.TrimPrefix(text, "\xef\xbb\xbf"), "\n")
	code = strings.TrimSpace(code)
	value, _, _ := strings.Cut(rest, "\n")
	return code == "999" || code == "0" && strings.TrimSpace(value) == "SECTION"
}

func isBinary(text string) bool {
	return strings.Contains(text[:min(len(text), 22)], "Binary DXF\r\n\x1a\x00")
}

var other = regexp.MustCompile(`^AC10[0-9]{2}[^0-9A-Za-z]`)

// isOther tells the closed form in which many programs keep drawings.
func isOther(text string) bool { return other.MatchString(text[:min(len(text), 7)]) }

// Read reads a drawing. Errors are *trouble.Trouble with file and line: bad-drawing, too-many.
func Read(name, text string) (*Drawing, error) {
	switch {
	case isBinary(text):
		return nil, trouble.Data("bad-drawing", name, "the drawing is a binary DXF", "save it as DXF in ASCII")
	case isOther(text):
		return nil, trouble.Data("bad-drawing", name, "the drawing is a DWG, which is not read", "save it as DXF in ASCII")
	}
	r := reader{name: name, left: map[string]int{}, d: &Drawing{Unit: 1}}
	lines := strings.Split(strings.TrimPrefix(text, "\xef\xbb\xbf"), "\n")
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			return nil, r.bad(i+1, fmt.Sprintf("%q is no group code", clip(strings.TrimSpace(lines[i]))))
		}
		if err := r.pair(i+1, code, strings.TrimSpace(lines[i+1])); err != nil {
			return nil, err
		}
		if code == 0 && strings.TrimSpace(lines[i+1]) == "EOF" {
			break
		}
	}
	if !r.ended {
		return nil, r.bad(len(lines), "the drawing ends before its shapes do")
	}
	return r.finish(), nil
}

// clip keeps what is quoted short.
func clip(text string) string {
	if len(text) > 40 {
		return strings.ToValidUTF8(text[:40], "?") + "…"
	}
	return text
}

// reader is a drawing being read.
type reader struct {
	name     string
	d        *Drawing
	section  string
	naming   bool // the next pair names the section
	variable string
	e        *entity // being read
	within   *entity // a polyline whose corners follow as entities of their own
	left     map[string]int
	ended    bool
	corners  int
}

func (r *reader) bad(line int, what string) error {
	return trouble.Data("bad-drawing", fmt.Sprintf("%s:%d", r.name, line), what, "save the drawing as DXF in ASCII again")
}

// pair takes a group code and its value.
func (r *reader) pair(line, code int, value string) error {
	switch {
	case code == 0:
		return r.begin(line, value)
	case r.naming:
		r.naming, r.section = false, value
	case code == 9:
		r.variable = value
	case r.section == "HEADER" && r.variable == "$INSUNITS" && code == 70:
		if value != "0" {
			unit, known := units[value]
			if !known {
				return r.bad(line, "the unit of the drawing is not known")
			}
			r.d.Unit, r.d.Stated = unit, true
		}
		r.variable = ""
	case r.e != nil:
		if err := r.e.take(code, value); err != nil {
			return r.bad(line, err.Error())
		}
	}
	return nil
}

// begin begins a section or an entity.
func (r *reader) begin(line int, kind string) error {
	if err := r.close(line); err != nil {
		return err
	}
	switch kind {
	case "SECTION":
		r.naming = true
		return nil
	case "ENDSEC":
		r.chained()
		r.ended = r.ended || r.section == "ENTITIES"
		r.section = ""
		return nil
	}
	if r.section != "ENTITIES" {
		return nil
	}
	if kind != "VERTEX" {
		r.chained()
	}
	if kind != "SEQEND" && (kind != "VERTEX" || r.within != nil) {
		r.e = &entity{kind: kind, line: line}
	}
	return nil
}

// chained ends a polyline whose corners were entities of their own.
func (r *reader) chained() {
	if r.within != nil {
		r.keep(*r.within)
	}
	r.within = nil
}

// close ends the entity that is being read.
func (r *reader) close(line int) error {
	e := r.e
	if r.e = nil; e == nil {
		return nil
	}
	if r.corners += len(e.corners) + 1; r.corners > most {
		return trouble.Data("too-many", fmt.Sprintf("%s:%d", r.name, line), fmt.Sprintf("more than %d points", most), "draw the lines with fewer points")
	}
	switch e.kind {
	case "POLYLINE":
		r.within = e
		e.corners = nil
	case "VERTEX":
		if e.flags&16 == 0 && len(e.corners) > 0 { // 16: a corner of the frame around a fitted curve
			c := e.corners[0]
			c.bulge = e.bulge
			r.within.corners = append(r.within.corners, c)
		}
	default:
		r.keep(*e)
	}
	return nil
}

// keep makes a shape of an entity, or counts it among what is not read.
func (r *reader) keep(e entity) {
	s := Shape{Layer: e.layer, Closed: e.flags&1 == 1 && e.kind != "LINE", Line: e.line}
	switch {
	case e.paper:
		r.left["PAPERSPACE"]++
		return
	case e.tilted:
		r.left["TILTED "+e.kind]++
		return
	case e.kind == "POLYLINE" && e.flags&(16|64) != 0:
		r.left["MESH"]++
		return
	case (e.kind == "LINE" || e.kind == "POLYLINE" || e.kind == "LWPOLYLINE") && len(e.corners) >= 2 || e.kind == "POINT" && len(e.corners) == 1:
		s.Points = e.path(s.Closed)
	case (e.kind == "TEXT" || e.kind == "MTEXT") && len(e.corners) > 0:
		s.Text, s.High, s.Closed = plain(e.text, e.kind == "MTEXT"), e.high, false
		if s.Points = e.path(false)[:1]; s.Text != "" {
			r.d.Names = append(r.d.Names, s)
		}
		return
	default:
		r.left[e.kind]++
		return
	}
	if n := len(s.Points); n > 3 && s.Points[0] == s.Points[n-1] {
		s.Points, s.Closed = s.Points[:n-1], true
	}
	r.d.Shapes = append(r.d.Shapes, s)
}

// finish puts everything into mm.
func (r *reader) finish() *Drawing {
	for _, list := range [][]Shape{r.d.Shapes, r.d.Names} {
		for i := range list {
			list[i].High *= r.d.Unit
			for k := range list[i].Points {
				list[i].Points[k] = Point{list[i].Points[k].X * r.d.Unit, list[i].Points[k].Y * r.d.Unit}
			}
		}
	}
	for kind, n := range r.left {
		r.d.Left = append(r.d.Left, Left{kind, n})
	}
	slices.SortFunc(r.d.Left, func(a, b Left) int { return strings.Compare(a.Kind, b.Kind) })
	return r.d
}

// Told lists what was not read, such as "2 HATCH, 1 SPLINE"; "" where all was.
func (d *Drawing) Told() string {
	var parts []string
	for _, l := range d.Left {
		parts = append(parts, fmt.Sprintf("%d %s", l.Number, clip(l.Kind)))
	}
	return strings.Join(parts, ", ")
}

// near tells whether two ends meet: a millimetre is nothing on rock.
func near(a, b Point) bool { return math.Hypot(a.X-b.X, a.Y-b.Y) <= 1 }

// Join joins open lines that meet end to end within 1 mm, as an outline is often drawn; what closes becomes a ring. Shapes keep their order by their first part.
func Join(shapes []Shape) (out []Shape) {
	open := slices.Clone(shapes)
	for len(open) > 0 {
		s := open[0]
		open = open[1:]
		s.Points = slices.Clone(s.Points)
		for i := 0; i < len(open) && !s.Closed && len(s.Points) > 1; {
			if o := open[i]; !o.Closed && len(o.Points) > 1 && s.add(o.Points) {
				open = slices.Delete(open, i, i+1)
				i = 0
				continue
			}
			i++
		}
		if n := len(s.Points); !s.Closed && n > 3 && near(s.Points[0], s.Points[n-1]) {
			s.Points, s.Closed = s.Points[:n-1], true
		}
		out = append(out, s)
	}
	return out
}

// add carries a line on by another that meets one of its ends.
func (s *Shape) add(p []Point) bool {
	turned := slices.Clone(p)
	slices.Reverse(turned)
	last := s.Points[len(s.Points)-1]
	switch {
	case near(last, p[0]):
		s.Points = append(s.Points, p[1:]...)
	case near(last, turned[0]):
		s.Points = append(s.Points, turned[1:]...)
	case near(s.Points[0], turned[0]):
		s.Points = append(p[:len(p):len(p)], s.Points[1:]...)
	case near(s.Points[0], p[0]):
		s.Points = append(turned, s.Points[1:]...)
	default:
		return false
	}
	return true
}
