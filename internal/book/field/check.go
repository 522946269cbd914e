package field

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"slatewright/trouble"
)

// Named is a field that names something by kind and number, and checks itself against the kinds that may stand there.
type Named interface {
	CheckKind(where, kinds string) error
}

// Lengths of text and lists whose tags say nothing.
const (
	usualText  = 200
	usualItems = 100
)

// Times that an act can speak of.
var (
	earliest = time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)
	latest   = time.Date(2200, 1, 1, 0, 0, 0, 0, time.UTC)
)

// plan is what is checked of a struct, made once of its tags.
type plan []rule

type rule struct {
	index    int
	name     string
	optional bool
	limits
	enum   []string
	form   string
	kinds  string
	sort   sort
	inside plan // of a struct, or of the structs in a list
}

// sort is how a field's value is looked at.
type sort int

const (
	other sort = iota
	text
	number
	whole
	moment
	named
	list
	record
	names
)

type limits struct {
	low, high          float64
	above              bool // low itself is too little
	minLength, maxItem int
	minItems, maxItems int
	unique             bool
}

var plans sync.Map // reflect.Type → plan

// Check checks the fields of the struct that record points to, and of those inside it, against their tags.
func Check(record any) error {
	v := reflect.ValueOf(record).Elem()
	return planOf(v.Type()).check(v, "")
}

func planOf(t reflect.Type) plan {
	if p, ok := plans.Load(t); ok {
		return p.(plan)
	}
	var p plan
	for i := range t.NumField() {
		p = append(p, ruleOf(i, t.Field(i)))
	}
	plans.Store(t, p)
	return p
}

var (
	timeType  = reflect.TypeFor[time.Time]()
	namedType = reflect.TypeFor[Named]()
	rawType   = reflect.TypeFor[[]byte]()
)

func ruleOf(index int, f reflect.StructField) rule {
	name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
	r := rule{index: index, name: name, optional: options == "omitempty" || options == "omitzero", form: f.Tag.Get("form"), kinds: f.Tag.Get("kinds"), limits: limitsOf(f.Tag)}
	if enum := f.Tag.Get("enum"); enum != "" {
		r.enum = strings.Split(enum, ",")
	}
	t := f.Type
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case t == timeType:
		r.sort = moment
	case t.Implements(namedType):
		r.sort = named
	case t.Kind() == reflect.String:
		r.sort = text
	case t.Kind() == reflect.Float64:
		r.sort = number
	case t.Kind() == reflect.Int:
		r.sort = whole
	case t.Kind() == reflect.Map:
		r.sort = names
	case t.Kind() == reflect.Struct:
		r.sort, r.inside = record, planOf(t)
	case t.Kind() == reflect.Slice && !t.ConvertibleTo(rawType):
		r.sort, r.inside = list, plan{ruleOf(0, elementOf(f, t))}
	}
	return r
}

// elementOf is the element of a list as a field with the list's own tags.
func elementOf(f reflect.StructField, t reflect.Type) reflect.StructField {
	return reflect.StructField{Type: t.Elem(), Tag: f.Tag}
}

func limitsOf(tag reflect.StructTag) limits {
	l := limits{low: bound(tag, "minimum", -math.MaxFloat64), high: bound(tag, "maximum", 1e9), unique: tag.Get("uniqueItems") == "true",
		minLength: int(bound(tag, "minLength", 0)), maxItem: int(bound(tag, "maxLength", usualText)),
		minItems: int(bound(tag, "minItems", 0)), maxItems: int(bound(tag, "maxItems", usualItems))}
	if tag.Get("exclusiveMinimum") != "" {
		l.low, l.above = bound(tag, "exclusiveMinimum", 0), true
	}
	if l.low == -math.MaxFloat64 {
		l.low = -l.high
	}
	return l
}

func bound(tag reflect.StructTag, key string, otherwise float64) float64 {
	word := tag.Get(key)
	if word == "" {
		return otherwise
	}
	v, err := strconv.ParseFloat(word, 64)
	if err != nil {
		panic(fmt.Sprintf("field: the tag %s:%q is no number", key, word))
	}
	return v
}

func (p plan) check(v reflect.Value, before string) error {
	for i := range p {
		r := &p[i]
		if err := r.check(v.Field(r.index), before+r.name); err != nil {
			return err
		}
	}
	return nil
}

