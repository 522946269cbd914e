package measure

import (
	"math/big"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// amount is how much of a unit was written: a decimal number, a fraction, or a whole number with a fraction.
type amount struct {
	number
	over, under uint64 // the fraction over/under; under is 0 without one
}

// integer tells whether the amount was written as digits only.
func (a amount) integer() bool { return a.under == 0 && a.number.integer() }

// size returns the amount without its sign, times a scale, exactly.
func (a amount) size(by scale) *big.Rat {
	whole := a.number.size(by)
	if a.under == 0 {
		return whole
	}
	over, under := new(big.Int).SetUint64(a.over), new(big.Int).SetUint64(a.under)
	return whole.Add(whole, new(big.Rat).Quo(by.exact(over, 0), new(big.Rat).SetInt(under)))
}

// amountTimes returns the amount times a scale, rounded once.
func (r *reader) amountTimes(a amount, by scale) (float64, error) {
	if a.under == 0 {
		return r.value(a.number, by)
	}
	x, ok := nearest(a.size(by))
	if !ok {
		return 0, r.outOfRange()
	}
	if a.negative {
		x = -x
	}
	return x, nil
}

// amount reads an amount at the start of the rest.
func (r *reader) amount() (amount, error) {
	start := r.rest
	var a amount
	a.signed, a.negative = r.sign()
	if over, under, after, found := fraction(r.rest); found { // no whole part
		r.rest, a.over, a.under = after, over, under
		return a, r.checkFraction(a)
	}
	r.rest = start
	var err error
	if a.number, err = r.number(); err != nil {
		return a, err
	}
	gap := strings.TrimLeftFunc(r.rest, unicode.IsSpace)
	if gap == r.rest {
		gap = strings.TrimPrefix(gap, "-")
	}
	over, under, after, found := fraction(gap)
	if !found {
		return a, nil
	}
	if !a.number.integer() || over >= under && under > 0 {
		return a, refuse("bad-fraction", shown(r.text)+" is not a whole number with a proper fraction", "write it like 2 1/4 in or 2.25 in")
	}
	r.rest, a.over, a.under = after, over, under
	return a, r.checkFraction(a)
}

func (r *reader) checkFraction(a amount) error {
	if a.under == 0 {
		return refuse("bad-fraction", shown(r.text)+" has a fraction that is not taken", "write it like 1/32 in, with one to nine digits above and below and not 0 below")
	}
	return nil
}

// fraction reads a fraction, "1/32" or "½", at the start of a text; under is 0 if it is no number that is taken.
func fraction(text string) (over, under uint64, after string, found bool) {
	if c, n := utf8.DecodeRuneInString(text); vulgar[c].under > 0 {
		return vulgar[c].over, vulgar[c].under, text[n:], true
	}
	r := reader{rest: text}
	top := r.digits()
	line := r.rest
	if r.rest = strings.TrimPrefix(line, "/"); r.rest == line {
		r.rest = strings.TrimPrefix(line, "⁄")
	}
	bottom := ""
	if top != "" && r.rest != line {
		bottom = r.digits()
	}
	if bottom == "" {
		return 0, 0, text, false
	}
	if len(top) <= 9 && len(bottom) <= 9 {
		over, _ = strconv.ParseUint(top, 10, 64)
		under, _ = strconv.ParseUint(bottom, 10, 64)
	}
	return over, under, r.rest, true
}

// vulgar lists the characters that are fractions of the inch scale.
var vulgar = map[rune]struct{ over, under uint64 }{
	'½': {1, 2}, '¼': {1, 4}, '¾': {3, 4}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
}
