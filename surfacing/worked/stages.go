package worked

import (
	"fmt"
	"math"

	"slatewright/gauge/tables"
	"slatewright/surfacing/machine"
)

// z95 holds 95 of 100 normal draws between −z95 and z95.
const z95 = 1.959963984540054

// factor is that of Student for 95 of 100.
func factor(dof float64) float64 {
	if math.IsInf(dof, 1) || dof > 1e6 {
		return z95
	}
	return tables.StudentPoint(0.975, dof)
}

// stages shares the stone among the stages and sets it against their bits.
func (f *Found) stages(q Question, c *course) {
	c.wears()
	share, doubt := c.sharing()
	volume := q.Removed.Volume
	for s := range q.Machine.Stages {
		st := Stage{Index: s}
		for _, p := range q.Job.Passes {
			if p.Stage == s {
				st.Passes++
				st.Commanded += p.Depth
				if p.Depth == 0 {
					st.SparkOuts++
				}
			}
		}
		if st.Passes == 0 {
			continue
		}
		v := volume.Value * share[s]
		st.UStone = math.Hypot(volume.U*share[s], volume.Value*doubt[s])
		st.Stone = Interval{v, v - z95*st.UStone, v + z95*st.UStone}
		area := q.SizeX * q.SizeY
		st.Removed = Interval{st.Stone.Value / area, st.Stone.Low / area, st.Stone.High / area}
		for i := range q.Job.Bits {
			if q.Job.Bits[i].Stage == s {
				f.bits(q, &st, &q.Job.Bits[i])
			}
		}
		f.Stages = append(f.Stages, st)
	}
	for _, b := range q.Job.Bits {
		used := false
		for _, st := range f.Stages {
			used = used || st.Index == b.Stage
		}
		if !used {
			f.warn(fmt.Sprintf("bits of the stage %q were measured, and no pass of the list uses it", q.Machine.Stages[b.Stage].Name))
		}
	}
	for k := range f.Stages {
		for i, p := range q.Job.Passes {
			if p.Stage == f.Stages[k].Index && p.Depth > 0 {
				f.Stages[k].LastWear = c.wear[i]
			}
		}
	}
}

func (f *Found) warn(text string) { f.Warnings = append(f.Warnings, text) }

// bits sets the stone against the bits of a stage.
func (f *Found) bits(q Question, st *Stage, b *Bits) {
	st.Bits = b
	area := q.Machine.Stages[st.Index].Disc.Area()
	st.UBit = b.U * area
	t := factor(b.Dof)
	st.BitVolume = Interval{b.Worn * area, (b.Worn - t*b.U) * area, (b.Worn + t*b.U) * area}
	if !q.Removed.Tied {
		return
	}
	g := Ratio(Measured{st.Stone.Value, st.UStone}, Measured{st.BitVolume.Value, st.UBit}, t)
	st.G = &g
	name := q.Machine.Stages[st.Index].Name
	if b.Worn < -t*b.U {
		f.warn(fmt.Sprintf("the bits of %q are higher after the work than before by more than the caliper's doubt: other bits, another caliper, or the two heights exchanged", name))
	} else if math.IsInf(g.High, 1) {
		f.warn(fmt.Sprintf("the wear of the bits of %q lies within its own doubt: its G ratio is only bounded below. Measure more bits, or over more stone", name))
	}
}

// sharing is the part of the stone that each stage took, with its standard uncertainty: passes are followed for a loop as stiff as the file says, and for
// the ends of its doubt, of that of the bits' wear, and of the zero's: of three doubts that do not hang together each moves the shares by its own.
func (c *course) sharing() (share, doubt []float64) {
	share = c.shares(c.follow(nil))
	doubt = make([]float64, len(share))
	// two standard uncertainties to either side are far enough for a bend to show; a quarter of the way between is one
	differ := func(low, high []float64) {
		for i := range share {
			doubt[i] = math.Hypot(doubt[i], (high[i]-low[i])/4)
		}
	}
	scaled := func(list *[]float64, by float64) []float64 {
		kept := *list
		defer func() { *list = kept }()
		*list = make([]float64, len(kept))
		for i, v := range kept {
			(*list)[i] = v * by
		}
		return c.shares(c.follow(nil))
	}
	u := c.relative()
	differ(scaled(&c.force, math.Exp(-2*u)), scaled(&c.force, math.Exp(2*u)))
	differ(scaled(&c.wear, math.Exp(-2*c.uWear)), scaled(&c.wear, math.Exp(2*c.uWear)))
	kept := c.zero
	c.zero = kept - 2*c.uZero()
	low := c.shares(c.follow(nil))
	c.zero = kept + 2*c.uZero()
	differ(low, c.shares(c.follow(nil)))
	c.zero = kept
	return share, doubt
}

