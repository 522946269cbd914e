package answers

import (
	"fmt"
	"math"

	"slatewright/bed/holes"
	"slatewright/bed/holes/edge"
	"slatewright/bed/holes/holefile"
	"slatewright/bed/pattern"
	"slatewright/judge"
)

// Judged is a number of an edge against its limit; limit and verdict are null where the drawing says none.
type Judged struct {
	Value   float64  `json:"value_mm"`
	U       float64  `json:"u_mm"`
	At      float64  `json:"at_mm"` // along the joint
	Limit   *float64 `json:"limit_mm"`
	Verdict *string  `json:"verdict"`
}

// Edge is one edge of a joint.
type Edge struct {
	Edge         string   `json:"edge"`
	Straightness Judged   `json:"straightness"`
	Squareness   *Judged  `json:"squareness"`    // top less bottom over the thickness; null where the lower arris was not read
	Lean         *float64 `json:"lean_mm_per_m"` // the same per metre of thickness
	Chip         *Judged  `json:"chip"`          // null where there is none
	Chips        int      `json:"chips"`         // how many readings have one
	Readings     int      `json:"readings"`
	Lower        bool     `json:"lower_was_read"`
}

// Joint is a pair of edges, pushed together.
type Joint struct {
	Joint  string       `json:"joint"`
	Edges  []Edge       `json:"edges"`
	Gap    *Judged      `json:"gap"`       // largest opening at the face; null where one of the edges was not read
	Below  *Judged      `json:"gap_below"` // at the lower arris
	Least  *Judged      `json:"gap_least"` // the smallest that it can be made by turning one piece against the other
	Touch  []float64    `json:"touch_mm"`  // where they meet
	AtFace [][2]float64 `json:"at_face"`
}

// joints looks at the edges and lets them count in the verdict.
func (a *Answer) joints(p *pattern.Pattern, d *holes.Drawing, edges *holefile.Edges) error {
	thickness := edges.Thickness
	if thickness == 0 {
		thickness = p.Thickness
	}
	for _, pair := range edges.Joints {
		var said pattern.Joint
		for _, j := range p.Joints {
			if d.Pieces[j.Before].Name == pair.HeadPiece {
				said = j
			}
		}
		j := Joint{Joint: pair.Name, Edges: []Edge{}, Touch: []float64{}, AtFace: [][2]float64{}}
		for _, e := range []*edge.Edge{pair.Head, pair.Foot} {
			if e == nil {
				continue
			}
			one, err := a.edge(e, said, d, thickness)
			if err != nil {
				return err
			}
			j.Edges = append(j.Edges, one)
		}
		if pair.Head != nil && pair.Foot != nil {
			g, err := edge.Closed(pair.Head, pair.Foot)
			if err != nil {
				return err
			}
			a.gap(&j, g)
		} else {
			a.Warnings = append(a.Warnings, fmt.Sprintf("only one edge of the joint %s was read: how far it will stand open cannot be told", pair.Name))
		}
		a.Joints = append(a.Joints, j)
	}
	return nil
}

func (a *Answer) edge(e *edge.Edge, said pattern.Joint, d *holes.Drawing, thickness float64) (o Edge, err error) {
	o = Edge{Edge: e.Name, Readings: len(e.Readings)}
	s, err := e.Straightness()
	if err != nil {
		return o, err
	}
	o.Straightness = a.judged(s, said.Straightness, d)
	if v, ok := e.Squareness(); ok {
		o.Lower = true
		j := a.judged(v, said.Squareness, d)
		o.Squareness = &j
		if thickness > 0 {
			o.Lean = as(1000 * v.Value / thickness)
		}
	} else {
		a.Warnings = append(a.Warnings, fmt.Sprintf("the lower arris of the edge %s was not read: whether it is square is not known, and the joint may be held open from below", e.Name))
	}
	for _, r := range e.Readings {
		if r.Chip > 0 {
			o.Chips++
		}
	}
	if v, ok := e.Chip(); ok {
		j := a.judged(v, said.Chip, d)
		o.Chip = &j
	}
	return o, nil
}

// judged holds a number against a limit by the mill's rule, its sign aside.
func (a *Answer) judged(v edge.Value, limit float64, d *holes.Drawing) Judged {
	o := Judged{Value: round(v.Value), U: round(v.U), At: round(v.At)}
	if limit > 0 {
		r := judge.Decide(judge.Characteristic{Value: math.Abs(v.Value), U: v.U, Limit: limit}, d.Decision)
		o.Limit, o.Verdict = as(limit), new(r.Verdict.String())
		a.verdict = holes.Worse(a.verdict, r.Verdict)
	}
	return o
}

func (a *Answer) gap(j *Joint, g *edge.Gap) {
	of := func(v edge.Value) *Judged { return &Judged{Value: round(v.Value), U: round(v.U), At: round(v.At)} }
	j.Gap, j.Least = of(g.Top), of(g.Least)
	if g.Bottom != nil {
		j.Below = of(*g.Bottom)
	}
	for _, y := range g.Touch {
		j.Touch = append(j.Touch, round(y))
	}
	for _, p := range g.AtFace {
		j.AtFace = append(j.AtFace, [2]float64{round(p[0]), round(p[1])})
	}
}
