package specfile

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed"
	"slatewright/measure"
	"slatewright/trouble"
)

// scalar returns the text of a plain value.
func (r *reader) scalar(path string, n *yaml.Node, example string) (string, error) {
	switch {
	case n.Kind == yaml.AliasNode:
		return "", r.badNode(path, n, "refers to another place of the file", "write the value itself")
	case n.Kind != yaml.ScalarNode:
		return "", r.badNode(path, n, "a list or keys where one value is wanted", "write one value, such as "+example)
	case n.Style&yaml.TaggedStyle != 0:
		return "", r.badNode(path, n, "a value with a tag ("+n.Tag+")", "write the value alone, such as "+example)
	case strings.TrimSpace(n.Value) == "" || n.ShortTag() == "!!null":
		return "", r.badNode(path, n, "no value", "write one, such as "+example+", or take the key away")
	}
	return n.Value, nil
}

// parsed makes a value of a function that reads its text.
func (r *reader) parsed(example string, parse func(string) error) value {
	return func(path string, n *yaml.Node) error {
		text, err := r.scalar(path, n, example)
		if err != nil {
			return err
		}
		if err := parse(text); err != nil {
			return r.unreadable(path, n, example, err)
		}
		return nil
	}
}

// unreadable reports a value that a reader of quantities refused, in that reader's words.
func (r *reader) unreadable(path string, n *yaml.Node, example string, err error) error {
	what, next := err.Error(), ""
	if t := new(trouble.Trouble); errors.As(err, &t) {
		what, next = t.What, t.Next
	}
	if next == "" {
		next = "write it like " + example
	}
	return r.badNode(path, n, what, next).Because(err)
}

// number makes a parse function of one that returns a number. "-0 mm" is 0.
func number(into *float64, parse func(string) (float64, error)) func(string) error {
	return func(text string) error {
		v, err := parse(text)
		*into = v + 0
		return err
	}
}

func (r *reader) text(into *string) value {
	return r.parsed("a word or a short line", func(text string) error {
		*into = text
		return nil
	})
}

func (r *reader) length(into *float64) value {
	return r.parsed("25.4 mm or 0.005 in", number(into, measure.ParseLength))
}

func (r *reader) density(into *float64) value {
	return r.parsed("2790 kg/m3", number(into, measure.ParseDensity))
}

func (r *reader) size(x, y *float64) value {
	return r.parsed("2743 x 1473 mm", func(text string) (err error) {
		*x, *y, err = measure.ParseSize(text)
		return err
	})
}

func (r *reader) count(into *int) value {
	return r.parsed("3", func(text string) (err error) {
		*into, err = strconv.Atoi(text)
		if err != nil {
			return fmt.Errorf("%q is not a whole number", text)
		}
		return nil
	})
}

// list reads each item of a list by take.
func (r *reader) list(path string, n *yaml.Node, example string, take func(path string, i int, item *yaml.Node) error) error {
	if n.Kind != yaml.SequenceNode {
		return r.badNode(path, n, "one value where a list is wanted", "write a list, such as "+example)
	}
	for i, item := range n.Content {
		at := fmt.Sprintf("%s[%d]", path, i)
		r.lines[at] = item.Line
		if err := take(at, i, item); err != nil {
			return err
		}
	}
	return nil
}

func (r *reader) lengths(into *[]float64) value {
	return func(path string, n *yaml.Node) error {
		return r.list(path, n, "[0.05 mm, 0.1 mm]", func(at string, _ int, item *yaml.Node) error {
			*into = append(*into, 0)
			return r.length(&(*into)[len(*into)-1])(at, item)
		})
	}
}

// points reads a list of positions, each a list of x and y.
func (r *reader) points(into *[][2]float64) value {
	const example = "[-380 mm, 520 mm]"
	return func(path string, n *yaml.Node) error {
		return r.list(path, n, "- "+example, func(at string, _ int, item *yaml.Node) error {
			if item.Kind != yaml.SequenceNode || len(item.Content) != 2 {
				return r.badNode(at, item, "a position is two lengths, x along the table and y across it", "write it like "+example)
			}
			var p [2]float64
			for axis, name := range [2]string{"x", "y"} {
				if err := r.length(&p[axis])(at+"."+name, item.Content[axis]); err != nil {
					return err
				}
			}
			*into = append(*into, p)
			return nil
		})
	}
}

// supports reads the supports of the places: "each" for all that have none of their own.
func (r *reader) supports(into *[3][][2]float64) value {
	return func(path string, n *yaml.Node) error {
		var each [][2]float64
		keys := []key{{"each", r.points(&each)}}
		for _, p := range bed.Places() {
			keys = append(keys, key{p.String(), r.points(&into[p])})
		}
		if err := r.mapping(path, n, keys); err != nil {
			return err
		}
		for _, p := range bed.Places() {
			at := path + "." + p.String()
			if r.lines[at] > 0 {
				continue
			}
			for i, point := range each {
				into[p] = append(into[p], point)
				r.lines[fmt.Sprintf("%s[%d]", at, i)] = r.lines[fmt.Sprintf("%s.each[%d]", path, i)]
			}
		}
		return nil
	}
}

// decision reads the rule and its risk. Two rules have a risk of their own; the third needs one.
func (r *reader) decision(into *bed.Decision) value {
	return func(path string, n *yaml.Node) error {
		err := r.mapping(path, n, []key{
			{"rule", r.text(&into.Rule)},
			{"consumer_risk", r.parsed("0.02 or 2 %", number(&into.Risk, parseShare))},
		})
		if err != nil || r.lines[path+".consumer_risk"] > 0 {
			return err
		}
		switch into.Rule {
		case bed.RuleSimple:
			into.Risk = bed.SimpleRisk
		case bed.RuleISO14253:
			into.Risk = bed.ISO14253Risk
		case bed.RuleGuardBand:
			return r.badNode(path, n, "the rule guard-band needs the consumer's risk that it is made for", "add a line consumer_risk: 0.02 with the risk you offer")
		}
		return nil
	}
}

// parseShare reads a share of one, also in per cent.
func parseShare(text string) (float64, error) {
	if number, percent := strings.CutSuffix(text, "%"); percent {
		share, err := measure.ParseNumber(strings.TrimSpace(number))
		return share / 100, err
	}
	return measure.ParseNumber(text)
}

func (r *reader) levels(into *[]bed.Level) value {
	return func(path string, n *yaml.Node) error {
		*into = nil
		return r.list(path, n, "[0.02 mm/m]", func(at string, _ int, item *yaml.Node) error {
			return r.parsed("0.02 mm/m or 0.0005 in/ft", func(text string) error {
				l, err := parseLevel(text)
				*into = append(*into, l)
				return err
			})(at, item)
		})
	}
}

// parseLevel reads the division of a level, a rise over one unit of length.
func parseLevel(text string) (bed.Level, error) {
	cut := strings.LastIndex(text, "/")
	if cut < 0 {
		return bed.Level{}, fmt.Errorf("%q is not the division of a level: there is no /", text)
	}
	rise, err := measure.ParseLength(strings.TrimSpace(text[:cut]))
	if err != nil {
		return bed.Level{}, err
	}
	over, err := measure.ParseLength("1 " + strings.TrimSpace(text[cut+1:]))
	if err != nil {
		return bed.Level{}, err
	}
	return bed.Level{Division: text, Rise: rise, Over: over}, nil
}
