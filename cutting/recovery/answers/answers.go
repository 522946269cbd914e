package answers

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"slatewright/cutting/recovery"
)

// Mass is a mass in tonnes with its standard uncertainty. The names here and below are a contract with other programs.
type Mass struct {
	T float64 `json:"t"`
	U float64 `json:"u_t"`
}

// Ratio is a share with the interval of twice its standard uncertainty; null where nothing came in.
type Ratio struct {
	Value *float64 `json:"share"`
	Low   float64  `json:"low"`
	High  float64  `json:"high"`
}

// Stage is the balance of a stage.
type Stage struct {
	Name    string   `json:"stage"`
	In      Mass     `json:"in"`
	Out     Mass     `json:"out"`
	Lost    Mass     `json:"lost"`
	Missing Mass     `json:"not_accounted_for"`
	Closes  bool     `json:"closes"`
	Yield   Ratio    `json:"yield"`
	Pieces  *float64 `json:"piece_yield"`
	Before  *Mass    `json:"from_stage_before"` // what that gave less what came in here
}

// Loss is what one cause takes at one stage, the dearest first, or the heaviest where not all are priced.
type Loss struct {
	Stage  string   `json:"stage"`
	Cause  string   `json:"cause"`
	Mass   Mass     `json:"mass"`
	Share  float64  `json:"share"` // of the rock moved, by the mill's definition
	Pieces float64  `json:"pieces"`
	Money  *float64 `json:"money"`
}

// Account is the answer about a way.
type Account struct {
	File       string   `json:"file"`
	Definition string   `json:"definition"` // overburden in, or overburden out
	Recovery   Ratio    `json:"recovery"`   // by that definition
	In         Ratio    `json:"recovery_overburden_in"`
	Out        Ratio    `json:"recovery_overburden_out"`
	Pieces     *float64 `json:"piece_yield"`
	Closes     bool     `json:"closes"`
	Currency   string   `json:"currency,omitempty"`
	Money      *float64 `json:"money_lost"` // null unless every loss but overburden is priced
	Stages     []Stage  `json:"stages"`
	Losses     []Loss   `json:"losses"`
	Warnings   []string `json:"warnings"`
}

// Of makes the account of a way. Errors are *trouble.Trouble.
func Of(w *Way) (*Account, error) {
	got, err := recovery.Follow(w.Stages)
	if err != nil {
		return nil, err
	}
	a := &Account{File: w.File, In: ratio(got.Over), Out: ratio(got.Below), Closes: got.Closes, Currency: w.Currency, Losses: []Loss{}, Warnings: append([]string{}, w.Warnings...), Pieces: counted(got.PieceYield)}
	of := got.Stages[0].In.T - got.Overburden.T
	if a.Recovery, a.Definition = a.Out, "overburden out"; w.Overburden {
		a.Recovery, a.Definition, of = a.In, "overburden in", got.Stages[0].In.T
	}
	if got.Overburden.T == 0 {
		a.Warnings = append(a.Warnings, "no row names overburden: both recoveries are the same, and right only if there was none or none was moved with the stone")
	}
	for i, b := range got.Stages {
		a.stage(i, b)
		a.losses(b, of)
	}
	a.order()
	return a, nil
}

func (a *Account) stage(i int, b recovery.Balance) {
	s := Stage{Name: b.Name, In: Mass(b.In), Out: Mass(b.Out), Lost: Mass(b.Lost), Missing: Mass(b.Missing), Closes: b.Closes, Yield: ratio(b.Yield), Pieces: counted(b.Pieces)}
	if !b.Closes {
		a.Warnings = append(a.Warnings, fmt.Sprintf("%s does not balance: %.2f t are not accounted for, with a standard uncertainty of %.2f t", b.Name, b.Missing.T, b.Missing.U))
	}
	if b.In.U == 0 && b.Out.U == 0 && b.Lost.U == 0 {
		a.Warnings = append(a.Warnings, fmt.Sprintf("the masses of %s have no doubt: they are taken as exact", b.Name))
	}
	if b.Anew {
		a.Warnings = append(a.Warnings, fmt.Sprintf("more pieces come out of %s than went in: they are counted anew from there on", b.Name))
	}
	if i > 0 {
		m := Mass(b.Between)
		s.Before = &m
		if b.Gap {
			a.Warnings = append(a.Warnings, fmt.Sprintf("%.2f t lie between %s and the stage before: stock in the yard, or not accounted for", b.Between.T, b.Name))
		}
	}
	a.Stages = append(a.Stages, s)
}

