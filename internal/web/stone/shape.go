package stone

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
)

// shapeView is the shape of a face over time.
type shapeView struct {
	State  string
	Fault  fault
	Series []seriesView
	Charts []template.HTML
	Left   []leftRow
}

// seriesView is readings that were held alike.
type seriesView struct {
	Mark    template.HTML
	Support string
	State   string
	Rows    []shapeRow
}

type shapeRow struct {
	When, Zone, Along, Across, Twist, Since, Expired string
	Wet                                              bool
}

type leftRow struct{ When, Why string }

func (r room) shapeView(v *shell.Visit, face string, readings []book.Reading) (shapeView, measured.Asked[measured.History]) {
	if face == thickness {
		face = top
	}
	asked := r.measured.AskHistory(face, readings)
	s := shapeView{State: asked.State.String()}
	if asked.State == measured.Failed {
		s.Fault = faultOf(asked.Err)
	}
	if asked.State != measured.Ready {
		return s, asked
	}
	h := asked.Value
	several := false
	for i, x := range h.Series {
		t := seriesView{Support: x.Support, State: v.Word("state", x.State), Mark: template.HTML(fmt.Sprintf(`<svg class="trend-key" viewBox="0 0 20 20" aria-hidden="true">%s</svg>`, seriesMark(i, 10, 10)))}
		for _, shape := range x.Shapes {
			t.Rows = append(t.Rows, shapeRowOf(v, shape))
		}
		several = several || len(x.Shapes) > 1
		s.Series = append(s.Series, t)
	}
	for _, l := range h.Left {
		why := v.Say("stone.left-file")
		if l.Code == measured.UnfitSupport {
			why = v.Say("stone.left-support")
		}
		s.Left = append(s.Left, leftRow{day(v, l.AtMS), why})
	}
	if several {
		for _, c := range trends {
			s.Charts = append(s.Charts, c.draw(v, h.Series))
		}
	}
	return s, asked
}

func shapeRowOf(v *shell.Visit, x measured.Shape) shapeRow {
	row := shapeRow{When: day(v, x.AtMS), Zone: v.Length(x.ZoneMM), Along: bow(v, x.BowAlongMM), Across: bow(v, x.BowAcrossMM), Twist: plus(v, x.TwistMM), Wet: x.Wet}
	if x.Expired != "" {
		row.Expired = v.Say("stone.until", "did", x.Expired)
	}
	if c := x.Since; c != nil {
		parts := []string{v.Say("stone.change", "what", v.Word("shape", "zone"), "by", plusOf(v.Words, c.ZoneMM))}
		for _, d := range []struct {
			key    string
			mm, se *float64
		}{{"stone.bow-along", c.BowAlongMM, c.BowAlongSE}, {"stone.bow-across", c.BowAcrossMM, c.BowAcrossSE}, {"stone.twist", c.TwistMM, c.TwistSE}} {
			if d.mm == nil {
				continue
			}
			by := plusOf(v.Words, *d.mm)
			if d.se != nil {
				by += " ± " + v.Length(coverage**d.se)
			}
			parts = append(parts, v.Say("stone.change", "what", v.Say(d.key), "by", by))
		}
		row.Since = strings.Join(parts, "; ")
	}
	return row
}

// bow writes a bow with its word.
func bow(v *shell.Visit, mm *float64) string {
	switch {
	case mm == nil:
		return "–"
	case *mm < 0:
		return v.Length(-*mm) + " " + v.Word("shape", "dish")
	}
	return v.Length(*mm) + " " + v.Word("shape", "crown")
}

func plus(v *shell.Visit, mm *float64) string {
	if mm == nil {
		return "–"
	}
	return plusOf(v.Words, *mm)
}

func plusOf(w tongue.Words, mm float64) string {
	if mm > 0 {
		return "+" + w.Length(mm)
	}
	return w.Length(mm)
}

// trend is one small chart: one number of the shape over time.
type trend struct {
	key  string
	of   func(measured.Shape) *float64
	only bool // never below nothing
}

var trends = []trend{
	{"field.zone_mm", func(s measured.Shape) *float64 { return &s.ZoneMM }, true},
	{"stone.bow-along", func(s measured.Shape) *float64 { return s.BowAlongMM }, false},
	{"stone.bow-across", func(s measured.Shape) *float64 { return s.BowAcrossMM }, false},
	{"stone.twist", func(s measured.Shape) *float64 { return s.TwistMM }, false},
}

