package answers

import (
	"slatewright/gauge"
	"slatewright/measure"
	"slatewright/sheet"
)

// Reversal is an instrument's own error, parted from what it measured.
type Reversal struct {
	File        string          `json:"file"`
	Instrument  string          `json:"instrument"` // straightedge or level
	Unit        string          `json:"unit"`       // of own, face, zero and u: mm, or that of a level's readings
	Places      []ReversalPlace `json:"places"`
	Zero        *float64        `json:"zero"`
	ZeroU       *float64        `json:"zero_u"`
	ZeroDiffers *bool           `json:"zero_differs"` // from nothing, at 95 %
	Consistent  bool            `json:"consistent"`
	ChiSquared  float64         `json:"chi_squared"`
	DoF         int             `json:"degrees_of_freedom"`
	Probability float64         `json:"probability"`
	Worst       *string         `json:"worst"`
	Why         string          `json:"why"`
	Warnings    []string        `json:"warnings"`

	X []float64 `json:"-"` // stations of a straightedge, mm
}

// ReversalPlace is what it tells at one place.
type ReversalPlace struct {
	Place string  `json:"place"`
	Own   float64 `json:"own"`
	Face  float64 `json:"face"` // height of the face, or its slope
	U     float64 `json:"u"`
}

// The instruments that are turned.
const (
	Straightedge = "straightedge"
	Level        = "level"
)

// OfTurn answers a list of readings before and after the turn.
func OfTurn(list *sheet.Sheet) (*Reversal, error) {
	in, err := gauge.ReadReversal(list)
	if err != nil {
		return nil, err
	}
	r := &Reversal{File: list.Name, Instrument: Straightedge, Unit: "mm", Warnings: append([]string{}, in.Warnings...), X: in.X}
	var places []gauge.Parted
	var c gauge.Consistency
	names := in.Places
	if in.X != nil {
		places, c, err = gauge.TurnEdge(in.As, in.Turned, in.X, in.U)
		for _, x := range in.X {
			names = append(names, "x "+measure.FormatLength(x, measure.MM))
		}
	} else {
		var zero, u float64
		places, zero, u, c, err = gauge.TurnLevel(in.Forward, in.Back, in.U)
		differs := gauge.ZeroDiffers(zero, u)
		r.Instrument, r.Unit, r.Zero, r.ZeroU, r.ZeroDiffers = Level, "", &zero, &u, &differs
	}
	if err != nil {
		return nil, at(list.Name, err)
	}
	for i, p := range places {
		r.Places = append(r.Places, ReversalPlace{names[i], p.Own, p.Face, p.U})
	}
	r.Consistent, r.ChiSquared, r.DoF, r.Probability, r.Why = c.Consistent, c.ChiSquared, c.DoF, c.Probability, c.Why
	if !c.Consistent {
		r.Worst = &names[c.Worst]
	}
	return r, nil
}
