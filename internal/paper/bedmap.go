package paper

import (
	"fmt"
	"io"
	"math"
	"slices"

	"slatewright/internal/paper/contour"
	"slatewright/internal/paper/ink"
	"slatewright/trouble"
)

// BedMap is three pieces laid as one bed, in the bed frame: x along the table from head (−) to foot (+), y across from left
// (−) to right (+) as seen from the foot end looking to the head, z up from the middle of the zone. Lengths are mm.
type BedMap struct {
	Title        string // as in "Set QH-0007"
	SizeX, SizeY float64
	EdgeBand     float64 // left out of the judgement along every edge of every piece; 0 when there is none
	Zone         float64 // minimum zone of the bed; its planes lie at ±Zone/2
	Pieces       [3]PieceMap
	Joints       [2]JointMap
	Contacts     []Contact
	StepLimit    float64 // 0 when there is none
	Warnings     []string
	Mark         string // drawn over it, such as that of invented data; empty: none
}

// PieceMap is one piece where it lies, with its readings moved into the bed frame.
type PieceMap struct {
	Place      string // head, centre or foot
	Serial     string
	Turned     bool
	MinX, MaxX float64 // its edges on the bed
	X, Y, Z    []float64
}

// JointMap is one joint. A step is positive when the piece on the foot side is proud.
type JointMap struct {
	X     float64
	Steps []Step // in order of y; empty when the joint was not computed
	// Predicted holds for each of the Steps, which were then measured on the laid-up set, what the three pieces had foretold;
	// nil when the Steps are the prediction.
	Predicted   []float64
	NotMeasured bool // no readings at the arris: the steps are carried out from the nearest columns
}

// Step is the height of the foot-side face over the head-side face at one place along a joint, mm.
type Step struct{ Y, Height float64 }

// Contact is a point that carries the zone.
type Contact struct {
	X, Y, Z float64
	Upper   bool
}

func (m BedMap) check() error {
	own := func(what string) error {
		return trouble.Own("bad-map", m.Title, what, "fill every field of the map")
	}
	if !(m.SizeX > 0) || !(m.SizeY > 0) {
		return own(fmt.Sprintf("a bed of %g by %g mm", m.SizeX, m.SizeY))
	}
	for _, p := range m.Pieces {
		if !(p.MaxX > p.MinX) {
			return own(fmt.Sprintf("the %s piece reaches from x = %g to %g mm", p.Place, p.MinX, p.MaxX))
		}
	}
	for _, j := range m.Joints {
		if j.Predicted != nil && len(j.Predicted) != len(j.Steps) {
			return own(fmt.Sprintf("%d predictions for %d measured steps", len(j.Predicted), len(j.Steps)))
		}
		for _, s := range j.Steps {
			if math.IsNaN(s.Height + s.Y) {
				return own("a step that is not a number")
			}
		}
	}
	return nil
}

// meshSpacing is the distance of mesh nodes on the bed, mm: at the widest, 0.8 mm of paper.
const meshSpacing = 13.0

// mostLevels is how many contour levels a map has at most; more crowd the heights printed on them.
const mostLevels = 15

// relief is a map ready for drawing: a mesh for each piece and the levels common to all.
type relief struct {
	meshes    [3]contour.Mesh
	levels    []float64
	step      float64
	low, high float64
	methods   []string
}

func (m BedMap) relief() (relief, error) {
	r := relief{low: math.Inf(1), high: math.Inf(-1)}
	for i, p := range m.Pieces {
		mesh, err := contour.Interpolate(contour.Points{X: p.X, Y: p.Y, Z: p.Z}, meshSpacing)
		if err != nil {
			return r, err
		}
		low, high := mesh.Range()
		r.low, r.high = math.Min(r.low, low), math.Max(r.high, high)
		r.meshes[i] = mesh
		if i == 0 || mesh.Method != r.methods[0] {
			r.methods = append(r.methods, mesh.Method)
		}
	}
	r.levels, r.step = contour.Levels(r.low, r.high, mostLevels)
	return r, nil
}

