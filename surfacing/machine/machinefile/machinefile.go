// Package machinefile reads what a mill knows of a surfacing machine from a YAML file in the mill's hands, and writes back what work
// has taught, leaving every other byte of the file as it is.
//
// Each quantity carries its unit. A value that can be learnt may carry its standard uncertainty and the number of observations behind it, as
// in "1000 ± 250, 12 seen". Keys are strict; an error names the file and the line. A price that is left out is not known.
//
// The package plans nothing (package passes does), learns nothing (package worked does) and knows no machine by name.
package machinefile

import (
	"fmt"
	"io"
	"os"

	"slatewright/keyed"
	"slatewright/surfacing/machine"
	"slatewright/trouble"
)

// kind is what errors say of such a file.
var kind = keyed.Kind{Code: "bad-machine", Least: "write at least heads, stages and table", One: "one file holds one machine; take the line --- away",
	What: "give a machine file written in YAML", Item: `begin each item with "- name: …"`}

func newReader(name string) reader { return reader{keyed.New(name, kind)} }

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
	text, err := io.ReadAll(io.LimitReader(from, keyed.LongestFile+1))
	if err != nil {
		return machine.Machine{}, trouble.IO("cannot-read", name, "the machine file cannot be read", "").Because(err)
	}
	return Parse(name, text)
}

// Parse is Read for a file that is in memory.
func Parse(name string, text []byte) (machine.Machine, error) {
	r := newReader(name)
	return r.machine(text)
}

// machine reads and checks the text.
func (r *reader) machine(text []byte) (m machine.Machine, err error) {
	var headOf []string
	if err := r.Read(text, r.keys(&m, &headOf)); err != nil {
		return machine.Machine{}, err
	}
	if err := r.lowered(&m, headOf); err != nil {
		return machine.Machine{}, err
	}
	return m, r.AtLine(m.Check())
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
			if r.Lines[at+".head"] > 0 {
				at += ".head"
			}
			return r.Bad(r.Lines[at], fmt.Sprintf("%s: no head is called %q", at, name), "give 'head:' with the name of one of the heads")
		}
		m.Stages[i].Head = found
	}
	for i := range m.Heads {
		for j := range i {
			if m.Heads[i].Name == m.Heads[j].Name {
				return r.Bad(r.Lines[fmt.Sprintf("heads[%d]", i+1)], fmt.Sprintf("two heads are called %q", m.Heads[i].Name), "give each its own name")
			}
		}
	}
	return nil
}
