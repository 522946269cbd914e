package drying

import (
	"fmt"
	"io"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	air "slatewright/seasoning/room"
)

// room is the answer about a room's log. Its names are a contract with other programs.
type room struct {
	File     string   `json:"file"`
	InBand   bool     `json:"in_band"`
	Sensors  []sensor `json:"sensors"`
	Apart    []apart  `json:"apart"`
	DewPoint *float64 `json:"dew_point_c"` // the highest of the sensors' last ones
	Warmest  *float64 `json:"highest_dew_point_c"`
	Stone    *float64 `json:"stone_c"`
	Dew      *bool    `json:"dew_risk"` // null: the stone's temperature is not said
	Warnings []string `json:"warnings"`
}

type sensor struct {
	Name      string  `json:"sensor"`
	Hours     float64 `json:"hours"`
	Gaps      float64 `json:"silent_hours"`
	OutC      float64 `json:"temperature_out_hours"`
	OutRH     float64 `json:"humidity_out_hours"`
	MinC      float64 `json:"temperature_min_c"`
	MaxC      float64 `json:"temperature_max_c"`
	MinRH     float64 `json:"humidity_min_percent"`
	MaxRH     float64 `json:"humidity_max_percent"`
	DewPointC float64 `json:"dew_point_c"`
}

type apart struct {
	First    string   `json:"first"`
	Second   string   `json:"second"`
	C        *float64 `json:"temperature_c"`
	Percent  *float64 `json:"humidity_percent"`
	Pairs    int      `json:"pairs"`
	Disagree bool     `json:"disagree"`
}

func newRoom(file string, log *air.Log) *room {
	a := log.Ask()
	r := &room{File: file, InBand: a.InBand, Sensors: []sensor{}, Apart: []apart{}, DewPoint: number(a.DewPoint), Warmest: number(a.Warmest), Stone: number(a.Stone), Warnings: append([]string{}, a.Warnings...)}
	for _, s := range a.Sensors {
		r.Sensors = append(r.Sensors, sensor{s.Name, s.Hours, s.Gaps, s.OutTemperature, s.OutHumid, s.MinC, s.MaxC, s.MinRH, s.MaxRH, s.DewPoint})
	}
	for _, p := range a.Apart {
		r.Apart = append(r.Apart, apart{p.First, p.Second, number(p.Temperature), number(p.Humidity), p.Pairs, p.Disagree})
	}
	if r.Stone != nil {
		r.Dew = &a.Dew
	}
	return r
}

// Outcome is Refused where the room was out of its band or stone would get wet.
func (r *room) Outcome() verb.Outcome {
	if !r.InBand || r.Dew != nil && *r.Dew {
		return verb.Refused
	}
	return verb.Done
}

// Print writes the answer for people.
func (r *room) Print(w io.Writer) {
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