// The small charts, in their own units.
const (
	trendWide   = 320.0
	trendHigh   = 150.0
	trendLeft   = 78.0
	trendTop    = 24.0
	trendBottom = 26.0
)

// draw draws a chart: readings that were held alike are joined by a line, others never.
func (c trend) draw(v *shell.Visit, series []measured.Series) template.HTML {
	low, high := 0.0, 0.0
	first, last := int64(math.MaxInt64), int64(0)
	for _, s := range series {
		for _, shape := range s.Shapes {
			first, last = min(first, shape.AtMS), max(last, shape.AtMS)
			if mm := c.of(shape); mm != nil {
				low, high = math.Min(low, *mm), math.Max(high, *mm)
			}
		}
	}
	if high == low {
		high = low + 0.01
	}
	x := func(ms int64) float64 {
		return trendLeft + 8 + float64(ms-first)/math.Max(1, float64(last-first))*(trendWide-trendLeft-24)
	}
	y := func(mm float64) float64 {
		return trendTop + 6 + (high-mm)/(high-low)*(trendHigh-trendTop-trendBottom-12)
	}
	var b strings.Builder
	name := template.HTMLEscapeString(v.Say(c.key))
	fmt.Fprintf(&b, `<svg class="trend" viewBox="0 0 %g %g" role="img"><title>%s</title><text class="name" x="0" y="13">%s</text>`, trendWide, trendHigh,
		template.HTMLEscapeString(v.Say("stone.over-time", "what", v.Say(c.key))), name)
	fmt.Fprintf(&b, `<path class="zero" d="M%g %.1f H%g"/><path class="frame" d="M%g %g V%g H%g"/>`, trendLeft, y(0), trendWide-4, trendLeft, trendTop, trendHigh-trendBottom, trendWide-4)
	for _, mm := range ends(low, high, c.only) {
		fmt.Fprintf(&b, `<text x="%g" y="%.1f" text-anchor="end">%s</text>`, trendLeft-7, y(mm)+4, template.HTMLEscapeString(v.Length(mm)))
	}
	fmt.Fprintf(&b, `<text x="%g" y="%g">%s</text><text x="%g" y="%g" text-anchor="end">%s</text>`, trendLeft, trendHigh-8, template.HTMLEscapeString(day(v, first)),
		trendWide-4, trendHigh-8, template.HTMLEscapeString(day(v, last)))
	for i, s := range series {
		c.line(&b, i, s, x, y)
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// ends are the heights that are written beside a chart.
func ends(low, high float64, only bool) []float64 {
	if only || low == 0 {
		return []float64{0, high}
	}
	if high == 0 {
		return []float64{low, 0}
	}
	return []float64{low, high}
}

// line draws one series.
func (c trend) line(b *strings.Builder, i int, s measured.Series, x func(int64) float64, y func(float64) float64) {
	var path, marks strings.Builder
	for _, shape := range s.Shapes {
		mm := c.of(shape)
		if mm == nil {
			continue
		}
		pen := " L"
		if path.Len() == 0 {
			pen = "M"
		}
		fmt.Fprintf(&path, "%s%.1f %.1f", pen, x(shape.AtMS), y(*mm))
		marks.WriteString(seriesMark(i, x(shape.AtMS), y(*mm)))
	}
	fmt.Fprintf(b, `<path class="run" d="%s"/>%s`, path.String(), marks.String())
}

// seriesMark is the mark of a series: a disc, a square, a triangle, then open ones.
func seriesMark(i int, x, y float64) string {
	class := "full"
	if i%6 >= 3 {
		class = "open"
	}
	switch i % 3 {
	case 0:
		return fmt.Sprintf(`<circle class="%s" cx="%.1f" cy="%.1f" r="4.5"/>`, class, x, y)
	case 1:
		return fmt.Sprintf(`<rect class="%s" x="%.1f" y="%.1f" width="8" height="8"/>`, class, x-4, y-4)
	}
	return fmt.Sprintf(`<path class="%s" d="M%.1f %.1f l5 9 h-10 Z"/>`, class, x, y-5)
}
