package holes

import (
	"fmt"
	"math"

	"slatewright/bed/holes/fit"
	"slatewright/bed/holes/float"
	"slatewright/chance"
	"slatewright/judge"
	"slatewright/trouble"
)

// Function answers whether all bolts pass at the same time.
type Function struct {
	// Fits is nil where it cannot be told, and Why says what it rests on.
	Fits *bool
	Why  string
	// Left is the float that is left at the tightest bolt in the place that was found, Most what no place exceeds, U the standard uncertainty of both.
	Left, Most, U float64
	Holding       []float.Share // the bolts that hold it; those that fight where Most is below 0
	Parts         []string      // that move
	Moves         []fit.Motion  // of each part about its own middle, no more than is needed for each bolt to keep half of Left
	Bolts         []Bolt        // with the parts put so
	Steps         []Step        // at each joint, with the parts put so
	Unasked       []string      // bolts that were not measured
}

// Bolt is what is left of one bolt's float once the parts are put.
type Bolt struct {
	Name  string
	Float float64
	Left  float64
}

// Step is how the pieces at a joint stand against each other, from how they were measured or drawn.
type Step struct {
	Joint         string
	Opens, Slides float64 // in the middle of the joint: along the table, and across it, the piece towards the foot against the other
	Turns         float64 // rad
}

// function lays pieces, rails and frame together.
func (c *checker) function() error {
	kinds := map[string]bool{}
	measured := map[int]bool{}
	for i := range c.r.Found {
		f := &c.r.Found[i]
		if s := c.feature(f); s.Bolt > 0 && (f.Located || f.Bound != nil) {
			kinds[s.Kind], measured[f.Feature] = true, true
		}
	}
	if len(kinds) == 0 {
		return nil
	}
	fn := &Function{}
	c.r.Function = fn
	for i, s := range c.d.Features {
		if s.Bolt > 0 && kinds[s.Kind] && !measured[i] {
			fn.Unasked = append(fn.Unasked, s.Name)
		}
	}
	careful, gauges, barred := c.together(true)
	a, err := float.Lay(careful.q)
	if err != nil {
		return c.unlaid(fn, err)
	}
	fn.Left, fn.Most, fn.U, fn.Holding = a.Left, a.Most, a.U, a.Holding
	moves := a.Moves
	if a.Left >= 0 {
		if moves, err = float.Ease(careful.q, a); err != nil {
			return err
		}
		fn.Steps = c.steps(careful, moves)
	}
	for i, p := range careful.q.Parts {
		if a.Left < 0 {
			break // where not all pass, one place is as good as another
		}
		fn.Parts, fn.Moves = append(fn.Parts, p.Name), append(fn.Moves, moves[i])
	}
	for _, p := range careful.q.Passages {
		fn.Bolts = append(fn.Bolts, Bolt{p.Name, p.Float, p.Float - careful.q.Apart(p, moves).Size()})
	}
	most, u := a.Most, a.U
	if gauges > 0 { // what only a gauge has seen may lie better than it shows
		hopeful, _, _ := c.together(false)
		most = math.Inf(1)
		if len(hopeful.q.Passages) > 0 {
			b, err := float.Lay(hopeful.q)
			if err != nil {
				return c.unlaid(fn, err)
			}
			most, u = b.Most, b.U
			if most < 0 {
				fn.Holding = b.Holding
			}
		}
	}
	guard := judge.Factor(c.d.Decision)
	fn.decide(guard, against(guard, len(careful.q.Passages)), most, u, barred)
	return nil
}

// against is the factor of the guard band against "does not fit". Noise makes the tightest of many bolts look tighter than it is, never wider on the whole, so each bolt
// gets its share of the risk (Bonferroni); for "fits" noise leans to the careful side by itself.
func against(guard float64, bolts int) float64 {
	if guard == 0 {
		return 0
	}
	return chance.Quantile(1 - (1-chance.Cumulative(guard))/float64(bolts))
}

// unlaid says that too many parts were to be laid; any other error is passed on.
func (c *checker) unlaid(fn *Function, err error) error {
	if t, ok := err.(*trouble.Trouble); ok && t.Kind == trouble.KindData {
		fn.Why = t.What
		return nil
	}
	return err
}

// decide says whether they pass; guard and against are the factors of the guard bands, barred how many holes the gauge did not enter.
func (fn *Function) decide(guard, against, most, u float64, barred int) {
	yes, no := true, false
	switch {
	case most+against*u < 0:
		fn.Fits = &no
		fn.Why = fmt.Sprintf("%.2f mm of float are missing at the least, wherever pieces and rails are put", -most)
	case fn.Left-guard*fn.U < 0:
		fn.Why = fmt.Sprintf("the tightest bolt has %.2f mm left, and %.2f mm is in doubt", fn.Left, guard*fn.U)
		if fn.Left < 0 {
			fn.Why = fmt.Sprintf("%.2f mm of float are missing at the tightest bolt, and %.2f mm is in doubt", -fn.Left, against*fn.U)
		}
	case barred > 0:
		fn.Why = trouble.Count(barred, "hole has", "holes have") + " stopped the gauge, and its place is not known"
	case len(fn.Unasked) > 0:
		fn.Why = trouble.Count(len(fn.Unasked), "bolt was", "bolts were") + " not measured; those that were pass together"
	default:
		fn.Fits = &yes
		fn.Why = fmt.Sprintf("a place was found for every part; the tightest bolt has %.2f mm left", fn.Left)
	}
}

// layout is a question of package float, with the part of each piece and rail.
type layout struct {
	q            float.Question
	pieces, rail map[int]int
}

