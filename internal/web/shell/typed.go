package shell

import (
	"math"
	"strconv"
	"strings"

	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/measure"
)

// Typed is what stands in a plain field, with a decimal point; "" is nothing.
func (l Lists) Typed(field string) string {
	return strings.Replace(strings.TrimSpace(l.Plain.Get(field)), ",", ".", 1)
}

// NumberIn reads a plain field that holds a number; given is false where it is empty.
func (a Asked) NumberIn(field string) (x float64, given bool, err error) {
	typed := a.Typed(field)
	if typed == "" {
		return 0, false, nil
	}
	x, err = strconv.ParseFloat(typed, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, true, problem.New("bad-value", field, a.Say("list.no-number", "typed", typed), a.Say("list.no-number-next"))
	}
	return x, true, nil
}

// farthest is the largest length that is typed, mm.
const farthest = 1e5

// LengthIn reads a plain field that holds a small length above nothing, mm; a bare number is in the reader's small unit: mm, or thou.
func (a Asked) LengthIn(field string) (mm float64, given bool, err error) {
	typed := a.Typed(field)
	if typed == "" {
		return 0, false, nil
	}
	mm, ok := SmallLength(a.Words, typed)
	if !ok || !(mm > 0) || mm > farthest {
		return 0, true, problem.New("bad-value", field, a.Say("list.no-length", "typed", typed), a.Say("list.no-length-next"))
	}
	return mm, true, nil
}

// SmallLength reads a small length as a person types it, mm: a bare number is mm, or thou for a reader of inches.
func SmallLength(w tongue.Words, typed string) (mm float64, ok bool) {
	return ReadLength(typed, SmallUnit(w))
}

// SmallUnit is the unit in which small lengths are typed.
func SmallUnit(w tongue.Words) string {
	if w.Units() == tongue.Inch {
		return "thou"
	}
	return "mm"
}

// ReadLength reads a length as a person types it, mm, with a decimal point or comma; a bare number is in the unit.
func ReadLength(typed, unit string) (mm float64, ok bool) {
	typed = strings.Replace(strings.TrimSpace(typed), ",", ".", 1)
	if _, err := strconv.ParseFloat(typed, 64); err == nil {
		typed += " " + unit
	}
	mm, err := measure.ParseLength(typed)
	return mm, err == nil
}
