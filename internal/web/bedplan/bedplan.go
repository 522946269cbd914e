// Package bedplan draws a bed of three pieces from above, its pieces and edges named, with the places that a table beside it speaks of.
// It measures nothing and draws no outline but the pieces' own rectangles.
package bedplan

import (
	"fmt"
	"html/template"
	"strings"

	"slatewright/bed"
	"slatewright/internal/tongue"
)

// Place is one place in the frame of the bed, mm from its middle, and what is written at it: above it, or beside it where it lies on a joint.
type Place struct {
	X, Y   float64
	Words  string
	Beside bool
}

// The picture in its own units: the bed's length, and the room for the words at its edges.
const (
	long = 740.0
	edge = 24.0
	spot = 4.0
)

// Middle is how far along the bed the middle of a piece lies from the bed's, mm; n counts from 0 at the head.
func Middle(spec bed.Spec, n int) float64 {
	x, _ := spec.PieceSize()
	return float64(n-1) * x
}

// Draw draws the bed with its places: x runs to the right, y up. The title is for who cannot see it.
func Draw(w tongue.Words, spec bed.Spec, places []Place, title string) template.HTML {
	px, py := spec.PieceSize()
	scale := long / (3 * px)
	at := func(x, y float64) (float64, float64) { return edge + long/2 + scale*x, edge + scale*(py/2-y) }
	high := scale * py
	var b strings.Builder
	text := func(x, y float64, class, words string) {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" class="%s">%s</text>`, x, y, class, template.HTMLEscapeString(words))
	}
	turned := func(x float64, words string) {
		fmt.Fprintf(&b, `<text transform="translate(%.1f %.1f) rotate(-90)" class="edge">%s</text>`, x, edge+high/2, template.HTMLEscapeString(words))
	}
	fmt.Fprintf(&b, `<svg class="bedplan" viewBox="0 0 %.0f %.0f" role="img"><title>%s</title>`, long+2*edge, high+2*edge, template.HTMLEscapeString(title))
	for n, p := range bed.Places() {
		x, y := at(Middle(spec, n)-px/2, py/2)
		fmt.Fprintf(&b, `<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, x, y, scale*px, high)
		text(x+scale*px/2, y+high/2-0.17*high, "piece", w.Word("place", p.String()))
	}
	for _, p := range places {
		x, y := at(p.X, p.Y)
		fmt.Fprintf(&b, `<circle cx="%.1f" cy="%.1f" r="%g"/>`, x, y, spot)
		if p.Beside {
			text(x+2*spot, y+spot, "place beside", p.Words)
		} else {
			text(x, y-2*spot, "place", p.Words)
		}
	}
	text(edge+long/2, edge-8, "edge", w.Word("place", "right"))
	text(edge+long/2, edge+high+17, "edge", w.Word("place", "left"))
	turned(edge-9, w.Word("place", "head"))
	turned(edge+long+18, w.Word("place", "foot"))
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}
