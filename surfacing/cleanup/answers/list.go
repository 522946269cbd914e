package answers

import (
	"fmt"
	"math"
	"slices"

	"slatewright/surfacing/cleanup"
	"slatewright/surfacing/cleanup/rough"
	"slatewright/surfacing/cleanup/stock"
	"slatewright/trouble"
)

// UsualSizes are the finished thicknesses that are asked for where nobody names others, mm.
func UsualSizes() []float64 { return []float64{22, 25.4, 28, 30} }

// Set is the answer for the pieces of one set.
type Set struct {
	Verdict  string     `json:"verdict"`
	CommonMM float64    `json:"common_mm"` // the thickest finish that all pieces can have
	CommonIn [2]float64 `json:"common_interval_mm"`
	HeldBy   string     `json:"held_by"` // the piece with the least to give
	Pieces   []*Slab    `json:"pieces"`  // each planned to the common finish, or to the one asked for
	Warnings []string   `json:"warnings"`
	answer   cleanup.Answer
	asked    float64
}

// OfSet looks for one thickness of several pieces that were answered for alone, and plans each to it.
func OfSet(pieces []*Slab) (*Set, error) {
	if len(pieces) < 2 {
		return nil, trouble.Data("few-pieces", "the set", trouble.Count(len(pieces), "piece makes no set", "pieces make no set"), "name the pieces of one set, three as a rule")
	}
	var list []stock.Piece
	for _, p := range pieces {
		list = append(list, p.piece())
	}
	c := stock.Common(list)
	r := &Set{Verdict: c.Answer.String(), CommonMM: c.Finish, CommonIn: [2]float64{c.Low, c.High}, HeldBy: pieces[c.Thinnest].Name, Pieces: pieces, answer: c.Answer, Warnings: []string{}}
	for i, p := range pieces {
		p.amounts(c.Plans[i])
		p.stays()
		r.asked = max(r.asked, p.limits.Finish)
	}
	if r.asked > 0 && r.asked < c.Finish {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the pieces are planned to the %s mm that were asked for; all of them could be left at %s mm", mm(r.asked), mm(c.Finish)))
	}
	return r, nil
}

// piece is the slab for package stock.
func (r *Slab) piece() stock.Piece {
	return stock.Piece{Name: r.Name, Planes: r.planes, Low: r.IntervalMM[0], High: r.IntervalMM[1], Limits: r.limits}
}

// Answer is the set's answer.
func (r *Set) Answer() cleanup.Answer { return r.answer }

// Answer is the slab's answer.
func (r *Slab) Answer() cleanup.Answer { return r.plan.Answer }

// Planes are the slab's planes, and Plan what comes off; for pictures.
func (r *Slab) Planes() *cleanup.Planes { return r.planes }

// Plan is what comes off.
func (r *Slab) Plan() cleanup.Plan { return r.plan }

// Body is the slab in the piece frame, its bottom to be lifted; and its size, 0 where no file says it.
func (r *Slab) Body() (s cleanup.Slab, x, y float64) { return r.body, r.size[0], r.size[1] }

// Stock is the answer for many slabs.
type Stock struct {
	SizesMM   []float64 `json:"finishes_mm"` // what was asked for, rising
	Slabs     []Stocked `json:"slabs"`
	Proves    string    `json:"proves"` // what the answer rests on
	Allowance float64   `json:"allowance_mm"`
	Warnings  []string  `json:"warnings"`
}

// Stocked is one slab of a stock.
type Stocked struct {
	Name      string      `json:"slab"`
	Thickness *float64    `json:"thickness_mm"` // null: only its bounds are known
	IntervalM [2]float64  `json:"-"`
	Interval  [2]*float64 `json:"thickness_interval_mm"`    // null: not bounded
	UnderMM   *float64    `json:"thickness_under_edges_mm"` // of a rough slab: the least for planes that clear everything under the edges
	Gives     []string    `json:"gives"`                    // to each finish: possible, not possible, cannot tell
	BestMM    *float64    `json:"best_mm"`                  // the thickest that is surely possible
	Held      []Contact   `json:"held_by"`
	Missing   []*float64  `json:"missing_mm"` // how much is missing to each finish that is not surely possible
	Warnings  []string    `json:"warnings"`
}

