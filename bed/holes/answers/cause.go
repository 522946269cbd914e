package answers

import (
	"fmt"
	"math"
	"strings"

	"slatewright/bed/holes/cause"
	"slatewright/measure"
)

// causeOf says a finding, with what to do about it.
func causeOf(f cause.Finding) Cause {
	c := Cause{Name: string(f.Kind), Of: f.Of, Sure: f.Sure(), Rivals: []string{}, Amounts: []Amount{}, Explains: measure.Round(f.Explains, 4), Scatter: round(f.Scatter)}
	for _, r := range f.Rivals {
		c.Rivals = append(c.Rivals, string(r))
	}
	for _, x := range f.Amounts {
		c.Amounts = append(c.Amounts, Amount{x.Name, round(x.Value), round(x.U), x.Unit})
	}
	c.Correction = correction(f)
	return c
}

// value finds an amount.
func value(f cause.Finding, name string) float64 {
	for _, a := range f.Amounts {
		if a.Name == name {
			return a.Value
		}
	}
	return 0
}

func mm(x float64) string { return measure.Decimal(x, 2) + " mm" }

// correction is what to do, with the sign that undoes the fault.
func correction(f cause.Finding) string {
	back := func(name string) string { return mm(-value(f, name)) }
	turn, way := measure.Decimal(math.Abs(value(f, "turn")), 2), "clockwise"
	if value(f, "turn") < 0 {
		way = "counter-clockwise"
	}
	switch f.Kind {
	case cause.Shift:
		return fmt.Sprintf("move the zero of the drilling by %s along x and %s along y", back("x"), back("y"))
	case cause.Turn:
		return fmt.Sprintf("turn the drawing by %s mm per m %s against the stone", turn, way)
	case cause.ShiftAndTurn:
		return fmt.Sprintf("turn the drawing by %s mm per m %s about the middle, then move its zero by %s along x and %s along y", turn, way, back("x"), back("y"))
	case cause.Scale:
		by := measure.Decimal(-value(f, "scale"), 2)
		if f.Of != "" {
			return fmt.Sprintf("change the scale of axis %s by %s mm per m", f.Of, by)
		}
		return fmt.Sprintf("change the scale of both axes by %s mm per m", by)
	case cause.Mirrored:
		return "the drawing was taken from the other face: turn it over and look at the program before the next piece"
	case cause.Pin:
		by := mm(f.Amounts[0].Value)
		if piece, stop, one := strings.Cut(f.Of, ", "); one {
			return fmt.Sprintf("at the %s piece set the %s of the fixture back by %s (a negative number: further into the stone)", piece, stop, by)
		}
		return fmt.Sprintf("set the %s of the fixture back by %s (a negative number: further into the stone)", f.Of, by)
	case cause.Wander:
		if f.Of == cause.Scatter {
			return fmt.Sprintf("the holes scatter more and more along the run, up to %s at its end: look at the bit, its guide and the drive", mm(f.Amounts[0].Value))
		}
		return fmt.Sprintf("the drill came to be off by %s along x and %s along y at the end of the run: look for play, heat or a slipping drive, and zero again during the run",
			mm(value(f, "x at the end of the run")), mm(value(f, "y at the end of the run")))
	case cause.Piece:
		return fmt.Sprintf("the %s piece alone lies off by %s along x, %s along y and %s mm per m: look how it was set up", f.Of, mm(value(f, "x")), mm(value(f, "y")), measure.Decimal(value(f, "turn"), 2))
	case cause.OneHole:
		return fmt.Sprintf("%s alone is off by %s along x and %s along y: measure it once more, then look at its line in the program", f.Of, mm(value(f, "x")), mm(value(f, "y")))
	}
	return ""
}
