package holes

import (
	"math"

	"slatewright/bed/holes/fit"
	"slatewright/bed/holes/float"
	"slatewright/judge"
)

// Zones answers whether one motion of the drawing brings every feature within its own limit: what position tolerances without a datum ask for, where a fit by least squares is
// only one way to lay the drawing.
type Zones struct {
	Fits *bool // nil where it cannot be told
	// Left is what the tightest feature has to spare in the motion that was found, Most what none exceeds; below 0 it is missing. U is their standard uncertainty.
	Left, Most, U float64
	Holding       []float.Share // the features that hold it, or fight
}

// zones asks for every group and keeps the answer of the one that is tightest; nil where the drawing cannot nearly be laid on.
func (c *checker) zones() error {
	for k := range c.r.Groups {
		g := &c.r.Groups[k]
		if g.Fit == nil {
			continue
		}
		q, ok := c.asPassages(g)
		if !ok {
			c.r.Zones = nil
			return nil
		}
		a, err := float.Lay(q)
		if err != nil {
			return err
		}
		if z := c.r.Zones; z == nil || a.Left < z.Left {
			c.r.Zones = c.ruledZones(a, len(q.Passages))
		}
	}
	return nil
}

func (c *checker) ruledZones(a *float.Answer, features int) *Zones {
	z := &Zones{Left: a.Left, Most: a.Most, U: a.U, Holding: a.Holding}
	guard := judge.Factor(c.d.Decision)
	switch {
	case a.Left-guard*a.U >= 0:
		z.Fits = new(true)
	case a.Most+against(guard, features)*a.U < 0:
		z.Fits = new(false)
	}
	return z
}

// asPassages asks it as a question of bolts: the measured places are the holes of one part, the drawn ones its bolts, and the limits their floats. ok is false where the part would have to turn too far for
// small turns.
func (c *checker) asPassages(g *Group) (q float.Question, ok bool) {
	var middle fit.Vector
	for _, i := range g.places {
		n := c.nominal(g, &c.r.Found[i])
		middle = fit.Vector{X: middle.X + n.X/float64(len(g.places)), Y: middle.Y + n.Y/float64(len(g.places))}
	}
	var reach, off float64
	for _, i := range g.places {
		f := &c.r.Found[i]
		n := c.nominal(g, f)
		q.Passages = append(q.Passages, float.Passage{Name: c.feature(f).Name, Hole: 0, Bolt: float.Ground, At: fit.Vector{X: n.X + f.Deviation.X, Y: n.Y + f.Deviation.Y}, To: n, Float: c.limitOf(f), U: f.U})
		reach = math.Max(reach, math.Hypot(n.X-middle.X, n.Y-middle.Y))
		off = math.Max(off, f.Distance+c.limitOf(f))
	}
	// Least squares lie within off of every place, and so does a motion that is as good: they differ by no more than twice that.
	turn := 2 * off / reach
	q.Parts = []float.Part{{Name: "drawing", Middle: middle, Turn: math.Max(turn, 1e-5), Shift: 2*off + 1}}
	return q, turn < mostTurn
}
