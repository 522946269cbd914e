package ink

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"slatewright/internal/picture/contour"
)

// SVG is a sheet that is written as one <svg> element, in mm. It has no identifiers, scripts, styles or outside references,
// so that several can stand in one page.
type SVG struct {
	metric
	body bytes.Buffer
}

// NewSVG returns an empty sheet.
func NewSVG() *SVG { return &SVG{} }

// Fill fills the rings by the nonzero rule.
func (s *SVG) Fill(rings []contour.Line, c Colour) {
	if len(rings) == 0 {
		return
	}
	fmt.Fprintf(&s.body, "<path fill=\"%s\" d=\"", hex(c))
	for _, r := range rings {
		s.path(r)
	}
	s.body.WriteString("\"/>\n")
}

// Stroke draws a line.
func (s *SVG) Stroke(l contour.Line, p Pen) { s.Strokes([]contour.Line{l}, p) }

// Strokes draws lines with one pen.
func (s *SVG) Strokes(lines []contour.Line, p Pen) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(&s.body, "<path fill=\"none\" stroke=\"%s\" stroke-width=\"%s\"", hex(p.Colour), num(p.Width))
	if len(p.Dash) > 0 {
		parts := make([]string, len(p.Dash))
		for i, d := range p.Dash {
			parts[i] = num(d)
		}
		fmt.Fprintf(&s.body, " stroke-dasharray=\"%s\"", strings.Join(parts, " "))
	}
	if p.Round {
		s.body.WriteString(" stroke-linecap=\"round\" stroke-linejoin=\"round\"")
	}
	s.body.WriteString(" d=\"")
	for _, l := range lines {
		s.path(l)
	}
	s.body.WriteString("\"/>\n")
}

func (s *SVG) path(l contour.Line) {
	for i, p := range l.P {
		command := byte('L')
		if i == 0 {
			command = 'M'
		}
		s.body.WriteByte(command)
		s.body.WriteString(num(p.X))
		s.body.WriteByte(' ')
		s.body.WriteString(num(p.Y))
	}
	if l.Closed {
		s.body.WriteByte('Z')
	}
}

// Text sets words. Their length is fixed, so that a reader with other fonts shows nothing over anything else.
func (s *SVG) Text(at Point, words string, t Type) {
	if words == "" {
		return
	}
	fmt.Fprintf(&s.body, "<text x=\"%s\" y=\"%s\" %s font-size=\"%s\" fill=\"%s\" textLength=\"%s\" lengthAdjust=\"spacingAndGlyphs\"",
		num(at.X), num(at.Y), typefaces[t.Face].svg, num(t.Size*mmPerPoint), hex(t.Colour), num(s.Width(words, t)))
	if anchor := [...]string{Left: "", Middle: "middle", Right: "end"}[t.Align]; anchor != "" {
		fmt.Fprintf(&s.body, " text-anchor=\"%s\"", anchor)
	}
	if t.Angle != 0 {
		fmt.Fprintf(&s.body, " transform=\"rotate(%s %s %s)\"", num(t.Angle*180/math.Pi), num(at.X), num(at.Y))
	}
	fmt.Fprintf(&s.body, ">%s</text>\n", escape(words))
}

// Write writes the sheet as an element w by h mm with a title for readers that speak.
func (s *SVG) Write(out io.Writer, w, h float64, title string) error {
	_, err := fmt.Fprintf(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\">\n<title>%s</title>\n%s</svg>\n",
		num(w), num(h), num(w), num(h), escape(title), s.body.Bytes())
	return err
}

func hex(c Colour) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// num prints with at most two decimals: a hundredth of a mm on paper.
func num(x float64) string {
	text := strconv.FormatFloat(x, 'f', 2, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

// escape makes text safe inside XML; signs that XML 1.0 forbids become a replacement sign.
func escape(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r < 0x20 && r != '\t' && r != '\n' && r != '\r', r == 0xFFFE, r == 0xFFFF:
			b.WriteRune('�')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
