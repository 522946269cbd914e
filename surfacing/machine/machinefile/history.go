package machinefile

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/keyed"
	"slatewright/surfacing/machine"
)

// observed are the values that jobs show: how a file writes the value itself, and what a job shows of it.
var observed = map[string]struct{ value, seen quantity }{
	machine.GRatio: {ratio, bitWear}, machine.Stiffness: {stiffness, yielding}, machine.Energy: {energy, energy},
}

// observation reads one line of the history; of: stands first, since the units hang on it.
func (r *reader) observation(o *machine.Observation) []keyed.Key {
	of := func(which func(string) quantity, into *machine.Known) keyed.Take {
		return func(path string, n *yaml.Node) error {
			if _, ok := observed[o.Of]; !ok {
				return r.Bad(n.Line, path+" comes before it is said of what", "begin with of: "+machine.GRatio+", "+machine.Stiffness+" or "+machine.Energy)
			}
			return r.known(which(o.Of), into)(path, n)
		}
	}
	return []keyed.Key{keyed.Of("of", r.text(&o.Of)), keyed.Of("in", r.text(&o.In)), keyed.Of("date", r.text(&o.Date)), keyed.Of("job", r.text(&o.Job)),
		keyed.Of("first", of(func(of string) quantity { return observed[of].value }, &o.First)),
		keyed.Of("seen", of(func(of string) quantity { return observed[of].seen }, &o.Seen)), keyed.Of("aside", r.text(&o.Aside))}
}

// line is an observation as a file says it.
func line(o machine.Observation) string {
	parts := []string{"of: " + o.Of, "in: " + quoted(o.In)}
	add := func(key, value string) {
		if value != "" {
			parts = append(parts, key+": "+quoted(value))
		}
	}
	add("date", o.Date)
	add("job", o.Job)
	if o.First.Said() {
		add("first", observed[o.Of].value.written(o.First))
	} else {
		add("seen", observed[o.Of].seen.written(o.Seen))
	}
	add("aside", o.Aside)
	return "- {" + strings.Join(parts, ", ") + "}"
}

// quoted is a text between double quotes; what is no letter, figure or mark of one is left out.
func quoted(s string) string {
	s = strings.Map(func(c rune) rune {
		if c < ' ' || c == 0x7f || c >= 0x80 && c < 0xa0 || c == 0x2028 || c == 0x2029 || c == 0xfeff || c == 0xfffd {
			return -1
		}
		return c
	}, s)
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

// Add returns the file's text with lines behind its history, which is begun at the end of the file where there is none; every other byte stays. The
// result is read and checked. The error is a *trouble.Trouble.
func Add(name string, text []byte, lines ...machine.Observation) ([]byte, error) {
	r := newReader(name)
	if _, err := r.machine(text); err != nil {
		return nil, err
	}
	if len(lines) == 0 {
		return text, nil
	}
	rows := strings.SplitAfter(string(text), "\n")
	at, indent, head := len(rows), "  ", ""
	if n := r.Nodes["history"]; n == nil {
		head = "history:                       # what jobs showed, so that what is believed can be reckoned again\n"
	} else {
		if n.Style&yaml.FlowStyle != 0 || len(n.Content) == 0 {
			return nil, r.Bad(n.Line, "the history is not a list of lines", `write each on a line of its own, beginning with "- {of: "`)
		}
		last := n.Content[len(n.Content)-1]
		at = lastLine(last)
		before := rows[last.Line-1]
		indent = before[:len(before)-len(strings.TrimLeft(before, " "))]
	}
	var b strings.Builder
	for _, row := range rows[:at] {
		b.WriteString(row)
	}
	if s := b.String(); s != "" && !strings.HasSuffix(s, "\n") {
		b.WriteString("\n")
	}
	b.WriteString(head)
	for _, o := range lines {
		if _, ok := observed[o.Of]; !ok {
			return nil, r.Bad(0, fmt.Sprintf("%q is not learnt", o.Of), "give a value that jobs teach")
		}
		b.WriteString(indent + line(o) + "\n")
	}
	for _, row := range rows[at:] {
		b.WriteString(row)
	}
	out := []byte(b.String())
	again := newReader(name)
	_, err := again.machine(out)
	return out, err
}

// lastLine is the line on which a node ends, as far as its parts tell.
func lastLine(n *yaml.Node) int {
	line := n.Line
	for _, c := range n.Content {
		line = max(line, lastLine(c))
	}
	return line
}
