package cli

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"

	"slatewright/internal/cli/verb"
)

const (
	job         = "slatewright computes the decisions that turn slate into billiard beds, and keeps the proof."
	statusLines = "0 conforms or done, 1 does not conform, 2 cannot tell. Otherwise nothing is written to standard output, and " +
		"standard error says what, where and what to do next: 64 the command is not right, 65 the data is not right, " +
		"70 a fault of the program, 74 a file or device cannot be used."
)

// helpText is the help of one verb, or of the whole program when n is nil.
func helpText(app *kong.Application, n *kong.Node) []byte {
	var b bytes.Buffer
	if n == nil {
		programHelp(&b, app)
	} else {
		verbHelp(&b, app, n)
	}
	verb.Section(&b, "Exit status")
	b.WriteString(verb.Wrap(statusLines, "  ", "  ", verb.Width))
	return b.Bytes()
}

func programHelp(w io.Writer, app *kong.Application) {
	fmt.Fprintf(w, "%s\n\n  slatewright VERB [FLAGS] [FILES]\n", job)
	verb.Section(w, "Verbs")
	var rows [][2]string
	for _, c := range app.Children {
		if !c.Hidden {
			rows = append(rows, [2]string{c.Name, c.Help})
		}
	}
	verb.Columns(w, rows)
	verb.Section(w, "Flags of every verb")
	verb.Columns(w, flagRows(app.Flags))
	verb.Section(w, "More")
	verb.Columns(w, [][2]string{{"slatewright VERB --help", "what a verb reads and tells, with examples"}})
}

func verbHelp(w io.Writer, app *kong.Application, n *kong.Node) {
	fmt.Fprintf(w, "slatewright %s: %s\n\n  %s\n\n", n.Name, n.Help, usageLine(app, n))
	a := asVerb(n).About()
	for i, paragraph := range strings.Split(a.Text, "\n\n") {
		if i > 0 {
			fmt.Fprintln(w)
		}
		io.WriteString(w, verb.Wrap(strings.Join(strings.Fields(paragraph), " "), "", "", verb.Width))
	}
	if len(n.Positional) > 0 {
		verb.Section(w, "What to name")
		var rows [][2]string
		for _, p := range n.Positional {
			rows = append(rows, [2]string{argument(p), p.Help})
		}
		verb.Columns(w, rows)
	}
	verb.Section(w, "Flags")
	verb.Columns(w, append(flagRows(n.Flags), flagRows(app.Flags)...))
	verb.Section(w, "Examples")
	for _, e := range a.Examples {
		fmt.Fprintf(w, "  %s\n%s", e.Line(), verb.Wrap(e.Why(), "      ", "      ", verb.Width))
	}
}

// usageLine shows the verb with its arguments and flags; what may be left out stands in brackets.
func usageLine(app *kong.Application, n *kong.Node) string {
	parts := []string{"slatewright", n.Name}
	for _, p := range n.Positional {
		parts = append(parts, optional(argument(p), !p.Required))
	}
	for _, f := range append(append([]*kong.Flag{}, n.Flags...), app.Flags...) {
		if f.Name != "help" && !f.Hidden {
			parts = append(parts, optional(flagForm(f), !f.Required))
		}
	}
	return strings.TrimSpace(verb.Wrap(strings.Join(parts, " "), "  ", "      ", verb.Width))
}

func optional(s string, is bool) string {
	if is {
		return "[" + s + "]"
	}
	return s
}

func argument(p *kong.Positional) string {
	name := strings.ToUpper(p.Name)
	if p.IsSlice() {
		name += " …"
	}
	return name
}

// flagForm is a flag as it is typed, with a word for its value.
func flagForm(f *kong.Flag) string {
	if f.IsBool() {
		return "--" + f.Name
	}
	word := f.PlaceHolder
	if f.Enum != "" {
		word = strings.ReplaceAll(f.Enum, ",", "|")
	} else if word == "" {
		word = strings.ToUpper(f.Name)
	}
	return "--" + f.Name + " " + word
}

func flagRows(flags []*kong.Flag) [][2]string {
	var rows [][2]string
	for _, f := range flags {
		if f.Hidden {
			continue
		}
		form := flagForm(f)
		if f.Short != 0 {
			form = "-" + string(f.Short) + ", " + form
		}
		help := f.Help
		if f.HasDefault && !f.IsBool() {
			help += " (default: " + f.Default + ")"
		}
		rows = append(rows, [2]string{form, help})
	}
	return rows
}
