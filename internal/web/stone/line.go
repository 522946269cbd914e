package stone

import (
	"fmt"
	"html/template"
	"math"
	"net/url"
	"strconv"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
)

// lineForm is the form that lays a straightedge without a script: two places, in the reader's own unit.
type lineForm struct {
	Face, Reading  string
	X1, Y1, X2, Y2 string
	Unit           string
	Ways           []tab // lines that are usual
}

// lineView is the profile under that straightedge.
type lineView struct {
	Fault   fault
	Gap     string
	Rocks   bool
	Picture template.HTML
	Rows    []lineRow
	Warns   []string
}

type lineRow struct{ At, Height, Gap string }

const (
	inch      = 25.4
	lineRows  = 13
	linesLong = 200 // heights of a profile that is drawn
	pastEdge  = 12. // mm from the edge where a usual line ends: what lies beyond is seldom read
)

// line lays the straightedge that the address asks for.
func (r room) line(v *shell.Visit, read book.Reading, f *faceView) error {
	f.Form = lineForm{Face: f.Face, Reading: read.Entry, Unit: "mm"}
	if v.Units() == tongue.Inch {
		f.Form.Unit = "in"
	}
	face, err := r.measured.Face(v.R.Context(), read.Blob)
	if err != nil {
		return err
	}
	if face.SizeX > 0 {
		x, y := face.SizeX/2-pastEdge, face.SizeY/2-pastEdge
		for _, way := range []struct {
			key  string
			line [4]float64
		}{{"stone.line-along", [4]float64{-x, 0, x, 0}}, {"stone.line-across", [4]float64{0, -y, 0, y}},
			{"stone.line-up", [4]float64{-x, -y, x, y}}, {"stone.line-down", [4]float64{-x, y, x, -y}}} {
			f.Form.Ways = append(f.Form.Ways, tab{Words: v.Say(way.key), Path: linePath(v, f.Form, way.line)})
		}
	}
	q := v.R.URL.Query()
	if !q.Has("x1") {
		return nil
	}
	f.Form.X1, f.Form.Y1, f.Form.X2, f.Form.Y2 = q.Get("x1"), q.Get("y1"), q.Get("x2"), q.Get("y2")
	from, okFrom := typed(v, f.Form.X1, f.Form.Y1)
	to, okTo := typed(v, f.Form.X2, f.Form.Y2)
	if !okFrom || !okTo {
		f.Line = &lineView{Fault: fault{What: v.Say("stone.bad-line"), Next: v.Say("stone.bad-line-next")}}
		return nil
	}
	p, err := r.measured.Profile(v.R.Context(), read.Blob, from, to, linesLong)
	if wrong := shell.Mendable(err); wrong != nil {
		f.Line = &lineView{Fault: fault{What: wrong.Detail, Next: wrong.Next}}
		return nil
	}
	f.Line = lineViewOf(v, p)
	return err
}

// linePath is the address of the page with a line laid.
func linePath(v *shell.Visit, f lineForm, line [4]float64) string {
	q := url.Values{"face": {f.Face}, "reading": {f.Reading}}
	for i, name := range []string{"x1", "y1", "x2", "y2"} {
		mm := line[i]
		if v.Units() == tongue.Inch {
			mm = math.Round(mm/inch*100) / 100
		}
		q.Set(name, strconv.FormatFloat(mm+0, 'f', -1, 64))
	}
	return "?" + q.Encode() + "#line"
}

// typed reads a place as the reader types it.
func typed(v *shell.Visit, x, y string) ([2]float64, bool) {
	plain := func(s string) string {
		return strings.NewReplacer(",", ".", "−", "-", " ", "").Replace(s)
	}
	at, ok := placeOf(plain(x) + "," + plain(y))
	if v.Units() == tongue.Inch {
		at[0], at[1] = at[0]*inch, at[1]*inch
	}
	return at, ok
}

