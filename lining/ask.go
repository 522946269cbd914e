package lining

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Answer is what can be said of a batch.
type Answer struct {
	Verdict Verdict
	Why     []Remark // what the verdict rests on, the weightiest first
	Next    []Remark
	State   Span // the humidity with which the boards are in balance now, %
	Sample  *Sample
	Days    float64
	Plans   []Plan // as the case lists its layouts
	Best    int    // the first plan that keeps the bow within the limit for certain; −1 where none does
	Room    *Band  // for the certificate, with the layout that is meant; nil where nothing can be promised
	Causes  []Cause
	Remarks []Remark // what every output must show
}

// Plan is one layout with its year.
type Plan struct {
	Layout  Layout
	Cover   float64 // share of the piece that lies on board
	Months  [12]Month
	Worst   Span // size of the largest bow of the year, mm
	Holds   Verdict
	PerUnit Span // mm of bow, peak to valley, for 1 % of humidity below 65; + crowns when the air dries
}

// Cause is one thing that is not known, and the largest bow that would be left possible if it were, mm.
type Cause struct {
	Name  CauseName
	Worst float64
}

// CauseName names what is not known.
type CauseName string

// The causes.
const (
	OfState       CauseName = "state"       // how wet the boards are when they are glued
	OfDestination CauseName = "destination" // the room over the year
	OfMovement    CauseName = "movement"    // of the board for 1 % of humidity
	OfStiffness   CauseName = "stiffness"   // moduli and thicknesses
	OfHysteresis  CauseName = "hysteresis"
	OfCreep       CauseName = "creep"
)

// Ask answers. The error is a *trouble.Trouble.
func Ask(c Case) (*Answer, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	a := &Answer{Days: c.Room.Days(), Best: -1}
	if list := c.Room.weighed(); len(list) > 0 {
		a.Sample = weigh(list, c.Room.Scale, c.Room.Slowest)
	}
	a.State = c.state(a.Sample)
	gains := make([]gain, len(c.Layouts))
	for i, l := range c.Layouts {
		var err error
		if gains[i], err = c.gain(l); err != nil {
			return nil, err
		}
		p := Plan{Layout: l, Cover: l.Cover(c.Piece.X, c.Piece.Y), Months: c.months(a.State, gains[i])}
		p.Worst = worst(p.Months)
		p.Worst.Low = math.Max(p.Worst.Low, c.swing(a.State, gains[i]))
		switch {
		case p.Worst.High <= c.Limit && c.Board.Source != Equation:
			p.Holds = Glue
		case p.Worst.Low > c.Limit:
			p.Holds = DoNotGlue
		}
		p.PerUnit = bow(gains[i].peak, c.unit())
		if p.Holds == Glue && a.Best < 0 {
			a.Best = i
		}
		a.Plans = append(a.Plans, p)
	}
	if c.Board.Source != Equation && a.settled(&c) {
		a.Room = c.band(a.State, gains[0])
	}
	a.Causes = c.causes(a.State, gains[0])
	a.decide(&c)
	return a, nil
}

// unit is the mismatch for 1 % of humidity less, below 65 %.
func (c *Case) unit() Span {
	d := func(pick func(Span) float64) float64 { return c.change(64, 65, pick) }
	return Span{d(value), d(high), d(low)}
}

// settled tells whether the state at gluing is known from a weighed board.
func (a *Answer) settled(c *Case) bool { return a.Sample != nil && !a.Sample.Open }

// state is the humidity with which the boards are in balance when they are glued.
func (c *Case) state(s *Sample) Span {
	air, _, ok := c.Room.Air()
	switch {
	case ok && s != nil && !s.Open:
		air = c.behind(air, s.Remaining)
	case c.Room.Meter != nil:
		air = balance(*c.Room.Meter)
	}
	if p := c.Room.Press; p != nil {
		air = air.with(p.Low).with(p.High)
	}
	air.High += c.Room.GlueWater.High / c.Board.Moisture.Low
	return air.within(0, 100)
}