// check looks at one field. An optional one may be left out.
func (r *rule) check(v reflect.Value, where string) error {
	if r.optional && v.IsZero() {
		return nil
	}
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return missing(where)
		}
		v = v.Elem()
	}
	switch r.sort {
	case text:
		return r.text(v.String(), where)
	case number:
		return r.number(v.Float(), where)
	case whole:
		return r.number(float64(v.Int()), where)
	case moment:
		return aMoment(v.Interface().(time.Time), where)
	case named:
		return v.Interface().(Named).CheckKind(where, r.kinds)
	case list:
		return r.list(v, where)
	case record:
		return r.inside.check(v, where+".")
	case names:
		return r.names(v, where)
	}
	return nil
}

func missing(where string) error {
	return trouble.Data("missing", where, "this must be there", "fill it in")
}

func (r *rule) number(x float64, where string) error {
	if x >= r.low && x <= r.high && !(r.above && x == r.low) { // a NaN is in no range
		return nil
	}
	from := "from " + plain(r.low)
	if r.above {
		from = "above " + plain(r.low)
	}
	return trouble.Data("out-of-range", where, fmt.Sprintf("%s is out of range: %s to %s", plain(x), from, plain(r.high)), "read it again, in the unit that the field's name says")
}

// plain writes a number without a power of ten, unless a hundred digits would hide what is wrong with it.
func plain(x float64) string {
	if size := math.Abs(x); size >= 1e12 || size > 0 && size < 1e-9 {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func (r *rule) text(s, where string) error {
	switch {
	case len(r.enum) > 0:
		return OneOf(s, r.enum, where)
	case s == "" && (r.minLength > 0 || r.form != ""):
		return missing(where)
	case r.form == "id":
		return ID(s, where)
	case r.form == "digest" && !isDigest(s):
		return trouble.Data("bad-digest", where, "this is no digest of a file", "give the SHA-256 of the file as 64 hexadecimal digits in small letters, as the book answers when the file is stored")
	case utf8.RuneCountInString(s) > r.maxItem:
		return trouble.Data("too-long", where, fmt.Sprintf("the text has %d characters; the limit is %d", utf8.RuneCountInString(s), r.maxItem), "say it shorter")
	case !utf8.ValidString(s) || strings.ContainsFunc(s, unwritable):
		return trouble.Data("bad-text", where, "the text holds characters that cannot be written", "write letters, digits, signs and line ends only")
	}
	return nil
}

func unwritable(c rune) bool { return unicode.IsControl(c) && c != '\n' && c != '\t' }

func aMoment(t time.Time, where string) error {
	switch {
	case t.IsZero():
		return missing(where)
	case t.Before(earliest) || t.After(latest):
		return trouble.Data("out-of-range", where, fmt.Sprintf("the year %d is out of range: 1900 to 2199", t.Year()), "write a time as 2026-11-25T14:30:00Z")
	}
	return nil
}

func (r *rule) list(v reflect.Value, where string) error {
	if n := v.Len(); n < r.minItems || n > r.maxItems {
		return trouble.Data("bad-count", where, fmt.Sprintf("the list has %s; it must have %d to %d", trouble.Count(n, "entry", "entries"), r.minItems, r.maxItems), "give as many")
	}
	element := r.inside[0]
	element.optional = false
	for i := range v.Len() {
		at := where + "." + strconv.Itoa(i)
		if err := element.check(v.Index(i), at); err != nil {
			return err
		}
		for j := range i {
			if r.unique && v.Index(j).Equal(v.Index(i)) {
				return trouble.Data("twice", at, fmt.Sprintf("%v stands in the list twice", v.Index(i)), "name each once")
			}
		}
	}
	return nil
}

// names checks a map of names and texts.
func (r *rule) names(v reflect.Value, where string) error {
	if v.Len() > r.maxItems {
		return trouble.Data("bad-count", where, fmt.Sprintf("there are %d entries; the limit is %d", v.Len(), r.maxItems), "say fewer")
	}
	one := rule{limits: limits{minLength: 1, maxItem: usualText}}
	for _, key := range v.MapKeys() {
		if err := one.text(key.String(), where); err != nil {
			return err
		}
		if err := one.text(v.MapIndex(key).String(), where+"."+key.String()); err != nil && v.MapIndex(key).Len() > 0 {
			return err
		}
	}
	return nil
}
