package costfile

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/measure"
	"slatewright/trouble"
)

// take reads the value of a key; at names it in errors.
type take func(at string, n *yaml.Node) error

type keys map[string]take

type reader struct{ name string }

func (r reader) bad(line int, what, next string) *trouble.Trouble {
	where := r.name
	if line > 0 {
		where = fmt.Sprintf("%s:%d", r.name, line)
	}
	return trouble.Data("bad-costs", where, what, next)
}

// named reads a mapping whose keys are free words, in its order.
func (r reader) named(value func(name string) take) take {
	return func(at string, n *yaml.Node) error {
		seen := map[string]bool{}
		if n.Kind != yaml.MappingNode || len(n.Content) == 0 {
			return r.bad(n.Line, at+" does not hold names with lengths", "write it like {zone: 0.25 mm}")
		}
		for i := 0; i+1 < len(n.Content); i += 2 {
			name := n.Content[i]
			if name.Kind != yaml.ScalarNode || name.Value == "" || seen[name.Value] {
				return r.bad(name.Line, at+": a name is missing or stands there twice", "name each characteristic once")
			}
			seen[name.Value] = true
			if err := value(name.Value)(at+"."+name.Value, n.Content[i+1]); err != nil {
				return err
			}
		}
		return nil
	}
}

// mapping reads a mapping with known keys, each at most once.
func (r reader) mapping(at string, n *yaml.Node, known keys) error {
	if n.Kind != yaml.MappingNode {
		return r.bad(n.Line, at+" does not hold keys", "write "+known.listed())
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name := n.Content[i]
		read, ok := known[name.Value]
		switch {
		case !ok || name.Kind != yaml.ScalarNode:
			return r.bad(name.Line, fmt.Sprintf("%s has no key %q", at, name.Value), "known here: "+known.listed())
		case seen[name.Value]:
			return r.bad(name.Line, fmt.Sprintf("%q is given twice", name.Value), "keep one of them")
		}
		seen[name.Value] = true
		if err := read(name.Value, n.Content[i+1]); err != nil {
			return err
		}
	}
	return nil
}

// each reads a list, each item into a new element.
func each[T any](r reader, into *[]T, item func(at string, n *yaml.Node, to *T) error) take {
	return func(at string, n *yaml.Node) error {
		if n.Kind != yaml.SequenceNode {
			return r.bad(n.Line, at+" is not a list", `begin each item with "- name: …"`)
		}
		for i, c := range n.Content {
			var v T
			if err := item(fmt.Sprintf("%s[%d]", at, i+1), c, &v); err != nil {
				return err
			}
			*into = append(*into, v)
		}
		return nil
	}
}

// scalar reads a plain value by parse.
func (r reader) scalar(example string, parse func(string) error) take {
	return func(at string, n *yaml.Node) error {
		if n.Kind != yaml.ScalarNode || n.Style&yaml.TaggedStyle != 0 || strings.TrimSpace(n.Value) == "" || n.ShortTag() == "!!null" {
			return r.bad(n.Line, at+" has no plain value", "write one, such as "+example+", or take the key away when it is not known")
		}
		if err := parse(n.Value); err != nil {
			what := err.Error()
			if t := new(trouble.Trouble); errors.As(err, &t) {
				what = t.What
			}
			return r.bad(n.Line, at+": "+what, "write it like "+example).Because(err)
		}
		return nil
	}
}

func (r reader) text(into *string) take {
	return r.scalar("a word", func(s string) error { *into = s; return nil })
}

func (r reader) number(into *float64) take {
	return r.scalar("12", func(s string) (err error) { *into, err = measure.ParseNumber(s); return err })
}

func (r reader) price(into **float64) take {
	var v float64
	return func(at string, n *yaml.Node) error {
		*into = &v
		return r.number(&v)(at, n)
	}
}

func (r reader) count(into *int) take {
	return r.scalar("3", func(s string) (err error) {
		if *into, err = strconv.Atoi(s); err != nil {
			return fmt.Errorf("%q is not a whole number", s)
		}
		return nil
	})
}

func (r reader) risk(into *float64) take {
	return r.scalar("0.05", func(s string) (err error) {
		if *into, err = measure.ParseNumber(s); err == nil && !(*into > 0 && *into < 1) {
			return fmt.Errorf("%q is no probability between 0 and 1", s)
		}
		return err
	})
}

func (r reader) length(into *float64) take {
	return r.scalar("0.15 mm", func(s string) (err error) { *into, err = measure.ParseLength(s); return err })
}

// listed names the keys, in the order of the alphabet.
func (k keys) listed() string { return strings.Join(slices.Sorted(maps.Keys(k)), ", ") }
