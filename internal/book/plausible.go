package book

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/trouble"
)

// Study is what is read when an instrument itself is tried: its file lists who read what on which part, and how often.
const Study = "study"

// suits says with which sorts of instruments a reading can be taken, by what is read. What stands here with no sort may be read with any, and an
// instrument of a sort that is named nowhere here is the mill's own affair. Common practice, no source.
var suits = map[string][]string{
	"top":          {"dial", "opposed-dials", "straightedge", "feeler", "level", "scanner"},
	"bottom":       {"dial", "opposed-dials", "straightedge", "feeler", "level", "scanner"},
	"thickness":    {"caliper", "opposed-dials", "dial", "scanner"},
	"straightedge": {"straightedge", "feeler", "dial"},
	"level":        {"level"},
	"gap":          {"feeler", "straightedge", "dial", "caliper", "scanner"},
	"moisture":     {"moisture-meter", "scale"},
	"climate":      {"hygrometer", "thermometer"},
	"bit-height":   {"dial", "caliper", "scanner", "tape"},
	"mass":         {"scale"},
	"steps":        {"dial", "opposed-dials", "straightedge", "feeler", "caliper", "scanner"},
	Study:          nil,
	"other":        nil,
}

// sorts are the sorts of instruments that the book knows to suit something or not.
var sorts = func() (list []string) {
	list = []string{"tape", "bench"}
	for _, of := range suits {
		list = append(list, of...)
	}
	slices.Sort(list)
	return slices.Compact(list)
}()

// readWith says what an act reads and with which instruments.
func readWith(a Act) (what string, with []string) {
	switch a := a.(type) {
	case *Read:
		return a.What, a.Instruments
	case *Weigh:
		return "mass", []string{a.Scale}
	case *LayUp:
		return "steps", a.Instruments
	}
	return "", nil
}

// instrumentSuits wants one instrument, of those that are named, with which such a reading can be taken: another may have told the temperature.
func instrumentSuits(m *moment, d doing, _ Hold) error {
	what, with := readWith(d.act)
	var others []string
	for _, id := range with {
		sort, err := m.sortOf(Ref{KindInstrument, id})
		if err != nil {
			return err
		}
		if len(suits[what]) == 0 || slices.Contains(suits[what], sort) || !slices.Contains(sorts, sort) {
			return nil
		}
		others = append(others, fmt.Sprintf("%s is a %s", id, sort))
	}
	if len(others) == 0 {
		return nil
	}
	return trouble.Data("wrong-instrument", "instruments", fmt.Sprintf("%s, and %s is read with a %s", strings.Join(others, ", "), what, strings.Join(suits[what], ", ")),
		"look at the instrument's number, or at what was read; if the book has the wrong sort, correct the entry that took it in")
}

// sortOf is the sort of an instrument. It is the same from the beginning: who corrects it takes the instrument in anew, and whatever used it is
// asked again. So nothing is noted here, and no history is read.
func (m *moment) sortOf(r Ref) (string, error) {
	h := m.running[r]
	if h == nil {
		var err error
		if h, err = m.d.get(r); err != nil {
			return "", err
		}
	}
	if s, ok := h.state.(*InstrumentState); ok {
		return strings.ToLower(s.Sort), nil
	}
	return "", nil
}

// checkDepth refuses a pass that is deeper than the stone.
func (s *PieceState) checkDepth(h *held, a *Surfaced) error {
	if s.ThicknessMM == 0 || a.DepthMM < s.ThicknessMM {
		return nil
	}
	return trouble.Data("deeper-than-stone", "depth_mm", fmt.Sprintf("piece %s is %s thick, and %g mm were asked for", h.ID, s.thickness(), a.DepthMM),
		"look at the unit; if the book has the wrong thickness, read it")
}

// thickness writes the thickness as refusals name it.
func (s *StoneState) thickness() string {
	if s.Reckoned {
		return fmt.Sprintf("%g mm (reckoned)", s.ThicknessMM)
	}
	return fmt.Sprintf("%g mm", s.ThicknessMM)
}

