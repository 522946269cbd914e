// Package mapfile reads the survey of a quarry layer: a list in which each crack is two tape points from a painted base line, GeoJSON in the quarry's
// own frame, or a drawing (DXF); with the wanted blocks and the saw, which may stand in a list of their own.
//
// It turns what a survey says (steep, leaning, dip and direction, persistence) into joints that package layer knows. It plans nothing and draws nothing.
package mapfile

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/cutting/drawing"
	"slatewright/cutting/layer"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Common practice, no source: what a survey does not say.
const (
	steep        = 80.0 // degrees of dip of a joint that is called steep: it may lean so much either way
	leaning      = 60.0 // and of one that is called leaning
	usualSamples = 64
	usualLeast   = 0.25
	usualSeed    = 8
	usualDensity = 2850.0 // kg/m³, of wet slate, on the heavy side
	mostBytes    = 8 << 20
)

// Map is a survey as it was read.
type Map struct {
	layer.Question
	File     string
	Photos   []string // by joint; "" where none is named
	Density  float64  // kg/m³, of the wet stone
	Warnings []string
	of       frameOf
}

// found is one crack as the survey has it.
type found struct {
	name, photo string
	points      []layer.Point // two or more; one when strike and persistence give the trace
	stance      string
	dip, toward *float64 // degrees; toward is an azimuth
	length      float64  // mm
	chance      *float64
	errorMM     *float64
	clear       *float64
}

// frameOf is what a survey says for all cracks.
type frameOf struct {
	bearing *float64 // azimuth of the base line, degrees
	clear   float64
	errorMM float64
}

