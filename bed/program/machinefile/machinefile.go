// Package machinefile reads what a mill knows of the machine that drills its beds from a YAML file in the mill's hands.
//
// Each quantity carries its unit, keys are strict, and an error names the file and the line. The package checks what package machine checks, writes no
// programs and knows no control by name.
package machinefile

import (
	"io"

	"slatewright/bed/program/machine"
	"slatewright/keyed"
	"slatewright/trouble"
)

// kind is what errors say of such a file.
var kind = keyed.Kind{Code: "bad-machine", Least: "write at least control, travel, work, heights and tools", One: "one file holds one machine; take the line --- away",
	What: "give a machine file written in YAML", Item: `begin each item with "- number: …"`}

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
	r := reader{keyed.New(name, kind)}
	var m machine.Machine
	if err := r.Read(text, r.keys(&m)); err != nil {
		return machine.Machine{}, err
	}
	return m, r.AtLine(m.Check())
}