// relative is the standard uncertainty of force over stiffness, as a share: of the stages it is the largest.
func (c *course) relative() (most float64) {
	for i := range c.q.Machine.Stages {
		s, h := c.q.Machine.Stages[i], c.q.Machine.HeadOf(i)
		u := 0.0
		for _, k := range []machine.Known{s.Energy, s.Normal, h.Stiffness} {
			u = math.Hypot(u, k.U/k.Value)
		}
		most = math.Max(most, u)
	}
	return most
}

// wears is how far the bits wore in each pass: by what was measured of them where it was, together with what the file's G ratio tells, each by its weight. It
// goes round, since worn bits leave stone to the stages after them.
func (c *course) wears() {
	q := c.q
	area := q.SizeX * q.SizeY
	for range 4 {
		run := c.follow(nil)
		total := make([]float64, len(q.Machine.Stages))
		for i, p := range q.Job.Passes {
			total[p.Stage] += run.depth[i]
		}
		c.uWear = 0
		for k, s := range q.Machine.Stages {
			if total[k] == 0 {
				continue
			}
			perDepth := area / (s.G.Value * s.Disc.Area()) // of bits for a depth of stone
			u := s.G.U / s.G.Value * perDepth
			for _, b := range q.Job.Bits {
				if b.Stage == k {
					perDepth, u = combined(perDepth, u, b.Worn/total[k], b.U/total[k])
				}
			}
			if perDepth > 0 {
				c.uWear = math.Max(c.uWear, math.Min(u/perDepth, 1))
			}
			for i, p := range q.Job.Passes {
				if p.Stage == k {
					c.wear[i] = perDepth * run.depth[i]
				}
			}
		}
	}
}

// combined is the mean of two values by their weights, with its standard uncertainty; a wear is not below zero.
func combined(a, ua, b, ub float64) (mean, u float64) {
	if !(ua > 0) {
		return a, 0
	}
	wa, wb := 1/(ua*ua), 1/(ub*ub)
	return (a*wa + math.Max(b, 0)*wb) / (wa + wb), 1 / math.Sqrt(wa+wb)
}

// foreign is the share of what was set by which what was reached may differ from what the file tells before the passes are doubted: a loop of a third of the
// stiffness leaves less.
const foreign = 0.3

// lag is what was left of the depth that was set, at the place of the zero.
func (f *Found) lag(q Question, c *course) {
	reached := c.zero
	u := c.uReached()
	f.Reached = Interval{reached, reached - z95*u, reached + z95*u}
	if !q.Removed.Tied {
		f.Reached = Interval{math.NaN(), math.NaN(), math.NaN()}
	}
	d := f.Commanded - reached
	ud := math.Hypot(u, c.uZero())
	f.Lag = Interval{d, d - z95*ud, d + z95*ud}
	if !q.Removed.Tied {
		f.Lag = Interval{math.NaN(), math.NaN(), math.NaN()}
		return
	}
	told := c.follow(nil).left
	kept := c.wear
	c.wear = make([]float64, len(kept))
	f.LagTold = c.follow(nil).left
	c.wear = kept
	f.LagWear = told - f.LagTold
	if off := math.Min(math.Abs(d-told), math.Abs(d-f.LagTold)); off > math.Max(foreign*f.Commanded, 5*ud) {
		f.Foreign = true
		f.warn(fmt.Sprintf("%.3f mm were set in all, and the face lies %.3f mm deeper where the disc was brought to the stone: these are hardly the passes between the two maps, or the zero was elsewhere ('# zero at:'). Nothing is learnt from them", f.Commanded, reached))
	}
	if q.Job.Zero == nil && q.Removed.Max.U > 0.03 {
		f.warn("where the disc was brought to the stone is not said, and the highest place of the face is not well known: give it by '# zero at:', for what was left of the depth hangs on it")
	}
}

// uReached is the standard uncertainty of what was taken at the zero.
func (c *course) uReached() float64 {
	z := c.q.Job.Zero
	if z == nil {
		return math.Max(c.q.Removed.Max.U, c.q.Removed.Mean.U)
	}
	return c.q.Removed.Grid.At(c.q.Removed.UEach, z[0], z[1])
}

// uZero is how well the height of the last pass is known against the stone before the first: the disc was brought to the stone, and set again where it
// is brought to zero before each pass or was changed.
func (c *course) uZero() float64 {
	u := c.q.setting()
	last := c.q.Job.Passes[len(c.q.Job.Passes)-1]
	if c.q.Machine.Table.Rezero || last.Stage != c.q.Job.Passes[0].Stage {
		u *= math.Sqrt2
	}
	return u
}
