package passes

import "math"

// Plan is a way of surfacing a piece.
type Plan struct {
	Setups []Setup
	Rounds int
	// Minutes, bits, water and power are of this piece alone; a change of disc counts whole.
	Minutes float64
	Money   *float64 // nil: the hour or a bit has no price
	Bits    *float64 // the part of Money that goes into bits
	WaterL  float64
	Energy  float64 // kWh
	Worn    []Worn  // by stage
	// Thickness that is left, with limits that hold in 95 of 100 cases as far as the machine's own doubts say it; nil: not known.
	Thickness *Interval
	Flat      [2]Flatness
	Peak      float64 // greatest power, kW, at the worse end of the specific energy
	Broken    []Hindrance
}

// Interval is a value with its limits.
type Interval struct{ Value, Low, High float64 }

// Worn is what a stage's bits lose, mm, between the ends of what is known of G.
type Worn struct {
	Stage     int
	Height    float64
	Low, High float64
	Share     float64  // of the height that can be used up
	Money     *float64 // for that share of a ring of bits; nil: a bit has no price
}

// Setup is one laying of the piece.
type Setup struct {
	Face    Face
	Hold    Hold
	Turned  bool    // the piece is turned over before it
	Mean    float64 // that comes off on average, mm
	Minutes float64 // with laying down, turning and changing the disc
	Passes  []Pass
}

// Pass is one round over a face.
type Pass struct {
	Stage   int
	Depth   float64 // that is set, mm; 0: a spark-out pass
	Feed    float64 // mm/s
	Shared  bool    // made by a further head in the travel of the pass before
	Minutes float64
	Taken   float64 // that comes off on average, mm
	Power   float64 // kW, as told and at the worse end
	Worse   float64
	Force   float64 // normal to the face, N
	Yields  float64 // by how much the face is left high afterwards, mm
	// Worn is by how much the bits are shorter at its end, mm: the taper of the face from its start to its end; WornMost at the worse end of what is known.
	Worn, WornMost float64
}

// step is a pass before it is reckoned.
type step struct {
	stage int
	depth float64
	feed  float64
}

// laying is one laying of the piece with its passes.
type laying struct {
	face  Face
	hold  Hold
	rest  float64 // that a later laying takes off the same face, mm
	steps []step
}

// reckon says what layings come to.
func (w *work) reckon(list []laying) *Plan {
	r := &reckoning{work: w, plan: &Plan{}, worn: make([]float64, len(w.cutters)), disc: -1, piece: w.bent()}
	for f := range r.faces {
		for s := range r.faces[f] {
			r.faces[f][s].uneven = w.Take[f].Range()
		}
	}
	for i, l := range list {
		r.lay(i, l, list)
	}
	p := r.plan
	for s, h := range r.worn {
		if h > 0 {
			c, ratio := w.cutters[s], w.cutters[s].G
			u := Worn{Stage: s, Height: h, Low: h * ratio.Value / high(ratio, worse), High: h * ratio.Value / low(ratio, worse), Share: h / c.Disc.BitHeight}
			if c.Disc.Price != nil {
				m := u.Share * float64(c.Disc.Bits) * *c.Disc.Price
				u.Money = &m
			}
			p.Worn = append(p.Worn, u)
		}
	}
	if w.Machine.Priced() {
		p.Money, p.Bits = &r.money, &r.bits
	}
	p.Thickness = r.thickness()
	last := map[Face]Hold{}
	end := map[Face]int{Top: -1, Bottom: -1}
	for _, l := range list {
		last[l.face], end[l.face] = l.hold, l.steps[len(l.steps)-1].stage
	}
	for f := range p.Flat {
		if face := Face(f); end[face] >= 0 {
			p.Flat[f] = w.flatness(face, end[face], last[face], [2]float64{r.faces[f][0].uneven, r.faces[f][1].uneven}, r.piece)
		}
	}
	return p
}

