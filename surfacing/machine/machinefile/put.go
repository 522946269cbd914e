package machinefile

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/surfacing/machine"
)

// Learnt is one value that work has taught.
type Learnt struct {
	// Path of the value in the file, counted from 1: "stages[2].g_ratio", "heads[1].stiffness".
	Path  string
	Value machine.Known
}

// learnable are the values that can be put into a file, by the last word of their path.
var learnable = map[string]quantity{"stiffness": stiffness, "tilt_along": tilt, "tilt_across": tilt, "g_ratio": ratio, "energy": energy, "normal_force": ratio,
	"bed": length, "ways": length, "free": length}

// Put returns the file's text with these values in it, each on its own line as [Read] reads it; every other byte stays, remarks too. A value
// whose key the file does not have gets no line of its own: that is an error, since nobody was asked where. The result is read and checked.
// The error is a *trouble.Trouble.
func Put(name string, text []byte, values ...Learnt) ([]byte, error) {
	for _, v := range values {
		r := newReader(name)
		if _, err := r.machine(text); err != nil {
			return nil, err
		}
		_, last, _ := cutLast(v.Path, ".")
		q, ok := learnable[last]
		n := r.Nodes[v.Path]
		if !ok || n == nil {
			return nil, r.Bad(0, fmt.Sprintf("there is no %q to put a value into", v.Path), fmt.Sprintf("write the line yourself, such as %s: %s", last, q.sure))
		}
		changed, ok := replaced(string(text), n, q.written(v.Value))
		if !ok {
			return nil, r.Bad(n.Line, v.Path+" is written over several lines", "write it on one line")
		}
		text = []byte(changed)
	}
	r := newReader(name)
	_, err := r.machine(text)
	return text, err
}

// replaced puts a plain value in the place of a node's. A value with a comma is quoted where the node stands between braces.
func replaced(text string, n *yaml.Node, value string) (string, bool) {
	lines := strings.SplitAfter(text, "\n")
	if n.Line < 1 || n.Line > len(lines) {
		return "", false
	}
	line := []rune(lines[n.Line-1])
	old := n.Value
	switch n.Style & (yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle) {
	case yaml.DoubleQuotedStyle:
		old = `"` + old + `"`
	case yaml.SingleQuotedStyle:
		old = "'" + old + "'"
	}
	at, length := n.Column-1, len([]rune(old))
	if at < 0 || at+length > len(line) || string(line[at:at+length]) != old {
		return "", false
	}
	if strings.HasPrefix(old, `"`) || strings.HasPrefix(old, "'") || strings.ContainsAny(string(line[:at]), "{[") {
		value = `"` + value + `"`
	}
	lines[n.Line-1] = string(line[:at]) + value + string(line[at+length:])
	return strings.Join(lines, ""), true
}
