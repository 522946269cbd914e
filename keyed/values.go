package keyed

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/trouble"
)

// Group is a mapping below a key.
func (f *File) Group(keys ...Key) Take {
	return func(path string, n *yaml.Node) error { return f.mapping(path, n, keys) }
}

// Each reads a list of mappings; keys are those of one item.
func Each[T any](f *File, into *[]T, keys func(*T) []Key) Take {
	return func(path string, n *yaml.Node) error {
		if n.Kind != yaml.SequenceNode {
			return f.Bad(n.Line, path+" is not a list", f.Kind.Item)
		}
		for i, c := range n.Content {
			var v T
			at := fmt.Sprintf("%s[%d]", path, i+1)
			f.Lines[at] = c.Line
			if err := f.mapping(at, c, keys(&v)); err != nil {
				return err
			}
			*into = append(*into, v)
		}
		return nil
	}
}

// mapping reads a mapping with known keys, each at most once.
func (f *File) mapping(path string, n *yaml.Node, known []Key) error {
	in := path
	if path == "" {
		in = "the file"
	}
	names := make([]string, len(known))
	for i, k := range known {
		names[i] = k.Name
	}
	listed := strings.Join(names, ", ")
	if n.Kind != yaml.MappingNode {
		return f.Bad(n.Line, in+" does not hold keys", "write "+listed+`, each as "key: value"`)
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, given := n.Content[i], n.Content[i+1]
		var read Take
		for _, k := range known {
			if name.Kind == yaml.ScalarNode && k.Name == name.Value {
				read = k.Take
			}
		}
		if read == nil {
			return f.Bad(name.Line, fmt.Sprintf("%s has no key %q", in, name.Value), "known here: "+listed)
		}
		at := strings.TrimPrefix(path+"."+name.Value, ".")
		if first := f.Lines[at]; first > 0 {
			return f.Bad(name.Line, fmt.Sprintf("%s is given twice, first on line %d", at, first), "keep one of them")
		}
		f.Lines[at], f.Nodes[at] = name.Line, given
		if err := read(at, given); err != nil {
			return err
		}
	}
	return nil
}

// Scalar reads a plain value by parse, whose error says what is wrong with it. The example shows how one is written.
func (f *File) Scalar(example string, parse func(string) error) Take {
	return func(path string, n *yaml.Node) error {
		if n.Kind != yaml.ScalarNode || n.Style&yaml.TaggedStyle != 0 || strings.TrimSpace(n.Value) == "" || n.ShortTag() == "!!null" {
			return f.Bad(n.Line, path+" has no plain value", "write one, such as "+example+", or take the key away when it is not known")
		}
		err := parse(n.Value)
		if err == nil {
			return nil
		}
		what := err.Error()
		if t := new(trouble.Trouble); errors.As(err, &t) {
			what = t.What
		}
		return f.Bad(n.Line, path+": "+what, "write it like "+example).Because(err)
	}
}

// Yes reads yes or no.
func (f *File) Yes(into *bool) Take {
	return f.Scalar("yes", func(s string) error {
		switch strings.ToLower(s) {
		case "yes", "true":
			*into = true
		case "no", "false":
			*into = false
		default:
			return fmt.Errorf("%q is neither yes nor no", s)
		}
		return nil
	})
}

// Count reads a whole number from 0 to most.
func (f *File) Count(example string, most int, into *int) Take {
	return f.Scalar(example, func(s string) (err error) {
		if *into, err = strconv.Atoi(s); err != nil || *into < 0 || *into > most {
			return fmt.Errorf("%q is not a whole number up to %d", s, most)
		}
		return nil
	})
}