// behind is the humidity of boards that have still so much water to take up, % of their mass.
func (c *Case) behind(air, remaining Span) Span {
	m := c.Board.Moisture
	lag := Exactly(remaining.Value / m.Value)
	for _, r := range []float64{remaining.Low, remaining.High} {
		lag = lag.with(r / m.Low).with(r / m.High)
	}
	return Span{air.Value - lag.Value, air.Low - lag.High, air.High - lag.Low}.within(0, 100)
}

// causes says what would be left if one thing were known.
func (c *Case) causes(state Span, g gain) (list []Cause) {
	left := func(name CauseName, change func(c *Case, state *Span, g *gain)) {
		d, s, h := *c, state, g
		change(&d, &s, &h)
		list = append(list, Cause{name, worst(d.months(s, h)).High})
	}
	left(OfState, func(_ *Case, s *Span, _ *gain) { *s = s.exact() })
	left(OfDestination, func(d *Case, _ *Span, _ *gain) {
		for i := range d.Destination {
			d.Destination[i] = d.Destination[i].exact()
		}
	})
	left(OfMovement, func(d *Case, _ *Span, _ *gain) {
		d.Board.Drying, d.Board.Wetting, d.Board.Coupon.PerHumidity = d.Board.Drying.exact(), d.Board.Wetting.exact(), d.Board.Coupon.PerHumidity.exact()
	})
	left(OfStiffness, func(_ *Case, _ *Span, h *gain) { h.peak = h.peak.exact() })
	left(OfHysteresis, func(d *Case, _ *Span, _ *gain) { d.Hysteresis = Exactly(0) })
	left(OfCreep, func(d *Case, _ *Span, _ *gain) { d.Creep = Exactly(0) })
	return list
}

// dearest is the cause whose knowing would take most off.
func (a *Answer) dearest() Cause {
	best := a.Causes[0]
	for _, c := range a.Causes {
		if c.Worst < best.Worst {
			best = c
		}
	}
	return best
}

// check refuses what cannot be reckoned with.
func (c *Case) check() error {
	bad := func(where, what, next string) error { return trouble.Data("bad-lining", where, what, next) }
	p, b := c.Piece, c.Board
	if !(p.X >= 50 && p.X <= 5000 && p.Y >= 50 && p.Y <= 5000) {
		return bad("piece", fmt.Sprintf("a piece of %g x %g mm", p.X, p.Y), "give its sides, 50 to 5000 mm")
	}
	for _, s := range []struct {
		name     string
		span     Span
		from, to float64
		next     string
	}{
		{"stone", p.Thickness, 5, 100, "give its thickness, such as 25.4 mm"},
		{"stone modulus", p.Modulus, 5e3, 2e5, "give it such as 48 GPa, 40 to 56"},
		{"board", b.Thickness, 1, 60, "give its thickness, such as 12 mm"},
		{"board modulus", b.Modulus, 100, 2e4, "give it such as 3 GPa, 2.5 to 4"},
		{"board shear", b.Shear, 5, 5e3, "give it such as 0.2 GPa, 0.1 to 0.4"},
		{"moisture", b.Moisture, 0.01, 1, "give it such as 0.086, 0.06 to 0.13"},
		{"creep", c.Creep, 0, 0.95, "give a share, such as 0 to 50 %"},
		{"hysteresis", c.Hysteresis, 0, 0.95, "give a share, such as 10 to 20 %"},
	} {
		if !s.span.ordered() || !(s.span.Low >= s.from) || !(s.span.High <= s.to) {
			return bad(s.name, fmt.Sprintf("%g (%g to %g) is beyond %g to %g, or its value lies beyond its own limits", s.span.Value, s.span.Low, s.span.High, s.from, s.to), s.next)
		}
	}
	switch {
	case b.Source == Measured && !(b.Drying.ordered() && b.Wetting.ordered() && b.Drying.Low >= 0 && b.Wetting.Low >= 0 && b.Drying.High <= 20 && b.Wetting.High <= 20):
		return bad("movement", "a board shrinks by some mm/m from 65 to 30 % and grows from 65 to 85 %", "give both as sizes, such as 1.1 mm/m")
	case b.Source == Coupons && !(b.Coupon.Length >= 100 && b.Coupon.PerHumidity.ordered() && b.Coupon.PerHumidity.Low >= 0 && b.Coupon.PerHumidity.High <= 10):
		return bad("coupon", "a coupon bends by some mm for 1 % of humidity over its length", "give it as 'slatewright lining coupon' prints it")
	case !(c.Limit > 0 && c.Limit <= 100):
		return bad("share", "the bow that the lining may cause is not given", "give it such as '# share: 0.15 mm'")
	case len(c.Layouts) == 0:
		return bad("layout", "no layout is given", "give at least one, such as '# layout: full'")
	}
	return c.checkRoom()
}

