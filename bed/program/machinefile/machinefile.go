// Package machinefile reads what a mill knows of the machine that drills its beds from a YAML file in the mill's hands.
//
// Each quantity carries its unit, keys are strict, and an error names the file and the line. The package checks what package machine checks, writes no
// programs and knows no control by name.
package machinefile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed/program/machine"
	"slatewright/trouble"
)

// longestFile is far above any real machine file.
const longestFile = 1 << 20

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
	r := reader{name: name, lines: map[string]int{}}
	root, err := r.root(text)
	if err != nil {
		return machine.Machine{}, err
	}
	var m machine.Machine
	if err := r.mapping("", root, r.keys(&m)); err != nil {
		return machine.Machine{}, err
	}
	return m, r.atLine(m.Check())
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
		return nil, r.bad(0, "the file is empty", "write at least control, travel, work, heights and tools")
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
