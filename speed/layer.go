package main

import (
	"fmt"
	"math"
	"time"

	"slatewright/chance"
	"slatewright/cutting/layer"
)

// acre invents a layer of one acre (63.61 m square) with 300 joints in two sets, half of them leaning, a third of them uncertain in being there and in place.
func acre() *layer.Question {
	const side = 63610.0
	s := chance.NewStream(5)
	q := &layer.Question{Samples: 64, Seed: 1, Least: 0.25, Saw: layer.Saw{Kerf: 6, Reach: 160, From: -3, To: 3, By: 0.5}}
	q.Outline = []layer.Point{{}, {X: side}, {X: side, Y: side}, {Y: side}}
	q.Margin, q.Depth = 20, 150
	q.Sizes = []layer.Size{{Name: "9 ft", Length: 1520, Width: 950, Value: 300, Turn: true}, {Name: "8 ft", Length: 1350, Width: 850, Value: 230, Turn: true},
		{Name: "7 ft", Length: 1200, Width: 750, Value: 170, Turn: true}}
	for i := range 300 {
		at := layer.Point{X: side * s.Float64(), Y: side * s.Float64()}
		angle := 1.5 + 0.3*s.Normal()
		if i%3 == 0 {
			angle = 0.2 * s.Normal()
		}
		half := 2000 + 5000*s.Float64()
		dx, dy := half*math.Cos(angle), half*math.Sin(angle)
		j := layer.Joint{Name: fmt.Sprint(i), Trace: []layer.Point{{X: at.X - dx, Y: at.Y - dy}, {X: at.X + dx, Y: at.Y + dy}}, Chance: 1, Clear: 15}
		if i%2 == 0 {
			j.Lean, j.Both = layer.Point{X: 30, Y: 10}, i%4 == 0
		}
		if i%3 == 1 {
			j.Chance, j.Error = 0.7, 80
		}
		q.Joints = append(q.Joints, j)
	}
	return q
}

// layerBench promises a layer of one acre with 300 joints planned within 30 s, bound, blind cutting and the worth of each uncertain joint included. Beside it
// stands what a patient person could do with a drawing: a plain grid of the dearest size in 13 directions at 16 offsets, each block held against every joint.
func layerBench(_, _ string) ([]goal, error) {
	q := acre()
	var plan *layer.Plan
	var plain float64
	return []goal{{what: "an acre with 300 joints", repeats: 1,
		keeps: func(ours, against time.Duration) (string, bool) {
			verdict, kept := within(30*time.Second)(ours, against)
			return fmt.Sprintf("%s; worth %.0f of at most %.0f, blind %.0f, the best plain grid %.0f", verdict, plan.Value, plan.Bound, plan.Blind.Mean, plain), kept && plan.Proven
		},
		ours: side{name: "package layer", do: func() (err error) {
			plan, err = layer.Lay(q)
			return err
		}},
		against: side{name: "plain grids", do: func() error {
			plain = 0
			for degrees := q.Saw.From; degrees <= q.Saw.To; degrees += q.Saw.By {
				for offset := range 16 {
					plain = max(plain, plainGrid(q, degrees, float64(offset%4)/4, float64(offset/4)/4))
				}
			}
			return nil
		}}}}, nil
}

// plainGrid is the value of a grid of the first size; a joint that may not be there counts by its chance, its place is taken as told.
func plainGrid(q *layer.Question, degrees, dx, dy float64) (value float64) {
	z, side := q.Sizes[0], q.Outline[2].X
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	l, w := z.Length+q.Saw.Kerf, z.Width+q.Saw.Kerf
	for i := -10.0; i < side/l+10; i++ {
		for k := -10.0; k < side/w+10; k++ {
			x, y := (i+dx)*l, (k+dy)*w
			in := func(x, y float64) bool {
				px, py := x*cos-y*sin, x*sin+y*cos
				return px >= q.Margin && py >= q.Margin && px <= side-q.Margin && py <= side-q.Margin
			}
			if !in(x, y) || !in(x+z.Length, y) || !in(x, y+z.Width) || !in(x+z.Length, y+z.Width) {
				continue
			}
			whole := 1.0
			for _, j := range q.Joints {
				a, b := j.Trace[0], j.Trace[1]
				if through(a.X*cos+a.Y*sin-x, a.Y*cos-a.X*sin-y, b.X*cos+b.Y*sin-x, b.Y*cos-b.X*sin-y, z.Length, z.Width) {
					whole *= 1 - j.Chance
				}
			}
			value += whole * z.Value
		}
	}
	return value
}

// through tells whether a line goes through a box at the origin (Liang and Barsky).
func through(ax, ay, bx, by, l, w float64) bool {
	from, to := 0.0, 1.0
	for _, e := range [][2]float64{{ax - bx, ax}, {bx - ax, l - ax}, {ay - by, ay}, {by - ay, w - ay}} {
		switch {
		case e[0] == 0 && e[1] < 0:
			return false
		case e[0] < 0:
			from = max(from, e[1]/e[0])
		case e[0] > 0:
			to = min(to, e[1]/e[0])
		}
	}
	return from <= to
}
