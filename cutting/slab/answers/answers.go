// Package answers plans how a slab is cut and gives the answer as the command line and the pages show it. It checks every plan by package check before
// anybody sees it; it reckons nothing else of its own.
package answers

import (
	"fmt"
	"math"
	"strings"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/check"
	"slatewright/cutting/slab/search"
	"slatewright/trouble"
)

// Plan is how a slab is cut.
type Plan struct {
	File     string   `json:"file"`
	Slab     string   `json:"slab,omitempty"`
	Value    float64  `json:"value"`
	Bound    float64  `json:"bound"`
	Gap      float64  `json:"gap"`
	Proven   bool     `json:"proven"`
	State    State    `json:"state"`
	Angle    float64  `json:"start_angle_deg"`
	Kerf     float64  `json:"kerf_mm"`
	Pieces   []Piece  `json:"pieces"`
	Cuts     []Cut    `json:"cuts"`
	Used     float64  `json:"used_share"`
	Types    []Count  `json:"types"`
	Warnings []string `json:"warnings"`

	Asked *slab.Slab `json:"-"` // the slab and
	Found *slab.Plan `json:"-"` // the plan, for drawings
}

// State is what is known of a plan.
type State string

// The states.
const (
	Proven  State = "proven"     // no plan is worth more
	Within  State = "within gap" // the gap that was asked for is kept
	Bounded State = "bounded"    // better plans may exist, none beyond the bound
	Nothing State = "nothing fits"
)

// Piece is a piece where it is cut: its corner nearest to the frame's origin, in the slab's coordinates. It reaches along_mm from there in the direction
// of angle_deg, and across_mm to the left of that.
type Piece struct {
	Type     string  `json:"type"`
	Place    string  `json:"place,omitempty"`
	X        float64 `json:"x_mm"`
	Y        float64 `json:"y_mm"`
	Angle    float64 `json:"angle_deg"`
	Turned   bool    `json:"turned"` // its length lies across the frame
	Quarters int     `json:"turn_deg"`
	Over     bool    `json:"over"`
	Along    float64 `json:"along_mm"`
	Across   float64 `json:"across_mm"`
}

// Cut is one way of the saw, the middle of the kerf from edge to edge.
type Cut struct {
	X1      float64 `json:"x1"`
	Y1      float64 `json:"y1"`
	X2      float64 `json:"x2"`
	Y2      float64 `json:"y2"`
	Order   int     `json:"order"`
	Way     string  `json:"way"`        // along or across the frame
	Setting float64 `json:"setting_mm"` // of the middle of the kerf, from the lower or left end of the slab in the frame
}

// Count is how many of a type are cut.
type Count struct {
	Type  string  `json:"type"`
	Count int     `json:"count"`
	Most  *int    `json:"most"`
	Value float64 `json:"value"`
}

// Of plans the cutting of a slab.
func Of(file string, s *slab.Slab, l search.Limits) (*Plan, error) {
	p, err := search.Solve(s, l)
	if err != nil {
		return nil, err
	}
	return Say(file, s, p, l.Gap)
}

// Say gives a plan as an answer; gap is what was asked for.
func Say(file string, s *slab.Slab, p *slab.Plan, gap float64) (*Plan, error) {
	if faults := check.Plan(s, p); len(faults) > 0 {
		return nil, trouble.Own("bad-plan", file, "the plan does not hold: "+strings.Join(faults, "; "), "please report it with the file")
	}
	out := &Plan{File: file, Slab: s.Name, Value: float64(p.Value) / slab.Unit, Bound: float64(p.Bound) / slab.Unit, Gap: p.Gap(), Proven: p.Proven, Angle: p.Angle,
		Kerf: p.Kerf, Used: p.Used, Pieces: []Piece{}, Cuts: []Cut{}, Warnings: warnings(s), Asked: s, Found: p}
	out.State = state(p.Bound, p.Proven, p.Gap(), gap)
	counts := make([]int, len(s.Types))
	for _, q := range p.Pieces {
		t := s.Types[q.Kind]
		counts[q.Kind]++
		out.Pieces = append(out.Pieces, Piece{Type: t.Name, Place: t.Place, X: tidy(q.At.X), Y: tidy(q.At.Y), Angle: p.Angle, Turned: q.Quarter%2 == 1,
			Quarters: 90 * q.Quarter, Over: q.Over, Along: q.Along, Across: q.Across})
	}
	for i, c := range p.Cuts {
		way, from := "across", p.Corner.X
		if c.Along {
			way, from = "along", p.Corner.Y
		}
		out.Cuts = append(out.Cuts, Cut{tidy(c.A.X), tidy(c.A.Y), tidy(c.B.X), tidy(c.B.Y), i + 1, way, tidy(c.At - from)})
	}
	for k, t := range s.Types {
		c := Count{Type: t.Name, Count: counts[k], Value: float64(t.Value) / slab.Unit}
		if t.Most >= 0 {
			c.Most = &t.Most
		}
		out.Types = append(out.Types, c)
	}
	return out, nil
}

// tidy takes rounding of a thousandth of a micrometre away, which nobody earned.
func tidy(x float64) float64 {
	x = math.Round(x*1e6) / 1e6
	if x == 0 {
		return 0
	}
	return x
}

// warnings tells what of a slab was taken otherwise than it was written, or is not known.
func warnings(s *slab.Slab) []string {
	out := append([]string{}, s.Unread...)
	if k := math.Ceil(s.Kerf - 1e-6); k != s.Kerf && math.Abs(k-s.Kerf) > 1e-6 {
		out = append(out, fmt.Sprintf("the kerf of %g mm is planned as %g mm: places stand on a grid of 1 mm", s.Kerf, k))
	}
	thick := false
	for _, t := range s.Types {
		thick = thick || t.Thickness > 0
	}
	if thick && s.Thickness == nil {
		out = append(out, "pieces need a thickness, and the slab has no map of it: thickness was not looked at")
	}
	if !thick && s.Thickness != nil {
		out = append(out, "the slab has a map of its thickness, and no piece asks for one")
	}
	return out
}
