package passes

import "math"

// Flatness is how flat a face will be, mm: Value is the root of the sum of its parts' squares, as parts of different shapes add; High is their
// plain sum at the worse end of each, which the zone of the face cannot exceed while each part keeps its own; Low is the root of squares at the better ends.
type Flatness struct {
	Interval
	Parts []Part
	Known bool // false: the bow that was pressed out is not known
}

// Part is one cause of what is left.
type Part struct {
	Name string
	Interval
}

// The parts.
const (
	PartWear   = "bit wear and uneven stock"
	PartHollow = "hollow of each track"
	PartRidge  = "step from track to track"
	PartWays   = "bridge and ways"
	PartBed    = "bed"
	PartFree   = "free supports"
	PartBow    = "springback and skin stress"
)

// flatness puts a face's parts together.
func (w *work) flatness(f Face, stage int, h Hold, uneven [2]float64, b *bent) Flatness {
	c, t := &w.cutters[stage], w.Machine.Table
	shape := b.top
	if f == Bottom {
		shape = b.bottom
	}
	of := func(name string, value, u float64) Part {
		v := math.Abs(value)
		return Part{name, Interval{v, math.Max(0, v-confident*u), v + confident*u}}
	}
	hollow, ridge := c.Hollow(1, t.Pitch), c.Ridge(1, t.Pitch)
	parts := []Part{
		{PartWear, Interval{uneven[0], 0, math.Max(uneven[0], uneven[1])}}, // a taper that is a mere wedge is no unflatness at all
		of(PartHollow, c.Head.TiltAlong.Value*hollow, c.Head.TiltAlong.U*hollow),
		of(PartRidge, c.Head.TiltAcross.Value*ridge, c.Head.TiltAcross.U*ridge),
		of(PartWays, t.Ways.Value, t.Ways.U),
	}
	if h == Pressed {
		parts = append(parts, of(PartBed, t.Bed.Value, t.Bed.U))
	}
	if s := math.Abs(shape[firstFree]) + math.Abs(shape[lastFree]); s > 1e-9 {
		parts = append(parts, of(PartFree, w.Machine.Hold.Free.Value*s, w.Machine.Hold.Free.U*s))
	}
	bow, u, known := w.sprung(shape)
	parts = append(parts, of(PartBow, bow, u))
	r := Flatness{Parts: parts, Known: known}
	for _, p := range parts {
		r.Value += p.Value * p.Value
		r.Low += p.Low * p.Low
		r.High += p.High
	}
	r.Value, r.Low = math.Sqrt(r.Value), math.Sqrt(r.Low)
	return r
}

// sprung is the bow of a shape from the piece's own bow and its skins, with its standard uncertainty. The stresses of the two skins are taken as each
// in doubt by itself.
func (w *work) sprung(b bow) (value, u float64, known bool) {
	known = true
	if b[ownBow] != 0 {
		if known = w.Bow != nil; known {
			value = b[ownBow] * *w.Bow
		}
	}
	value += (b[topSkin] + b[bottomSkin]) * w.Stress.Value
	return value, math.Hypot(b[topSkin], b[bottomSkin]) * w.Stress.U, known
}

// off is how far a face is from level as it lies on supports again, mm, as told or at the worse end.
func (b *bent) off(f Face, w *work, bad bool) float64 {
	shape := b.top
	if f == Bottom {
		shape = b.bottom
	}
	v, u, _ := w.sprung(shape)
	free := math.Abs(shape[firstFree]) + math.Abs(shape[lastFree])
	if bad {
		return math.Abs(v) + confident*u + free*(w.Machine.Hold.Free.Value+confident*w.Machine.Hold.Free.U)
	}
	return math.Abs(v) + free*w.Machine.Hold.Free.Value
}

// bent is the piece before the first cut.
func (w *work) bent() *bent {
	b := &bent{out: w.out}
	b.top[ownBow], b.bottom[ownBow] = 1, 1
	if h := w.final(); h > 0 {
		b.kappa = Skin(1, 1, w.Stone.Along, h, w.long())
	}
	return b
}

// thickness is what is left: the wanted planes, and over them what yielding and worn bits leave on both faces. In doubt are the height that the disc is
// brought to over the bed, the bed under the piece (its peak to valley as a rectangular distribution), and what is left; two standard uncertainties.
func (r *reckoning) thickness() *Interval {
	h := r.final()
	if h == 0 {
		return nil
	}
	u := math.Hypot(r.Machine.Table.Setting, r.Machine.Table.Bed.Value/math.Sqrt(12))
	for f, s := range r.faces {
		if r.Take[f].Max > 0 {
			h += s[0].high - s[0].uneven/2 + r.drifts[f][0]
			u = math.Hypot(u, (s[1].high+r.drifts[f][1]-s[0].high-r.drifts[f][0])/confident)
		}
	}
	return &Interval{h, h - 2*u, h + 2*u}
}
