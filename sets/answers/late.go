package answers

import (
	"slatewright/sets"
)

// LateAsk asks what matching late is worth.
type LateAsk struct {
	// Pass is the share of pieces begun that pass; 0: it is not asked.
	Pass float64
	// Sets is how many are wanted; 0: as many as the orders want, or the plan has.
	Sets int
	// Sure is the probability with which they shall come; 0: 0.95.
	Sure float64
}

func (m *Matched) late(a Ask, q sets.Question, p sets.Plan) error { return nil }
