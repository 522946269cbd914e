// Package bedmap draws three pieces that were laid as one bed: heights with their contour lines, steps along both joints, the points that
// carry the zone, and the scales to read them by. It draws on any sheet of package ink, and writes one picture by itself.
//
// Everything is made from plain structs in mm, filled by the caller; the same struct gives the same picture. What is drawn of a face
// between its readings (see package contour) is a picture and is never judged. The package computes no zone, step or verdict.
package bedmap

import (
	"fmt"
	"io"
	"math"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
	"slatewright/trouble"
)

// Map is three pieces laid as one bed, in the bed frame: x along the table from head (−) to foot (+), y across from left
// (−) to right (+) as seen from the foot end looking to the head, z up from the middle of the zone. Lengths are mm.
type Map struct {
	Title        string // as in "Set QH-0007"
	SizeX, SizeY float64
	EdgeBand     float64 // left out of the judgement along every edge of every piece; 0 when there is none
	Zone         float64 // minimum zone of the bed; its planes lie at ±Zone/2
	Pieces       [3]Piece
	Joints       [2]Joint
	Contacts     []Contact
	StepLimit    float64 // 0 when there is none
	Warnings     []string
	Mark         string // drawn over it, such as that of invented data; empty: none

	Words tongue.Words `json:"-"` // in which it speaks; the zero value is English
}

// Banner is a mark as it stands over a picture or paper: as it is sealed, and after it in the language.
func Banner(w tongue.Words, mark string) string {
	const key = "shell.invented"
	if own := w.Say(key); mark == (tongue.Words{}).Say(key) && own != mark {
		return mark + "  ·  " + own
	}
	return mark
}

// place is a place's name in the language of the map.
func (m Map) place(name string) string { return m.Words.Word("place", name) }

// both is a length in both units, mm first.
func (m Map) both(mm float64) string {
	return m.Words.Number(mm, 3) + " mm (" + m.Words.Number(look.Thou(mm), 1) + " thou)"
}

// Piece is one piece where it lies, with its readings moved into the bed frame.
type Piece struct {
	Place      string // head, centre or foot
	Serial     string
	Turned     bool
	MinX, MaxX float64 // its edges on the bed
	X, Y, Z    []float64
}

// Joint is one joint. A step is positive when the piece on the foot side is proud.
type Joint struct {
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

// Check is an error of the caller's when the map cannot be drawn.
func (m Map) Check() error {
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

// Relief is a map ready for drawing: a mesh for each piece and the levels common to all.
type Relief struct {
	meshes    [3]contour.Mesh
	Levels    []float64 // heights of the contour lines, ascending, mm
	step      float64
	low, high float64
	methods   []string
}

// Relief interpolates the readings of each piece and chooses the levels.
func (m Map) Relief() (Relief, error) {
	r := Relief{low: math.Inf(1), high: math.Inf(-1)}
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
	r.Levels, r.step = contour.Levels(r.low, r.high, mostLevels)
	return r, nil
}

// tint is the colour of a height: the farther from the middle of the zone, the deeper.
func (r Relief) tint(z float64) ink.Colour {
	reach := math.Max(math.Abs(r.low), math.Abs(r.high))
	if reach == 0 {
		return look.MidTint
	}
	return look.Tint(z / reach)
}

// band returns the colour between level number i−1 and level number i.
func (r Relief) band(i int) ink.Colour {
	low, high := r.low, r.high
	if i > 0 {
		low = r.Levels[i-1]
	}
	if i < len(r.Levels) {
		high = r.Levels[i]
	}
	return r.tint((low + high) / 2)
}

// SVG writes the map as one picture: the bed, its scales, both joints, warnings. It is one <svg> element without
// identifiers, scripts or outside references, and can stand alone or inside a page.
func (m Map) SVG(w io.Writer) error {
	if err := m.Check(); err != nil {
		return err
	}
	r, err := m.Relief()
	if err != nil {
		return err
	}
	const width, margin = 200.0, 7.0
	// The ground is drawn first and its height known last: measure on a sheet that is thrown away.
	height := m.picture(ink.NewSVG(), r, margin, width-2*margin) + margin - 2
	s := ink.NewSVG()
	s.Fill([]contour.Line{ink.Rect(0, 0, width, height)}, look.Page)
	m.picture(s, r, margin, width-2*margin)
	title := m.Words.Say("map.title", "zone", m.both(m.Zone))
	if m.Title != "" {
		title = m.Title + ": " + title
	}
	if m.Mark != "" {
		title += "; " + Banner(m.Words, m.Mark)
	}
	return s.Write(w, width, height, title)
}

// picture draws everything one below the other, w wide, and returns where it ends.
func (m Map) picture(s ink.Sheet, r Relief, margin, w float64) float64 {
	y := margin
	if m.Mark != "" {
		y += look.DrawBanner(s, Banner(m.Words, m.Mark), margin, y, w, look.Banner.Sized(13)) + 3
	}
	if m.Title != "" {
		s.Text(ink.Point{X: margin, Y: y + 4}, m.Title, look.Head.Sized(12))
		y += 7
	}
	Draw(s, m, r, margin, y, w)
	y += Height(s, m, w)
	y += DrawScales(s, m, r, margin, y, w) + 4
	DrawJoints(s, m, margin, y, w)
	y += JointsHeight(m)
	return y + drawWarnings(s, m.Warnings, margin, y, w)
}

// drawWarnings sets warnings one below the other and returns the height used.
func drawWarnings(s ink.Sheet, warnings []string, x, y, w float64) float64 {
	start := y
	for _, text := range warnings {
		for i, line := range ink.Wrap(s, text, look.Text, w-5) {
			y += look.Leading(look.Text)
			if i == 0 {
				s.Text(ink.Point{X: x, Y: y}, "!", look.Strong.In(look.Bad))
			}
			s.Text(ink.Point{X: x + 4, Y: y}, line, look.Text)
		}
	}
	return y - start
}
