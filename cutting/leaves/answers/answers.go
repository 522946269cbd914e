package answers

import (
	"fmt"

	"slatewright/cutting/leaves"
	"slatewright/cutting/recovery"
)

// Where an allowance comes from.
const (
	FromHistory  = "history"
	FromMill     = "rule of the mill"
	FromPractice = "common practice"
)

// Leaf is one leaf, from the top of the block downwards. The names are a contract with other programs.
type Leaf struct {
	Name     string  `json:"name"`
	From     float64 `json:"from_mm"` // below the top of the block
	To       float64 `json:"to_mm"`
	Rough    float64 `json:"rough_mm"`
	Finished float64 `json:"finished_mm"`
	Value    float64 `json:"value"`
}

// Cut is where the blade, or the cleft, goes through the block.
type Cut struct {
	From float64 `json:"from_mm"`
	To   float64 `json:"to_mm"`
}

// Need is what clean-up needed; an end of its interval is null where the pieces are too few.
type Need struct {
	Pieces   int      `json:"pieces"`
	Quantile float64  `json:"quantile"`
	At       float64  `json:"need_mm"`
	Low      *float64 `json:"low_mm"`
	High     *float64 `json:"high_mm"`
	LeavesAt *int     `json:"leaves_at_high"` // from this block, were the need at the high end
	Paid     float64  `json:"paid_best_mm"`   // the allowance that would have paid best over these pieces
}

// Worth is what one millimetre less gives from one block; kg and minutes are those of one leaf, null where size or machine is not known.
type Worth struct {
	Leaves  int      `json:"leaves"`
	Value   float64  `json:"value"`
	Kg      *float64 `json:"kg_per_leaf"`
	Minutes *float64 `json:"minutes_per_leaf"`
}

// Next is the allowance at which the block gives more.
type Next struct {
	Allowance float64 `json:"allowance_mm"`
	Leaves    int     `json:"leaves"`
	Value     float64 `json:"value"`
}

// Pattern is one way in which blocks of an order are cut.
type Pattern struct {
	Blocks int    `json:"blocks"`
	Leaves []Leaf `json:"leaves"` // of each of them
}

// Order is how many blocks like this an order needs.
type Order struct {
	Blocks   int       `json:"blocks"`
	Bound    int       `json:"bound"` // no fewer can do
	Patterns []Pattern `json:"patterns"`
}

// Answer is the plan of a block.
type Answer struct {
	File      string   `json:"file"`
	Way       string   `json:"way"`
	Thickness float64  `json:"thickness_mm"`
	Kerf      float64  `json:"kerf_mm"`
	Allowance float64  `json:"allowance_mm"`
	From      string   `json:"allowance_from"`
	Need      *Need    `json:"need"`
	Leaves    []Leaf   `json:"leaves"`
	Cuts      []Cut    `json:"cuts"`
	Value     float64  `json:"value"`
	Bound     float64  `json:"bound"` // no plan of this block is worth more
	Finished  float64  `json:"finished_share"`
	Left      float64  `json:"left_mm"`
	Less      Worth    `json:"one_mm_less"`
	Kerfs     Worth    `json:"one_mm_less_kerf"`
	Next      *Next    `json:"next"`
	LeafKg    *float64 `json:"heaviest_leaf_kg"` // rough and wet, rounded up; null without size or leaf
	Order     *Order   `json:"order,omitempty"`
	Warnings  []string `json:"warnings"`
}

// Told says whether the allowance rests on what it was asked to rest on.
func (a *Answer) Told() bool { return a.Need == nil || a.Need.High != nil }

// Of answers a question; needs is the history of clean-up, nil without one, and share the share of pieces that must clean up. Errors are
// *trouble.Trouble.
func Of(q *Question, needs []float64, share float64) (*Answer, error) {
	a := &Answer{File: q.File, Way: "saw", Thickness: q.Block.Thickness, Kerf: q.Block.Kerf, Warnings: append([]string{}, q.Warnings...), Leaves: []Leaf{}, Cuts: []Cut{}}
	if q.Cleave {
		a.Way = "cleave"
	}
	if err := a.allow(q, needs, share); err != nil {
		return nil, err
	}
	plan, err := leaves.Cut(q.Block, q.Wants, a.Allowance)
	if err != nil {
		return nil, err
	}
	a.lay(q, plan)
	if err := a.weigh(q); err != nil {
		return nil, err
	}
	if err := a.fill(q); err != nil {
		return nil, err
	}
	if a.Need != nil {
		return a, a.doubt(q, needs)
	}
	return a, nil
}