func (a *Account) losses(b recovery.Balance, of float64) {
	for _, l := range b.Losses {
		share := 0.0
		if of > 0 {
			share = l.Mass.T / of
		}
		if l.Overburden && a.Definition == "overburden out" {
			share = 0
		}
		a.Losses = append(a.Losses, Loss{b.Name, l.Cause, Mass(l.Mass), share, l.Pieces, l.Money})
	}
	if b.Missing.T > 0 {
		a.Losses = append(a.Losses, Loss{b.Name, "not accounted for", Mass(b.Missing), b.Missing.T / max(of, b.Missing.T), 0, nil})
	}
}

// order puts the dearest loss first where all that count are priced, else the heaviest.
func (a *Account) order() {
	priced, sum, any := true, 0.0, false
	for _, l := range a.Losses {
		if l.Money != nil {
			sum, any = sum+*l.Money, true
		} else if l.Cause != "not accounted for" && l.Cause != "overburden" {
			priced = false
		}
	}
	money := func(l Loss) float64 {
		if l.Money == nil {
			return 0
		}
		return *l.Money
	}
	slices.SortStableFunc(a.Losses, func(x, y Loss) int {
		if priced && any {
			if c := cmp.Compare(money(y), money(x)); c != 0 {
				return c
			}
		}
		return cmp.Compare(y.Mass.T, x.Mass.T)
	})
	if priced && any {
		a.Money = &sum
	}
}

func ratio(r recovery.Ratio) Ratio {
	if math.IsNaN(r.Value) {
		return Ratio{nil, r.Low, r.High}
	}
	return Ratio{&r.Value, r.Low, r.High}
}

func counted(x float64) *float64 {
	if x == 0 {
		return nil
	}
	return &x
}

// Lift is the mass of one body for lifting.
type Lift struct {
	Name    string   `json:"name"`
	Volume  float64  `json:"volume_m3"`
	Kg      float64  `json:"reckoned_kg"`
	Rounded float64  `json:"lift_kg"`
	Typed   *float64 `json:"typed_kg"`
	Agrees  *bool    `json:"agrees"` // null: nobody typed a mass
}

// Lifts is the answer about what is to be lifted.
type Lifts struct {
	File     string   `json:"file"`
	Density  float64  `json:"wet_density_kg_per_m3"`
	Lifts    []Lift   `json:"lifts"`
	Agree    bool     `json:"agree"`
	Warnings []string `json:"warnings"`
}

// OfLifts weighs each body. Errors are *trouble.Trouble.
func OfLifts(b *Bodies) (*Lifts, error) {
	out := &Lifts{File: b.File, Density: b.Density, Agree: true, Warnings: append([]string{}, b.Warnings...)}
	for _, body := range b.Bodies {
		l, err := recovery.Weigh(body, b.Density)
		if err != nil {
			return nil, err
		}
		one := Lift{Name: l.Name, Volume: l.Volume, Kg: l.Kg, Rounded: l.Rounded, Typed: l.Typed}
		if l.Typed != nil {
			agrees := !l.Disagree
			one.Agrees = &agrees
		}
		if l.Disagree {
			out.Agree = false
			out.Warnings = append(out.Warnings, fmt.Sprintf("%s: typed %.0f kg, volume and density give %.0f kg: measure again before it is lifted; the larger counts", l.Name, *l.Typed, l.Kg))
		}
		out.Lifts = append(out.Lifts, one)
	}
	return out, nil
}
