package measure

import (
	"math/big"
	"strings"
)

// ParseLength reads a length with its unit and returns it in mm, rounded once to the nearest float64.
//
// Read are decimals ("0.25 mm", "0,25mm", "-12.5 µm"), fractions and mixed numbers ("1/32 in", `2 1/4"`, `2-1/4"`, "½ in"), and whole
// feet with inches (`9' 2 1/4"`, `9'-2"`, "9 ft 2.5 in"). Units are mm, cm, m, µm (also um, micron), in (also inch, "), thou and ft
// (also foot, feet, '), in small or capital letters; primes, curly quotes and two apostrophes count as the marks they stand for.
func ParseLength(s string) (mm float64, err error) {
	mm, _, err = ParseLengthUnit(s)
	return mm, err
}

// ParseLengthUnit is ParseLength and tells the unit the text was written in; for feet with inches that is Inch.
func ParseLengthUnit(s string) (mm float64, unit Unit, err error) {
	l, err := readLength(s, nil)
	return l.mm, l.unit, err
}

// ParseSize reads two lengths parted by x or ×, as in "914 x 1473 mm", `36" x 58"` or "36x58in", and returns them in mm in the order
// written, which is x by y. A unit after the second counts for both. Both must be greater than zero.
func ParseSize(s string) (x, y float64, err error) {
	text := strings.TrimSpace(s)
	parts := strings.Split(strings.NewReplacer("X", "x", "×", "x").Replace(text), "x")
	if len(parts) != 2 {
		return 0, 0, refuse("bad-size", shown(text)+" is not a size", `write two lengths, x by y, like "914 x 1473 mm"`)
	}
	second, err := readLength(parts[1], nil)
	if err != nil {
		return 0, 0, err
	}
	both := &second.unit
	if second.compound {
		both = nil
	}
	first, err := readLength(parts[0], both)
	if err != nil {
		return 0, 0, err
	}
	if !(first.mm > 0 && second.mm > 0) {
		return 0, 0, refuse("bad-size", shown(text)+" is not a size", "write two lengths greater than zero, x by y")
	}
	return first.mm, second.mm, nil
}

// length is a length as read.
type length struct {
	mm       float64
	unit     Unit
	compound bool // feet with inches
}

// readLength reads a text that is one length. If it ends without a unit it is in the one given, if any.
func readLength(s string, fallback *Unit) (length, error) {
	r, err := newReader(s, likeLength)
	if err != nil {
		return length{}, err
	}
	first, err := r.amount()
	if err != nil {
		return length{}, err
	}
	r.blanks()
	var unit Unit
	if r.rest == "" && fallback != nil {
		unit = *fallback
	} else if unit, err = r.unit(); err != nil {
		return length{}, err
	}
	if unit == Foot && r.rest != "" {
		return r.feetAndInches(first)
	}
	if r.rest != "" {
		return length{}, r.trailing()
	}
	mm, err := r.amountTimes(first, units[unit].mm)
	if err != nil {
		return length{}, err
	}
	return length{mm: mm, unit: unit}, nil
}

// feetAndInches reads the inches after whole feet: `2 1/4"`, or with the dash that drawings put between, `-2 1/4"` or ` - 2 1/4"`.
func (r *reader) feetAndInches(feet amount) (length, error) {
	r.like = likeFeet
	gap := r.blanks()
	if after, dash := strings.CutPrefix(r.rest, "-"); dash {
		r.rest = after
		if r.blanks() != gap {
			return length{}, r.trailing()
		}
	}
	inches, err := r.amount()
	if err != nil {
		return length{}, err
	}
	if r.blanks(); r.rest == "" {
		return length{}, refuse("no-unit", shown(r.text)+" has no mark after the inches", "write "+quoted(r.text+`"`))
	}
	unit, err := r.unit()
	switch {
	case err != nil:
		return length{}, err
	case r.rest != "":
		return length{}, r.trailing()
	case unit != Inch || inches.signed || !feet.integer() || inches.size(scale{num: 1}).Cmp(big.NewRat(12, 1)) >= 0:
		return length{}, refuse("bad-length", shown(r.text)+" is not whole feet with less than 12 inches", "write it like "+likeFeet+" or in one unit")
	}
	sum := feet.size(units[Foot].mm)
	mm, ok := nearest(sum.Add(sum, inches.size(units[Inch].mm)))
	if !ok {
		return length{}, r.outOfRange()
	}
	if feet.negative {
		mm = -mm
	}
	return length{mm: mm, unit: Inch, compound: true}, nil
}
