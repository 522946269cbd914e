package certificate

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"slatewright/trouble"
)

// Slack is by how many of the last sealed digit a number that is computed again may differ.
const Slack = 2

// Difference is one field in which two bodies differ.
type Difference struct {
	Field      string `json:"field"` // as in found.seating.joints[0].stations[3][1]
	Sealed     string `json:"sealed"`
	Recomputed string `json:"recomputed"`
}

// comparison walks two values of one type in the order of their fields.
type comparison struct {
	figures []Difference // numbers apart by more than Slack, and everything else that is not prose
	prose   []Difference // sentences that are written otherwise
}

// prose lists the fields whose words may change from one version of the program to the next.
var prose = map[string]bool{"warnings": true, "method": true, "not_checked": true, "not_given": true, "reason": true, "text": true, "next": true}

// compare lists how body b, computed again, differs from the sealed body a.
func compare(a, b Body) comparison {
	var c comparison
	c.walk("", reflect.ValueOf(a), reflect.ValueOf(b), false)
	return c
}

// counted is implemented by sealed numbers.
type counted interface{ count() int64 }

func (d Decimal[P]) count() int64 { return int64(d) }

func (c *comparison) walk(field string, a, b reflect.Value, words bool) {
	if x, ok := a.Interface().(counted); ok && a.Kind() == reflect.Int64 {
		if d := x.count() - b.Interface().(counted).count(); d > Slack || d < -Slack {
			c.add(field, a, b, words)
		}
		return
	}
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			name, _, _ := strings.Cut(a.Type().Field(i).Tag.Get("json"), ",")
			c.walk(strings.TrimPrefix(field+"."+name, "."), a.Field(i), b.Field(i), words || prose[name])
		}
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() {
			c.add(field, a, b, words)
			return
		}
		for i := range a.Len() {
			c.walk(field+"["+strconv.Itoa(i)+"]", a.Index(i), b.Index(i), words)
		}
	case reflect.Pointer:
		if a.IsNil() != b.IsNil() {
			c.add(field, a, b, words)
		} else if !a.IsNil() {
			c.walk(field, a.Elem(), b.Elem(), words)
		}
	default:
		if a.Interface() != b.Interface() {
			c.add(field, a, b, words)
		}
	}
}

func (c *comparison) add(field string, a, b reflect.Value, words bool) {
	d := Difference{Field: field, Sealed: shown(a), Recomputed: shown(b)}
	if words {
		c.prose = append(c.prose, d)
	} else {
		c.figures = append(c.figures, d)
	}
}

// shown is a value in a few words.
func shown(v reflect.Value) string {
	switch {
	case v.Kind() == reflect.Pointer && v.IsNil():
		return "none"
	case v.Kind() == reflect.Pointer:
		return shown(v.Elem())
	case v.Kind() == reflect.Slice:
		return trouble.Count(v.Len(), "entry", "entries")
	case v.Kind() == reflect.Struct:
		return "given"
	}
	const most = 200
	text := fmt.Sprint(v.Interface())
	if len(text) > most {
		text = text[:most] + "…"
	}
	return text
}
