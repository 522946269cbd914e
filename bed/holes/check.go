package holes

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/bed/holes/fit"
	"slatewright/judge"
	"slatewright/trouble"
)

// Check answers: limit is the largest distance where the drawing says none, 0 for 1/32 in. Errors are *trouble.Trouble.
func Check(d *Drawing, m *Measured, limit float64) (*Result, error) {
	if limit == 0 {
		limit = ThirtySecond
	}
	if len(m.Readings) == 0 {
		return nil, trouble.Data("no-readings", "", "nothing was measured", "list the features with their places")
	}
	c := &checker{d: d, m: m, limit: limit, r: &Result{Worst: -1}}
	c.gather()
	if err := c.layOn(); err != nil {
		return nil, err
	}
	c.judge()
	c.practice()
	if err := c.zones(); err != nil {
		return nil, err
	}
	if err := c.function(); err != nil {
		return nil, err
	}
	for i := range c.r.Groups {
		g := &c.r.Groups[i]
		c.cause(g)
		if err := c.without(g); err != nil {
			return nil, err
		}
	}
	c.missing()
	return c.r, nil
}

type checker struct {
	d     *Drawing
	m     *Measured
	limit float64
	r     *Result
}

func (c *checker) warn(format string, a ...any) {
	c.r.Warnings = append(c.r.Warnings, fmt.Sprintf(format, a...))
}

func (c *checker) feature(f *Found) *Feature { return &c.d.Features[f.Feature] }

// gather puts readings into groups of one frame.
func (c *checker) gather() {
	at := map[int]int{}
	for i, r := range c.m.Readings {
		c.r.Found = append(c.r.Found, Found{Reading: r})
		piece := -1
		if c.m.Frame == EachPiece {
			piece = c.d.Features[r.Feature].Piece
		}
		g, ok := at[piece]
		if !ok {
			g = len(c.r.Groups)
			at[piece] = g
			c.r.Groups = append(c.r.Groups, Group{Piece: piece})
		}
		c.r.Found[i].group = g
		if r.Located {
			c.r.Groups[g].places = append(c.r.Groups[g].places, i)
		}
	}
	slices.SortStableFunc(c.r.Groups, func(a, b Group) int { return a.Piece - b.Piece })
	for g, group := range c.r.Groups {
		for _, i := range group.places {
			c.r.Found[i].group = g
		}
	}
}

// nominal is where the drawing has a feature, in the frame of its group.
func (c *checker) nominal(g *Group, f *Found) fit.Vector {
	at := c.feature(f).At
	if g.Piece >= 0 {
		m := c.d.Pieces[g.Piece].Middle
		at = fit.Vector{X: at.X - m.X, Y: at.Y - m.Y}
	}
	return at
}

// doubt gives every reading its uncertainty: its own, that of the method, or the scatter of the places about the fit.
func (c *checker) doubt() error {
	usual, known := Usual[c.m.Method]
	var scattered []float64
	bare, byMethod := 0, false
	for i := range c.r.Found {
		f := &c.r.Found[i]
		if f.U == 0 && known {
			f.U = usual[0]
			byMethod = true
		}
		if f.UDia == 0 && known {
			f.UDia = usual[1]
		}
		if f.U == 0 && f.Located {
			bare++
		}
	}
	switch {
	case !slices.ContainsFunc(c.r.Found, func(f Found) bool { return f.Located }):
		c.r.UFrom = "the gauge's bounds"
		return nil
	case bare == 0 && byMethod:
		c.r.UFrom = fmt.Sprintf("%s: %g mm where the list states none (common practice, no source)", c.m.Method, usual[0])
		return nil
	case bare == 0 && c.m.ByRow:
		c.r.UFrom = "by the method of each row (common practice, no source), or as it states"
		return nil
	case bare == 0:
		c.r.UFrom = "as the list states"
		return nil
	}
	for g := range c.r.Groups {
		r, err := c.least(&c.r.Groups[g], 1)
		if err != nil {
			return err
		}
		if r != nil {
			for _, d := range r.Deviations {
				scattered = append(scattered, d.Size())
			}
		}
	}
	u := math.Max(scatterOf(scattered, c.m.Finest), 1e-6)
	for i := range c.r.Found {
		if f := &c.r.Found[i]; f.U == 0 {
			f.U = u
		}
	}
	c.doubtDiameters()
	c.r.UFrom = "scatter of the places about the drawing"
	c.warn("no method and no uncertainty are stated: %.3g mm is taken, from the scatter of the places themselves; what spoils all of them alike is not in it. Write # method or # u, or a column u_mm", u)
	return nil
}