// checkRoom refuses air, weights and layouts that cannot be.
func (c *Case) checkRoom() error {
	bad := func(where, what, next string) error { return trouble.Data("bad-lining", where, what, next) }
	for i, m := range c.Destination {
		if !m.ordered() || m.Low < driest || m.High > wettest {
			return bad("destination", fmt.Sprintf("month %d: %g %% (%g to %g) is not a room between %d and %d %%", i+1, m.Value, m.Low, m.High, driest, wettest), "give twelve humidities, January to December")
		}
	}
	for _, l := range c.Layouts {
		if err := c.checkLayout(l); err != nil {
			return err
		}
	}
	r := &c.Room
	if !(r.Scale > 0) && len(r.weighed()) > 0 || !(r.Sensor > 0) {
		return bad("sensor", "how far the hygrometer or the scale may be wrong is not given", "give it such as '# sensor: ± 2' and '# scale: ± 0.2 g'")
	}
	day := math.Inf(-1)
	for i, q := range r.Readings {
		if !finite(q.Day) || q.Day <= day || q.Humidity < 0 || q.Humidity > 100 || q.Mass <= 0 {
			return bad("readings", fmt.Sprintf("reading %d: the days must rise, humidity lies from 0 to 100 %%, and a board weighs something", i+1), "correct the line")
		}
		day = q.Day
	}
	if _, _, ok := r.Air(); !ok && r.Meter == nil {
		return bad("humidity", fmt.Sprintf("the air was not read in the last %d days", recent), "read a hygrometer where the boards lie")
	}
	return nil
}

func (c *Case) checkLayout(l Layout) error {
	bad := func(what, next string) error { return trouble.Data("bad-lining", "layout", what, next) }
	if l.More > mostPatches || l.Along > mostPatches || l.Across > mostPatches || l.Along*l.Across > mostPatches {
		return bad(fmt.Sprintf("a lining of more than %d boards", mostPatches), "give fewer")
	}
	short := math.Min(c.Piece.X, c.Piece.Y)
	switch l.Kind {
	case Full:
	case Strips:
		if !(l.Width >= 10 && l.Width <= short/3) || !(l.Length == 0 || l.Length >= 20) || !(l.Gap >= 0 && l.Gap <= short/4) || l.More < 0 || float64(l.More+2)*(l.Width+l.Gap) > c.Piece.Y {
			return bad(fmt.Sprintf("strips %g mm wide, in lengths of %g mm with gaps of %g mm and %d more do not go under the piece", l.Width, l.Length, l.Gap, l.More), "write it like 'strips 60 mm, lengths 150 mm, gaps 20 mm, 1 more'")
		}
	case Pads:
		if !(l.Width >= 10 && l.Length >= 10 && l.Along >= 1 && l.Across >= 1) || float64(l.Along)*l.Width > c.Piece.X || float64(l.Across)*l.Length > c.Piece.Y {
			return bad(fmt.Sprintf("%d x %d pads of %g x %g mm do not go under the piece", l.Along, l.Across, l.Width, l.Length), "write it like 'pads 120 x 120 mm, 3 x 4'")
		}
	default:
		return bad(fmt.Sprintf("there is no layout %q", string(l.Kind)), "say full, strips or pads")
	}
	if n := len(l.Patches(c.Piece.X, c.Piece.Y)); n > mostPatches {
		return bad(fmt.Sprintf("a lining of %d boards", n), fmt.Sprintf("at most %d are reckoned with", mostPatches))
	}
	return nil
}

// mostPatches is far above any lining that is glued by hand.
const mostPatches = 300
