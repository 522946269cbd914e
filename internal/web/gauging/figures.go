package gauging

import (
	"math"

	"slatewright/internal/tongue"
)

const unbroken = "\u00a0"

// say writes figures of the room in the reader's words.
type say struct{ tongue.Words }

// fine writes a small length to a tenth of a micrometre, or a hundredth of a thou: doubts are smaller than what is promised.
func (w say) fine(mm float64) string {
	number, unit := w.inFine(mm)
	return number + unbroken + unit
}

func (w say) inFine(mm float64) (number, unit string) {
	switch {
	case w.Units() == tongue.Inch:
		return w.Number(mm/0.0254, 2), "thou"
	case math.Abs(mm) >= 10:
		return w.Number(mm, 3), "mm"
	}
	return w.Number(mm*1000, 1), "µm"
}

// amount writes a value in the unit of a list: fine for lengths, four digits that count for anything else.
func (w say) amount(x float64, unit string) string {
	switch unit {
	case "mm":
		return w.fine(x)
	case "":
		return w.digits(x, 4)
	}
	return w.digits(x, 4) + unbroken + unit
}

// digits writes so many digits that count.
func (w say) digits(x float64, n int) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return w.Number(x, 0)
	}
	decimals := n - 1 - int(math.Floor(math.Log10(math.Abs(x))))
	if decimals < 0 {
		unit := math.Pow10(-decimals)
		x, decimals = math.Round(x/unit)*unit, 0
	}
	return w.Number(x, min(decimals, 12))
}

// share writes a share as per cent, small ones to a hundredth; what is not nothing is never shown as 0.
func (w say) share(x float64) string {
	p := x * 100
	switch {
	case x > 0 && p < 0.01:
		return "<" + unbroken + w.Number(0.01, 2) + unbroken + "%"
	case p < 1:
		return w.Number(p, 2) + unbroken + "%"
	}
	return w.Number(p, 1) + unbroken + "%"
}

// between writes an interval: from, to.
func (w say) between(low, high string) string {
	return w.Say("gauging.between", "low", low, "high", high)
}

func (w say) shares(low, high float64) string { return w.between(w.share(low), w.share(high)) }

// chance writes a probability by chance.
func (w say) chance(p float64) string {
	if p < 0.0001 {
		return "<" + unbroken + w.Number(0.0001, 4)
	}
	return w.digits(p, 2)
}

// optional writes a number that may be missing.
func (w say) optional(x *float64, write func(float64) string) string {
	if x == nil {
		return "–"
	}
	return write(*x)
}

// scale is how an axis of values in a list's unit is written: by which it is divided, the unit's name and the decimals.
type scale struct {
	unit float64
	name string
}

// scaleOf chooses the unit of an axis: for lengths µm or thou where they are small.
func (w say) scaleOf(unit string, reach float64) scale {
	switch {
	case unit != "mm":
		return scale{1, unit}
	case string(w.Units()) == "inch":
		return scale{0.0254, "thou"}
	case reach < 2:
		return scale{0.001, "µm"}
	}
	return scale{1, "mm"}
}