// doubtDiameters takes the uncertainty of the diameters from how they scatter among the holes of one diameter, where nothing states it.
func (c *checker) doubtDiameters() {
	of := map[float64][]float64{}
	for i := range c.r.Found {
		if f := &c.r.Found[i]; f.Diameter > 0 && f.UDia == 0 {
			nominal := c.feature(f).Diameter
			of[nominal] = append(of[nominal], f.Diameter)
		}
	}
	for i := range c.r.Found {
		if f := &c.r.Found[i]; f.Diameter > 0 && f.UDia == 0 {
			f.UDia = math.Max(spread(of[c.feature(f).Diameter]), math.Max(c.m.Finest/math.Sqrt(12), 1e-6))
		}
	}
}

// least fits a group; even > 0 gives all readings the same weight. A group without two located places has no fit.
func (c *checker) least(g *Group, even float64) (*fit.Rigid, error) {
	if len(g.places) < 2 {
		return nil, nil
	}
	return fit.Least(c.pairs(g, even))
}

func (c *checker) pairs(g *Group, even float64) (list []fit.Pair) {
	for _, i := range g.places {
		f := &c.r.Found[i]
		p := fit.Pair{Nominal: c.nominal(g, f), Measured: f.At, U: f.U}
		if even > 0 {
			p.U = even
		}
		list = append(list, p)
	}
	return list
}

// layOn fits every group and notes the deviations.
func (c *checker) layOn() error {
	if err := c.doubt(); err != nil {
		return err
	}
	for k := range c.r.Groups {
		g := &c.r.Groups[k]
		r, err := c.least(g, 0)
		if err != nil {
			return err
		}
		if r == nil {
			for _, i := range g.places {
				c.warn("%s: one place alone in its frame says nothing of where it lies on the drawing", c.feature(&c.r.Found[i]).Name)
				c.r.Found[i].Located = false
			}
			g.places = nil
			continue
		}
		g.Fit = r
		c.look(g)
		if g.Minimax, err = fit.Smallest(c.pairs(g, 0)); err != nil {
			return err
		}
		for k, i := range g.places {
			f := &c.r.Found[i]
			f.Deviation, f.Distance = r.Deviations[k], r.Deviations[k].Size()
		}
	}
	return nil
}

// look warns of a fit that shows little, or that says more than how the instrument lay.
func (c *checker) look(g *Group) {
	warn := func(format string, a ...any) {
		where := ""
		if g.Piece >= 0 {
			where = c.d.Pieces[g.Piece].Name + ": "
		}
		c.r.Warnings = append(c.r.Warnings, where+fmt.Sprintf(format, a...))
	}
	if len(g.places) == 2 {
		warn("two places alone show no more than their distance")
	}
	if math.Abs(g.Fit.Angle) > 3 {
		warn("the list is turned by half a turn against the drawing: was it measured from the other end?")
	}
	if off := math.Hypot(g.Fit.DX, g.Fit.DY); c.m.Datum == DatumEdges && off > c.limit {
		warn("the whole pattern lies %.2f mm off its datum, which no deviation shows", off)
	}
}

// judge gives every feature its verdict.
func (c *checker) judge() {
	at := map[int]int{} // place of a reading within its group
	for _, g := range c.r.Groups {
		for k, i := range g.places {
			at[i] = k
		}
	}
	for i := range c.r.Found {
		f := &c.r.Found[i]
		f.Verdict = judge.CannotTell
		known := false
		if f.Located {
			known = true
			n := fit.Vector{X: 1}
			if f.Distance > 0 {
				n = fit.Vector{X: f.Deviation.X / f.Distance, Y: f.Deviation.Y / f.Distance}
			}
			v := decide(f.Distance, c.r.Groups[f.group].Fit.U(at[i], n), c.limitOf(f), c.d.Decision)
			f.Position, f.Verdict = &v, v.Verdict
			if c.r.Worst < 0 || f.Distance > c.r.Found[c.r.Worst].Distance {
				c.r.Worst = i
			}
		}
		c.gauge(f)
		known = known || f.Bound != nil
		c.sized(f, known)
	}
	c.r.Verdict = judge.Conforms
	for _, f := range c.r.Found {
		c.r.Verdict = Worse(c.r.Verdict, f.Verdict)
	}
}

