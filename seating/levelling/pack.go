package levelling

import (
	"math"
	"slices"

	"slatewright/bed"
)

// laying is a bed on packs: for each piece the number of the pack under every support, and what comes of it.
type laying struct {
	packs   [3][]int // of the packs that exist, ascending
	rests   [3]rest
	heights [3][]float64
	Figures
	share, squares float64
}

// betterBy is what an exchange must gain: so much of a limit that nobody could measure less.
const betterBy = 1e-4

// better compares two beds: by their worst share of a limit, then by all of them.
func (l *laying) better(than *laying) bool {
	if l.share < than.share-betterBy {
		return true
	}
	return l.share <= than.share+1e-9 && l.squares < than.squares-betterBy
}

// pack rounds the ideal heights to packs that exist and exchanges packs.
func (j *job) pack(moves [3][3]float64, forces [3][]float64) error {
	var asked [3][]float64
	least := math.Inf(1)
	for k, p := range j.pieces {
		asked[k] = p.undersides(forces[k], moves[k])
		for i := range asked[k] {
			asked[k][i] -= j.frame(k, i)
			least = min(least, asked[k][i])
		}
	}
	for k := range asked {
		for i := range asked[k] {
			asked[k][i] -= least
		}
	}
	if len(j.q.Spec.Shims) == 0 {
		j.result.Warnings = append(j.result.Warnings, "the specification names no shims that exist: heights are given as they are asked for")
		l, err := j.on(asked)
		if err != nil {
			return err
		}
		return j.finish(l, asked, nil)
	}
	packs := j.q.Spec.Packs()
	l, err := j.rounded(asked, packs)
	if err != nil {
		return err
	}
	if l, err = j.exchange(l, packs); err != nil {
		return err
	}
	if low := l.lowered(packs); low != nil {
		if err := j.lay(low, packs, [3]bool{true, true, true}); err != nil {
			return err
		}
		l = low
	}
	return j.finish(l, asked, packs)
}

func (j *job) frame(k, i int) float64 {
	if j.q.Frame[k] == nil {
		return 0
	}
	return j.q.Frame[k][i]
}

// rounded takes the nearest packs, the whole bed lifted by a few shares of the finest step between packs: the best of them.
func (j *job) rounded(asked [3][]float64, packs bed.Packs) (best *laying, err error) {
	const lifts = 8
	fine := packs[len(packs)-1].Height
	for i := range packs[1:] {
		fine = min(fine, packs[i+1].Height-packs[i].Height)
	}
	for n := range lifts {
		l := &laying{}
		for k := range asked {
			for _, h := range asked[k] {
				l.packs[k] = append(l.packs[k], nearest(packs, h+float64(fine*float64(n))/lifts))
			}
		}
		if err := j.lay(l, packs, [3]bool{true, true, true}); err != nil {
			return nil, err
		}
		if best == nil || l.better(best) {
			best = l
		}
	}
	return best, nil
}

func nearest(packs bed.Packs, height float64) int {
	at := 0
	for i, p := range packs {
		if math.Abs(p.Height-height) < math.Abs(packs[at].Height-height)-1e-12 {
			at = i
		}
	}
	return at
}

// lowered is the same bed as low as packs that exist let it lie; nil when it is as low already.
func (l *laying) lowered(packs bed.Packs) *laying {
	least := len(packs)
	for _, list := range l.packs {
		least = min(least, slices.Min(list))
	}
	for by := least; by > 0; by-- {
		low := &laying{}
		for k, list := range l.packs {
			for _, n := range list {
				m := nearest(packs, packs[n].Height-packs[by].Height)
				if math.Abs(packs[m].Height-packs[n].Height+packs[by].Height) > 1e-9 {
					break
				}
				low.packs[k] = append(low.packs[k], m)
			}
			if len(low.packs[k]) < len(list) {
				low = nil
				break
			}
		}
		if low != nil {
			return low
		}
	}
	return nil
}

// lay finds how the pieces marked lie on their packs, and what the bed then measures.
func (j *job) lay(l *laying, packs bed.Packs, again [3]bool) error {
	j.result.Tried++
	for k, p := range j.pieces {
		if !again[k] {
			continue
		}
		heights := make([]float64, len(l.packs[k]))
		for i, n := range l.packs[k] {
			heights[i] = packs[n].Height + j.frame(k, i)
		}
		r, err := p.lie(heights)
		if err != nil {
			return err
		}
		l.rests[k], l.heights[k] = r, p.heights(r.forces, r.moves)
	}
	return j.measure(l)
}