func lineViewOf(v *shell.Visit, p measured.Profile) *lineView {
	l := &lineView{Warns: p.Warnings, Picture: linePicture(v, p)}
	if p.Edge == nil {
		l.Fault = fault{What: v.Say("stone.line-unread"), Next: v.Say("stone.bad-line-next")}
		return l
	}
	l.Gap, l.Rocks = v.Say("stone.gap", "gap", v.Both(p.Edge.GapMM), "at_size", p.Edge.Gap.AlongMM), p.Edge.Rocks
	for k := range lineRows {
		i := (len(p.S) - 1) * k / (lineRows - 1)
		row := lineRow{At: v.Size(math.Round(p.S[i])), Height: v.Say("stone.unread"), Gap: "–"}
		if z := p.Z[i]; !unread(z) {
			row.Height = v.Length(z)
			if e := p.EdgeZ[i]; !unread(e) {
				row.Gap = v.Length(math.Max(0, e-z))
			}
		}
		l.Rows = append(l.Rows, row)
	}
	return l
}

// The picture of a profile, in its own units.
const (
	lineWide   = 720.0
	lineHigh   = 200.0
	lineLeft   = 74.0
	lineBottom = 34.0
	lineTop    = 12.0
)

// linePicture draws the stone under a straightedge. Its table says the same.
func linePicture(v *shell.Visit, p measured.Profile) template.HTML {
	length := p.S[len(p.S)-1]
	low, high := math.Inf(1), math.Inf(-1)
	for i, z := range p.Z {
		if !unread(z) {
			low, high = math.Min(low, z), math.Max(high, z)
			if e := p.EdgeZ[i]; !unread(e) {
				high = math.Max(high, e)
			}
		}
	}
	if high < low {
		return ""
	}
	room := math.Max(0.1*(high-low), 0.002)
	low, high = low-room, high+room
	x := func(s float64) float64 { return lineLeft + s/length*(lineWide-lineLeft-12) }
	y := func(z float64) float64 { return lineTop + (high-z)/(high-low)*(lineHigh-lineTop-lineBottom) }
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="line" viewBox="0 0 %g %g" role="img"><title>%s</title>`, lineWide, lineHigh, template.HTMLEscapeString(v.Say("stone.line-picture")))
	ground := y(low)
	for i := 0; i < len(p.Z); i++ {
		start := i
		for i < len(p.Z) && !unread(p.Z[i]) {
			i++
		}
		if i-start > 1 {
			stretch(&b, p, start, i, x, y, ground)
		}
	}
	if e := p.Edge; e != nil {
		fmt.Fprintf(&b, `<path class="edge" d="M%.1f %.1f L%.1f %.1f"/>`, x(e.Ends[0].AlongMM), y(e.Ends[0].HeightMM), x(e.Ends[1].AlongMM), y(e.Ends[1].HeightMM))
		fmt.Fprintf(&b, `<path class="gap" d="M%.1f %.1f V%.1f"/>`, x(e.Gap.AlongMM), y(e.Gap.HeightMM), y(edgeOver(e)))
	}
	fmt.Fprintf(&b, `<path class="frame" d="M%g %g V%.1f H%g"/>`, lineLeft, lineTop, ground, lineWide-12)
	for _, z := range []float64{low + room, high - room} {
		fmt.Fprintf(&b, `<text x="%g" y="%.1f" text-anchor="end">%s</text>`, lineLeft-8, y(z)+4, template.HTMLEscapeString(v.Length(z)))
	}
	for k := range 5 {
		s := length * float64(k) / 4
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`, x(s), lineHigh-10, []string{"start", "middle", "middle", "middle", "end"}[k], template.HTMLEscapeString(v.Size(math.Round(s))))
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// edgeOver is the height of the straightedge over the largest gap.
func edgeOver(e *measured.Straightedge) float64 {
	a, b := e.Ends[0], e.Ends[1]
	if b.AlongMM == a.AlongMM {
		return a.HeightMM
	}
	return a.HeightMM + (b.HeightMM-a.HeightMM)*(e.Gap.AlongMM-a.AlongMM)/(b.AlongMM-a.AlongMM)
}

// stretch draws one stretch of stone that was read.
func stretch(b *strings.Builder, p measured.Profile, start, end int, x, y func(float64) float64, ground float64) {
	var line strings.Builder
	for i := start; i < end; i++ {
		fmt.Fprintf(&line, " %.1f %.1f", x(p.S[i]), y(p.Z[i]))
	}
	fmt.Fprintf(b, `<path class="body" d="M%.1f %.1f L%s L%.1f %.1f Z"/>`, x(p.S[start]), ground, line.String(), x(p.S[end-1]), ground)
	fmt.Fprintf(b, `<path class="skin" d="M%s"/>`, line.String())
}