// sized lets the diameter count: measured, or as a plug gauge has it. Where nothing is known of the place, it alone counts.
func (c *checker) sized(f *Found, known bool) {
	s := c.feature(f)
	count := func(v judge.Verdict) {
		if f.Verdict = Worse(f.Verdict, v); !known {
			f.Verdict, known = v, true
		}
	}
	if f.Diameter > 0 && s.Size > 0 && s.Diameter > 0 {
		v := size(f.Diameter, f.uDia(), s.Diameter, s.Size, c.d.Decision)
		f.Size = &v
		count(v.Verdict)
	}
	if f.Plug != NoPlug && s.Size > 0 {
		f.Plugged = plugged(f.Plug, c.m.Plugs[s.Kind], s.Diameter-s.Size, s.Diameter+s.Size)
		count(f.Plugged)
	}
}

// uDia is the uncertainty of a diameter: stated, else twice that of a coordinate over √2 (two points across the hole).
func (f *Found) uDia() float64 {
	if f.UDia > 0 {
		return f.UDia
	}
	return f.U * math.Sqrt2
}

// Worse is the worse of two verdicts.
func Worse(a, b judge.Verdict) judge.Verdict {
	order := []judge.Verdict{judge.Conforms, judge.CannotTell, judge.DoesNotConform}
	return order[max(slices.Index(order, a), slices.Index(order, b))]
}

func (c *checker) limitOf(f *Found) float64 {
	if l := c.feature(f).Limit; l > 0 {
		return l
	}
	return c.limit
}

// gauge reads what the gauge said of a feature.
func (c *checker) gauge(f *Found) {
	if f.Gauge == NoGauge {
		return
	}
	s := c.feature(f)
	least, most := s.Diameter-s.Size, s.Diameter+s.Size
	if f.Diameter > 0 {
		guard := judge.Factor(c.d.Decision) * f.uDia()
		least, most = f.Diameter-guard, f.Diameter+guard
	}
	b, v := gauged(f.Gauge, c.m.Pin, least, most, c.limitOf(f))
	f.Bound = &b
	if !f.Located {
		f.Verdict = v
	}
}

// practice holds every distance against the limits that people use.
func (c *checker) practice() {
	for _, p := range []Practice{{Name: "1/32 in", Limit: ThirtySecond}, {Name: "1 mm", Limit: OneMillimetre}} {
		p.Verdict = judge.Conforms
		for i := range c.r.Found {
			f := &c.r.Found[i]
			v := judge.CannotTell
			switch {
			case f.Position != nil:
				v = held(f.Distance, f.Position.U, p.Limit, c.d.Decision)
			case f.Bound != nil && f.Bound.AtMost <= p.Limit:
				v = judge.Conforms
			case f.Bound != nil && f.Bound.AtLeast > p.Limit:
				v = judge.DoesNotConform
			}
			p.Verdict = Worse(p.Verdict, v)
			if v == judge.DoesNotConform {
				p.Beyond = append(p.Beyond, c.feature(f).Name)
			}
		}
		c.r.Practice = append(c.r.Practice, p)
	}
}

// missing lists what was not measured.
func (c *checker) missing() {
	seen := make([]bool, len(c.d.Features))
	for _, f := range c.r.Found {
		seen[f.Feature] = true
	}
	for i, f := range c.d.Features {
		if !seen[i] {
			c.r.Missing = append(c.r.Missing, f.Name)
		}
	}
	if n := len(c.r.Missing); n > 0 {
		names := c.r.Missing
		more := ""
		if n > 6 {
			names, more = names[:6], " …"
		}
		c.warn("%s in no row of the list, and the verdict says nothing of them: %s", trouble.Count(n, "feature stands", "features stand"), strings.Join(names, ", ")+more)
	}
}
