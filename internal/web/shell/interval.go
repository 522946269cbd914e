package shell

import (
	"fmt"
	"html/template"
	"strings"

	"slatewright/internal/tongue"
)

// Interval is a value with its doubt beside the limit that it must keep, in mm.
type Interval struct {
	Value, Low, High float64 // Low ≤ Value ≤ High
	Limit            float64 // 0 when there is none
}

// The picture of an interval, in its own units: an axis from 0, what lies beyond the limit hatched.
const (
	intervalWidth  = 320.0
	intervalHeight = 46.0
	intervalTop    = 16.0 // of the bar
	intervalBar    = 12.0
)

// Picture draws the interval against its limit; the same in words stands in its title, for readers that speak.
func (i Interval) Picture(w tongue.Words) template.HTML {
	far := max(i.High, i.Limit) * 1.25
	if far <= 0 {
		return ""
	}
	at := func(mm float64) float64 { return 4 + max(0, mm)/far*(intervalWidth-8) }
	var b strings.Builder
	title := w.Say("shell.interval", "value_mm", i.Value, "low_mm", i.Low, "high_mm", i.High, "limit_mm", i.Limit)
	fmt.Fprintf(&b, `<svg class="interval" viewBox="0 0 %g %g" role="img"><title>%s</title>`, intervalWidth, intervalHeight, template.HTMLEscapeString(title))
	middle := intervalTop + intervalBar/2
	if i.Limit > 0 {
		for x := at(i.Limit); x < intervalWidth-4; x += 7 {
			fmt.Fprintf(&b, `<path class="beyond" d="M%.1f %g l%g %g"/>`, x, intervalTop+intervalBar, min(intervalBar, intervalWidth-4-x), -intervalBar)
		}
	}
	fmt.Fprintf(&b, `<path class="axis" d="M4 %g H%g"/>`, middle, intervalWidth-4)
	fmt.Fprintf(&b, `<rect class="doubt" x="%.1f" y="%g" width="%.1f" height="%g"/>`, at(i.Low), intervalTop, max(2, at(i.High)-at(i.Low)), intervalBar)
	fmt.Fprintf(&b, `<path class="value" d="M%.1f %g v%g"/>`, at(i.Value), intervalTop-3, intervalBar+6)
	if i.Limit > 0 {
		fmt.Fprintf(&b, `<path class="limit" d="M%.1f %g v%g"/>`, at(i.Limit), intervalTop-9, intervalBar+18)
		fmt.Fprintf(&b, `<text x="%.1f" y="%g" text-anchor="%s">%s</text>`, at(i.Limit), intervalTop-11+4, anchor(at(i.Limit)), template.HTMLEscapeString(w.Length(i.Limit)))
	}
	fmt.Fprintf(&b, `<text x="%.1f" y="%g" text-anchor="%s">%s</text></svg>`, at(i.Value), intervalHeight-3, anchor(at(i.Value)), template.HTMLEscapeString(w.Length(i.Value)))
	return template.HTML(b.String())
}

// anchor keeps words within the picture.
func anchor(x float64) string {
	switch {
	case x < intervalWidth*0.15:
		return "start"
	case x > intervalWidth*0.85:
		return "end"
	}
	return "middle"
}
