package machinefile

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/surfacing/machine"
	"slatewright/trouble"
)

// take reads the value of a key found at path.
type take func(path string, n *yaml.Node) error

type key struct {
	name string
	take take
}

// reader carries where things stand in the file being read, by paths such as "stages[2].speed".
type reader struct {
	name  string
	lines map[string]int
	nodes map[string]*yaml.Node
}

// keys lists what a machine file may say.
func (r *reader) keys(m *machine.Machine, headOf *[]string) []key {
	t, h, w, p := &m.Table, &m.Hold, &m.Times, &m.Prices
	return []key{
		{"name", r.text(&m.Name)},
		{"invented", r.yes(&m.Invented)},
		{"heads", each(r, &m.Heads, r.head)},
		{"stages", each(r, &m.Stages, func(s *machine.Stage) []key {
			*headOf = append(*headOf, "")
			return r.stage(s, &(*headOf)[len(*headOf)-1])
		})},
		{"table", r.group(
			key{"x", r.size(length, &t.X)}, key{"y", r.size(length, &t.Y)}, key{"bed", r.known(length, &t.Bed)}, key{"ways", r.known(length, &t.Ways)},
			key{"pitch", r.size(length, &t.Pitch)}, key{"rezero", r.yes(&t.Rezero)}, key{"setting", r.size(length, &t.Setting)})},
		{"hold", r.group(key{"pressure", r.size(pressure, &h.Pressure)}, key{"free", r.known(length, &h.Free)})},
		{"times", r.group(
			key{"setup", r.size(minutes, &w.Setup)}, key{"free", r.size(minutes, &w.Free)}, key{"flip", r.size(minutes, &w.Flip)}, key{"change", r.size(minutes, &w.Change)},
			key{"pass", r.size(minutes, &w.Pass)}, key{"turn", r.size(seconds, &w.Turn)}, key{"bits", r.size(minutes, &w.Bits)})},
		{"prices", r.group(key{"currency", r.text(&p.Currency)}, key{"hour", r.price(&p.Hour)}, key{"water", r.price(&p.Water)}, key{"power", r.price(&p.Power)})},
		{"history", each(r, &m.History, r.observation)},
	}
}

func (r *reader) head(h *machine.Head) []key {
	return []key{{"name", r.text(&h.Name)}, {"power", r.size(power, &h.Power)}, {"stiffness", r.known(stiffness, &h.Stiffness)},
		{"tilt_along", r.known(tilt, &h.TiltAlong)}, {"tilt_across", r.known(tilt, &h.TiltAcross)}, {"water", r.size(flow, &h.Water)}}
}

func (r *reader) stage(s *machine.Stage, head *string) []key {
	d := &s.Disc
	return []key{{"name", r.text(&s.Name)}, {"head", r.text(head)}, {"grit", r.text(&s.Grit)}, {"diameter", r.size(length, &d.Diameter)}, {"bits", r.count(&d.Bits)},
		{"bit_area", r.size(area, &d.BitArea)}, {"bit_height", r.size(length, &d.BitHeight)}, {"bit_price", r.price(&d.Price)}, {"rotor_mass", r.size(mass, &d.Mass)},
		{"balance_grade", r.size(grade, &d.Grade)}, {"height_band", r.size(length, &d.Band)}, {"speed", r.size(turns, &s.Speed)},
		{"depth", r.span(length, &s.DepthMin, &s.DepthMax)}, {"depth_step", r.size(length, &s.Step)}, {"feed", r.span(feed, &s.FeedMin, &s.FeedMax)},
		{"rim", r.span(rim, &s.RimMin, &s.RimMax)}, {"g_ratio", r.known(ratio, &s.G)}, {"energy", r.known(energy, &s.Energy)}, {"normal_force", r.known(ratio, &s.Normal)},
		{"damage", r.size(length, &s.Damage)}}
}

// group is a mapping below a key.
func (r *reader) group(keys ...key) take {
	return func(path string, n *yaml.Node) error { return r.mapping(path, n, keys) }
}

// each reads a list of mappings.
func each[T any](r *reader, into *[]T, keys func(*T) []key) take {
	return func(path string, n *yaml.Node) error {
		if n.Kind != yaml.SequenceNode {
			return r.bad(n.Line, path+" is not a list", `begin each item with "- name: …"`)
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
		r.lines[at], r.nodes[at] = name.Line, given
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

func (r *reader) text(into *string) take {
	return r.scalar("a word", func(s string) error { *into = s; return nil })
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
	return r.scalar("96", func(s string) (err error) {
		if *into, err = strconv.Atoi(s); err != nil || *into < 0 || *into > 10000 {
			return fmt.Errorf("%q is not a whole number up to 10000", s)
		}
		return nil
	})
}

func (r *reader) price(into **float64) take {
	var v float64
	return r.scalar("12.50", func(s string) (err error) {
		*into = &v
		v, err = number(s)
		return err
	})
}

func (r *reader) size(q quantity, into *float64) take {
	return r.scalar(q.like, func(s string) (err error) { *into, err = q.value(s); return err })
}

func (r *reader) known(q quantity, into *machine.Known) take {
	return r.scalar(q.sure, func(s string) (err error) { *into, err = q.known(s); return err })
}

func (r *reader) span(q quantity, low, high *float64) take {
	return r.scalar(q.span, func(s string) (err error) { *low, *high, err = q.between(s); return err })
}
