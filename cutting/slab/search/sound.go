package search

import (
	"slices"

	"slatewright/cutting/guillotine"
	"slatewright/cutting/slab/ground"
)

// sound knows what parts without any flaw can give: tables of package guillotine, one that is never too low (sizes rounded down to a unit, parts up) and
// one that is never too high. Both are the same where the unit is 1 mm.
type sound struct {
	unit         int
	kerf         int
	items        []*ground.Stance
	upper, lower *guillotine.Table
}

// Steps of the tables of what sound parts give: once, or anew for each change of prices.
const (
	soundSteps  = 100_000_000
	pricedSteps = 8_000_000
)

// newSound tables the stances of a frame at the worth of their types. It gives nil when there is nothing of worth, or when it was stopped.
func newSound(s *site, worth []int64, steps int64, done func(int) bool) *sound {
	t := &sound{kerf: s.kerf}
	var items []guillotine.Item
	for k, stances := range s.kinds {
		if worth[k] <= 0 {
			continue
		}
		seen := map[[2]int]bool{}
		for _, st := range stances {
			if size := [2]int{st.W, st.H}; !seen[size] {
				seen[size] = true
				t.items = append(t.items, st)
				items = append(items, guillotine.Item{Length: st.W, Width: st.H, Most: -1, Value: worth[k]})
			}
		}
	}
	if len(items) == 0 {
		return nil
	}
	whole := s.whole()
	problem := func(unit, up int) guillotine.Problem { // up is 0 for what is never too low, unit − 1 for what is never too high
		p := guillotine.Problem{Length: t.units(whole.x2-whole.x1, unit, unit-1-up), Width: t.units(whole.y2-whole.y1, unit, unit-1-up)}
		for _, it := range items {
			it.Length, it.Width = max(1, t.units(it.Length, unit, up)), max(1, t.units(it.Width, unit, up))
			p.Items = append(p.Items, it)
		}
		return p
	}
	for t.unit = 1; ; t.unit++ {
		x, y, err := guillotine.Sums(problem(t.unit, 0))
		if err != nil {
			return nil
		}
		if cost := float64(x) * float64(y) * float64(x+y) / 4; cost <= float64(steps) {
			break
		}
		t.unit += t.unit / 4
	}
	var err error
	if t.upper, err = guillotine.NewTable(problem(t.unit, 0), done); err != nil || t.upper == nil {
		return nil
	}
	t.lower = t.upper
	if t.unit > 1 {
		if t.lower, err = guillotine.NewTable(problem(t.unit, t.unit-1), done); err != nil || t.lower == nil {
			return nil
		}
	}
	return t
}

// units is a length with a kerf, in units.
func (t *sound) units(length, unit, up int) int { return (length + t.kerf + up) / unit }

// most is never below what a part of a size can give.
func (t *sound) most(w, h int) int64 {
	return t.upper.Value(t.units(w, t.unit, t.unit-1), t.units(h, t.unit, t.unit-1))
}

// least is what a part without flaws certainly gives.
func (t *sound) least(w, h int) int64 {
	return t.lower.Value(t.units(w, t.unit, 0), t.units(h, t.unit, 0))
}

// lay lays what a part without flaws gives into it.
func (t *sound) lay(p part) *laid {
	return t.block(t.lower.Plan(t.units(p.x2-p.x1, t.unit, 0), t.units(p.y2-p.y1, t.unit, 0)), p)
}

func (t *sound) block(b *guillotine.Block, p part) *laid {
	l := &laid{part: p}
	switch {
	case b == nil:
	case b.First == nil:
		l.stance, l.x, l.y = t.items[b.Item], p.x1, p.y1
	default:
		w, h := t.size(b.First)
		l.along = b.Above
		if l.cut = p.x1 + w; b.Above {
			l.cut = p.y1 + h
		}
		one, two := p.divided(b.Above, l.cut, t.kerf)
		l.first, l.then = t.block(b.First, one), t.block(b.Then, two)
	}
	return l
}

// size is that of a block, in mm.
func (t *sound) size(b *guillotine.Block) (w, h int) {
	if b.First == nil {
		return t.items[b.Item].W, t.items[b.Item].H
	}
	w1, h1 := t.size(b.First)
	w2, h2 := t.size(b.Then)
	if b.Above {
		return max(w1, w2), h1 + t.kerf + h2
	}
	return w1 + t.kerf + w2, max(h1, h2)
}

// ends are places on the x axis: for left line a and lines j1 and j2 at (a·ny + j1)·(ny+1) + j2.
type ends []int32

// tableClean tables how far to the right a part is clean that begins at left line a and lies between two lines, as ends are; −1: nowhere.
func tableClean(s *ground.Stance, x, y *ruling) ends {
	nx, ny := x.n(), y.n()
	e := make(ends, nx*ny*(ny+1))
	far := make([]int32, len(s.Rows))
	for a := range nx {
		left := int32(x.left(a))
		for i, row := range s.Rows {
			far[i] = -ground.None
			for _, r := range row {
				if r.From <= left && left <= r.To {
					far[i] = r.To + 2
				}
			}
		}
		for j1 := range ny {
			out := e[(a*ny+j1)*(ny+1):][:ny+1]
			r := y.left(j1) - s.Y0
			least := int32(ground.None)
			for j2 := j1 + 1; j2 <= ny; j2++ {
				for end := y.at[j2] - 2 - s.Y0; r <= end; r++ {
					if r < 0 || r >= len(far) {
						least = -ground.None
						continue
					}
					least = min(least, far[r])
				}
				out[j2] = least
			}
		}
	}
	return e
}

// learn works out what sound parts give at the frame's prices; false when it was stopped.
func (c *search) learn(s *site) bool {
	worth := make([]int64, len(c.Types))
	for k, t := range c.Types {
		worth[k] = s.worth(t, k)
	}
	if slices.Equal(worth, s.priced) {
		return true
	}
	if s.spotless == nil {
		s.spotless = s.Clean()
	}
	steps := int64(soundSteps)
	if s.prices.limited() {
		steps = pricedSteps
	}
	s.sound, s.priced = newSound(s, worth, steps, c.done), worth
	return !c.stopped
}
