// Package machinefile reads what a mill knows of a surfacing machine from a YAML file in the mill's hands, and writes back what work
// has taught, leaving every other byte of the file as it is.
//
// Each quantity carries its unit. A value that can be learnt may carry its standard uncertainty and the number of observations behind it, as
// in "1000 ± 250, 12 seen". Keys are strict; an error names the file and the line. A price that is left out is not known.
//
// The package plans nothing (package passes does), learns nothing (package worked does) and knows no machine by name.
package machinefile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/surfacing/machine"
	"slatewright/trouble"
)

// longestFile is far above any real machine file.
const longestFile = 1 << 20

// ReadFile reads the file at path.
func ReadFile(path string) (machine.Machine, error) {
	f, err := os.Open(path)
	if err != nil {
		return machine.Machine{}, trouble.IO("cannot-read", path, "the machine file cannot be opened", "check the path").Because(err)
	}
	defer f.Close()
	return Read(path, f)
}

// Read reads one machine and checks it. The name stands in errors, which are *trouble.Trouble.
func Read(name string, from io.Reader) (machine.Machine, error) {
	text, err := io.ReadAll(io.LimitReader(from, longestFile+1))
	if err != nil {
		return machine.Machine{}, trouble.IO("cannot-read", name, "the machine file cannot be read", "").Because(err)
	}
	return Parse(name, text)
}

// Parse is Read for a file that is in memory.
func Parse(name string, text []byte) (machine.Machine, error) {
	r := reader{name: name, lines: map[string]int{}, nodes: map[string]*yaml.Node{}}
	return r.machine(text)
}

// machine reads and checks the text.
func (r *reader) machine(text []byte) (m machine.Machine, err error) {
	root, err := r.root(text)
	if err != nil {
		return machine.Machine{}, err
	}
	var headOf []string
	if err := r.mapping("", root, r.keys(&m, &headOf)); err != nil {
		return machine.Machine{}, err
	}
	if err := r.lowered(&m, headOf); err != nil {
		return machine.Machine{}, err
	}
	return m, r.atLine(m.Check())
}

// lowered finds the head that each stage names; a machine with one head needs no names.
func (r *reader) lowered(m *machine.Machine, headOf []string) error {
	for i, name := range headOf {
		at := fmt.Sprintf("stages[%d]", i+1)
		found := -1
		for j, h := range m.Heads {
			if h.Name == name || name == "" && len(m.Heads) == 1 {
				found = j
			}
		}
		if found < 0 {
			if r.lines[at+".head"] > 0 {
				at += ".head"
			}
			return r.bad(r.lines[at], fmt.Sprintf("%s: no head is called %q", at, name), "give 'head:' with the name of one of the heads")
		}
		m.Stages[i].Head = found
	}
	for i := range m.Heads {
		for j := range i {
			if m.Heads[i].Name == m.Heads[j].Name {
				return r.bad(r.lines[fmt.Sprintf("heads[%d]", i+1)], fmt.Sprintf("two heads are called %q", m.Heads[i].Name), "give each its own name")
			}
		}
	}
	return nil
}

// root parses the text into one mapping.
func (r *reader) root(text []byte) (*yaml.Node, error) {
	if len(text) > longestFile {
		return nil, r.bad(0, "the file is longer than 1 MiB", "give a machine file written in YAML")
	}
	documents, err := yaml.NewLoader(bytes.NewReader(text), yaml.WithUniqueKeys(false))
	if err != nil {
		return nil, trouble.Own("bad-option", r.name, "the YAML reader refuses its options", "").Because(err)
	}
	var root, second yaml.Node
	switch err := documents.Load(&root); {
	case err == io.EOF || err == nil && len(root.Content) == 0:
		return nil, r.bad(0, "the file is empty", "write at least heads, stages and table")
	case err != nil:
		line := 0
		if at := new(yaml.LoadError); errors.As(err, &at) {
			line = at.Mark.Line
		}
		return nil, r.bad(line, "this is not YAML: "+err.Error(), `write "key: value" lines, and indent with spaces`).Because(err)
	}
	if err := documents.Load(&second); err != io.EOF {
		return nil, r.bad(second.Line, "more follows after the first document", "one file holds one machine; take the line --- away")
	}
	return root.Content[0], nil
}

// atLine gives what a check found the line of the value it names.
func (r *reader) atLine(err error) error {
	t := new(trouble.Trouble)
	if !errors.As(err, &t) {
		return err
	}
	line := 0
	for p := t.Where; line == 0 && p != ""; p = p[:max(strings.LastIndexAny(p, ".["), 0)] {
		line = r.lines[p]
	}
	return r.bad(line, t.Where+": "+t.What, t.Next).Because(err)
}

func (r *reader) bad(line int, what, next string) *trouble.Trouble {
	where := r.name
	if line > 0 {
		where = fmt.Sprintf("%s:%d", r.name, line)
	}
	return trouble.Data("bad-machine", where, what, next)
}
