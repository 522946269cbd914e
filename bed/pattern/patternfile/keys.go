package patternfile

import (
	"go.yaml.in/yaml/v4"

	"slatewright/keyed"
)

// value takes what a file gives for one key, found at path, and knows what form that has.
type value struct {
	take keyed.Take
	form form
}

// form is what a value may look like, for the schema.
type form struct {
	kind    string // one of the words below
	example string
	words   []string // of a choice
	keys    []key    // of a group
	item    *form    // of a list
	other   *form    // of an either: the second form, where the first is the rest of this one
}

// The kinds of forms.
const (
	formText   = "text"
	formSum    = "sum" // a length, angle or number, or a sum of such
	formCount  = "count"
	formChoice = "choice"
	formList   = "list"
	formGroup  = "group"
	formNames  = "names"
)

// key is one key of a mapping.
type key struct {
	name, says string // says is one line on what the key is for
	value      value
}

// group is a mapping below a key.
func (r *reader) group(keys ...key) value {
	list := make([]keyed.Key, len(keys))
	for i, k := range keys {
		list[i] = keyed.Of(k.name, k.value.take)
	}
	return value{r.Group(list...), form{kind: formGroup, keys: keys}}
}

// each is a list of mappings below a key, one entry after another.
func each[T any](r *reader, into *[]T, keys func(*T) []key) value {
	sample := keys(new(T))
	return value{func(path string, n *yaml.Node) error {
		return r.list(path, n, "- "+sample[0].name+": …", func(at string, _ int, item *yaml.Node) error {
			*into = append(*into, *new(T))
			return r.group(keys(&(*into)[len(*into)-1])...).take(at, item)
		})
	}, form{kind: formList, item: &form{kind: formGroup, keys: sample}}}
}

// either takes a scalar by one value and what is no scalar by another.
func either(scalar, other value) value {
	f := scalar.form
	f.other = &other.form
	return value{func(path string, n *yaml.Node) error {
		if n.Kind == yaml.ScalarNode {
			return scalar.take(path, n)
		}
		return other.take(path, n)
	}, f}
}
