package patternfile

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed/pattern/spelling"
)

// value takes what a file gives for one key, found at path, and knows what form that has.
type value struct {
	take func(path string, n *yaml.Node) error
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
	return value{func(path string, n *yaml.Node) error { return r.mapping(path, n, keys) }, form{kind: formGroup, keys: keys}}
}

// each is a list of mappings below a key, one entry after another.
func each[T any](r *reader, into *[]T, keys func(*T) []key) value {
	sample := keys(new(T))
	return value{func(path string, n *yaml.Node) error {
		return r.list(path, n, "- "+sample[0].name+": …", func(at string, _ int, item *yaml.Node) error {
			*into = append(*into, *new(T))
			return r.mapping(at, item, keys(&(*into)[len(*into)-1]))
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

// mapping reads the mapping n, each of whose keys must be one of keys and stand there once.
func (r *reader) mapping(path string, n *yaml.Node, keys []key) error {
	if n.Kind != yaml.MappingNode {
		at := "the file"
		if path != "" {
			at = path
		}
		return r.bad(n.Line, at+" does not hold keys", "write "+listed(keys)+", each as \"key: value\" on a line of its own")
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, given := n.Content[i], n.Content[i+1]
		k, ok := find(keys, name)
		if !ok {
			return r.unknown(path, name, keys)
		}
		below := k.name
		if path != "" {
			below = path + "." + k.name
		}
		if err := r.once(below, name); err != nil {
			return err
		}
		if given.Kind == yaml.AliasNode {
			return r.badNode(below, given, "refers to another place of the file", "write the value itself")
		}
		if err := k.value.take(below, given); err != nil {
			return err
		}
	}
	return nil
}

// once keeps the line of a key, which may stand only once.
func (r *reader) once(path string, name *yaml.Node) error {
	if first := r.lines[path]; first > 0 {
		return r.bad(name.Line, fmt.Sprintf("%s is given twice, first on line %d", path, first), "keep one of them")
	}
	r.lines[path] = name.Line
	return nil
}

func find(keys []key, name *yaml.Node) (key, bool) {
	for _, k := range keys {
		if name.Kind == yaml.ScalarNode && k.name == name.Value {
			return k, true
		}
	}
	return key{}, false
}

// unknown reports a key that is not among keys, with the nearest that is.
func (r *reader) unknown(path string, name *yaml.Node, keys []key) error {
	if name.Kind != yaml.ScalarNode {
		return r.bad(name.Line, "a key that is not a word", "known here: "+listed(keys))
	}
	in := "the specification"
	if path != "" {
		in = path
	}
	next := "known here: " + listed(keys)
	if near := spelling.Nearest(name.Value, names(keys)); near != "" {
		next = "did you mean " + near + "?"
	}
	return r.bad(name.Line, fmt.Sprintf("%s has no key %q", in, name.Value), next)
}

func names(keys []key) []string {
	list := make([]string, len(keys))
	for i, k := range keys {
		list[i] = k.name
	}
	return list
}

func listed(keys []key) string { return strings.Join(names(keys), ", ") }
