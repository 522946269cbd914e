package answers

import (
	"slatewright/bed"
	"slatewright/sets/late"
)

// LateAsk asks what matching late is worth.
type LateAsk struct {
	// Pass is the share of pieces begun that pass; 0: it is not asked.
	Pass float64
	// Sets is how many are wanted; 0: as many as the orders want, or as the plan has.
	Sets int
	// Sure is the probability with which they shall come; 0: 0.95.
	Sure float64
}

// late says how far thicknesses lie apart in the proposed sets and in sets taken as they come, and what matching late is worth.
func (m *Matched) late(a Ask) error {
	q := late.Question{Sure: a.Late.Sure}
	oneSize := true
	for _, p := range m.Question.Pieces {
		one := late.Piece{Thickness: p.Thickness}
		for place := range one.Places {
			one.Places[place] = p.Ways.Stands(bed.Place(place))
		}
		q.Stock = append(q.Stock, one)
		oneSize = oneSize && p.Size == m.Question.Pieces[0].Size
	}
	if !oneSize { // pieces of different size are no stock that is sorted together
		q.Stock = nil
	}
	if a.Late.Pass > 0 {
		for place := range q.Pass {
			q.Pass[place] = a.Late.Pass
		}
		if q.Wanted = a.Late.Sets; q.Wanted == 0 {
			for _, o := range m.Question.Orders {
				q.Wanted += o.Sets
			}
		}
		if q.Wanted == 0 {
			q.Wanted = max(1, len(m.Sets))
		}
	}
	worth, err := late.Worth(q)
	if err != nil {
		return err
	}
	m.spread(worth.Stock)
	if worth.Asked {
		m.Late = &Late{PassRate: a.Late.Pass, Wanted: q.Wanted, Sure: worth.Sure, Settled: lateWay(worth.Early), Fixed: lateWay(worth.Fixed), Any: lateWay(worth.Any), Warnings: append([]string{}, worth.Warnings...)}
	}
	return nil
}

func lateWay(w late.Way) LateWay {
	return LateWay{Share: w.Share, Begin: w.Begin, Spares: w.Spares, Pieces: w.Pieces, Spare: w.Spare, Probability: w.Probability, OfTheSame: w.OfTheSame}
}

// spread is the mean over the proposed sets, beside those of the whole stock.
func (m *Matched) spread(s late.Sorted) {
	sum, n := 0.0, 0
	for _, set := range m.Sets {
		if set.SpreadMM != nil {
			sum += *set.SpreadMM
			n++
		}
	}
	if n == 0 || s.Sets == 0 {
		return
	}
	m.Spread = &Spread{PlanMM: sum / float64(n), RandomMM: s.Taken, BestMM: s.Best}
}
