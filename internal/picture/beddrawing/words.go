package beddrawing

import (
	"math"
	"strings"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
)

// told says a thing in the reader's words.
func (b *bed) told(key string, pairs ...any) string { return b.Reader.Say(key, pairs...) }

// from says a thing of which the words have one key for above and one for below.
func (b *bed) from(key string, f pattern.Face, pairs ...any) string {
	if f == pattern.Bottom {
		return b.told(key+"below", pairs...)
	}
	return b.told(key+"above", pairs...)
}

// mm writes a length with the reader's decimal mark.
func (b *bed) mm(x float64) string { return b.Reader.Figure(drawing.MM(x)) }

// joined joins what is said one after the other; what is empty is left out.
func (b *bed) joined(parts ...string) (text string) {
	for _, more := range parts {
		switch {
		case more == "":
		case text == "":
			text = more
		default:
			text = b.told("drawing.joined", "first", text, "more", more)
		}
	}
	return text
}

// piece is what the reader calls a piece.
func (b *bed) piece(i int) string { return b.Reader.Word("place", b.Pieces[i].Name) }

// uses are the kinds of holes with their words.
var uses = map[pattern.Kind]string{pattern.RailBolt: "drilling.rail-bolt", pattern.BedScrew: "drilling.bed-screw", pattern.Accessory: "drilling.accessory"}

// use says what a hole is for.
func (b *bed) use(k pattern.Kind) string {
	if key, ok := uses[k]; ok {
		return b.told(key)
	}
	return strings.ReplaceAll(string(k), "-", " ")
}

// note says how a hole is made: "⌀12.7 ±0.2 through, counterbore ⌀25 × 10 deep from below".
func (b *bed) note(h pattern.Hole) string {
	d := b.mm(h.Diameter) + b.plusMinus(h.Tolerance.Diameter)
	parts := []string{b.told("drawing.through", "d", d)}
	switch {
	case !h.Through():
		parts[0] = b.from("drawing.deep-", h.From, "d", d, "deep", b.mm(h.Depth)+b.plusMinus(h.Tolerance.Depth))
	case h.From == pattern.Bottom:
		parts = append(parts, b.told("drawing.drilled-below"))
	}
	if c := h.Counter; c != nil && c.Angle > 0 {
		parts = append(parts, b.from("drawing.countersink-", c.From, "d", b.mm(c.Diameter), "angle", b.mm(c.Angle*180/math.Pi)))
	} else if c != nil {
		parts = append(parts, b.from("drawing.counterbore-", c.From, "d", b.mm(c.Diameter), "deep", b.mm(c.Depth)+b.plusMinus(h.Tolerance.Depth)))
	}
	if h.Chamfer > 0 {
		parts = append(parts, b.told("drawing.chamfer", "leg", b.mm(h.Chamfer)))
	}
	return b.joined(parts...)
}
