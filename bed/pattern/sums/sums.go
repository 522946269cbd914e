// Package sums works out what a file says as a sum: lengths, angles and plain numbers put together by + − * / and brackets, over names that
// the file defines in the same way.
//
// There are no functions, powers, conditions or references to anything else, and there is no loop: a name that comes back to itself is
// refused. Units are carried along, so that a length times a length is an area and no length. The package does not know YAML or
// lines; a reader says where a text stands.
package sums

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"slatewright/measure"
	"slatewright/spelling"
	"slatewright/trouble"
)

// Quantity is a number with its dimension: of how many lengths (mm) and angles (radians) it is the product.
type Quantity struct {
	Value         float64
	Length, Angle int
}

// The dimensions that a value may be asked in.
var (
	Number = Quantity{}
	Length = Quantity{Length: 1}
	Angle  = Quantity{Angle: 1}
)

// Like reports whether two quantities have the same dimension.
func (q Quantity) Like(o Quantity) bool { return q.Length == o.Length && q.Angle == o.Angle }

// Kind says what a Quantity is, such as "a length".
func (q Quantity) Kind() string {
	switch {
	case q.Like(Number):
		return "a number without a unit"
	case q.Like(Length):
		return "a length"
	case q.Like(Angle):
		return "an angle"
	case q.Length == 2 && q.Angle == 0:
		return "an area"
	}
	return "neither a length nor an angle"
}

// Bounds of what a sum may be, far above any real one.
const (
	longest     = 400 // letters
	deepest     = 40  // brackets and signs in one another
	longestName = 40
)

// Names holds the names that a file defines. Each is worked out once, when it is first needed. The zero Names has none.
type Names struct {
	given map[string]string
	done  map[string]Quantity
	busy  []string // names that are being worked out, each asked for by the one before
}