// surface takes a pass off the thickness. It is reckoned from then on, until it is read: a machine does not take just what it is asked for.
func (s *StoneState) surface(depth float64) {
	if s.ThicknessMM == 0 || depth == 0 {
		return
	}
	s.ThicknessMM, s.Reckoned = nanometres(s.ThicknessMM-depth), true
}

// nanometres rounds a length to whole nanometres, so that sums of decimals stay decimals.
func nanometres(mm float64) float64 { return math.Round(mm*1e6) / 1e6 }

func stoneLeft(m *moment, d doing, hold Hold) error {
	a, ok := d.act.(*Surfaced)
	if !ok {
		return nil
	}
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		left := nanometres(s.ThicknessMM - a.DepthMM)
		if s.ThicknessMM == 0 || a.DepthMM == 0 || left >= hold.Amount {
			return nil
		}
		return trouble.Data("too-thin", h.String(), fmt.Sprintf("piece %s is %s thick; %g mm less leave %g of at least %g", h.ID, s.thickness(), a.DepthMM, left, hold.Amount),
			"read its thickness; if so little may be left, the lead can change the route")
	})
}

// Densities of slate, kg/m³, and what a lining weighs at most: 30 mm of board at 800 kg/m³. Common practice, no source.
const (
	lightSlate  = 2700
	heavySlate  = 2900
	boardPerM2  = 24
	cubicMetre  = 1e9 // mm³
	squareMetre = 1e6 // mm²
)

// massPlausible holds the masses that an act gives against the measures of the stone, as far as both are known.
func massPlausible(m *moment, d doing, hold Hold) error {
	switch a := d.act.(type) {
	case *Weigh:
		h, err := m.peek(a.Thing)
		if err != nil || !h.found() || stone(h.state) == nil {
			return err
		}
		s, board := stone(h.state), false
		if p, ok := h.state.(*PieceState); ok {
			board = p.Lined
		}
		return weighs(StoneFacts{LengthMM: s.LengthMM, WidthMM: s.WidthMM, ThicknessMM: s.ThicknessMM, MassKg: a.MassKg}, board, "mass_kg", hold)
	case *TakeIn:
		if a.Stone == nil {
			return nil
		}
		return weighs(*a.Stone, a.Thing.Kind == KindPiece, "stone.mass_kg", hold) // a piece in stock may have its lining
	case *Lift:
		return weighs(a.Stone, false, "stone.mass_kg", hold)
	case *Slice:
		return allWeigh(a.Slabs, "slabs", hold)
	case *Cut:
		return allWeigh(a.Pieces, "pieces", hold)
	}
	return nil
}

func allWeigh(list []NewStone, where string, hold Hold) error {
	for i, n := range list {
		if err := weighs(n.Stone, false, fmt.Sprintf("%s.%d.stone.mass_kg", where, i), hold); err != nil {
			return err
		}
	}
	return nil
}

// weighs refuses a mass that no slate of these measures has.
func weighs(f StoneFacts, board bool, where string, hold Hold) error {
	volume := f.LengthMM * f.WidthMM * f.ThicknessMM / cubicMetre
	low, high := volume*lightSlate*(1-hold.Amount/100), volume*heavySlate*(1+hold.Amount/100)
	if board {
		high += f.LengthMM * f.WidthMM / squareMetre * boardPerM2
	}
	if volume == 0 || f.MassKg == 0 || f.MassKg >= low && f.MassKg <= high {
		return nil
	}
	return trouble.Data("mass-not-plausible", where, fmt.Sprintf("%g kg: a stone of %g × %g × %g mm weighs %.0f to %.0f kg", f.MassKg, f.LengthMM, f.WidthMM, f.ThicknessMM, low, high),
		"look at the unit and at the number of the stone; if the book has the wrong measures, correct them")
}
