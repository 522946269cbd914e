// Package blank is an act as a blank form: which fields it has, and the act's body made of what was filled in, field by field, as
// text. It is read from the act's own struct, so it cannot go stale. It checks no range and no rule: the book does, when it decodes
// the body.
package blank

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/measure"
	"slatewright/trouble"
)

// Field is one field of an act.
type Field struct {
	Name    string   `json:"name"` // with dots where it lies deeper; N stands for 0, 1, 2 …
	Sort    string   `json:"sort"`
	Needed  bool     `json:"needed"`
	Doc     string   `json:"doc,omitempty"`
	Enum    []string `json:"one_of,omitempty"`
	Example string   `json:"example,omitempty"`
	Kinds   []string `json:"kinds,omitempty"` // of the things that may be named
}

// Pair is one field as it was filled in: its name, with dots where it lies deeper (parts.0.id), and its text.
type Pair struct{ Name, Value string }

var (
	timeType = reflect.TypeFor[time.Time]()
	textType = reflect.TypeFor[encoding.TextUnmarshaler]()
	rawType  = reflect.TypeFor[json.RawMessage]()
	refType  = reflect.TypeFor[book.Ref]()
)

// Fields lists the fields of an act.
func Fields(a book.Act) []Field {
	return appendFields(nil, plain(reflect.TypeOf(a)), "", true)
}

func appendFields(list []Field, t reflect.Type, before string, needed bool) []Field {
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		must := needed && options != "omitempty" && options != "omitzero"
		inner := plain(f.Type)
		path := before + name
		if inner.Kind() == reflect.Slice && inner != rawType && isRecord(inner.Elem()) {
			inner, path = inner.Elem(), path+".N"
		}
		if isRecord(inner) {
			list = appendFields(list, inner, path+".", must)
			continue
		}
		one := Field{Name: path, Sort: sortOf(inner), Needed: must, Doc: f.Tag.Get("doc"), Example: f.Tag.Get("example")}
		if enum := f.Tag.Get("enum"); enum != "" {
			one.Enum = strings.Split(enum, ",")
		}
		if kinds := f.Tag.Get("kinds"); kinds != "" {
			one.Kinds = strings.Split(kinds, ",")
		}
		list = append(list, one)
	}
	return list
}

// plain takes the pointer off a type.
func plain(t reflect.Type) reflect.Type {
	if t.Kind() == reflect.Pointer {
		return t.Elem()
	}
	return t
}

// isRecord tells whether a type has fields of its own; a time and a thing's name are single values.
func isRecord(t reflect.Type) bool {
	return t.Kind() == reflect.Struct && t != timeType && !reflect.PointerTo(t).Implements(textType)
}

// sortOf says in a word or two what a value must be.
func sortOf(t reflect.Type) string {
	switch {
	case t == timeType:
		return "time"
	case t == refType:
		return "kind:number"
	case t == rawType:
		return "JSON"
	}
	switch t.Kind() {
	case reflect.Bool:
		return "yes or no"
	case reflect.Int, reflect.Int64:
		return "whole number"
	case reflect.Float64:
		return "number"
	case reflect.Slice:
		return "list, with commas"
	case reflect.Map:
		return "names and texts"
	}
	return "text"
}

// Body makes the JSON of an act of what was filled in. What is wrong with a field is trouble that names it.
func Body(a book.Act, filled []Pair) (json.RawMessage, error) {
	var tree any = map[string]any{}
	for _, p := range filled {
		b := builder{act: a, key: p.Name, value: p.Value}
		var err error
		if tree, err = b.set(reflect.TypeOf(a), tree, strings.Split(p.Name, ".")); err != nil {
			return nil, err
		}
	}
	return json.Marshal(tree)
}

// builder puts one value into a tree of JSON values, led by the act's type.
type builder struct {
	act        book.Act
	key, value string
}

func (b builder) set(t reflect.Type, tree any, path []string) (any, error) {
	t = plain(t)
	switch {
	case isRecord(t):
		return b.intoRecord(t, tree, path)
	case t.Kind() == reflect.Map && len(path) > 0:
		return b.intoMap(tree, path)
	case t.Kind() == reflect.Slice && t != rawType && len(path) > 0:
		return b.intoList(t, tree, path)
	case len(path) > 0:
		return nil, b.unknown()
	case tree != nil:
		return nil, b.refuse("twice", b.key+" is given twice", "give it once")
	}
	return b.leaf(t)
}

