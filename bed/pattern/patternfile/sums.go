package patternfile

import (
	"errors"
	"fmt"

	"go.yaml.in/yaml/v4"

	"slatewright/bed/pattern/sums"
	"slatewright/trouble"
)

// mostNames is far above any real file.
const mostNames = 500

// define reads the file's names and works every one out, used or not.
func (r *reader) define(path string, n *yaml.Node) error {
	if n.Kind != yaml.MappingNode {
		return r.BadValue(path, n, "does not hold names", "write each as \"name: 2540 mm\" on a line of its own")
	}
	if len(n.Content) > 2*mostNames {
		return r.BadValue(path, n, fmt.Sprintf("more than %d names", mostNames), "leave out those that nothing uses")
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, given := n.Content[i], n.Content[i+1]
		if name.Kind != yaml.ScalarNode {
			return r.Bad(name.Line, path+": a name that is not one word", "write it as a word, such as rail_line")
		}
		if err := r.Once(path+"."+name.Value, name); err != nil {
			return err
		}
		text, err := r.Plain(path+"."+name.Value, given, "2540 mm")
		if err != nil {
			return err
		}
		if err := r.names.Define(name.Value, text); err != nil {
			return r.told(path, name, err)
		}
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name := n.Content[i].Value
		if _, err := r.names.Value(name); err != nil {
			return r.told(path+"."+name, n.Content[i], err)
		}
	}
	return nil
}

// quantity works out the text of a value.
func (r *reader) quantity(path string, n *yaml.Node, text string) (sums.Quantity, error) {
	q, err := r.names.Work(text)
	if err != nil {
		return q, r.told(path, n, err)
	}
	return q, nil
}

// told gives a fault of a sum its line: that of the value, or of the name in whose text it lies.
func (r *reader) told(path string, n *yaml.Node, err error) error {
	var t *trouble.Trouble
	switch {
	case !errors.As(err, &t):
		return err
	case t.Where != "":
		return r.BadAt("names."+t.Where, t.What, t.Next).Because(err)
	}
	return r.BadValue(path, n, t.What, t.Next).Because(err)
}
