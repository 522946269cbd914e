package keyed

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/spelling"
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
	names := make([]string, len(known))
	for i, k := range known {
		names[i] = k.Name
	}
	in := path
	if path == "" {
		in = "the file"
	}
	if n.Kind != yaml.MappingNode {
		return f.Bad(n.Line, in+" does not hold keys", "write "+strings.Join(names, ", ")+`, each as "key: value"`)
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, given := n.Content[i], n.Content[i+1]
		k := slices.Index(names, name.Value)
		if k < 0 || name.Kind != yaml.ScalarNode {
			return f.unknown(in, name, names)
		}
		at := strings.TrimPrefix(path+"."+name.Value, ".")
		if err := f.Once(at, name); err != nil {
			return err
		}
		if f.Nodes[at] = given; given.Kind == yaml.AliasNode {
			return f.BadValue(at, given, "refers to another place of the file", "write the value itself")
		}
		if err := known[k].Take(at, given); err != nil {
			return err
		}
	}
	return nil
}

// unknown is a key that is not among the names, with the one that may be meant.
func (f *File) unknown(in string, name *yaml.Node, names []string) error {
	next := "known here: " + strings.Join(names, ", ")
	if name.Kind != yaml.ScalarNode {
		return f.Bad(name.Line, "a key that is not a word", next)
	}
	if near := spelling.Nearest(name.Value, names); near != "" {
		next = "did you mean " + near + "?"
	}
	return f.Bad(name.Line, fmt.Sprintf("%s has no key %q", in, name.Value), next)
}

// Once keeps the line of a key or name, which may stand only once.
func (f *File) Once(path string, name *yaml.Node) error {
	if first := f.Lines[path]; first > 0 {
		return f.Bad(name.Line, fmt.Sprintf("%s is given twice, first on line %d", path, first), "keep one of them")
	}
	f.Lines[path] = name.Line
	return nil
}

// Plain is the text of a plain value. The example shows how one is written.
func (f *File) Plain(path string, n *yaml.Node, example string) (string, error) {
	switch {
	case n.Kind == yaml.AliasNode:
		return "", f.BadValue(path, n, "refers to another place of the file", "write the value itself")
	case n.Kind != yaml.ScalarNode:
		return "", f.BadValue(path, n, "a list or keys where one value is wanted", "write one value, such as "+example)
	case n.Style&yaml.TaggedStyle != 0:
		return "", f.BadValue(path, n, "a value with a tag ("+n.Tag+")", "write the value alone, such as "+example)
	case strings.TrimSpace(n.Value) == "" || n.ShortTag() == "!!null":
		return "", f.BadValue(path, n, "no value", "write one, such as "+example+", or take the key away")
	}
	return n.Value, nil
}

// Scalar reads a plain value by parse, whose error says what is wrong with it.
func (f *File) Scalar(example string, parse func(string) error) Take {
	return func(path string, n *yaml.Node) error {
		text, err := f.Plain(path, n, example)
		if err != nil {
			return err
		}
		if err := parse(text); err != nil {
			return f.Unreadable(path, n, example, err)
		}
		return nil
	}
}

// Unreadable is a value that a reader of quantities refused, in that reader's words.
func (f *File) Unreadable(path string, n *yaml.Node, example string, err error) error {
	what, next := err.Error(), ""
	if t := new(trouble.Trouble); errors.As(err, &t) {
		what, next = t.What, t.Next
	}
	if next == "" {
		next = "write it like " + example
	}
	return f.BadValue(path, n, what, next).Because(err)
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