// together makes the question. Careful counts what only a gauge has seen as what its pin shows at least; else those holes are left out. It also says how many
// holes a gauge alone has seen, and how many of those it did not enter.
func (c *checker) together(careful bool) (l layout, gauges, barred int) {
	l.pieces, l.rail = map[int]int{}, map[int]int{}
	ground := false
	for _, f := range c.r.Found {
		s := c.feature(&f)
		ground = ground || s.Bolt > 0 && s.Rail < 0 && (f.Located || f.Bound != nil)
	}
	if !ground { // nothing ties the pieces to the frame: the first stays, the others move against it
		l.pieces[0] = float.Ground
	}
	for i := range c.r.Found {
		f := &c.r.Found[i]
		s := c.feature(f)
		if s.Bolt == 0 || !f.Located && f.Bound == nil {
			continue
		}
		p := float.Passage{Name: s.Name, To: s.At, Bolt: float.Ground, At: s.At}
		if f.Located {
			p.At = c.laid(f)
			d, u := c.diameter(f)
			p.Float, p.UFloat = (d-s.Bolt)/2, u/2
			p.U = math.Hypot(f.U, s.Mating/4) // a disc of this diameter has this spread along an axis
		} else {
			gauges++
			if f.Gauge == NoGo {
				barred++
				continue
			}
			if !careful {
				continue
			}
			p.Float = (c.m.Pin - s.Bolt) / 2
			p.U = s.Mating / 4
		}
		p.Hole = c.part(&l, l.pieces, s.Piece, c.d.Pieces[s.Piece].Name, c.d.Pieces[s.Piece].Middle)
		if s.Rail >= 0 {
			p.Bolt = c.railPart(&l, s.Rail)
		}
		l.q.Passages = append(l.q.Passages, p)
	}
	c.close(&l)
	c.turns(&l)
	return l, gauges, barred
}

// part finds the part of a piece or rail, or makes it.
func (c *checker) part(l *layout, of map[int]int, i int, name string, middle fit.Vector) int {
	at, ok := of[i]
	if !ok {
		at = len(l.q.Parts)
		of[i] = at
		l.q.Parts = append(l.q.Parts, float.Part{Name: name, Middle: middle, Turn: mostTurn, Shift: partShift})
	}
	return at
}

func (c *checker) railPart(l *layout, rail int) int {
	name := "rails"
	if c.m.Rails == RailsAsOne {
		rail = 0
	} else {
		name = c.d.Rails[rail]
	}
	var middle fit.Vector
	n := 0.
	for _, f := range c.d.Features {
		if f.Rail >= 0 && (c.m.Rails == RailsAsOne || f.Rail == rail) {
			middle, n = fit.Vector{X: middle.X + f.At.X, Y: middle.Y + f.At.Y}, n+1
		}
	}
	return c.part(l, l.rail, rail, name, fit.Vector{X: middle.X / n, Y: middle.Y / n})
}

// laid is where a hole lies in the bed as the drawing lies on its group.
func (c *checker) laid(f *Found) fit.Vector {
	s := c.feature(f).At
	g := &c.r.Groups[f.group]
	if g.Piece >= 0 && c.m.Datum == DatumEdges {
		m := c.d.Pieces[g.Piece].Middle
		return fit.Vector{X: m.X + f.At.X, Y: m.Y + f.At.Y}
	}
	return fit.Vector{X: s.X + f.Deviation.X, Y: s.Y + f.Deviation.Y}
}

// diameter of a hole with its uncertainty: measured, else between the ends of the plug that entered, else drawn with its tolerance, both as an even spread.
func (c *checker) diameter(f *Found) (d, u float64) {
	s := c.feature(f)
	if f.Diameter > 0 {
		return f.Diameter, f.uDia()
	}
	if e := c.m.Plugs[s.Kind]; f.Plug == Good && e.Go > 0 {
		return (e.Go + e.NoGo) / 2, (e.NoGo - e.Go) / 2 / math.Sqrt(3)
	}
	return s.Diameter, s.Size / math.Sqrt(3)
}

// close adds what the joints let the pieces do.
func (c *checker) close(l *layout) {
	for _, j := range c.d.Joints {
		a, okA := l.pieces[j.Before]
		b, okB := l.pieces[j.Before+1]
		if !okA || !okB {
			continue
		}
		for _, y := range []float64{-j.Half, j.Half} {
			at := fit.Vector{X: j.X, Y: y}
			l.q.Closures = append(l.q.Closures,
				float.Closure{Name: "opens", A: a, B: b, At: at, N: fit.Vector{X: 1}, Low: -c.m.Closes, High: c.m.Opens},
				float.Closure{Name: "slides", A: a, B: b, At: at, N: fit.Vector{Y: 1}, Low: -c.m.Slides, High: c.m.Slides})
		}
	}
}

// steps reads the joints off the moves.
func (c *checker) steps(l layout, moves []fit.Motion) (list []Step) {
	for _, j := range c.d.Joints {
		a, okA := l.pieces[j.Before]
		b, okB := l.pieces[j.Before+1]
		if !okA || !okB {
			continue
		}
		p := float.Passage{Hole: b, Bolt: a, At: fit.Vector{X: j.X}, To: fit.Vector{X: j.X}}
		d := l.q.Apart(p, moves)
		s := Step{Joint: c.d.Pieces[j.Before].Name + "/" + c.d.Pieces[j.Before+1].Name, Opens: d.X, Slides: d.Y}
		if b != float.Ground {
			s.Turns = moves[b].Angle
		}
		if a != float.Ground {
			s.Turns -= moves[a].Angle
		}
		list = append(list, s)
	}
	return list
}
