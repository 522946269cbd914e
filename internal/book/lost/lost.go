// Package lost ranks the pieces that a piece without a number may be, by where it was found, its size, thickness, mass and the day.
//
// The ranking is a weighing of likelihoods with stated spreads, and decides nothing: a second person looks at the stone and the
// candidates and marks it. The package reads no book; it is handed the pieces.
package lost

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Description is what can be told of the piece that was found. What is zero was not looked at and does not count.
type Description struct {
	Station     book.Station // where it was found
	LengthMM    float64      // a side
	WidthMM     float64      // the other side; which is which does not matter
	ThicknessMM float64
	MassKg      float64
	Since       time.Time // since when it has stood there, as far as anybody knows
}

// Candidate is a piece that it may be.
type Candidate struct {
	book.Thing
	Share   float64  // how likely it is this one, 0 to 1, among all candidates and a piece that the book does not know
	Reasons []string // what speaks for and against it, as words
}

// Ranking is the answer: the likeliest first.
type Ranking struct {
	Candidates []Candidate
	Searched   int    // pieces in the house that were looked at
	CannotTell string // why the first cannot be told from the others; "" when it stands out
}

// The spreads, one standard deviation each: how far what is measured on the floor lies from what the book has of the same piece. Common
// practice, no source.
const (
	spreadSide      = 3.0  // mm, a tape on a sawn edge
	spreadThickness = 0.4  // mm, a caliper near the edge
	spreadReckoned  = 0.8  // mm, when the book's figure is less what passes were asked to take and was not read since
	spreadMass      = 0.02 // of the mass: water goes in and out
	spreadDays      = 2.0

	elsewhere = 0.05 // of the pieces stand where the book does not have them
	unnoticed = 0.02 // of the pieces that lost their number are not known to have
	unknown   = 2.0  // spreads that count for what the book does not know of a piece
	stranger  = 3.0  // spreads that count, for each measure, for a piece that the book does not have
	tooFar    = 6.0  // spreads beyond which it is not this piece

	standsOut  = 0.9 // share that the first must have, and
	timesAhead = 10  // how many times the second's, to be told from the others
)

// Rank weighs the pieces against a description and keeps the likeliest. Pieces that were shipped, rejected or used up are left out.
func Rank(pieces iter.Seq[book.Thing], d Description, limit int) (Ranking, error) {
	measures := d.measures()
	if measures == 0 && d.Station == "" {
		return Ranking{}, trouble.Data("nothing-described", "", "nothing is told of the piece that was found", "give its station, or measure its sides, thickness or mass")
	}
	var r Ranking
	none := math.Exp(-0.5 * stranger * stranger * float64(measures))
	if d.Station != "" {
		none *= elsewhere
	}
	whole := none * unnoticed
	for t := range pieces {
		if t.Kind != book.KindPiece || t.Station == book.Away || t.Station == book.Heap {
			continue
		}
		state, err := book.StateOf(t)
		if err != nil {
			return Ranking{}, err
		}
		r.Searched++
		w := weighing{likelihood: 1}
		w.weigh(t, state.(*book.PieceState), d)
		if w.likelihood > 0 {
			whole += w.likelihood
			r.Candidates = append(r.Candidates, Candidate{t, w.likelihood, w.reasons})
		}
	}
	r.finish(whole, limit)
	return r, nil
}

// measures counts what was measured.
func (d Description) measures() (n int) {
	for _, given := range []bool{d.LengthMM > 0, d.WidthMM > 0, d.ThicknessMM > 0, d.MassKg > 0, !d.Since.IsZero()} {
		if given {
			n++
		}
	}
	return n
}

// finish makes shares of likelihoods, sorts, and says whether the first stands out.
func (r *Ranking) finish(whole float64, limit int) {
	for i := range r.Candidates {
		r.Candidates[i].Share /= whole
	}
	slices.SortFunc(r.Candidates, func(a, b Candidate) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.ID, b.ID))
	})
	switch list := r.Candidates; {
	case len(list) == 0:
		r.CannotTell = "no piece in the house fits"
	case len(list) > 1 && list[0].Share < timesAhead*list[1].Share:
		r.CannotTell = fmt.Sprintf("%s and %s are too close to each other", list[0].ID, list[1].ID)
	case list[0].Share < standsOut:
		r.CannotTell = "none fits so well that it cannot be another"
	}
	r.Candidates = r.Candidates[:min(limit, len(r.Candidates))]
}

// weighing is one piece against the description.
type weighing struct {
	likelihood float64
	reasons    []string
}

func (w *weighing) weigh(t book.Thing, s *book.PieceState, d Description) {
	switch s.MarkedOn {
	case book.Nowhere:
		w.say("it has lost its number")
	case "":
		w.say("nobody said where its number stands")
	default:
		w.likelihood *= unnoticed
		w.say("its number should stand on the %s", s.MarkedOn)
	}
	if d.Station != "" && t.Station != d.Station {
		w.likelihood *= elsewhere
		w.say("the book has it at %s", t.Station)
	} else if d.Station != "" {
		w.say("the book has it there too")
	}
	long, short := max(s.LengthMM, s.WidthMM), min(s.LengthMM, s.WidthMM)
	if d.LengthMM > 0 && d.WidthMM > 0 {
		w.compare("longer side", "mm", max(d.LengthMM, d.WidthMM), long, spreadSide)
		w.compare("shorter side", "mm", min(d.LengthMM, d.WidthMM), short, spreadSide)
	} else if one := d.LengthMM + d.WidthMM; one > 0 {
		side := long
		if math.Abs(one-short) < math.Abs(one-long) {
			side = short
		}
		w.compare("side", "mm", one, side, spreadSide)
	}
	if d.ThicknessMM > 0 {
		spread := spreadThickness
		if s.Reckoned {
			spread = spreadReckoned
		}
		w.compare("thickness", "mm", d.ThicknessMM, s.ThicknessMM, spread)
	}
	if d.MassKg > 0 {
		w.compare("mass", "kg", d.MassKg, s.MassKg, spreadMass*d.MassKg)
	}
	if !d.Since.IsZero() {
		w.days(d.Since, t.Since)
	}
}

func (w *weighing) say(format string, values ...any) {
	w.reasons = append(w.reasons, fmt.Sprintf(format, values...))
}

// compare weighs one measure.
func (w *weighing) compare(what, unit string, found, known, spread float64) {
	if known == 0 {
		w.spreads(unknown)
		w.say("%s: the book does not know it", what)
		return
	}
	w.spreads((found - known) / spread)
	w.say("%s: %.5g %s, in the book %.5g", what, found, unit, known)
}

func (w *weighing) days(found, known time.Time) {
	w.spreads(found.Sub(known).Hours() / 24 / spreadDays)
	w.say("there since %s, in the book since %s", found.UTC().Format(time.DateOnly), known.UTC().Format(time.DateOnly))
}

// spreads takes off for a difference of so many standard deviations.
func (w *weighing) spreads(n float64) {
	if math.Abs(n) > tooFar {
		w.likelihood = 0
		return
	}
	w.likelihood *= math.Exp(-0.5 * n * n)
}
