package patternfile

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"slatewright/measure"
	"slatewright/trouble"
)

// quantity is a number with its dimension: of how many lengths and angles it is the product.
type quantity struct {
	value         float64
	length, angle int
}

// The dimensions that a value may be asked in.
var (
	aNumber = quantity{}
	aLength = quantity{length: 1}
	anAngle = quantity{angle: 1}
)

func (q quantity) like(o quantity) bool { return q.length == o.length && q.angle == o.angle }

// kind says what a quantity is.
func (q quantity) kind() string {
	switch {
	case q.like(aNumber):
		return "a number without a unit"
	case q.like(aLength):
		return "a length"
	case q.like(anAngle):
		return "an angle"
	case q.length == 2 && q.angle == 0:
		return "an area"
	}
	return "neither a length nor an angle"
}

// Bounds of what a sum may be, far above any real one.
const (
	mostNames   = 500
	longestSum  = 400
	deepestSum  = 40
	longestName = 40
)

// sums holds the names that a file defines. Each is worked out once, when it is first needed.
type sums struct {
	given map[string]*yaml.Node
	done  map[string]quantity
	busy  []string // names that are being worked out, each asked for by the one before
}

var nameOf = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_]*$`)

// unitWords cannot be names: a sum could not tell.
var unitWords = []string{"mm", "cm", "m", "um", "µm", "micron", "in", "inch", "thou", "ft", "foot", "feet", "deg", "rad", "x", "mil", "tenth", "through"}

// define reads the file's names, without working them out.
func (r *reader) define(path string, n *yaml.Node) error {
	if n.Kind != yaml.MappingNode {
		return r.badNode(path, n, "does not hold names", "write each as \"name: 2540 mm\" on a line of its own")
	}
	if len(n.Content) > 2*mostNames {
		return r.badNode(path, n, fmt.Sprintf("more than %d names", mostNames), "leave out those that nothing uses")
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, given := n.Content[i], n.Content[i+1]
		switch {
		case name.Kind != yaml.ScalarNode || !nameOf.MatchString(name.Value) || len(name.Value) > longestName:
			return r.bad(name.Line, path+": a name that is not one word", "begin with a letter; letters, figures and _ may follow, such as rail_line")
		case slices.Contains(unitWords, strings.ToLower(name.Value)):
			return r.bad(name.Line, fmt.Sprintf("%s: %q is a unit or a word of the file, not a name", path, name.Value), "choose a longer one")
		}
		if err := r.once(path+"."+name.Value, name); err != nil {
			return err
		}
		if _, err := r.scalar(path+"."+name.Value, given, "2540 mm"); err != nil {
			return err
		}
		r.sums.given[name.Value] = given
	}
	return nil
}

// checkNames works out every name, used or not, in the order of the file.
func (r *reader) checkNames(n *yaml.Node) error {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if _, err := r.named(n.Content[i].Value); err != nil {
			return err
		}
	}
	return nil
}

// named returns what a defined name stands for.
func (r *reader) named(name string) (quantity, error) {
	if q, ok := r.sums.done[name]; ok {
		return q, nil
	}
	n := r.sums.given[name]
	if at := slices.Index(r.sums.busy, name); at >= 0 {
		circle := append(slices.Clone(r.sums.busy[at:]), name)
		return quantity{}, r.badNode("names."+name, n, "is defined by itself: "+strings.Join(circle, " → "), "give one of them a value")
	}
	r.sums.busy = append(r.sums.busy, name)
	q, err := r.quantity("names."+name, n, n.Value)
	r.sums.busy = r.sums.busy[:len(r.sums.busy)-1]
	if err == nil {
		r.sums.done[name] = q
	}
	return q, err
}

// quantity works out a text: a length as people write it, an angle, a number, or a sum of such and names.
func (r *reader) quantity(path string, n *yaml.Node, text string) (quantity, error) {
	mm, err := measure.ParseLength(text)
	if err == nil {
		return quantity{value: mm + 0, length: 1}, nil
	}
	if !strings.ContainsFunc(text, func(c rune) bool { return strings.ContainsRune("+-−*/()°", c) || unicode.IsLetter(c) }) {
		v, numberErr := measure.ParseNumber(text)
		if numberErr != nil {
			return quantity{}, r.unreadable(path, n, "25.4 mm", err)
		}
		return quantity{value: v + 0}, nil
	}
	if len(text) > longestSum {
		return quantity{}, r.badNode(path, n, fmt.Sprintf("a sum of more than %d letters", longestSum), "give its parts names")
	}
	s := sum{r: r, path: path, n: n, rest: strings.TrimSpace(text)}
	q, sumErr := s.terms()
	switch {
	case sumErr == nil && s.rest != "":
		sumErr = s.stray()
	case sumErr == nil && !(math.Abs(q.value) < 1e12):
		sumErr = s.bad("comes to a number beyond all measure", "check the numbers")
	}
	if sumErr == nil {
		if q.like(aLength) {
			q.value = fine(q.value)
		}
		q.value += 0 // −0 is 0
		return q, nil
	}
	first, _ := utf8.DecodeRuneInString(strings.TrimSpace(text))
	if !strings.ContainsAny(text, "+−*/()") && (len(r.sums.given) == 0 || !unicode.IsLetter(first)) {
		return quantity{}, r.unreadable(path, n, "25.4 mm", err) // nothing of a sum: the reader of lengths knows better what is wrong
	}
	return quantity{}, sumErr
}

// fine rounds a length to a millionth of a micrometre, so that 46 in + 2 * 4 in is 54 in.
func fine(mm float64) float64 { return measure.Round(mm, 9) }

// sum reads one sum from left to right.
type sum struct {
	r    *reader
	path string
	n    *yaml.Node
	rest string // what is still to be read
	deep int
}

func (s *sum) bad(what, next string) *trouble.Trouble { return s.r.badNode(s.path, s.n, what, next) }

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
func (s *sum) terms() (quantity, error) {
	a, err := s.factors()
	for err == nil {
		sign, ok := s.next("+-−")
		if !ok {
			return a, nil
		}
		var b quantity
		if b, err = s.factors(); err != nil {
			break
		}
		if !a.like(b) {
			return a, s.bad(fmt.Sprintf("%s and %s are put together by %c", a.kind(), b.kind(), sign), "give both a unit, or neither")
		}
		if sign != '+' {
			b.value = -b.value
		}
		a.value += b.value
	}
	return a, err
}

// factors reads a * b / c.
func (s *sum) factors() (quantity, error) {
	a, err := s.single()
	for err == nil {
		sign, ok := s.next("*/")
		if !ok {
			return a, nil
		}
		before := strings.TrimSpace(s.rest)
		var b quantity
		if b, err = s.single(); err != nil {
			break
		}
		if sign == '/' {
			if b.value == 0 {
				return a, s.bad(fmt.Sprintf("divides by %q, which is 0", short(strings.TrimSpace(strings.TrimSuffix(before, s.rest)))), "check what stands below the /")
			}
			a = quantity{a.value / b.value, a.length - b.length, a.angle - b.angle}
			continue
		}
		a = quantity{float64(a.value * b.value), a.length + b.length, a.angle + b.angle}
	}
	return a, err
}

// single reads a value, a name, a bracket, or one of them with a sign.
func (s *sum) single() (quantity, error) {
	if s.deep++; s.deep > deepestSum {
		return quantity{}, s.bad(fmt.Sprintf("more than %d brackets and signs in one another", deepestSum), "give its parts names")
	}
	defer func() { s.deep-- }()
	if sign, ok := s.next("-−+"); ok {
		q, err := s.single()
		if sign != '+' {
			q.value = -q.value
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
		return quantity{}, s.bad("ends where a value is wanted", "write a length, a number or a name after the sign")
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
func (s *sum) name(word string) (quantity, error) {
	if _, ok := s.r.sums.given[word]; !ok {
		list := slices.Sorted(keysOf(s.r.sums.given))
		next := "write it under names:, or a length with its unit"
		if near := nearest(word, list); near != "" {
			next = "did you mean " + near + "?"
		} else if len(list) > 0 {
			next = "defined here: " + strings.Join(list, ", ")
		}
		return quantity{}, s.bad(fmt.Sprintf("no name %q is defined", short(word)), next)
	}
	s.rest = s.rest[len(word):]
	return s.r.named(word)
}

func keysOf(m map[string]*yaml.Node) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// literal reads a length, an angle or a number.
func (s *sum) literal() (quantity, error) {
	whole := func(found string) bool { // no letter hangs on it
		after, _ := utf8.DecodeRuneInString(s.rest[len(found):])
		return found != "" && !unicode.IsLetter(after) && !unicode.IsDigit(after) && after != '_'
	}
	if m := feetOf.FindStringSubmatch(s.rest); m != nil && whole(m[0]) {
		if strings.Contains(m[1], "-") {
			return quantity{}, s.bad(fmt.Sprintf("%q can be read as feet and inches, or as feet less inches", m[0]), "write 9' 2\" for the one and 9' - (2\") for the other")
		}
		return s.taken(m[0], quantity{length: 1}, measure.ParseLength)
	}
	if m := lengthOf.FindString(s.rest); whole(m) {
		return s.taken(m, quantity{length: 1}, measure.ParseLength)
	}
	if m := angleOf.FindStringSubmatch(s.rest); m != nil && whole(m[0]) {
		q, err := s.taken(m[1], quantity{angle: 1}, measure.ParseNumber)
		s.rest = s.rest[len(m[0])-len(m[1]):]
		if m[2] != "rad" {
			q.value = float64(q.value*math.Pi) / 180
		}
		return q, err
	}
	if m := numberOf.FindString(s.rest); whole(m) {
		return s.taken(m, quantity{}, measure.ParseNumber)
	}
	return quantity{}, s.stray()
}

// taken gives a quantity the value of the text that comes next.
func (s *sum) taken(text string, q quantity, parse func(string) (float64, error)) (quantity, error) {
	v, err := parse(text)
	if err != nil {
		return q, s.r.unreadable(s.path, s.n, "25.4 mm", err)
	}
	s.rest = s.rest[len(text):]
	q.value = v
	return q, nil
}