// fill says how many blocks an order needs.
func (a *Answer) fill(q *Question) error {
	if q.Ordered == nil {
		return nil
	}
	got, err := leaves.Fill(q.Block, q.Wants, q.Ordered, a.Allowance)
	if err != nil {
		return err
	}
	a.Order = &Order{Blocks: got.Blocks, Bound: got.Bound, Patterns: []Pattern{}}
	for _, p := range got.Patterns {
		one := Pattern{Blocks: p.Times}
		for _, l := range p.Leaves {
			one.Leaves = append(one.Leaves, leafOf(q, l))
		}
		a.Order.Patterns = append(a.Order.Patterns, one)
	}
	return nil
}

func leafOf(q *Question, l leaves.Leaf) Leaf {
	w := q.Wants[l.Want]
	return Leaf{w.Name, l.From, l.To, l.To - l.From, w.Finished, w.Value}
}

// allow decides on the allowance.
func (a *Answer) allow(q *Question, needs []float64, share float64) error {
	a.Allowance, a.From = leaves.Rule(q.Unevenness, usualHurt), FromPractice
	if q.Allowance != nil {
		a.Allowance, a.From = *q.Allowance, FromMill
	}
	if needs == nil {
		return nil
	}
	n, err := leaves.FromHistory(needs, share)
	if err != nil {
		return err
	}
	a.Need = &Need{Pieces: n.Pieces, Quantile: share, At: n.At, Low: n.Low, High: n.High}
	if !n.Told() {
		a.Warnings = append(a.Warnings, fmt.Sprintf("%d pieces do not bound what %g %% of the pieces need: at least %d are needed; the rule is used", n.Pieces, 100*share, leaves.PiecesFor(share)))
		return nil
	}
	a.Allowance, a.From = n.At, FromHistory
	return nil
}

// lay writes the leaves and where the blade goes.
func (a *Answer) lay(q *Question, plan *leaves.Plan) {
	a.Value, a.Bound, a.Left = plan.Value, plan.Value, plan.Left
	var last float64
	for i, l := range plan.Leaves {
		a.Leaves = append(a.Leaves, leafOf(q, l))
		a.Finished += q.Wants[l.Want].Finished
		top := max(0, l.From-a.Kerf)
		if l.From > 0 && (i == 0 || top > last+1e-6) { // what is above is no kerf of the leaf before
			a.Cuts = append(a.Cuts, Cut{top, l.From})
		}
		if last = min(l.To+a.Kerf, a.Thickness); l.To < a.Thickness {
			a.Cuts = append(a.Cuts, Cut{l.To, last})
		}
	}
	if a.Thickness > 0 {
		a.Finished /= a.Thickness
	}
	if len(a.Leaves) == 0 {
		a.Warnings = append(a.Warnings, "no leaf fits into this block")
	}
}

// weigh says what a millimetre is worth, and what the heaviest leaf weighs.
func (a *Answer) weigh(q *Question) error {
	stock, kerf, err := leaves.OneMillimetre(q.Block, q.Wants, a.Allowance)
	if err != nil {
		return err
	}
	a.Less, a.Kerfs = Worth{Leaves: stock.Leaves, Value: stock.Value}, Worth{Leaves: kerf.Leaves, Value: kerf.Value}
	if area := q.Width * q.Length; area > 0 {
		one := area * q.Density * 1e-9
		a.Less.Kg, a.Kerfs.Kg = &one, &one
		var thick float64
		for _, l := range a.Leaves {
			thick = max(thick, l.Rough)
		}
		if thick > 0 {
			l, err := recovery.Weigh(recovery.Body{Name: "leaf", Length: q.Length, Width: q.Width, Thickness: []float64{thick}}, q.Density)
			if err != nil {
				return err
			}
			a.LeafKg = &l.Rounded
		}
	}
	if q.Minutes > 0 {
		a.Less.Minutes = &q.Minutes
	}
	next, err := leaves.NextStep(q.Block, q.Wants, a.Allowance)
	if next != nil {
		a.Next = &Next{next.At, next.Leaves, next.Value}
	}
	return err
}

// doubt says what the interval of the need changes.
func (a *Answer) doubt(q *Question, needs []float64) error {
	paid, _, err := leaves.Paid(q.Block, q.Wants, needs)
	if err != nil {
		return err
	}
	a.Need.Paid = paid
	if a.Need.High == nil {
		return nil
	}
	high, err := leaves.Cut(q.Block, q.Wants, *a.Need.High)
	if err != nil {
		return err
	}
	n := len(high.Leaves)
	a.Need.LeavesAt = &n
	if n != len(a.Leaves) {
		a.Warnings = append(a.Warnings, fmt.Sprintf("the need may be as large as %.2f mm, and then the block gives %d leaves, not %d", *a.Need.High, n, len(a.Leaves)))
	}
	return nil
}
