package machine

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Check is the trouble with a machine that cannot be: a value missing, not positive, or against another. Where names the value as a machine file
// does. The error is a *trouble.Trouble.
func (m *Machine) Check() error {
	c := checker{}
	if len(m.Heads) == 0 {
		c.fail("heads", "the machine has no head", "give one head, or several in line, each with its power and stiffness")
	}
	if len(m.Stages) == 0 {
		c.fail("stages", "the machine has no stage", "give its stages from coarse to fine, each with its disc and its depths")
	}
	for i, h := range m.Heads {
		c.head(fmt.Sprintf("heads[%d]", i+1), h)
	}
	for i, s := range m.Stages {
		c.stage(fmt.Sprintf("stages[%d]", i+1), s, len(m.Heads))
		if m.Table.Pitch > s.Disc.Diameter {
			c.fail("table.pitch", fmt.Sprintf("tracks %g mm apart leave stone between them: the disc of stage %q is %g mm", m.Table.Pitch, s.Name, s.Disc.Diameter), "give a pitch below the diameter of the disc")
		}
		if i > 0 && s.Head < m.Stages[i-1].Head {
			c.fail(fmt.Sprintf("stages[%d].head", i+1), "heads in line stand from coarse to fine", "list heads in the order in which a piece meets them")
		}
		if m.Line() && i > 0 && s.Head == m.Stages[i-1].Head {
			c.fail(fmt.Sprintf("stages[%d].head", i+1), "two stages use one head of a machine with heads in line", "give each stage a head of its own")
		}
	}
	c.positive("table.x", m.Table.X)
	c.positive("table.y", m.Table.Y)
	c.positive("table.pitch", m.Table.Pitch)
	c.notNegative("table.setting", m.Table.Setting)
	c.known("table.bed", m.Table.Bed, false)
	c.known("table.ways", m.Table.Ways, false)
	c.notNegative("hold.pressure", m.Hold.Pressure)
	c.known("hold.free", m.Hold.Free, false)
	for _, t := range []struct {
		name string
		v    float64
	}{{"setup", m.Times.Setup}, {"free", m.Times.Free}, {"flip", m.Times.Flip}, {"change", m.Times.Change}, {"pass", m.Times.Pass}, {"turn", m.Times.Turn}, {"bits", m.Times.Bits}} {
		c.notNegative("times."+t.name, t.v)
	}
	for i, o := range m.History {
		c.observation(fmt.Sprintf("history[%d]", i+1), o, m)
	}
	for _, p := range []struct {
		name string
		v    *float64
	}{{"hour", m.Prices.Hour}, {"water", m.Prices.Water}, {"power", m.Prices.Power}} {
		if p.v != nil {
			c.notNegative("prices."+p.name, *p.v)
		}
	}
	return c.err
}

// checker keeps the first trouble.
type checker struct{ err error }

func (c *checker) fail(where, what, next string) {
	if c.err == nil {
		c.err = trouble.Data("bad-machine", where, what, next)
	}
}

func (c *checker) positive(where string, v float64) {
	if !(v > 0) || math.IsInf(v, 0) {
		c.fail(where, "it is missing, or not above zero", "give it")
	}
}

func (c *checker) notNegative(where string, v float64) {
	if !(v >= 0) || math.IsInf(v, 0) {
		c.fail(where, fmt.Sprintf("%g is below zero", v), "give zero or more")
	}
}

// known checks a value that may be learnt; needed: it must be above zero.
func (c *checker) known(where string, k Known, needed bool) {
	if needed {
		c.positive(where, k.Value)
	}
	if math.IsNaN(k.Value) || math.IsInf(k.Value, 0) || !(k.U >= 0) || math.IsInf(k.U, 0) || k.Seen < 0 {
		c.fail(where, "it is no value with its uncertainty", "write it such as 1000 ± 200, 12 seen")
	}
	if needed && k.U >= k.Value {
		c.fail(where, fmt.Sprintf("its standard uncertainty, %g, is as large as the value, %g", k.U, k.Value), "give what is known of it, as 1000 ± 300: one standard uncertainty")
	}
}

