package machinefile

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed/program/machine"
	"slatewright/trouble"
)

// take reads the value of a key found at path.
type take func(path string, n *yaml.Node) error

type key struct {
	name string
	take take
}

// reader carries where things stand in the file being read, by paths such as "tools[2].speed".
type reader struct {
	name  string
	lines map[string]int
}

// keys lists what a machine file may say.
func (r *reader) keys(m *machine.Machine) []key {
	k, b := &m.Control, &m.Break
	return []key{
		{"name", r.text(&m.Name)},
		{"invented", r.yes(&m.Invented)},
		{"control", r.group(
			key{"knows", r.words(&k.Knows)}, key{"holes", r.one(map[string]bool{"plain": false, "canned": true}, &k.Canned)}, key{"decimals", r.count(&k.Places)},
			key{"numbers", r.count(&k.Numbers)}, key{"header", r.words(&k.Header)}, key{"footer", r.words(&k.Footer)}, key{"change", r.text(&k.Change)},
			key{"length", r.text(&k.Length)}, key{"spindle_on", r.text(&k.Start)}, key{"spindle_off", r.text(&k.Stop)}, key{"water_on", r.text(&k.Water)},
			key{"water_off", r.text(&k.Dry)}, key{"pause", r.text(&k.Pause)})},
		{"travel", r.group(key{"x", r.span(length, &m.X)}, key{"y", r.span(length, &m.Y)}, key{"z", r.span(length, &m.Z)})},
		{"work", r.group(key{"word", r.text(&m.Work)}, key{"x", r.size(length, &m.WorkX)}, key{"y", r.size(length, &m.WorkY)}, key{"z", r.size(length, &m.WorkZ)})},
		{"zero", r.group(key{"xy", r.text((*string)(&m.ZeroXY))}, key{"z", r.text((*string)(&m.ZeroZ))})},
		{"heights", r.group(key{"clear", r.size(length, &m.Clear)}, key{"near", r.size(length, &m.Near)})},
		{"router", r.group(key{"lead", r.size(length, &m.Lead)}, key{"ramp", r.size(share, &m.Ramp)}, key{"over", r.size(share, &m.Over)})},
		{"rapid", r.group(key{"xy", r.size(feed, &m.Rapid.XY)}, key{"z", r.size(feed, &m.Rapid.Z)})},
		{"acceleration", r.group(key{"xy", r.size(acceleration, &m.Accelerate.XY)}, key{"z", r.size(acceleration, &m.Accelerate.Z)})},
		{"breakthrough", r.group(
			key{"way", r.text((*string)(&b.Way))}, key{"board", r.size(length, &b.Board)}, key{"into", r.size(length, &b.Into)}, key{"last", r.size(length, &b.Last)},
			key{"feed", r.size(share, &b.Share)}, key{"overlap", r.size(length, &b.Overlap)}, key{"web", r.size(length, &b.Web)}, key{"pause", r.yes(&b.Pause)})},
		{"times", r.group(key{"change", r.size(seconds, &m.ChangeTime)}, key{"spindle", r.size(seconds, &m.SpindleTime)})},
		{"water", r.size(flow, &m.Flow)},
		{"tools", each(r, &m.Tools, r.tool)},
	}
}

func (r *reader) tool(t *machine.Tool) []key {
	return []key{{"number", r.count(&t.Number)}, {"name", r.text(&t.Name)}, {"kind", r.text((*string)(&t.Kind))}, {"diameter", r.size(length, &t.Diameter)},
		{"wall", r.size(length, &t.Wall)}, {"angle", r.size(angle, &t.Angle)}, {"tip", r.size(length, &t.Tip)}, {"reach", r.size(length, &t.Reach)},
		{"speed", r.size(turns, &t.Speed)}, {"feed", r.size(feed, &t.Feed)}, {"plunge", r.size(feed, &t.Plunge)}, {"step", r.size(length, &t.Step)}}
}

// group is a mapping below a key.
func (r *reader) group(keys ...key) take {
	return func(path string, n *yaml.Node) error { return r.mapping(path, n, keys) }
}