// reckoning goes through the passes one by one.
type reckoning struct {
	*work
	plan   *Plan
	piece  *bent
	disc   int           // stage whose disc is on; -1: none yet
	faces  [2][2]surface // as told and at the worse end
	drifts [2][2]float64
	worn   []float64
	money  float64
	bits   float64
}

// add counts what an act takes.
func (r *reckoning) add(u use) {
	r.plan.Minutes += u.minutes
	r.plan.WaterL += u.water
	r.plan.Energy += u.energy
	r.money += r.work.money(u)
	r.bits += u.bits
}

func (r *reckoning) lay(i int, l laying, all []laying) {
	s := Setup{Face: l.face, Hold: l.hold, Turned: i > 0 && all[i-1].face != l.face}
	again := false
	for _, o := range all[:i] {
		again = again || o.face == l.face
	}
	before := r.plan.Minutes
	r.add(r.laid(l.hold, s.Turned))
	stock := r.Take[l.face]
	at := stock.Max - l.rest
	for _, p := range l.steps {
		at -= p.depth
	}
	if again {
		for side, s := range r.faces[l.face] {
			r.faces[l.face][side] = s.raised(r.piece.off(l.face, r.work, side == 1))
		}
	}
	stock0 := stock
	if again {
		stock0 = Stock{Mean: 1} // an even face: Taken says nothing of it
	}
	f := facing{reckoning: r, setup: &s, stock: stock0, again: again, at: at}
	for k, p := range l.steps {
		f.pass(k, p)
	}
	supports := firstFree
	if i == len(all)-1 && i > 0 {
		supports = lastFree
	}
	r.piece.cut(l.face, l.hold, s.Mean, supports)
	s.Minutes = r.plan.Minutes - before
	r.plan.Setups = append(r.plan.Setups, s)
	r.plan.Rounds += len(s.Passes)
}

// facing is one face on its way down.
type facing struct {
	*reckoning
	setup *Setup
	stock Stock
	again bool // the face has been cut before and is even but for its bow
	at    float64
	drift [2]float64 // by which the bits have shortened, where nobody brings them to zero
}

func (f *facing) pass(k int, p step) {
	c := &f.cutters[p.stage]
	q := Pass{Stage: p.stage, Depth: p.depth, Feed: p.feed, Shared: f.Machine.Line() && k > 0 && f.disc != p.stage}
	f.add(f.change(f.disc, p.stage))
	f.disc = p.stage
	face := f.setup.Face
	to := f.at + p.depth
	mean := p.depth
	if !f.again {
		mean = f.stock.Taken(to) - f.stock.Taken(f.at)
	}
	for i, s := range [2]side{told, worse} {
		left, worn := after(f.faces[face][i], mean, p.depth, c.left(p.feed, s), c.taper(1, s))
		if s == worse { // as the search has it
			left = surface{grainUp(left.uneven), grainUp(left.high)}
			q.WornMost = worn
			if p.depth == 0 { // what a spark-out takes is counted at the worse end
				q.Taken = worn / c.taper(1, worse)
			}
		} else {
			q.Worn, q.Taken = worn, mean
		}
		if !f.again {
			left.uneven = math.Max(left.uneven, f.stock.Range()-to)
		}
		f.faces[face][i] = left
		if !f.Machine.Table.Rezero {
			f.drift[i] += worn
		}
	}
	f.drifts[face] = f.drift
	f.at = to
	u := f.work.pass(p.stage, p.feed, q.Taken, q.Shared)
	f.add(u)
	q.Minutes = u.minutes
	q.Power, q.Worse = c.Power(p.depth, p.feed), c.power(p.depth, p.feed, worse)
	q.Force, q.Yields = c.cutting(p.feed)*q.Taken, f.faces[face][0].high
	f.plan.Peak = math.Max(f.plan.Peak, q.Worse)
	f.worn[p.stage] += c.Taper(q.Taken)
	f.setup.Mean += q.Taken
	f.setup.Passes = append(f.setup.Passes, q)
}
