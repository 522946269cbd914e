package stone

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"slatewright/internal/measured"
	"slatewright/internal/tongue"
)

// The picture of a joint, in its own units.
const (
	jointWide  = 420.0
	jointHigh  = 150.0
	jointLeft  = 72.0
	jointTop   = 14.0
	jointUnder = 30.0
	jointBar   = 14.0
)

// jointPicture draws the steps along a joint, from left to right: bars up where the side toward the foot stands proud, a stroke at what was
// predicted where they were measured, dashed lines at the limit. The table beneath says the same.
func jointPicture(w tongue.Words, j measured.Joint, limit float64) template.HTML {
	if len(j.Y) == 0 {
		return ""
	}
	far, reach := limit, 0.0
	for k, step := range j.Step {
		far, reach = math.Max(far, math.Abs(step)), math.Max(reach, math.Abs(j.Y[k]))
		if j.Predicted != nil {
			far = math.Max(far, math.Abs(j.Predicted[k]))
		}
	}
	middle := jointTop + (jointHigh-jointTop-jointUnder)/2
	x := func(mm float64) float64 {
		return jointLeft + 20 + (mm+reach)/math.Max(1, 2*reach)*(jointWide-jointLeft-40)
	}
	y := func(mm float64) float64 {
		return middle - mm/math.Max(1e-9, far)*(jointHigh-jointTop-jointUnder)/2
	}
	var b strings.Builder
	say := func(at, up float64, anchor, words string) {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`, at, up, anchor, template.HTMLEscapeString(words))
	}
	fmt.Fprintf(&b, `<svg class="joint" viewBox="0 0 %g %g" role="img"><title>%s</title>`, jointWide, jointHigh, template.HTMLEscapeString(w.Say("stone.joint-picture")))
	for _, mm := range []float64{limit, -limit} {
		if limit > 0 {
			fmt.Fprintf(&b, `<path class="limit" d="M%g %.1f H%g"/>`, jointLeft, y(mm), jointWide)
			say(jointLeft-7, y(mm)+4, "end", plusOf(w, mm))
		}
	}
	for k, step := range j.Step {
		fmt.Fprintf(&b, `<rect class="bar" x="%.1f" y="%.1f" width="%g" height="%.1f"/>`, x(j.Y[k])-jointBar/2, math.Min(y(step), middle), jointBar, math.Max(0.5, math.Abs(y(step)-middle)))
		if j.Predicted != nil {
			fmt.Fprintf(&b, `<path class="foretold" d="M%.1f %.1f h%g"/>`, x(j.Y[k])-jointBar, y(j.Predicted[k]), 2*jointBar)
		}
	}
	fmt.Fprintf(&b, `<path class="frame" d="M%g %.1f H%g"/>`, jointLeft, middle, jointWide)
	say(jointLeft-7, middle+4, "end", w.Length(0))
	say(jointLeft+20, jointHigh-8, "middle", w.Word("place", "left"))
	say(jointWide-20, jointHigh-8, "middle", w.Word("place", "right"))
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}
