package drawing

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// reach is how far a coordinate may be: no quarry is larger in any unit.
const reach = 1e12

// entity is a shape as the file has it.
type entity struct {
	kind, layer string
	corners     []corner
	flags       int
	bulge       float64 // of a corner that is an entity of its own
	text        string
	high        float64
	paper       bool // drawn on the sheet around the drawing
	mirrored    bool // seen from below
	tilted      bool
	line        int
}

// corner is a corner with the arc that leads to the next one: bulge is the tangent of a quarter of its angle, above 0 to the left of the chord's way.
type corner struct {
	Point
	bulge float64
}

// take reads one pair of an entity. Codes that say nothing of its shape pass.
func (e *entity) take(code int, value string) error {
	switch code {
	case 8:
		e.layer = unescape(value)
		return nil
	case 1, 3:
		e.text += value
		return nil
	case 67:
		e.paper = value == "1"
		return nil
	case 70:
		flags, err := strconv.Atoi(value)
		if err != nil {
			return fmt.Errorf("%q is no number", clip(value))
		}
		e.flags = flags
		return nil
	case 10, 11, 20, 21, 40, 42, 210, 220, 230:
	default:
		return nil
	}
	v, err := strconv.ParseFloat(value, 64)
	if err != nil || !(math.Abs(v) <= reach) {
		return fmt.Errorf("%q is no number", clip(value))
	}
	e.number(code, v)
	return nil
}

func (e *entity) number(code int, v float64) {
	switch code {
	case 10:
		e.corners = append(e.corners, corner{Point: Point{X: v}})
	case 11:
		if e.kind == "LINE" { // of a name it is how it is set
			e.corners = append(e.corners, corner{Point: Point{X: v}})
		}
	case 20, 21:
		if n := len(e.corners); n > 0 && (code == 20 || e.kind == "LINE") {
			e.corners[n-1].Y = v
		}
	case 40:
		e.high = v
	case 42:
		if e.bulge = v; e.kind == "LWPOLYLINE" && len(e.corners) > 0 {
			e.corners[len(e.corners)-1].bulge = v
		}
	case 210, 220:
		e.tilted = e.tilted || math.Abs(v) > 1e-9
	case 230:
		e.mirrored = v < 0
	}
}

// path is the way along the corners, with the arcs between them.
func (e *entity) path(closed bool) (p []Point) {
	for i, c := range e.corners {
		p = append(p, c.Point)
		if i+1 < len(e.corners) || closed {
			p = append(p, arc(c, e.corners[(i+1)%len(e.corners)].Point)...)
		}
	}
	if e.mirrored && e.kind != "LINE" && e.kind != "POINT" && e.flags&8 == 0 { // those stand in the frame of the drawing
		for i := range p {
			p[i].X = -p[i].X
		}
	}
	return p
}

// widest is how much of an arc one chord may span, radians: of a circle of 10 m the chords are 3 mm off.
const widest = math.Pi / 60

// arc is the places between a corner and the next along the arc between them.
func arc(from corner, to Point) (p []Point) {
	chord := math.Hypot(to.X-from.X, to.Y-from.Y)
	if from.bulge == 0 || chord == 0 || math.Abs(from.bulge) > 1e6 {
		return nil
	}
	angle := 4 * math.Atan(from.bulge)
	n := int(math.Ceil(math.Abs(angle) / widest))
	// The centre lies off the middle of the chord, to the left where the angle is below half a turn.
	off := (1 - from.bulge*from.bulge) / (4 * from.bulge)
	cx := (from.X+to.X)/2 - off*(to.Y-from.Y)
	cy := (from.Y+to.Y)/2 + off*(to.X-from.X)
	for i := 1; i < n; i++ {
		s, c := math.Sincos(angle * float64(i) / float64(n))
		x, y := from.X-cx, from.Y-cy
		p = append(p, Point{cx + x*c - y*s, cy + x*s + y*c})
	}
	return p
}

var (
	escaped = regexp.MustCompile(`\\U\+([0-9A-Fa-f]{4})`)
	setting = regexp.MustCompile(`\\[ACFfHQTWp][^;\\]*;|\\[LlOoKk]|[{}]`)
)

// unescape puts characters in that old files write by their number, and those of files that are no UTF-8.
func unescape(text string) string {
	if !utf8.ValidString(text) {
		var b strings.Builder
		for i := range len(text) {
			b.WriteRune(rune(text[i]))
		}
		text = b.String()
	}
	return escaped.ReplaceAllStringFunc(text, func(s string) string {
		n, _ := strconv.ParseUint(s[3:], 16, 32) // the pattern is a number
		return string(rune(n))
	})
}

// plain is a name without what says how it is set, on one line, at most 80 letters of it.
func plain(text string, set bool) string {
	if set {
		text = setting.ReplaceAllString(strings.ReplaceAll(text, `\P`, " "), "")
	}
	text = strings.Join(strings.Fields(unescape(text)), " ")
	text = strings.Map(func(r rune) rune {
		if r < ' ' || r == 127 {
			return -1
		}
		return r
	}, text)
	if letters := []rune(text); len(letters) > 80 {
		text = string(letters[:80])
	}
	return text
}