// on lays the pieces on packs of any height.
func (j *job) on(heights [3][]float64) (*laying, error) {
	l := &laying{}
	for k, p := range j.pieces {
		packs := make([]float64, len(heights[k]))
		for i, h := range heights[k] {
			packs[i] = h + j.frame(k, i)
		}
		r, err := p.lie(packs)
		if err != nil {
			return nil, err
		}
		l.rests[k], l.heights[k] = r, p.heights(r.forces, r.moves)
	}
	return l, j.measure(l)
}

func (j *job) measure(l *laying) (err error) {
	if l.Figures, err = j.figures(l.heights); err == nil {
		l.share, l.squares = j.share(l.Figures)
	}
	return err
}

// exchange changes packs by one step up or down, one support, one row of supports or a whole piece at a time, and keeps the best
// change of each round until none makes the bed better.
func (j *job) exchange(l *laying, packs bed.Packs) (*laying, error) {
	const rounds = 60
	groups := j.groups()
	for range rounds {
		var won *laying
		for k := range groups {
			for _, group := range groups[k] {
				for _, by := range [2]int{-1, 1} {
					c := l.changed(k, group, by, len(packs))
					if c == nil {
						continue
					}
					var again [3]bool
					again[k] = true
					if err := j.lay(c, packs, again); err != nil {
						return nil, err
					}
					if c.better(l) && (won == nil || c.better(won)) {
						won = c
					}
				}
			}
		}
		if won == nil {
			return l, nil
		}
		l = won
	}
	return l, nil
}

// changed is the laying with other packs in a group of a piece; nil where there are none.
func (l *laying) changed(k int, group []int, by, most int) *laying {
	c := *l
	c.packs[k] = append([]int{}, l.packs[k]...)
	for _, i := range group {
		n := c.packs[k][i] + by
		if n < 0 || n >= most {
			return nil
		}
		c.packs[k][i] = n
	}
	return &c
}

// groups are what is exchanged together: each support, the supports of each row along and across, the whole piece.
func (j *job) groups() (out [3][][]int) {
	for k, p := range j.pieces {
		var whole []int
		for i := range p.feet {
			out[k] = append(out[k], []int{i})
			whole = append(whole, i)
		}
		for axis := range 2 {
			done := map[int]bool{}
			for i := range p.feet {
				var row []int
				for m := range p.feet {
					if !done[m] && math.Abs(p.feet[m][axis]-p.feet[i][axis]) < 1 {
						row = append(row, m)
						done[m] = true
					}
				}
				if len(row) > 1 && len(row) < len(p.feet) {
					out[k] = append(out[k], row)
				}
			}
		}
		out[k] = append(out[k], whole)
	}
	return out
}

// finish writes down the bed on its packs.
func (j *job) finish(l *laying, asked [3][]float64, packs bed.Packs) error {
	r := &j.result
	r.Figures, r.Share = l.Figures, l.share
	for k, p := range j.pieces {
		for i, at := range p.feet {
			f := Foot{X: at[0], Y: at[1], Asked: asked[k][i], Force: l.rests[k].forces[i], Gap: l.rests[k].gaps[i], Assumed: !j.q.Layout.Pieces[k].Undersides[i].Read}
			f.Lifts = f.Gap > 0 || f.Force == 0
			f.Pack = bed.Pack{Height: asked[k][i]}
			if packs != nil {
				f.Pack = packs[l.packs[k][i]]
			}
			r.Feet[k] = append(r.Feet[k], f)
		}
	}
	for k, heights := range l.heights {
		r.Heights[k] = heights[len(heights)-len(j.q.Look[k]):]
		r.Readings[k] = heights[:len(j.shape.places[k])]
	}
	for i, steps := range j.shape.joints {
		for _, st := range steps {
			r.Joints[i] = append(r.Joints[i], Along{st.y, l.heights[i+1][st.foot] - l.heights[i][st.head]})
		}
	}
	j.work(l.heights)
	if err := j.bent(); err != nil {
		return err
	}
	j.forced()
	return nil
}