// tint is the colour of a height: the farther from the middle of the zone, the deeper.
func (r relief) tint(z float64) ink.Colour {
	reach := math.Max(math.Abs(r.low), math.Abs(r.high))
	if reach == 0 {
		return midTint
	}
	share := math.Min(1, math.Abs(z)/reach)
	if z < 0 {
		return midTint.Mix(lowTint, share)
	}
	return midTint.Mix(highTint, share)
}

// band returns the colour between level number i−1 and level number i.
func (r relief) band(i int) ink.Colour {
	low, high := r.low, r.high
	if i > 0 {
		low = r.levels[i-1]
	}
	if i < len(r.levels) {
		high = r.levels[i]
	}
	return r.tint((low + high) / 2)
}

// SVG writes the map as one picture: the bed, its scales, both joints, warnings. It is one <svg> element without
// identifiers, scripts or outside references, and can stand alone or inside a page.
func (m BedMap) SVG(w io.Writer) error {
	if err := m.check(); err != nil {
		return err
	}
	r, err := m.relief()
	if err != nil {
		return err
	}
	const width, margin = 200.0, 7.0
	// The ground is drawn first and its height known last: measure on a sheet that is thrown away.
	height := m.picture(ink.NewSVG(), r, margin, width-2*margin) + margin - 2
	s := ink.NewSVG()
	s.Fill([]contour.Line{ink.Rect(0, 0, width, height)}, page)
	m.picture(s, r, margin, width-2*margin)
	title := "heights of the playing face, zone " + both(m.Zone)
	if m.Title != "" {
		title = m.Title + ": " + title
	}
	if m.Mark != "" {
		title += "; " + m.Mark
	}
	return s.Write(w, width, height, title)
}

// picture draws everything one below the other, w wide, and returns where it ends.
func (m BedMap) picture(s ink.Sheet, r relief, margin, w float64) float64 {
	y := margin
	if m.Mark != "" {
		y += drawBanner(s, m.Mark, margin, y, w, typeBanner.Sized(13)) + 3
	}
	if m.Title != "" {
		s.Text(ink.Point{X: margin, Y: y + 4}, m.Title, typeHead.Sized(12))
		y += 7
	}
	drawBed(s, m, r, margin, y, w)
	y += bedHeight(s, m, w)
	y += drawScales(s, m, r, margin, y, w) + 4
	drawJoints(s, m, margin, y, w)
	y += jointsHeight(m)
	return y + drawWarnings(s, m.Warnings, margin, y, w)
}

// allWarnings joins a paper's warnings with those of its map, each once.
func allWarnings(warnings []string, m BedMap) []string {
	var all []string
	for _, w := range append(slices.Clone(warnings), m.Warnings...) {
		if !slices.Contains(all, w) {
			all = append(all, w)
		}
	}
	return all
}

// drawWarnings sets warnings one below the other and returns the height used.
func drawWarnings(s ink.Sheet, warnings []string, x, y, w float64) float64 {
	start := y
	for _, text := range warnings {
		for i, line := range ink.Wrap(s, text, typeText, w-5) {
			y += leading(typeText)
			if i == 0 {
				s.Text(ink.Point{X: x, Y: y}, "!", typeStrong.In(bad))
			}
			s.Text(ink.Point{X: x + 4, Y: y}, line, typeText)
		}
	}
	return y - start
}

// drawBanner draws the strip with the mark and returns its height.
func drawBanner(s ink.Sheet, mark string, x, y, w float64, t ink.Type) float64 {
	t = ink.Fit(s, mark, t, w-24, 5)
	h := 2.1 * t.Height()
	s.Strokes(ink.Hatch(x, y, w, h, 1.6), ink.Pen{Colour: bad.Mix(sheet, 0.5), Width: 0.25})
	inner := s.Width(mark, t) + 8
	s.Fill([]contour.Line{ink.Rect(x+(w-inner)/2, y, inner, h)}, sheet)
	s.Stroke(ink.Rect(x, y, w, h), ink.Pen{Colour: bad, Width: 0.35})
	s.Text(ink.Point{X: x + w/2, Y: y + (h+t.Height())/2}, mark, t.To(ink.Middle))
	return h
}