func (c *checker) head(at string, h Head) {
	c.positive(at+".power", h.Power)
	c.known(at+".stiffness", h.Stiffness, true)
	c.known(at+".tilt_along", h.TiltAlong, false)
	c.known(at+".tilt_across", h.TiltAcross, false)
	c.notNegative(at+".water", h.Water)
}

func (c *checker) stage(at string, s Stage, heads int) {
	if s.Head < 0 || s.Head >= heads {
		c.fail(at+".head", "there is no such head", "name one of the heads")
	}
	d := s.Disc
	c.positive(at+".diameter", d.Diameter)
	if d.Bits <= 0 {
		c.fail(at+".bits", "the disc has no bits", "give how many it carries")
	}
	c.positive(at+".bit_area", d.BitArea)
	c.positive(at+".bit_height", d.BitHeight)
	if d.Area() > math.Pi/4*d.Diameter*d.Diameter {
		c.fail(at+".bit_area", fmt.Sprintf("%d bits of %g mm² do not fit on a disc of %g mm", d.Bits, d.BitArea, d.Diameter), "give the area of one bit, in mm2 or cm2")
	}
	if d.Price != nil {
		c.notNegative(at+".bit_price", *d.Price)
	}
	c.notNegative(at+".rotor_mass", d.Mass)
	c.notNegative(at+".height_band", d.Band)
	c.notNegative(at+".balance_grade", d.Grade)
	c.positive(at+".speed", s.Speed)
	c.positive(at+".depth_step", s.Step)
	c.span(at+".depth", s.DepthMin, s.DepthMax)
	c.span(at+".feed", s.FeedMin, s.FeedMax)
	c.span(at+".rim", s.RimMin, s.RimMax)
	if r := s.Rim(); c.err == nil && (r < s.RimMin || r > s.RimMax) {
		c.fail(at+".speed", fmt.Sprintf("at %g rpm the rim of %g mm runs at %.1f m/s, and the stage asks for %g to %g m/s", s.Speed, d.Diameter, r/1000, s.RimMin/1000, s.RimMax/1000),
			fmt.Sprintf("a speed from %.0f to %.0f rpm does", math.Ceil(s.RimMin*60/(math.Pi*d.Diameter)), math.Floor(s.RimMax*60/(math.Pi*d.Diameter))))
	}
	c.known(at+".g_ratio", s.G, true)
	c.known(at+".energy", s.Energy, true)
	c.known(at+".normal", s.Normal, true)
	c.notNegative(at+".damage", s.Damage)
}

func (c *checker) observation(at string, o Observation, m *Machine) {
	found := false
	switch o.Of {
	case GRatio, Energy:
		for _, s := range m.Stages {
			found = found || s.Name == o.In
		}
	case Stiffness:
		for _, h := range m.Heads {
			found = found || h.Name == o.In
		}
	default:
		c.fail(at+".of", fmt.Sprintf("%q is not learnt", o.Of), "what is learnt: "+GRatio+", "+Stiffness+" or "+Energy)
	}
	if !found {
		c.fail(at+".in", fmt.Sprintf("the machine has no %q to which it belongs", o.In), "name a stage, or a head for "+Stiffness+"; where one was given another name, change it in the history too")
	}
	if o.First.Said() == o.Seen.Said() {
		c.fail(at, "it holds neither or both of what was believed first and what a job showed", "write first: or seen:")
	}
	c.known(at+".first", o.First, o.First.Said())
	c.known(at+".seen", o.Seen, false)
	if o.Seen.Said() && o.Seen.U == 0 {
		c.fail(at+".seen", "it has no uncertainty", "write it with ±")
	}
}

// span checks a range above zero.
func (c *checker) span(at string, low, high float64) {
	c.positive(at, low)
	if !(high >= low) || math.IsInf(high, 0) {
		c.fail(at, fmt.Sprintf("%g to %g is no range", low, high), "give the smaller first, as 0.05 to 0.5 mm")
	}
}