// each reads a list of mappings.
func each[T any](r *reader, into *[]T, keys func(*T) []key) take {
	return func(path string, n *yaml.Node) error {
		if n.Kind != yaml.SequenceNode {
			return r.bad(n.Line, path+" is not a list", `begin each item with "- number: …"`)
		}
		for i, c := range n.Content {
			var v T
			at := fmt.Sprintf("%s[%d]", path, i+1)
			r.lines[at] = c.Line
			if err := r.mapping(at, c, keys(&v)); err != nil {
				return err
			}
			*into = append(*into, v)
		}
		return nil
	}
}

// mapping reads a mapping with known keys, each at most once.
func (r *reader) mapping(path string, n *yaml.Node, known []key) error {
	in := path
	if path == "" {
		in = "the file"
	}
	names := make([]string, len(known))
	for i, k := range known {
		names[i] = k.name
	}
	listed := strings.Join(names, ", ")
	if n.Kind != yaml.MappingNode {
		return r.bad(n.Line, in+" does not hold keys", "write "+listed+`, each as "key: value"`)
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, given := n.Content[i], n.Content[i+1]
		var read take
		for _, k := range known {
			if name.Kind == yaml.ScalarNode && k.name == name.Value {
				read = k.take
			}
		}
		if read == nil {
			return r.bad(name.Line, fmt.Sprintf("%s has no key %q", in, name.Value), "known here: "+listed)
		}
		at := strings.TrimPrefix(path+"."+name.Value, ".")
		if first := r.lines[at]; first > 0 {
			return r.bad(name.Line, fmt.Sprintf("%s is given twice, first on line %d", at, first), "keep one of them")
		}
		r.lines[at] = name.Line
		if err := read(at, given); err != nil {
			return err
		}
	}
	return nil
}

// scalar reads a plain value by parse.
func (r *reader) scalar(example string, parse func(string) error) take {
	return func(path string, n *yaml.Node) error {
		if n.Kind != yaml.ScalarNode || n.Style&yaml.TaggedStyle != 0 || strings.TrimSpace(n.Value) == "" || n.ShortTag() == "!!null" {
			return r.bad(n.Line, path+" has no plain value", "write one, such as "+example+", or take the key away when it is not known")
		}
		err := parse(n.Value)
		if err == nil {
			return nil
		}
		what := err.Error()
		if t := new(trouble.Trouble); errors.As(err, &t) {
			what = t.What
		}
		return r.bad(n.Line, path+": "+what, "write it like "+example).Because(err)
	}
}

// printable refuses what a program's text cannot hold.
func printable(s string) error {
	for _, c := range s {
		if c < ' ' || c > '~' {
			return fmt.Errorf("%q has a character that a control may not take", s)
		}
	}
	return nil
}

func (r *reader) text(into *string) take {
	return r.scalar("M8", func(s string) error { *into = strings.TrimSpace(s); return printable(s) })
}

// words reads a list of texts.
func (r *reader) words(into *[]string) take {
	return func(path string, n *yaml.Node) error {
		if n.Kind != yaml.SequenceNode {
			return r.bad(n.Line, path+" is not a list", "write it like [G90, G21]")
		}
		for i, c := range n.Content {
			var s string
			if err := r.text(&s)(fmt.Sprintf("%s[%d]", path, i+1), c); err != nil {
				return err
			}
			*into = append(*into, s)
		}
		return nil
	}
}

// one reads one of a few words.
func (r *reader) one(known map[string]bool, into *bool) take {
	return r.scalar("plain", func(s string) error {
		v, ok := known[strings.ToLower(s)]
		if *into = v; !ok {
			return fmt.Errorf("%q is neither plain nor canned", s)
		}
		return nil
	})
}

func (r *reader) yes(into *bool) take {
	return r.scalar("yes", func(s string) error {
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

func (r *reader) count(into *int) take {
	return r.scalar("3", func(s string) (err error) {
		if *into, err = strconv.Atoi(s); err != nil || *into < 0 || *into > 9999 {
			return fmt.Errorf("%q is not a whole number up to 9999", s)
		}
		return nil
	})
}

func (r *reader) size(q quantity, into *float64) take {
	return r.scalar(q.like, func(s string) (err error) { *into, err = q.value(s); return err })
}

func (r *reader) span(q quantity, into *machine.Span) take {
	return r.scalar("0 to 3000 mm", func(s string) (err error) { *into, err = q.between(s); return err })
}
