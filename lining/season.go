package lining

import "math"

// Month is the bow of the piece in one month at the destination; mm, + for crown, peak to valley of the face, and in the middle along and across
// the table. The values are those of a board that follows the air at once and gives nothing away; the limits hold everything.
type Month struct {
	Humidity           Span
	Bow, Along, Across Span
	mismatch           Span // by how much the board is longer than the stone would have it, in units of Board.length
}

// scene is one choice at the ends of what is not known: where the board was glued, how the year runs, how much it moves.
type scene struct {
	state float64
	year  [12]float64
	pick  func(Span) float64
}

// scenes are all of them. The year runs all drier, all wetter, with wider or with narrower swings than was thought.
func (c *Case) scenes(state Span) (list []scene) {
	mean := 0.0
	for _, m := range c.Destination {
		mean += m.Value / 12
	}
	years := [4][12]float64{}
	for i, m := range c.Destination {
		wide, narrow := m.High, m.Low
		if m.Value < mean {
			wide, narrow = m.Low, m.High
		}
		years[0][i], years[1][i], years[2][i], years[3][i] = m.Low, m.High, wide, narrow
	}
	for _, s := range []float64{state.Low, state.High} {
		for _, y := range years {
			list = append(list, scene{s, y, low}, scene{s, y, high})
		}
	}
	return list
}

// year is the mismatch in each month. Between the driest and the wettest month −X and W of the main curve, counted from the state at
// gluing, a board that does not follow back all the way lies between d − η(d + X) and d + η(W − d); where board and glue have given way to a lasting
// mismatch, what they give way to is a share of what the year has brought, so that up to cW is taken off and cX added.
func (c *Case) year(state Span) (list [12]Span) {
	for i, m := range c.Destination {
		list[i] = Span{c.change(m.Value, state.Value, value), math.Inf(1), math.Inf(-1)}
	}
	for _, s := range c.scenes(state) {
		dry, wet := 0.0, 0.0
		var d [12]float64
		for i, h := range s.year {
			d[i] = c.change(h, s.state, s.pick)
			dry, wet = math.Max(dry, -d[i]), math.Max(wet, d[i])
		}
		for i := range d {
			list[i] = list[i].with(d[i] - c.Hysteresis.High*(d[i]+dry) - c.Creep.High*wet).
				with(d[i] + c.Hysteresis.High*(wet-d[i]) + c.Creep.High*dry).
				with(d[i] - c.Hysteresis.Low*(d[i]+dry) - c.Creep.Low*wet).
				with(d[i] + c.Hysteresis.Low*(wet-d[i]) + c.Creep.Low*dry)
		}
	}
	return list
}

// change is how much longer a free board is at one humidity than at another, on its main curve.
func (c *Case) change(to, from float64, pick func(Span) float64) float64 {
	return c.Board.length(to, pick) - c.Board.length(from, pick)
}

// months turns mismatch into bow: a board that would be shorter than its stone crowns the playing face.
func (c *Case) months(state Span, g gain) (list [12]Month) {
	for i, d := range c.year(state) {
		list[i] = Month{Humidity: c.Destination[i], Bow: bow(g.peak, d), Along: bow(g.along, d), Across: bow(g.across, d), mismatch: d}
	}
	return list
}

// bow is −gain × mismatch with the limits of both.
func bow(g, d Span) Span {
	s := Exactly(unsigned(-g.Value * d.Value))
	for _, a := range []float64{g.Low, g.High} {
		s = s.with(unsigned(-a * d.Low)).with(unsigned(-a * d.High))
	}
	return s
}

// unsigned makes −0 a 0.
func unsigned(v float64) float64 { return v + 0 }

// worst is the size of the largest bow of the year: what it is expected to be, what it is at least and at most.
func worst(list [12]Month) (s Span) {
	for _, m := range list {
		size := m.Bow.Size()
		s = Span{math.Max(s.Value, size.Value), math.Max(s.Low, size.Low), math.Max(s.High, size.High)}
	}
	return s
}

// swing is the least bow that the year can be got over with, mm: from its driest to its wettest month a board goes at least 1 − η of its way, and at
// each end no more than a share c of the mismatch is given way to; what is left, (1 − η − c) of the swing, lies at best half to either side.
func (c *Case) swing(state Span, g gain) float64 {
	least := math.Inf(1)
	for _, s := range c.scenes(state) {
		from, to := math.Inf(1), math.Inf(-1)
		for _, h := range s.year {
			d := c.Board.length(h, s.pick)
			from, to = math.Min(from, d), math.Max(to, d)
		}
		least = math.Min(least, to-from)
	}
	return g.peak.Low * math.Max(0, 1-c.Hysteresis.High-c.Creep.High) * least / 2
}

// Band is the humidity that a room must keep to, %.
type Band struct{ Low, High float64 }

// band is the widest band, in whole percent around the state at gluing, within which a room may move as it likes and the bow stays within the limit
// for certain; nil where no room can promise that, or only one held closer than a house can be.
func (c *Case) band(state Span, g gain) *Band {
	within := func(b Band) bool {
		room := *c
		for i := range room.Destination {
			room.Destination[i] = Exactly(b.Low)
			if i%2 == 1 {
				room.Destination[i] = Exactly(b.High)
			}
		}
		return worst(room.months(state, g)).High <= c.Limit
	}
	middle := math.Round(state.Value)
	b := Band{middle, middle}
	if !within(b) {
		return nil
	}
	for down, up := true, true; down || up; {
		if next := (Band{b.Low - 1, b.High}); down {
			if down = next.Low >= driest && within(next); down {
				b = next
			}
		}
		if next := (Band{b.Low, b.High + 1}); up {
			if up = next.High <= wettest && within(next); up {
				b = next
			}
		}
	}
	if b.High-b.Low < leastBand {
		return nil
	}
	return &b
}

// leastBand is the narrowest band that is asked of a customer's room, %: a hygrometer of the shops is right within 3 either way. Common practice, no source.
const leastBand = 6
