package main

import (
	"fmt"
	"math"
	"time"

	"slatewright/bed"
	"slatewright/bed/holes"
	"slatewright/bed/holes/fit"
	"slatewright/chance"
	"slatewright/judge"
)

// drilledBed invents a nine-foot bed of 60 features, three pieces, six rails of four bolts and six screws a piece, with a scatter of 0.15 mm.
func drilledBed() (*holes.Drawing, *holes.Measured) {
	d := &holes.Drawing{Name: "speed", Revision: "1", Decision: bed.Decision{Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk}}
	m := &holes.Measured{Frame: holes.WholeBed, Rails: holes.RailByRail, Opens: holes.JointOpens, Closes: holes.JointCloses, Slides: holes.JointSlides}
	s := chance.NewStream(60)
	for i, name := range []string{"head", "centre", "foot"} {
		d.Pieces = append(d.Pieces, holes.Piece{Name: name, Middle: fit.Vector{X: float64(i-1) * 914}, Size: fit.Vector{X: 914, Y: 1473}})
	}
	for j := range 2 {
		d.Joints = append(d.Joints, holes.Joint{X: (float64(j) - 0.5) * 914, Half: 736, Before: j})
	}
	whole := fit.Motion{DX: 1, DY: -2, Angle: 0.001}
	add := func(x, y, diameter, bolt float64, rail int) {
		m.Readings = append(m.Readings, holes.Reading{Feature: len(d.Features), Located: true, U: 0.1, Run: math.NaN(), At: whole.Of(fit.Vector{X: x + 0.15*s.Normal(), Y: y + 0.15*s.Normal()}), Diameter: diameter + 0.05*s.Normal()})
		d.Features = append(d.Features, holes.Feature{Name: fmt.Sprint("h", len(d.Features)+1), Kind: fmt.Sprint("kind ", min(rail, 0), bolt), At: fit.Vector{X: x, Y: y},
			Piece: max(0, min(2, int(math.Floor(x/914+1.5)))), Diameter: diameter, Size: 0.5, Bolt: bolt, Rail: rail})
	}
	for r, at := range []fit.Vector{{X: -1330}, {X: 1330}, {X: -650, Y: -690}, {X: 650, Y: -690}, {X: -650, Y: 690}, {X: 650, Y: 690}} {
		d.Rails = append(d.Rails, fmt.Sprint("rail ", r+1))
		for k := range 4 {
			away := float64(k)*300 - 450
			if r < 2 {
				add(at.X, at.Y+away, 12.7, 9.5, r)
			} else {
				add(at.X+away, at.Y, 12.7, 9.5, r)
			}
		}
	}
	for p := range 3 {
		for k := range 6 {
			add(float64(p-1)*914+350*float64(k%3-1), 500*float64(2*(k/3)-1), 8, 5, -1)
			add(float64(p-1)*914+350*float64(k%3-1)+60, 300*float64(2*(k/3)-1), 6, 0, -1)
		}
	}
	return d, m
}

// holesBench promises that a drilled bed of 60 features is checked within 20 ms: fits, bounds, verdicts, all bolts together and the cause.
func holesBench(_, _ string) ([]goal, error) {
	d, m := drilledBed()
	if n := len(d.Features); n != 60 {
		return nil, fmt.Errorf("%d features", n)
	}
	return []goal{{what: "60 features of a drilled bed, bolts together", repeats: 21, keeps: within(20 * time.Millisecond),
		ours: side{name: "package holes", do: func() error {
			r, err := holes.Check(d, m, 0)
			if err != nil {
				return err
			}
			if r.Verdict != judge.Conforms || r.Function.Fits == nil || !*r.Function.Fits {
				return fmt.Errorf("%s, %+v", r.Verdict, r.Function)
			}
			return nil
		}}}}, nil
}
