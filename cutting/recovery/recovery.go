// Package recovery follows the stone from the rock that is moved to what is finished: what each stage loses and why, in tonnes, pieces and money, and
// whether the weights add up. It also gives the mass for which a lift is to be made.
//
// A recovery means something only with its definition, so both are told: over all rock moved, overburden included, and over the stone below it. It
// prices nothing that the mill has not priced, plans no cut, and is no weighing. Masses are in tonnes, with one standard uncertainty.
package recovery

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// What a question may hold at most.
const (
	mostStages = 50
	mostLosses = 1000
	reach      = 1e9 // tonnes, pieces
)

// Mass is a mass with its standard uncertainty, in tonnes.
type Mass struct{ T, U float64 }

func (m Mass) plus(o Mass) Mass  { return Mass{m.T + o.T, math.Hypot(m.U, o.U)} }
func (m Mass) minus(o Mass) Mass { return Mass{m.T - o.T, math.Hypot(m.U, o.U)} }

// Loss is what one cause takes at one stage.
type Loss struct {
	Cause      string
	Mass       Mass
	Pieces     float64
	Money      *float64 // by the mill's own price; nil: not priced
	Overburden bool     // what lies above the stone and was never stone to sell
}

// Stage is one step of the way: what came in, what went out, what was lost.
type Stage struct {
	Name              string
	In, Out           Mass
	PiecesIn, PiecesO float64 // 0: not counted
	Losses            []Loss
}

// Balance is a stage with what it cannot account for.
type Balance struct {
	Stage
	Lost    Mass    // named
	Missing Mass    // in less out less lost; below 0: more came out than went in
	Closes  bool    // what is missing lies within twice its uncertainty
	Yield   Ratio   // out over in, by mass
	Pieces  float64 // out over in; 0: not counted, or more came out than went in, as leaves do of a block
	Anew    bool    // more pieces came out than went in: they are counted anew from here on
	Between Mass    // what the stage before gave less what this one took in: stock, or not accounted for
	Gap     bool    // that is more than twice its uncertainty
}

// Ratio is a share with the interval of twice its standard uncertainty, which never leaves 0 to 1. Its value is NaN where it cannot be told: nothing came in, or so much more
// came out that no doubt explains it.
type Ratio struct{ Value, Low, High float64 }

// Account is the whole way.
type Account struct {
	Stages     []Balance
	Overburden Mass
	Over       Ratio   // finished over all rock moved
	Below      Ratio   // finished over rock moved less overburden
	PieceYield float64 // finished pieces over those of the first stage that counts them, or counts them anew; 0: cannot be told
	Closes     bool
}

// Follow makes the account of a way; finished stone is what leaves its last stage.
//
// Errors: bad-stage.
func Follow(stages []Stage) (*Account, error) {
	if err := check(stages); err != nil {
		return nil, err
	}
	out := &Account{Closes: true}
	var before *Stage
	for i := range stages {
		b := balance(stages[i], before)
		out.Closes = out.Closes && b.Closes && !b.Gap
		out.Stages = append(out.Stages, b)
		for _, l := range stages[i].Losses {
			if l.Overburden {
				out.Overburden = out.Overburden.plus(l.Mass)
			}
		}
		before = &stages[i]
	}
	first, last := stages[0], stages[len(stages)-1]
	out.Over, out.Below = share(last.Out, first.In), share(last.Out, first.In.minus(out.Overburden))
	from := 0.0 // pieces at the stage from which on they are the same
	for _, s := range stages {
		if from == 0 {
			from = s.PiecesIn
		}
		if s.PiecesO > s.PiecesIn && s.PiecesIn > 0 {
			from = 0
		}
	}
	if from > 0 {
		out.PieceYield = min(1, last.PiecesO/from)
	}
	return out, nil
}

func balance(s Stage, before *Stage) Balance {
	b := Balance{Stage: s, Yield: share(s.Out, s.In)}
	for _, l := range s.Losses {
		b.Lost = b.Lost.plus(l.Mass)
	}
	b.Missing = s.In.minus(s.Out).minus(b.Lost)
	b.Closes = within(b.Missing, s.In)
	if b.Anew = s.PiecesIn > 0 && s.PiecesO > s.PiecesIn; s.PiecesIn > 0 && !b.Anew {
		b.Pieces = s.PiecesO / s.PiecesIn
	}
	if before != nil {
		b.Between = before.Out.minus(s.In)
		b.Gap = !within(b.Between, s.In)
	}
	return b
}

// within tells whether what is missing lies within twice its uncertainty, or is nothing but rounding.
func within(missing, of Mass) bool {
	return math.Abs(missing.T) <= 2*missing.U+1e-9*math.Abs(of.T)
}

// share divides two masses whose errors are their own; to first order.
func share(part, of Mass) Ratio {
	if !(of.T > 0) {
		return Ratio{math.NaN(), 0, 1}
	}
	r := part.T / of.T
	u := math.Hypot(part.U, r*of.U) / of.T
	if r-2*u > 1+1e-9 {
		return Ratio{math.NaN(), 0, 1}
	}
	return Ratio{r, min(1, max(0, r-2*u)), max(0, min(1, r+2*u))}
}

func check(stages []Stage) error {
	if len(stages) == 0 || len(stages) > mostStages {
		return trouble.Data("bad-stage", "stages", fmt.Sprintf("%d stages are given", len(stages)), fmt.Sprintf("give 1 to %d", mostStages))
	}
	for _, s := range stages {
		masses := []Mass{s.In, s.Out}
		if len(s.Losses) > mostLosses {
			return trouble.Data("bad-stage", s.Name, fmt.Sprintf("more than %d losses", mostLosses), "put small ones together")
		}
		for _, l := range s.Losses {
			masses = append(masses, l.Mass, Mass{l.Pieces, 0})
		}
		for _, m := range append(masses, Mass{s.PiecesIn, s.PiecesO}) {
			if !(m.T >= 0 && m.T <= reach && m.U >= 0 && m.U <= reach) {
				return trouble.Data("bad-stage", s.Name, "a mass, its doubt or a number of pieces is below 0 or out of reach", "correct it")
			}
		}
		if s.In.T == 0 {
			return trouble.Data("bad-stage", s.Name, "nothing came in", "give what came in, in tonnes or as a volume")
		}
	}
	return nil
}