// Read reads a survey: GeoJSON begins with a brace, a drawing with its first section, all else is a list. blocks is a list of the wanted blocks, whose header
// lines say of layer and saw what the survey does not; nil for none. Errors are *trouble.Trouble with the place.
func Read(name string, r io.Reader, blocks *sheet.Sheet) (*Map, error) {
	text, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil {
		return nil, trouble.IO("unreadable", name, "the file cannot be read: "+err.Error(), "check the file and its medium").Because(err)
	}
	if len(text) > mostBytes {
		return nil, trouble.Data("too-large", name, "the file is larger than 8 MB", "give one layer, with fewer points")
	}
	m := &Map{File: name, Question: layer.Question{Samples: usualSamples, Seed: usualSeed}}
	var beside terms
	if blocks != nil {
		if beside, m.Warnings, err = blockTerms(blocks); err != nil {
			return nil, err
		}
	}
	trimmed := bytes.TrimSpace(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")))
	switch {
	case len(trimmed) > 0 && trimmed[0] == '{':
		err = m.readGeoJSON(trimmed, beside)
	case drawing.Looks(string(text)):
		err = m.readDrawing(string(text), beside)
	default:
		var list *sheet.Sheet
		if list, err = sheet.Read(name, bytes.NewReader(text)); err == nil {
			err = m.readList(list, beside)
		}
	}
	if err == nil {
		err = m.far()
	}
	m.outside()
	return m, err
}

// kilometre is how far from its own origin a layer may lie, mm, as package layer has it.
const kilometre = 1e6

// far refuses a layer in a frame whose origin is far off, as a national grid's is.
func (m *Map) far() error {
	low, high := box(m.Outline)
	if len(m.Outline) > 0 && max(math.Abs(low.X), math.Abs(low.Y), math.Abs(high.X), math.Abs(high.Y)) > kilometre {
		return trouble.Data("bad-outline", m.File, "the layer lies more than a kilometre from the origin of its coordinates", "take the same whole metres off all of them, so that the origin lies at the layer: a national grid's is too far off; or correct the unit")
	}
	return nil
}

// outside warns of cracks that lie beside the whole layer, as a slip of the unit puts them.
func (m *Map) outside() {
	number, first := 0, ""
	low, high := box(m.Outline)
	for _, j := range m.Joints {
		a, b := box(j.Trace)
		off := j.Clear + 5*j.Error + math.Hypot(j.Lean.X, j.Lean.Y)
		if len(m.Outline) > 0 && (a.X-off > high.X || b.X+off < low.X || a.Y-off > high.Y || b.Y+off < low.Y) {
			if number++; number == 1 {
				first = j.Name
			}
		}
	}
	if number > 0 {
		m.note(fmt.Sprintf("cracks lie beside the layer and change nothing (%d, the first is %s): look at their unit and place", number, first))
	}
}

// box is the box around places.
func box(points []layer.Point) (low, high layer.Point) {
	low, high = layer.Point{X: math.Inf(1), Y: math.Inf(1)}, layer.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range points {
		low, high = layer.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, layer.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	return low, high
}

// add turns a crack into a joint.
func (m *Map) add(f found, where string) error {
	of := m.of
	bad := func(what, next string) error { return trouble.Data("bad-joint", where, what, next) }
	if f.name == "" {
		f.name = fmt.Sprintf("crack %d", len(m.Joints)+1)
	}
	j := layer.Joint{Name: f.name, Trace: f.points, Chance: 1, Error: of.errorMM, Clear: of.clear}
	for _, x := range []struct{ from, into *float64 }{{f.chance, &j.Chance}, {f.errorMM, &j.Error}, {f.clear, &j.Clear}} {
		if x.from != nil {
			*x.into = *x.from
		}
	}
	if f.dip != nil && !(*f.dip > 0 && *f.dip <= 90) {
		return bad("the dip is not above 0 and up to 90 degrees", "measure it from the level")
	}
	if f.dip != nil && *f.dip < 10 {
		return bad("a crack that dips less than 10 degrees lies in the layer", "take it as the end of the layer's depth, not as a crack")
	}
	var way layer.Point // level, towards which it dips
	if f.toward != nil {
		if of.bearing == nil {
			return bad("a direction of dip needs the bearing of the base line", "add it, such as '# bearing: 72', in degrees from north by east")
		}
		way.Y, way.X = math.Sincos((*of.bearing - *f.toward) * math.Pi / 180)
	}
	if len(j.Trace) == 1 {
		if f.toward == nil || f.dip == nil || f.length <= 0 {
			return bad("a crack with one point has not dip, direction and length", "give them, or two points of its trace")
		}
		p, half := j.Trace[0], f.length/2
		j.Trace = []layer.Point{{X: p.X + half*way.Y, Y: p.Y - half*way.X}, {X: p.X - half*way.Y, Y: p.Y + half*way.X}}
	}
	if low, high := box(j.Trace); low == high {
		return bad("the points of a crack are all one", "give two points of its trace that lie apart")
	}
	if err := m.lean(&j, f, way, bad); err != nil {
		return err
	}
	m.Joints, m.Photos = append(m.Joints, j), append(m.Photos, f.photo)
	return nil
}

// lean says how far a joint has moved at the bottom of the layer.
func (m *Map) lean(j *layer.Joint, f found, way layer.Point, bad func(what, next string) error) error {
	dip := steep
	switch strings.ToLower(f.stance) {
	case "steep":
	case "leaning":
		dip = leaning
	case "":
		if f.dip == nil {
			m.note("a crack of which the survey says neither steep nor leaning is taken as steep")
		}
	default:
		return bad(fmt.Sprintf("a crack cannot stand %q", f.stance), "write steep or leaning, or give its dip")
	}
	if f.dip != nil {
		dip = *f.dip
	}
	shift := m.Depth / math.Tan(dip*math.Pi/180)
	if dip == 90 {
		shift = 0
	}
	if f.toward != nil && f.dip != nil {
		j.Lean = layer.Point{X: shift * way.X, Y: shift * way.Y}
		return nil
	}
	a, b := j.Trace[0], j.Trace[len(j.Trace)-1]
	if l := math.Hypot(b.X-a.X, b.Y-a.Y); l > 0 {
		j.Lean, j.Both = layer.Point{X: -shift * (b.Y - a.Y) / l, Y: shift * (b.X - a.X) / l}, true
	}
	return nil
}

// note warns once.
func (m *Map) note(text string) {
	for _, w := range m.Warnings {
		if w == text {
			return
		}
	}
	m.Warnings = append(m.Warnings, text)
}
