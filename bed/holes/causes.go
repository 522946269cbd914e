package holes

import (
	"math"
	"slices"

	"slatewright/bed/holes/cause"
	"slatewright/bed/holes/fit"
	"slatewright/judge"
	"slatewright/trouble"
)

// far is how far a frame may lie from the drawing's before it can only be the instrument's own: mm and rad.
const far, turned = 20.0, 0.02

// cause asks what made the holes of a group lie wrong.
func (c *checker) cause(g *Group) {
	if g.Fit == nil {
		return
	}
	q := cause.Question{U: math.Inf(1)}
	q.Datum = c.m.Datum != DatumNone
	if math.Hypot(g.Fit.DX, g.Fit.DY) > far || math.Abs(g.Fit.Angle) > turned {
		q.Datum = false
	}
	for _, p := range c.d.Pieces {
		q.Pieces = append(q.Pieces, p.Name)
	}
	runs, drilled := c.runs(g)
	q.Drilled = drilled
	for k, i := range g.places {
		f := &c.r.Found[i]
		p := cause.Place{Name: c.feature(f).Name, Nominal: c.nominal(g, f), Measured: f.At, Run: runs[k], Piece: c.feature(f).Piece}
		if !q.Datum {
			p.Measured = g.Fit.Back(f.At)
		}
		q.U = math.Min(q.U, f.U)
		q.Places = append(q.Places, p)
	}
	for i, p := range c.d.Pieces {
		for _, s := range c.stops(p) {
			if s.Piece = i; g.Piece < 0 {
				s.At = fit.Vector{X: s.At.X + p.Middle.X, Y: s.At.Y + p.Middle.Y}
			}
			q.Stops = append(q.Stops, s)
		}
	}
	g.Cause = cause.Find(q)
}

// without says, where one hole alone is off, whether the others conform once the drawing is laid on without it: by least squares one hole drags all of them.
func (c *checker) without(g *Group) error {
	if g.Cause.Kind != cause.OneHole || c.r.Verdict == judge.Conforms {
		return nil
	}
	pairs := c.pairs(g, 0)
	out := slices.IndexFunc(g.places, func(i int) bool { return c.feature(&c.r.Found[i]).Name == g.Cause.Of })
	r, err := fit.Least(slices.Delete(pairs, out, out+1))
	if err != nil || out < 0 {
		return err
	}
	dragged := 0
	for k, i := range slices.Delete(slices.Clone(g.places), out, out+1) {
		f := &c.r.Found[i]
		d := r.Deviations[k]
		n := fit.Vector{X: 1}
		if size := d.Size(); size > 0 {
			n = fit.Vector{X: d.X / size, Y: d.Y / size}
		}
		v := held(d.Size(), r.U(k, n), c.limitOf(f), c.d.Decision)
		if v != judge.Conforms {
			return nil
		}
		if f.Position.Verdict != judge.Conforms {
			dragged++
		}
	}
	if dragged > 0 {
		c.warn("without %s the places of all others conform: it alone drags %s beyond what can be shown", g.Cause.Of, trouble.Count(dragged, "other", "others"))
	}
	return nil
}

// stops are those of the fixture, or, as is common practice without a source, two along the edge on the head side and one in the middle of the left edge.
func (c *checker) stops(p Piece) []cause.Stop {
	if c.m.Stops != nil {
		return slices.Clone(c.m.Stops)
	}
	x, y := -p.Size.X/2, p.Size.Y/2
	return []cause.Stop{{At: fit.Vector{X: x, Y: -0.8 * y}, N: fit.Vector{X: 1}}, {At: fit.Vector{X: x, Y: 0.8 * y}, N: fit.Vector{X: 1}}, {At: fit.Vector{Y: -y}, N: fit.Vector{Y: 1}}}
}

// runs says when each hole was drilled, from 0 to 1: as the list has it (drilled), else in the order of the drawing.
func (c *checker) runs(g *Group) (runs []float64, drilled bool) {
	low, high := math.Inf(1), math.Inf(-1)
	runs = make([]float64, len(g.places))
	drilled = true
	for _, i := range g.places {
		drilled = drilled && !math.IsNaN(c.r.Found[i].Run)
	}
	for k, i := range g.places {
		runs[k] = float64(c.r.Found[i].Feature)
		if drilled {
			runs[k] = c.r.Found[i].Run
		}
		low, high = math.Min(low, runs[k]), math.Max(high, runs[k])
	}
	for k := range runs {
		if high > low {
			runs[k] = (runs[k] - low) / (high - low)
		}
	}
	return runs, drilled
}
