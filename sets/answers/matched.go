package answers

import "slatewright/sets"

// Matched is the answer. Its names are a contract with other programs; lengths are mm.
type Matched struct {
	File   string   `json:"file"`
	Sets   []Set    `json:"sets"`
	Unused []string `json:"unused"` // pieces in no set, in the order of the list
	Cost   float64  `json:"cost"`   // of all sets
	Bound  float64  `json:"bound"`  // no plan of as many sets costs less
	Gap    float64  `json:"gap"`    // (cost − bound)/cost
	// SetsBound is the number of sets that no plan can pass that gives every order as many as this one, where it is not proven that none has more; else null.
	SetsBound *int `json:"sets_bound"`

	Left     []Left   `json:"left_over"` // the unused, with why
	Orders   []Order  `json:"orders"`
	Met      bool     `json:"orders_met"` // true where there are none
	Proof    Proof    `json:"proof"`
	OneMore  []Freed  `json:"one_more"` // what one more would free, what frees most first
	Spread   *Spread  `json:"thickness_spread"`
	Late     *Late    `json:"late_matching"` // null where no pass rate was given
	Limits   Limits   `json:"limits"`        // the widest of the classes
	RoomMM   float64  `json:"room_mm"`       // kept from each limit for doubt
	Weights  Weights  `json:"weights"`
	Stopped  bool     `json:"stopped"` // time was over before all was tried
	Warnings []string `json:"warnings"`

	Question sets.Question `json:"-"`
	Plan     sets.Plan     `json:"-"`
	Racks    *sets.Racks   `json:"-"` // for exchanges that are asked for one by one
}

// Set is one proposed set.
type Set struct {
	Head   string   `json:"head"`
	Centre string   `json:"centre"`
	Foot   string   `json:"foot"`
	Turns  [3]bool  `json:"turns"`   // head, centre, foot by half a turn
	StepMM *float64 `json:"step_mm"` // the larger of the two joints'; null where a piece has no face
	ZoneMM *float64 `json:"zone_mm"`
	Cost   float64  `json:"cost"`

	Order         *string  `json:"order"` // null: for stock
	Size          string   `json:"size,omitempty"`
	Class         string   `json:"class"`
	StepRead      *bool    `json:"step_read_at_edge"` // false: carried on from readings further inside; null where a piece has no face
	LengthwiseMM  *float64 `json:"lengthwise_mm"`
	AcrossMM      *float64 `json:"across_mm"`
	SpreadMM      *float64 `json:"thickness_spread_mm"` // null where fewer than two thicknesses are known
	LayerChanges  int      `json:"layer_changes"`
	ElasticStepMM *float64 `json:"elastic_step_mm"` // as stone that bends, on shims that exist; null where it was not laid so
	ElasticZoneMM *float64 `json:"elastic_zone_mm"`

	Kept      bool       `json:"kept"` // it was in the plan before
	Exchanges []Exchange `json:"exchanges,omitempty"`
}

// Exchange puts another piece in a place of a set.
type Exchange struct {
	Place string `json:"place"`
	Out   string `json:"out"`
	In    string `json:"in"`
	// FromSet is the number, from 1, of the set that it comes from, which gets the other; null: it was unused.
	FromSet  *int    `json:"from_set"`
	MoreCost float64 `json:"more_cost"` // in all; below 0: less
}

// Left is a piece in no set.
type Left struct {
	ID  string `json:"id"`
	Why string `json:"why"`
}

// Order is what an order gets.
type Order struct {
	ID     string `json:"id"`
	Size   string `json:"size"`
	Class  string `json:"class"`
	Due    string `json:"due"`
	Wanted int    `json:"wanted"`
	Sets   int    `json:"sets"`
	Met    bool   `json:"met"`
	// Proven: no plan gives it more without taking from an order that comes before it. Always true of one that is met.
	Proven bool `json:"proven"`
}

// Proof is what was looked at.
type Proof struct {
	SetsProven bool     `json:"sets_proven"`
	How        sets.How `json:"how"`      // assignment or search
	Triples    int      `json:"triples"`  // threes of pieces of one size
	Possible   int      `json:"possible"` // those that nothing rules out at once
	Priced     int      `json:"priced"`   // those that were laid together
	Spared     []Spared `json:"spared"`   // why the others could not win
}

// Spared is why triples were not laid together.
type Spared struct {
	Triples int         `json:"triples"`
	Why     sets.Reason `json:"why"` // no-set, too-costly, not-needed or splits
}

// Freed is what changes would free.
type Freed struct {
	Changes  []Change `json:"changes"` // one after another
	MoreSets int      `json:"more_sets"`
	Orders   int      `json:"more_sets_for_orders"` // of those, or taken from stock
	MoreCost float64  `json:"more_cost"`            // in all; below 0: less
	Proven   bool     `json:"proven"`               // no plan frees more
}

// Change is what would be done.
type Change struct {
	Act   string `json:"act"`   // regrind, recut or one more
	Piece string `json:"piece"` // "": a new one
	Place string `json:"place"` // for which it is cut, or of the new one; "" as it is
	Size  string `json:"size,omitempty"`
}

// Spread is how far thicknesses lie apart within a set, on the average.
type Spread struct {
	PlanMM   float64 `json:"plan_mm"`         // of the proposed sets
	RandomMM float64 `json:"as_they_come_mm"` // of threes taken as they come
	BestMM   float64 `json:"least_mm"`        // no sorting by thickness alone gets below it
}

// Late is what matching late is worth.
type Late struct {
	PassRate float64  `json:"pass_rate"` // of a piece
	Wanted   int      `json:"wanted_sets"`
	Sure     float64  `json:"sure"`
	Settled  LateWay  `json:"settled_at_the_saw"`
	Fixed    LateWay  `json:"matched_late"` // each piece for the place that it was made for
	Any      LateWay  `json:"matched_late_any_place"`
	Warnings []string `json:"warnings"`
}

// LateWay is one way to come to the sets that are wanted.
type LateWay struct {
	Share       float64 `json:"sets_a_three_begun"` // in the long run
	Begin       [3]int  `json:"begin"`              // pieces, by place; 0 where they have none
	Spares      [3]int  `json:"spares"`             // of those, beyond one a set
	Pieces      int     `json:"pieces"`
	Spare       int     `json:"spare_pieces"` // of those, beyond three a set
	Probability float64 `json:"probability"`
	OfTheSame   float64 `json:"sets_of_as_many_pieces"` // as settled at the saw needs, on the average
}

// Limits are what must be kept.
type Limits struct {
	LengthwiseMM float64 `json:"lengthwise_mm"`
	AcrossMM     float64 `json:"across_mm"`
	ZoneMM       float64 `json:"zone_mm"`
	StepMM       float64 `json:"step_mm"`
}

// Weights are what the cost of a set is made of.
type Weights struct {
	Step   float64 `json:"step"`
	Zone   float64 `json:"zone"`
	Spread float64 `json:"spread"`
	Layer  float64 `json:"layer"`
	Batch  float64 `json:"batch"`
	Colour float64 `json:"colour"`
	Age    float64 `json:"age"`
	Change float64 `json:"change"`
}
