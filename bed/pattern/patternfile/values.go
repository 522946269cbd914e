package patternfile

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed/pattern/sums"
	"slatewright/measure"
	"slatewright/spelling"
)

// parsed makes a value of a function that reads its text.
func (r *reader) parsed(example string, parse func(string) error) value {
	return value{r.Scalar(example, parse), form{kind: formText, example: example}}
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

// choice is one of the words.
func choice[T ~string](r *reader, into *T, words ...T) value {
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = string(w)
	}
	v := value{form: form{kind: formChoice, words: list}}
	v.take = func(path string, n *yaml.Node) error {
		text, err := r.Plain(path, n, list[0])
		if err != nil {
			return err
		}
		if !slices.Contains(list, text) {
			next := "write one of: " + strings.Join(list, ", ")
			if near := spelling.Nearest(text, list); near != "" {
				next = "did you mean " + near + "?"
			}
			return r.BadValue(path, n, fmt.Sprintf("%q is not known here", text), next)
		}
		*into = T(text)
		return nil
	}
	return v
}

// sum is a value of one dimension, plain or as a sum.
func (r *reader) sum(into *float64, want sums.Quantity, example string) value {
	return value{func(path string, n *yaml.Node) error {
		text, err := r.Plain(path, n, example)
		if err != nil {
			return err
		}
		q, err := r.quantity(path, n, text)
		if err != nil {
			return err
		}
		if !q.Like(want) {
			return r.unlike(path, n, text, q, want, example)
		}
		*into = q.Value
		return nil
	}, form{kind: formSum, example: example}}
}

// unlike reports a quantity of another dimension than the one wanted.
func (r *reader) unlike(path string, n *yaml.Node, text string, q, want sums.Quantity, example string) error {
	if want.Like(sums.Length) && q.Like(sums.Number) {
		if _, err := measure.ParseLength(text); !strings.ContainsAny(text, "+−*/()") {
			return r.Unreadable(path, n, example, err)
		}
	}
	return r.BadValue(path, n, fmt.Sprintf("%s where %s is wanted", q.Kind(), want.Kind()), "write it like "+example)
}

func (r *reader) length(into *float64) value { return r.sum(into, sums.Length, "25.4 mm or 0.005 in") }

func (r *reader) angle(into *float64) value { return r.sum(into, sums.Angle, "142 deg") }

func (r *reader) density(into *float64) value {
	return r.parsed("2790 kg/m3", number(into, measure.ParseDensity))
}

var times = regexp.MustCompile(`\s+[xX]\s+|\s*×\s*`)

// size is two lengths, along the table by across it; each may be a sum.
func (r *reader) size(x, y *float64) value {
	const example = "2743 x 1473 mm"
	return value{func(path string, n *yaml.Node) error {
		text, err := r.Plain(path, n, example)
		if err != nil {
			return err
		}
		a, b, err := measure.ParseSize(text)
		if err == nil {
			*x, *y = a, b
			return nil
		}
		parts := times.Split(text, -1)
		if len(parts) != 2 {
			return r.Unreadable(path, n, example, err)
		}
		for i, into := range [2]*float64{x, y} {
			q, sumErr := r.quantity(path, n, parts[i])
			if sumErr != nil {
				return sumErr
			}
			if !q.Like(sums.Length) || !(q.Value > 0) {
				return r.Unreadable(path, n, example, err)
			}
			*into = q.Value
		}
		return nil
	}, form{kind: formSum, example: example}}
}

func (r *reader) count(into *int) value {
	v := r.parsed("3", func(text string) (err error) {
		*into, err = strconv.Atoi(text)
		if err != nil {
			return fmt.Errorf("%q is not a whole number", text)
		}
		return nil
	})
	v.form.kind = formCount
	return v
}

// list reads each item of a list by take.
func (r *reader) list(path string, n *yaml.Node, example string, take func(path string, i int, item *yaml.Node) error) error {
	if n.Kind != yaml.SequenceNode {
		return r.BadValue(path, n, "one value where a list is wanted", "write a list, such as "+example)
	}
	for i, item := range n.Content {
		at := fmt.Sprintf("%s[%d]", path, i)
		r.Lines[at] = item.Line
		if err := take(at, i, item); err != nil {
			return err
		}
	}
	return nil
}

func (r *reader) lengths(into *[]float64, example string) value {
	item := r.length(new(float64)).form
	return value{func(path string, n *yaml.Node) error {
		return r.list(path, n, example, func(at string, _ int, item *yaml.Node) error {
			*into = append(*into, 0)
			return r.length(&(*into)[len(*into)-1]).take(at, item)
		})
	}, form{kind: formList, item: &item}}
}

const aPosition = "[-380 mm, 520 mm]"

// point reads a position: a list of x and y.
func (r *reader) point(into *[2]float64) value {
	item := r.length(new(float64)).form
	return value{func(path string, n *yaml.Node) error {
		if n.Kind != yaml.SequenceNode || len(n.Content) != 2 {
			return r.BadValue(path, n, "a position is two lengths, x along the table and y across it", "write it like "+aPosition)
		}
		for axis, name := range [2]string{"x", "y"} {
			if err := r.length(&into[axis]).take(path+"."+name, n.Content[axis]); err != nil {
				return err
			}
		}
		return nil
	}, form{kind: formList, item: &item}}
}

// points reads a list of positions.
func (r *reader) points(into *[][2]float64) value {
	item := r.point(new([2]float64)).form
	return value{func(path string, n *yaml.Node) error {
		return r.list(path, n, "- "+aPosition, func(at string, _ int, item *yaml.Node) error {
			*into = append(*into, [2]float64{})
			return r.point(&(*into)[len(*into)-1]).take(at, item)
		})
	}, form{kind: formList, item: &item}}
}