var nameOf = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_]*$`)

// unitWords cannot be names: a sum could not tell.
var unitWords = []string{"mm", "cm", "m", "um", "µm", "micron", "in", "inch", "thou", "ft", "foot", "feet", "deg", "rad", "x", "mil", "tenth", "through"}

// Define takes a name and its text, without working it out. A name is a word of letters, figures and _; a unit is none. A name that is given again
// takes the new text.
func (n *Names) Define(name, text string) error {
	switch {
	case !nameOf.MatchString(name) || len(name) > longestName:
		return bad("", "a name that is not one word", "begin with a letter; letters, figures and _ may follow, such as rail_line")
	case slices.Contains(unitWords, strings.ToLower(name)):
		return bad("", fmt.Sprintf("%q is a unit or a word of the file, not a name", name), "choose a longer one")
	}
	if n.given == nil {
		n.given, n.done = map[string]string{}, map[string]Quantity{}
	}
	n.given[name] = text
	return nil
}

// Value returns what a defined name stands for. Where of an error, a *trouble.Trouble of kind data and code "bad-sum", is the name in whose text the
// fault lies, perhaps another.
func (n *Names) Value(name string) (Quantity, error) {
	if q, ok := n.done[name]; ok {
		return q, nil
	}
	if at := slices.Index(n.busy, name); at >= 0 {
		circle := append(slices.Clone(n.busy[at:]), name)
		return Quantity{}, bad(name, "is defined by itself: "+strings.Join(circle, " → "), "give one of them a value")
	}
	text, ok := n.given[name]
	if !ok {
		return Quantity{}, bad("", fmt.Sprintf("no name %q is defined", name), "define it")
	}
	n.busy = append(n.busy, name)
	q, err := n.work(name, text)
	n.busy = n.busy[:len(n.busy)-1]
	if err == nil {
		n.done[name] = q
	}
	return q, err
}

// Work works out a text: a length as people write it, an angle, a number, or a sum of such and names. Lengths that come of a sum are
// rounded to a millionth of a micrometre, so that 46 in + 2 * 4 in is 54 in. Where of an error is empty where the fault lies in the text
// itself, else the name in whose text it lies.
func (n *Names) Work(text string) (Quantity, error) { return n.work("", text) }

func (n *Names) work(where, text string) (Quantity, error) {
	mm, err := measure.ParseLength(text)
	if err == nil {
		return Quantity{Value: mm + 0, Length: 1}, nil
	}
	if !strings.ContainsFunc(text, func(c rune) bool { return strings.ContainsRune("+-−*/()°", c) || unicode.IsLetter(c) }) {
		v, numberErr := measure.ParseNumber(text)
		if numberErr != nil {
			return Quantity{}, unreadable(where, err)
		}
		return Quantity{Value: v + 0}, nil
	}
	if len(text) > longest {
		return Quantity{}, bad(where, fmt.Sprintf("a sum of more than %d letters", longest), "give its parts names")
	}
	s := sum{names: n, where: where, rest: strings.TrimSpace(text)}
	q, sumErr := s.terms()
	switch {
	case sumErr == nil && s.rest != "":
		sumErr = s.stray()
	case sumErr == nil && !(math.Abs(q.Value) < 1e12):
		sumErr = s.bad("comes to a number beyond all measure", "check the numbers")
	}
	if sumErr == nil {
		if q.Like(Length) {
			q.Value = Fine(q.Value)
		}
		q.Value += 0 // −0 is 0
		return q, nil
	}
	first, _ := utf8.DecodeRuneInString(strings.TrimSpace(text))
	if !strings.ContainsAny(text, "+−*/()") && (len(n.given) == 0 || !unicode.IsLetter(first)) {
		return Quantity{}, unreadable(where, err) // nothing of a sum: the reader of lengths knows better what is wrong
	}
	return Quantity{}, sumErr
}

// Fine rounds a length to a millionth of a micrometre, so that 46 in + 2 * 4 in is 54 in.
func Fine(mm float64) float64 { return measure.Round(mm, 9) }

// sum reads one sum from left to right.
type sum struct {
	names *Names
	where string
	rest  string // what is still to be read
	deep  int
}

func (s *sum) bad(what, next string) *trouble.Trouble { return bad(s.where, what, next) }

// stray is what stands where the sum could end or go on.
func (s *sum) stray() error {
	return s.bad(fmt.Sprintf("%q stands where + − * / or the end of the sum is wanted", short(s.rest)), "a sum is made of lengths with units, numbers, names of the file, + − * / and brackets")
}

func short(text string) string {
	if r := []rune(text); len(r) > 20 {
		return string(r[:20]) + "…"
	}
	return text
}

// next takes one of the signs if it comes next.
func (s *sum) next(signs string) (rune, bool) {
	s.rest = strings.TrimLeft(s.rest, " \t\n")
	for _, c := range signs {
		if strings.HasPrefix(s.rest, string(c)) {
			s.rest = s.rest[utf8.RuneLen(c):]
			return c, true
		}
	}
	return 0, false
}

// terms reads a + b − c.
func (s *sum) terms() (Quantity, error) {
	a, err := s.factors()
	for err == nil {
		sign, ok := s.next("+-−")
		if !ok {
			return a, nil
		}
		var b Quantity
		if b, err = s.factors(); err != nil {
			break
		}
		if !a.Like(b) {
			return a, s.bad(fmt.Sprintf("%s and %s are put together by %c", a.Kind(), b.Kind(), sign), "give both a unit, or neither")
		}
		if sign != '+' {
			b.Value = -b.Value
		}
		a.Value += b.Value
	}
	return a, err
}

// factors reads a * b / c.
func (s *sum) factors() (Quantity, error) {
	a, err := s.single()
	for err == nil {
		sign, ok := s.next("*/")
		if !ok {
			return a, nil
		}
		before := strings.TrimSpace(s.rest)
		var b Quantity
		if b, err = s.single(); err != nil {
			break
		}
		if sign == '/' {
			if b.Value == 0 {
				return a, s.bad(fmt.Sprintf("divides by %q, which is 0", short(strings.TrimSpace(strings.TrimSuffix(before, s.rest)))), "check what stands below the /")
			}
			a = Quantity{a.Value / b.Value, a.Length - b.Length, a.Angle - b.Angle}
			continue
		}
		a = Quantity{float64(a.Value * b.Value), a.Length + b.Length, a.Angle + b.Angle}
	}
	return a, err
}

// single reads a value, a name, a bracket, or one of them with a sign.
func (s *sum) single() (Quantity, error) {
	if s.deep++; s.deep > deepest {
		return Quantity{}, s.bad(fmt.Sprintf("more than %d brackets and signs in one another", deepest), "give its parts names")
	}
	defer func() { s.deep-- }()
	if sign, ok := s.next("-−+"); ok {
		q, err := s.single()
		if sign != '+' {
			q.Value = -q.Value
		}
		return q, err
	}
	if _, ok := s.next("("); ok {
		q, err := s.terms()
		if err != nil {
			return q, err
		}
		if _, ok := s.next(")"); !ok {
			return q, s.bad("a bracket is not closed", "write ) where it ends")
		}
		return q, nil
	}
	if s.rest == "" {
		return Quantity{}, s.bad("ends where a value is wanted", "write a length, a number or a name after the sign")
	}
	if word := wordOf.FindString(s.rest); word != "" {
		return s.name(word)
	}
	return s.literal()
}

var (
	wordOf = regexp.MustCompile(`^\p{L}[\p{L}\p{N}_]*`)
	// One length: feet with inches, or a whole, mixed or broken number with one unit.
	feetOf   = regexp.MustCompile(`^\d+\s*(?:ft|feet|foot|['’′])([\s-]*)\d+(?:[.,]\d+)?(?:\s+\d+/\d+)?\s*(?:inch|in|["”″])`)
	lengthOf = regexp.MustCompile(`^(?:\d+\s+\d+/\d+|\d+/\d+|\d*[.,]?\d+|\d+\.)\s*(mm|cm|µm|μm|um|micron|inch|in|thou|feet|foot|ft|m|["”″'’′])`)
	angleOf  = regexp.MustCompile(`^(\d*[.,]?\d+)\s*(deg|rad|°)`)
	numberOf = regexp.MustCompile(`^(?:\d*[.,]?\d+|\d+\.)`)
)

// name reads a name of the file.
func (s *sum) name(word string) (Quantity, error) {
	if _, ok := s.names.given[word]; !ok {
		list := slices.Sorted(keysOf(s.names.given))
		next := "write it under names:, or a length with its unit"
		if near := spelling.Nearest(word, list); near != "" {
			next = "did you mean " + near + "?"
		} else if len(list) > 0 {
			next = "defined here: " + strings.Join(list, ", ")
		}
		return Quantity{}, s.bad(fmt.Sprintf("no name %q is defined", short(word)), next)
	}
	s.rest = s.rest[len(word):]
	return s.names.Value(word)
}

func keysOf(m map[string]string) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// literal reads a length, an angle or a number.
func (s *sum) literal() (Quantity, error) {
	whole := func(found string) bool { // no letter hangs on it
		after, _ := utf8.DecodeRuneInString(s.rest[len(found):])
		return found != "" && !unicode.IsLetter(after) && !unicode.IsDigit(after) && after != '_'
	}
	if m := feetOf.FindStringSubmatch(s.rest); m != nil && whole(m[0]) {
		if strings.Contains(m[1], "-") {
			return Quantity{}, s.bad(fmt.Sprintf("%q can be read as feet and inches, or as feet less inches", m[0]), "write 9' 2\" for the one and 9' - (2\") for the other")
		}
		return s.taken(m[0], Quantity{Length: 1}, measure.ParseLength)
	}
	if m := lengthOf.FindString(s.rest); whole(m) {
		return s.taken(m, Quantity{Length: 1}, measure.ParseLength)
	}
	if m := angleOf.FindStringSubmatch(s.rest); m != nil && whole(m[0]) {
		q, err := s.taken(m[1], Quantity{Angle: 1}, measure.ParseNumber)
		s.rest = s.rest[len(m[0])-len(m[1]):]
		if m[2] != "rad" {
			q.Value = float64(q.Value*math.Pi) / 180
		}
		return q, err
	}
	if m := numberOf.FindString(s.rest); whole(m) {
		return s.taken(m, Quantity{}, measure.ParseNumber)
	}
	return Quantity{}, s.stray()
}

// taken gives a Quantity the value of the text that comes next.
func (s *sum) taken(text string, q Quantity, parse func(string) (float64, error)) (Quantity, error) {
	v, err := parse(text)
	if err != nil {
		return q, unreadable(s.where, err)
	}
	s.rest = s.rest[len(text):]
	q.Value = v
	return q, nil
}

func bad(where, what, next string) *trouble.Trouble {
	return trouble.Data("bad-sum", where, what, next)
}

// unreadable passes on what the reader of quantities says.
func unreadable(where string, err error) error {
	t := new(trouble.Trouble)
	if !errors.As(err, &t) {
		return bad(where, err.Error(), "write it like 25.4 mm").Because(err)
	}
	next := t.Next
	if next == "" {
		next = "write it like 25.4 mm"
	}
	return bad(where, t.What, next).Because(err)
}
