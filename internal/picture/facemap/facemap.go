// Package facemap draws one piece of stone seen on a face: heights, or thickness, with contour lines and their figures printed on
// them, the places that were read, the points that carry the zone, the edge band, and the scale to read it by.
//
// Everything is made from plain structs in mm, filled by the caller; the same struct gives the same picture. What is drawn between
// readings is a picture and is never judged. The package computes no zone and no thickness, and its words can be given in
// any language. A bed of three pieces is drawn by package bedmap.
package facemap

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/trouble"
)

// Map is one face of a piece, counted from the middle of the piece: x along the table and y across it, as the face is read. A bottom
// face is read turned over about the y axis: its x runs from foot to head.
type Map struct {
	Title string // such as "QH-0101, top"
	About string // one sentence: what is shown
	Mark  string // drawn over it, such as that of invented data; empty: none

	MinX, MaxX, MinY, MaxY float64 // the piece's edges
	EdgeBand               float64 // left out of the judgement along every edge; 0 when there is none
	Bottom                 bool

	Mesh     contour.Mesh // heights over the middle of the zone, or thickness
	Middle   float64      // the value without a tint: 0 for heights
	Unsigned bool         // figures without a sign, lines all alike: for thickness

	Readings []contour.Point // places that were read; they are left out where they would cover the map
	Contacts []Contact
	Warnings []string
	Words    Words
}

// Contact is a point that carries the zone.
type Contact struct {
	X, Y  float64
	Upper bool
}

// Words are what stands on a picture besides title, sentence and warnings.
type Words struct {
	Head, Foot, Left, Right string // the sides of the table
	High, Low               string // the highest and the lowest place
	Height                  string // over the scale
	Upper, Lower            string // what the marks of contact points mean
	Read, NotRead, Band     string
	Below                   string // what a dashed line means
	Thou                    string // unit of the second scale
	Every                   string // "a line every {n} mm"
	Comma                   bool   // decimals after a comma
}

// English are the words in English, for heights.
func English() Words {
	return Words{Head: "head", Foot: "foot", Left: "left", Right: "right", High: "high", Low: "low", Height: "height, mm",
		Upper: "touches the upper plane", Lower: "touches the lower plane", Read: "read here", NotRead: "not read", Band: "edge band",
		Below: "below the zone's middle", Thou: "thou", Every: "A line every {n} mm."}
}

// number prints a figure by the language.
func (w Words) number(text string) string {
	if w.Comma {
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

// Check is an error of the caller's when the map cannot be drawn.
func (m Map) Check() error {
	own := func(what string) error {
		return trouble.Own("bad-map", m.Title, what, "fill every field of the map")
	}
	if !(m.MaxX > m.MinX) || !(m.MaxY > m.MinY) {
		return own(fmt.Sprintf("a face from (%g, %g) to (%g, %g) mm", m.MinX, m.MinY, m.MaxX, m.MaxY))
	}
	if n := m.Mesh.NX * m.Mesh.NY; n == 0 || len(m.Mesh.Z) != n || len(m.Mesh.X) != n || len(m.Mesh.Y) != n {
		return own("a mesh without nodes")
	}
	return nil
}

// mostLevels is how many contour levels a map has at most; more crowd the figures printed on them.
const mostLevels = 12

// Scale is the levels of a map and its bands of colour.
type Scale struct {
	Levels    []float64 // ascending, mm
	Step      float64
	Low, High float64
	middle    float64
	unsigned  bool
}

// Scale chooses the levels.
func (m Map) Scale() Scale {
	low, high := m.Mesh.Range()
	s := Scale{Low: low, High: high, middle: m.Middle, unsigned: m.Unsigned}
	s.Levels, s.Step = contour.Levels(low, high, mostLevels)
	return s
}

// Share is how far the band below level number i lies from the middle, from −1 to 1: band len(Levels) is the highest.
func (s Scale) Share(i int) float64 {
	low, high := s.Low, s.High
	reach := math.Max(math.Abs(low-s.middle), math.Abs(high-s.middle))
	if i > 0 {
		low = s.Levels[i-1]
	}
	if i < len(s.Levels) {
		high = s.Levels[i]
	}
	if reach == 0 {
		return 0
	}
	return ((low+high)/2 - s.middle) / reach
}

// Figure is how a level is printed on the map.
func (s Scale) Figure(level float64, w Words) string {
	text := look.Signed(level, contour.Decimals(s.Step))
	if s.unsigned {
		text = look.Fixed(level, contour.Decimals(s.Step))
	}
	return w.number(text)
}

// pen draws a level.
func (s Scale) pen(level float64) ink.Pen {
	if s.unsigned {
		return look.LevelPen(1)
	}
	return look.LevelPen(level)
}

// SVG writes the map as one picture w mm wide: the face, its scale and key, warnings. It is one <svg> element without identifiers,
// scripts or outside references, and can stand alone or inside a page.
func (m Map) SVG(out io.Writer, w float64) error {
	if err := m.Check(); err != nil {
		return err
	}
	d := drawing{Map: m, scale: m.Scale()}
	const margin = 5.0
	// The ground is drawn first and its height known last: measure on a sheet that is thrown away.
	height := d.all(ink.NewSVG(), margin, w-2*margin) + margin
	s := ink.NewSVG()
	s.Fill([]contour.Line{ink.Rect(0, 0, w, height)}, look.Page)
	d.all(s, margin, w-2*margin)
	title := m.Title
	if m.About != "" {
		title += ": " + strings.TrimSuffix(m.About, ".")
	}
	if m.Mark != "" {
		title += "; " + m.Mark
	}
	return s.Write(out, w, height, title)
}
