package drying

import (
	"fmt"
	"io"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/seasoning/answers"
)

// room prints the answer about a room's log.
type room struct{ *answers.Room }

// Outcome is Refused where the room was out of its band or stone would get wet.
func (r room) Outcome() verb.Outcome {
	if !r.Good() {
		return verb.Refused
	}
	return verb.Done
}

// Print writes the answer for people.
func (r room) Print(w io.Writer) {
	words := "in its band all the time"
	if !r.InBand {
		words = "out of its band"
	}
	fmt.Fprintf(w, "%s\nThe room was %s\n\n", r.File, words)
	one := func(x float64) string { return measure.Decimal(x, 1) }
	rows := [][]string{{"sensor", "", "hours", "°C out", "RH out", "silent", "°C from", "to", "RH from", "to", "dew point °C"}}
	for _, s := range r.Sensors {
		rows = append(rows, []string{s.Name, "", one(s.Hours), one(s.OutC), one(s.OutRH), one(s.Gaps), one(s.MinC), one(s.MaxC), one(s.MinRH), one(s.MaxRH), one(s.DewPointC)})
	}
	table(w, rows)
	for _, p := range r.Apart {
		if p.C != nil && p.Percent != nil {
			fmt.Fprintf(w, "\n  %s less %s: %s °C, %s %% humidity", p.First, p.Second, one(*p.C), one(*p.Percent))
		}
	}
	if len(r.Apart) > 0 {
		fmt.Fprintln(w)
	}
	switch {
	case r.Dew == nil:
		fmt.Fprintf(w, "\n  stone below %s °C gets wet when it comes in\n", one(*r.DewPoint))
	case *r.Dew:
		fmt.Fprintf(w, "\n  stone of %s °C gets wet, or nearly: the dew point is %s °C; let it warm up under its wrapping\n", one(*r.Stone), one(*r.DewPoint))
	default:
		fmt.Fprintf(w, "\n  stone of %s °C stays dry: the dew point is %s °C\n", one(*r.Stone), one(*r.DewPoint))
	}
	verb.PrintWarnings(w, r.Warnings)
}