func (b builder) intoRecord(t reflect.Type, tree any, path []string) (any, error) {
	record, ok := tree.(map[string]any)
	if tree == nil {
		record, ok = map[string]any{}, true
	}
	if len(path) == 0 || !ok {
		return nil, b.unknown()
	}
	for i := range t.NumField() {
		f := t.Field(i)
		if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); name == path[0] {
			value, err := b.set(f.Type, record[name], path[1:])
			record[name] = value
			return record, err
		}
	}
	return nil, b.unknown()
}

func (b builder) intoMap(tree any, path []string) (any, error) {
	texts, ok := tree.(map[string]any)
	if !ok {
		texts = map[string]any{}
	}
	texts[strings.Join(path, ".")] = b.value
	return texts, nil
}

func (b builder) intoList(t reflect.Type, tree any, path []string) (any, error) {
	list, _ := tree.([]any)
	at, err := strconv.Atoi(path[0])
	if err != nil || at < 0 || at > len(list) {
		return nil, b.refuse("bad-place", fmt.Sprintf("%s: %q is not the next place in the list", b.key, path[0]), fmt.Sprintf("count from 0 upwards; the next one is %d", len(list)))
	}
	if at == len(list) {
		list = append(list, nil)
	}
	list[at], err = b.set(t.Elem(), list[at], path[1:])
	return list, err
}

// leaf turns the text into a single value.
func (b builder) leaf(t reflect.Type) (any, error) {
	switch {
	case t == timeType:
		return b.time()
	case t == rawType:
		if !json.Valid([]byte(b.value)) {
			return nil, b.refuse("bad-value", b.key+" is not JSON", "write it as JSON")
		}
		return json.RawMessage(b.value), nil
	case t.Kind() == reflect.Slice:
		return b.list(t.Elem())
	case t.Kind() == reflect.Bool:
		word := strings.ToLower(b.value)
		if slices.Contains([]string{"yes", "true", "no", "false"}, word) {
			return word == "yes" || word == "true", nil
		}
		return nil, b.refuse("bad-value", fmt.Sprintf("%s is yes or no, not %q", b.key, b.value), "write yes or no")
	case t.Kind() == reflect.Float64 || t.Kind() == reflect.Int:
		return b.number()
	case t.Kind() == reflect.Map:
		return nil, b.refuse("bad-value", b.key+" holds names and texts", "write "+b.key+".NAME=TEXT for each")
	}
	return b.value, nil
}

func (b builder) list(elem reflect.Type) (any, error) {
	list := []any{}
	if b.value == "" {
		return list, nil
	}
	for part := range strings.SplitSeq(b.value, ",") {
		if isRecord(elem) {
			return nil, b.refuse("bad-value", b.key+" is a list of things with fields of their own", "write "+b.key+".0.FIELD=VALUE, "+b.key+".1.FIELD=VALUE …")
		}
		value, err := builder{b.act, b.key, strings.TrimSpace(part)}.leaf(elem)
		if err != nil {
			return nil, err
		}
		list = append(list, value)
	}
	return list, nil
}

// number reads a number. A field in mm may be typed with a unit.
func (b builder) number() (any, error) {
	if _, err := strconv.ParseFloat(b.value, 64); err == nil && json.Valid([]byte(b.value)) {
		return json.Number(b.value), nil
	}
	if strings.HasSuffix(b.key, "_mm") {
		if mm, _, err := measure.ParseLengthUnit(b.value); err == nil {
			return mm, nil
		}
	}
	return nil, b.refuse("bad-value", fmt.Sprintf("%s is a number, not %q", b.key, b.value), "write it with a point, as in 0.25")
}

// time reads a time or a day; a day begins at midnight, universal time.
func (b builder) time() (any, error) {
	if day, err := time.Parse(time.DateOnly, b.value); err == nil {
		return day.Format(time.RFC3339), nil
	}
	if at, err := time.Parse(time.RFC3339, b.value); err == nil {
		return at.Format(time.RFC3339Nano), nil
	}
	return nil, b.refuse("bad-value", fmt.Sprintf("%s is a time, not %q", b.key, b.value), "write 2026-11-25 or 2026-11-25T14:30:00Z")
}

func (b builder) refuse(code, what, next string) error {
	return trouble.Data(code, b.key, what, next)
}

func (b builder) unknown() error {
	var names []string
	for _, f := range Fields(b.act) {
		names = append(names, f.Name)
	}
	return b.refuse("bad-field", fmt.Sprintf("%s has no field %s", b.act.Word(), b.key), "its fields are "+strings.Join(names, ", "))
}
