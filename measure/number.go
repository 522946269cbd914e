package measure

import (
	"math/big"
	"strings"
	"unicode"
)

// ParseNumber reads a plain decimal number by the rule of the package, rounded once to the nearest float64. Blanks around it are
// ignored; a unit is an error, and so are "nan" and "inf".
func ParseNumber(s string) (float64, error) {
	return parseNumber(s, scale{num: 1})
}

func parseNumber(s string, by scale) (float64, error) {
	r, err := newReader(s, likeNumber)
	if err != nil {
		return 0, err
	}
	return r.plain(by)
}

// reader walks through the text of one quantity.
type reader struct {
	text string // all of it, for messages
	rest string
	like string // what it should look like, for messages
}

// longest is the length of a text in bytes beyond which it cannot be a quantity; the longest float64 written out takes 1077.
const longest = 2000

func newReader(s, like string) (reader, error) {
	text := strings.TrimSpace(s)
	if len(text) > longest {
		return reader{}, refuse("too-long", shown(text)+" is too long for a quantity", "write it like "+like)
	}
	return reader{text: text, rest: text, like: like}, nil
}

// plain reads a number that fills the text and returns it times a scale.
func (r *reader) plain(by scale) (float64, error) {
	n, err := r.number()
	switch {
	case err != nil:
		return 0, err
	case r.rest != "":
		return 0, r.notNumber()
	}
	return r.value(n, by)
}

// value returns n times a scale, rounded once.
func (r *reader) value(n number, by scale) (float64, error) {
	x, ok := n.times(by)
	if !ok {
		return 0, r.outOfRange()
	}
	return x, nil
}

// number is a decimal number as written, whole.part·10^exp; its digits are kept as text, so nothing is rounded.
type number struct {
	signed      bool // one was written
	negative    bool
	whole, part string
	mark        byte // '.', ',' or 0
	exponent    bool // one was written
	exp         int
}

// integer tells whether n was written as digits only, with or without a sign.
func (n number) integer() bool { return n.mark == 0 && !n.exponent }

// number reads a number at the start of the rest and checks it by the rule of the package.
func (r *reader) number() (number, error) {
	var n number
	n.signed, n.negative = r.sign()
	n.whole = r.digits()
	if mark := r.peek(); mark == '.' || mark == ',' {
		at := len(r.text) - len(r.rest)
		n.mark = mark
		r.rest = r.rest[1:]
		n.part = r.digits()
		if err := r.checkMark(n, at); err != nil {
			return n, err
		}
	}
	if n.whole == "" && n.part == "" {
		return n, r.notNumber()
	}
	n.exponent, n.exp = r.exponent()
	return n, nil
}

// checkMark applies the rule for the decimal mark, which stands at that place of the text.
func (r *reader) checkMark(n number, at int) error {
	before, after := r.text[:at], r.text[at+1:]
	if next := r.peek(); next == '.' || next == ',' {
		return refuse("bad-number", shown(r.text)+" has more than one decimal mark",
			"write one point or comma before the decimals and nothing between thousands")
	}
	switch {
	case n.mark == '.':
		return nil
	case n.whole == "" || n.part == "":
		return refuse("bad-number", shown(r.text)+" has a comma without digits on both sides", "write it like "+r.like)
	case len(n.whole) <= 3 && n.whole[0] != '0' && len(n.part) == 3:
		return refuse("ambiguous-number", shown(r.text)+" can be read with a decimal comma or with a thousands separator",
			"write "+quoted(before+"."+after)+" or "+quoted(before+after))
	}
	return nil
}

// exponent reads "e", a sign and digits, if they follow.
func (r *reader) exponent() (found bool, exp int) {
	if c := r.peek(); c != 'e' && c != 'E' {
		return false, 0
	}
	ahead := reader{rest: r.rest[1:]}
	_, negative := ahead.sign()
	digits := ahead.digits()
	if digits == "" {
		return false, 0
	}
	r.rest = ahead.rest
	for i := 0; i < len(digits) && exp < 1e6; i++ { // 1e6 outweighs the longest text
		exp = exp*10 + int(digits[i]-'0')
	}
	if negative {
		return true, -exp
	}
	return true, exp
}

// times returns n times a scale, rounded once; false if that is beyond the largest float64.
func (n number) times(by scale) (x float64, ok bool) {
	if mantissa, fits := n.mantissa(); fits {
		x, ok = by.times(mantissa, n.exp-len(n.part))
	} else {
		x, ok = nearest(n.size(by))
	}
	if n.negative {
		x = -x
	}
	return x, ok
}

// mantissa returns the digits as one integer; false if there are more than are sure to fit.
func (n number) mantissa() (m uint64, fits bool) {
	if len(n.whole)+len(n.part) > 19 {
		return 0, false
	}
	for i := 0; i < len(n.whole); i++ {
		m = m*10 + uint64(n.whole[i]-'0')
	}
	for i := 0; i < len(n.part); i++ {
		m = m*10 + uint64(n.part[i]-'0')
	}
	return m, true
}

// size returns n without its sign, times a scale, exactly (very large and very small ones as scale.exact says).
func (n number) size(by scale) *big.Rat {
	mantissa, _ := new(big.Int).SetString("0"+n.whole+n.part, 10)
	return by.exact(mantissa, n.exp-len(n.part))
}

// peek returns the next byte, or 0 at the end.
func (r *reader) peek() byte {
	if r.rest == "" {
		return 0
	}
	return r.rest[0]
}

func (r *reader) digits() string {
	i := 0
	for i < len(r.rest) && r.rest[i]-'0' <= 9 {
		i++
	}
	digits := r.rest[:i]
	r.rest = r.rest[i:]
	return digits
}

// sign reads a sign if one follows; the minus may be the proper one of typography.
func (r *reader) sign() (found, minus bool) {
	rest := r.rest
	if r.rest = strings.TrimPrefix(rest, "+"); r.rest != rest {
		return true, false
	}
	if r.rest = strings.TrimPrefix(rest, "-"); r.rest == rest {
		r.rest = strings.TrimPrefix(rest, "−")
	}
	found = r.rest != rest
	return found, found
}

// blanks skips blanks of any kind and tells whether there were some.
func (r *reader) blanks() bool {
	before := len(r.rest)
	r.rest = strings.TrimLeftFunc(r.rest, unicode.IsSpace)
	return len(r.rest) < before
}
