package cli

import (
	"bytes"
	"fmt"
	"io"
	"slices"
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
	switch {
	case n == nil:
		programHelp(&b, app)
	case len(n.Children) > 0:
		groupHelp(&b, n)
	default:
		verbHelp(&b, app, n)
	}
	verb.Section(&b, "Exit status")
	b.WriteString(verb.Wrap(statusLines, "  ", "  ", verb.Width))
	return b.Bytes()
}

func programHelp(w io.Writer, app *kong.Application) {
	fmt.Fprintf(w, "%s\n\n  slatewright VERB [FLAGS] [FILES]\n", job)
	for _, title := range groups(app) {
		verb.Section(w, title)
		var rows [][2]string
		for _, n := range app.Leaves(true) {
			if groupOf(n) == title {
				rows = append(rows, [2]string{path(n), n.Help})
			}
		}
		verb.Columns(w, rows)
	}
	verb.Section(w, "Flags of every verb")
	verb.Columns(w, flagRows(app.Flags))
	verb.Section(w, "More")
	verb.Columns(w, [][2]string{{"slatewright VERB --help", "what a verb reads and tells, with examples"}})
}

// groups are the headings of the program's help, in the order of the grammar.
func groups(app *kong.Application) (titles []string) {
	for _, n := range app.Leaves(true) {
		if title := groupOf(n); !slices.Contains(titles, title) {
			titles = append(titles, title)
		}
	}
	return titles
}

// groupOf is the heading under which a verb stands: its own, or that of the word before it.
func groupOf(n *kong.Node) string {
	for ; n != nil; n = n.Parent {
		if n.Group != nil {
			return n.Group.Title
		}
	}
	return "Verbs"
}

// path is a verb as it is typed: one word, or two.
func path(n *kong.Node) string {
	if n.Parent == nil || n.Parent.Type == kong.ApplicationNode {
		return n.Name
	}
	return path(n.Parent) + " " + n.Name
}

// groupHelp is the help of a word that needs a second one.
func groupHelp(w io.Writer, n *kong.Node) {
	fmt.Fprintf(w, "slatewright %s: %s\n", path(n), n.Help)
	verb.Section(w, "Verbs")
	var rows [][2]string
	for _, c := range n.Leaves(true) {
		rows = append(rows, [2]string{path(c), c.Help})
	}
	verb.Columns(w, rows)
	verb.Section(w, "More")
	verb.Columns(w, [][2]string{{"slatewright " + path(n) + " VERB --help", "what a verb reads and tells, with examples"}})
}

func verbHelp(w io.Writer, app *kong.Application, n *kong.Node) {
	fmt.Fprintf(w, "slatewright %s: %s\n\n  %s\n\n", path(n), n.Help, usageLine(app, n))
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
	parts := []string{"slatewright", path(n)}
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
		word = strings.ReplaceAll(strings.Trim(f.Enum, ","), ",", "|") // an empty choice is the flag left out
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
		if f.Default != "" && !f.IsBool() {
			help += " (default: " + f.Default + ")"
		}
		rows = append(rows, [2]string{form, help})
	}
	return rows
}
