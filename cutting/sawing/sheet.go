package sawing

import "slatewright/cutting/slab"

// Sheet is what a sawing order needs to be printed.
type Sheet struct {
	Name     string // of the slab
	Day      string // YYYY-MM-DD; may be empty
	Worth    string // one sentence in the reader's language: what the plan is worth, and what no plan exceeds
	Slab     *slab.Slab
	Plan     *slab.Plan
	Order    *Order
	SlabKg   float64   // of the slab before it is cut, for lifting, rounded up; 0: not known
	PieceKg  []float64 // of each piece of the plan, likewise; nil: not known
	Warnings []string  // in the reader's language
	Invented bool      // it is an example
}
