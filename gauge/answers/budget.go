package answers

import (
	"fmt"
	"math"

	"slatewright/gauge"
	"slatewright/measure"
	"slatewright/sheet"
)

// Budget is what the doubt of a reading is made of.
type Budget struct {
	File       string            `json:"file"`
	Kind       string            `json:"kind"`
	Name       string            `json:"name"`
	Reads      string            `json:"reads"`
	Unit       string            `json:"unit"` // of value, u, intervals and contributions
	Confidence float64           `json:"confidence"`
	Value      float64           `json:"value"`
	U          float64           `json:"u"`
	USecond    float64           `json:"u_second_order"`
	DoF        *float64          `json:"degrees_of_freedom"` // null: infinite
	K          float64           `json:"k"`
	Expanded   float64           `json:"expanded"`
	Interval   [2]float64        `json:"interval"`
	Components []BudgetComponent `json:"components"`
	Drawn      *BudgetDrawn      `json:"drawn"`
	Agree      *bool             `json:"agree"` // null where nothing was drawn
	Tolerance  float64           `json:"tolerance"`
	Why        string            `json:"why"`
	Warnings   []string          `json:"warnings"`
}

// BudgetComponent is one of its components.
type BudgetComponent struct {
	Name         string   `json:"component"`
	Value        float64  `json:"value"`
	U            float64  `json:"u"`
	Unit         string   `json:"unit"`
	Distribution string   `json:"distribution"`
	DoF          *float64 `json:"degrees_of_freedom"`
	Sensitivity  float64  `json:"sensitivity"`
	Contribution float64  `json:"contribution"`
	Share        float64  `json:"of_variance"`
}

// BudgetDrawn is the answer of drawn numbers.
type BudgetDrawn struct {
	Value     float64    `json:"value"`
	U         float64    `json:"u"`
	Interval  [2]float64 `json:"interval"`
	Shortest  [2]float64 `json:"shortest_interval"`
	Draws     int        `json:"draws"`
	Stable    bool       `json:"stable"`
	Tolerance float64    `json:"tolerance"`
	Seed      uint64     `json:"seed"`
}

// OfInstrument answers a list of components, u given to 1 or 2 digits.
func OfInstrument(list *sheet.Sheet, digits int) (*Budget, error) {
	in, err := gauge.Read(list)
	if err != nil {
		return nil, at(list.Name, err)
	}
	b, err := in.Work(Confidence, digits, seed)
	if err != nil {
		return nil, at(list.Name, err)
	}
	r := &Budget{File: list.Name, Kind: in.Kind, Name: in.Name, Reads: in.Reads, Unit: in.Unit, Confidence: Confidence, Value: b.Value, U: b.U, USecond: b.USecond, DoF: number(b.DoF), K: b.K,
		Expanded: b.Expanded, Interval: [2]float64{b.Low, b.High}, Tolerance: b.Comparison.Tolerance, Why: b.Comparison.Why, Warnings: append(append([]string{}, in.Warnings...), b.Warnings...)}
	for i, row := range b.Rows {
		c := BudgetComponent{row.Name, row.Value, row.U, in.Units[i], row.Kind.String(), nil, row.Sensitivity, row.Contribution, row.Share}
		if row.DoF > 0 {
			c.DoF = number(row.DoF)
		}
		r.Components = append(r.Components, c)
	}
	d := b.Drawn
	if d == nil {
		r.Why = b.Undrawn
		r.Warnings = append(r.Warnings, "no numbers were drawn: "+b.Undrawn)
		return r, nil
	}
	r.Drawn = &BudgetDrawn{d.Value, d.U, [2]float64{d.Low, d.High}, [2]float64{d.ShortLow, d.ShortHigh}, d.Draws, d.Stable, d.Tolerance, d.Seed}
	r.Agree = &b.Comparison.Agree
	if !d.Stable {
		r.Warnings = append(r.Warnings, fmt.Sprintf("after %d draws the drawn figures are not yet stable to %s %s", d.Draws, digitsOf(d.Tolerance), in.Unit))
	}
	return r, nil
}

// digitsOf prints two digits that count, without an exponent.
func digitsOf(x float64) string {
	if x == 0 {
		return "0"
	}
	return measure.Decimal(x, min(max(1-int(math.Floor(math.Log10(math.Abs(x)))), 0), 12))
}