// OfStock asks which of the finishes each slab can still give.
func OfStock(slabs []*Slab, sizes []float64) (*Stock, error) {
	r, err := newStock(sizes)
	if err != nil {
		return nil, err
	}
	r.Proves = "the thickest parallel planes that clear the readings of both faces, with limits of 95 %"
	for _, s := range slabs {
		t := Stocked{Name: s.Name, Thickness: ptr(s.ThicknessMM), Held: s.Governing, Warnings: s.Warnings}
		r.Allowance = t.hold(s.IntervalMM[0], s.IntervalMM[1], s.limits, r.SizesMM)
		r.Slabs = append(r.Slabs, t)
	}
	return r, nil
}

// OfRough asks the same of slabs at the rough stage.
func OfRough(l *rough.List, limits cleanup.Limits, sizes []float64) (*Stock, error) {
	q := Usual()
	q.Limits = limits
	if err := q.Check(); err != nil {
		return nil, err
	}
	r, err := newStock(sizes)
	if err != nil {
		return nil, err
	}
	r.Proves = "bounds: no slab that agrees with the gaps and the corners has less or more at the nine places where the eight lines begin, cross and end; what lies between the lines is not in them"
	r.Warnings = append(r.Warnings, l.Warnings...)
	open := false
	for _, s := range l.Slabs {
		b, err := rough.Find(s.Slab)
		if err != nil {
			return nil, in(s.Name, err)
		}
		t := Stocked{Name: s.Name, Warnings: []string{}}
		for side, list := range [][]int{b.Top, b.Bottom} {
			for _, k := range list {
				x, y := rough.Place(k, l.SizeX, l.SizeY, l.Margin)
				t.Held = append(t.Held, Contact{x, y, []string{"top", "bottom"}[side]})
			}
		}
		if !math.IsInf(b.Low, 0) {
			t.UnderMM = ptr(b.Under)
		} else {
			open = true
		}
		r.Allowance = t.hold(b.Low, b.High, limits, r.SizesMM)
		r.Slabs = append(r.Slabs, t)
	}
	if open {
		r.Warnings = append(r.Warnings, "where lines were not read, nothing says how hollow the face is there: read all eight lines of both faces")
	}
	return r, nil
}

// in says at which slab trouble was.
func in(slab string, err error) error {
	if t, ok := err.(*trouble.Trouble); ok && t.Kind == trouble.KindData {
		return trouble.Data(t.Code, slab+": "+t.Where, t.What, t.Next)
	}
	return err
}

func newStock(sizes []float64) (*Stock, error) {
	if len(sizes) == 0 {
		sizes = UsualSizes()
	}
	sizes = slices.Clone(sizes)
	slices.Sort(sizes)
	sizes = slices.Compact(sizes)
	if len(sizes) > 12 || !(sizes[0] > 0 && sizes[len(sizes)-1] < 1000) {
		return nil, trouble.Usage("bad-finishes", "slatewright cleanup", "the finishes are too many, or no lengths above 0", "give up to twelve, such as 22mm,25.4mm,28mm,30mm")
	}
	return &Stock{SizesMM: sizes, Warnings: []string{}}, nil
}

// hold holds a slab against the finishes.
func (t *Stocked) hold(low, high float64, l cleanup.Limits, sizes []float64) (allowance float64) {
	t.IntervalM = [2]float64{low, high}
	if !math.IsInf(low, 0) {
		t.Interval[0] = ptr(low)
	}
	t.Interval[1] = ptr(high)
	allowance = l.DamageTop + l.DamageBottom + l.Movement + l.Reserve
	gives, best := stock.Gives(low, high, l, sizes)
	for i, a := range gives {
		t.Gives = append(t.Gives, a.String())
		var missing *float64
		if a != cleanup.Possible && t.Interval[0] != nil {
			missing = ptr(sizes[i] - (low - allowance))
		}
		t.Missing = append(t.Missing, missing)
	}
	if best >= 0 {
		t.BestMM = &sizes[best]
	}
	return allowance
}

// Answer of a stock: possible, where every slab gives a finish of the list; not possible, where one gives none; else it cannot be told.
func (r *Stock) Answer() cleanup.Answer {
	worst := cleanup.Possible
	for _, s := range r.Slabs {
		switch {
		case s.BestMM != nil:
		case slices.Contains(s.Gives, cleanup.Unsure.String()):
			if worst == cleanup.Possible {
				worst = cleanup.Unsure
			}
		default:
			return cleanup.Impossible
		}
	}
	return worst
}
