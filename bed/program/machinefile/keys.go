package machinefile

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed/program/machine"
	"slatewright/keyed"
)

// reader is the file that is being read.
type reader struct{ *keyed.File }

// keys lists what a machine file may say.
func (r *reader) keys(m *machine.Machine) []keyed.Key {
	k, b := &m.Control, &m.Break
	return []keyed.Key{
		keyed.Of("name", r.text(&m.Name)),
		keyed.Of("invented", r.Yes(&m.Invented)),
		keyed.Of("control", r.Group(
			keyed.Of("knows", r.words(&k.Knows)), keyed.Of("holes", r.one(map[string]bool{"plain": false, "canned": true}, &k.Canned)), keyed.Of("decimals", r.count(&k.Places)),
			keyed.Of("numbers", r.count(&k.Numbers)), keyed.Of("header", r.words(&k.Header)), keyed.Of("footer", r.words(&k.Footer)), keyed.Of("change", r.text(&k.Change)),
			keyed.Of("length", r.text(&k.Length)), keyed.Of("spindle_on", r.text(&k.Start)), keyed.Of("spindle_off", r.text(&k.Stop)), keyed.Of("water_on", r.text(&k.Water)),
			keyed.Of("water_off", r.text(&k.Dry)), keyed.Of("pause", r.text(&k.Pause)))),
		keyed.Of("travel", r.Group(keyed.Of("x", r.span(length, &m.X)), keyed.Of("y", r.span(length, &m.Y)), keyed.Of("z", r.span(length, &m.Z)))),
		keyed.Of("work", r.Group(keyed.Of("word", r.text(&m.Work)), keyed.Of("x", r.size(length, &m.WorkX)), keyed.Of("y", r.size(length, &m.WorkY)), keyed.Of("z", r.size(length, &m.WorkZ)))),
		keyed.Of("zero", r.Group(keyed.Of("xy", r.text((*string)(&m.ZeroXY))), keyed.Of("z", r.text((*string)(&m.ZeroZ))))),
		keyed.Of("heights", r.Group(keyed.Of("clear", r.size(length, &m.Clear)), keyed.Of("near", r.size(length, &m.Near)))),
		keyed.Of("router", r.Group(keyed.Of("lead", r.size(length, &m.Lead)), keyed.Of("ramp", r.size(share, &m.Ramp)), keyed.Of("over", r.size(share, &m.Over)))),
		keyed.Of("rapid", r.Group(keyed.Of("xy", r.size(feed, &m.Rapid.XY)), keyed.Of("z", r.size(feed, &m.Rapid.Z)))),
		keyed.Of("acceleration", r.Group(keyed.Of("xy", r.size(acceleration, &m.Accelerate.XY)), keyed.Of("z", r.size(acceleration, &m.Accelerate.Z)))),
		keyed.Of("breakthrough", r.Group(
			keyed.Of("way", r.text((*string)(&b.Way))), keyed.Of("board", r.size(length, &b.Board)), keyed.Of("into", r.size(length, &b.Into)), keyed.Of("last", r.size(length, &b.Last)),
			keyed.Of("feed", r.size(share, &b.Share)), keyed.Of("overlap", r.size(length, &b.Overlap)), keyed.Of("web", r.size(length, &b.Web)), keyed.Of("pause", r.Yes(&b.Pause)))),
		keyed.Of("times", r.Group(keyed.Of("change", r.size(seconds, &m.ChangeTime)), keyed.Of("spindle", r.size(seconds, &m.SpindleTime)))),
		keyed.Of("water", r.size(flow, &m.Flow)),
		keyed.Of("tools", keyed.Each(r.File, &m.Tools, r.tool)),
	}
}

func (r *reader) tool(t *machine.Tool) []keyed.Key {
	return []keyed.Key{keyed.Of("number", r.count(&t.Number)), keyed.Of("name", r.text(&t.Name)), keyed.Of("kind", r.text((*string)(&t.Kind))), keyed.Of("diameter", r.size(length, &t.Diameter)),
		keyed.Of("wall", r.size(length, &t.Wall)), keyed.Of("angle", r.size(angle, &t.Angle)), keyed.Of("tip", r.size(length, &t.Tip)), keyed.Of("reach", r.size(length, &t.Reach)),
		keyed.Of("speed", r.size(turns, &t.Speed)), keyed.Of("feed", r.size(feed, &t.Feed)), keyed.Of("plunge", r.size(feed, &t.Plunge)), keyed.Of("step", r.size(length, &t.Step))}
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

func (r *reader) text(into *string) keyed.Take {
	return r.Scalar("M8", func(s string) error { *into = strings.TrimSpace(s); return printable(s) })
}

// words reads a list of texts.
func (r *reader) words(into *[]string) keyed.Take {
	return func(path string, n *yaml.Node) error {
		if n.Kind != yaml.SequenceNode {
			return r.Bad(n.Line, path+" is not a list", "write it like [G90, G21]")
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
func (r *reader) one(known map[string]bool, into *bool) keyed.Take {
	return r.Scalar("plain", func(s string) error {
		v, ok := known[strings.ToLower(s)]
		if *into = v; !ok {
			return fmt.Errorf("%q is neither plain nor canned", s)
		}
		return nil
	})
}

func (r *reader) count(into *int) keyed.Take { return r.Count("3", 9999, into) }

func (r *reader) size(q quantity, into *float64) keyed.Take {
	return r.Scalar(q.like, func(s string) (err error) { *into, err = q.value(s); return err })
}

func (r *reader) span(q quantity, into *machine.Span) keyed.Take {
	return r.Scalar("0 to 3000 mm", func(s string) (err error) { *into, err = q.between(s); return err })
}
