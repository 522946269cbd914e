package cli

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

const (
	width       = 96 // columns of help and trouble
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
	section(&b, "Exit status")
	b.WriteString(wrap(statusLines, "  ", "  ", width))
	return b.Bytes()
}

func programHelp(w io.Writer, app *kong.Application) {
	fmt.Fprintf(w, "%s\n\n  slatewright VERB [FLAGS] [FILES]\n", job)
	section(w, "Verbs")
	var rows [][2]string
	for _, c := range app.Children {
		if !c.Hidden {
			rows = append(rows, [2]string{c.Name, c.Help})
		}
	}
	columns(w, rows)
	section(w, "Flags of every verb")
	columns(w, flagRows(app.Flags))
	section(w, "More")
	columns(w, [][2]string{{"slatewright VERB --help", "what a verb reads and tells, with examples"}})
}

func verbHelp(w io.Writer, app *kong.Application, n *kong.Node) {
	fmt.Fprintf(w, "slatewright %s: %s\n\n  %s\n\n", n.Name, n.Help, usageLine(app, n))
	a := asVerb(n).about()
	for i, paragraph := range strings.Split(a.text, "\n\n") {
		if i > 0 {
			fmt.Fprintln(w)
		}
		io.WriteString(w, wrap(strings.Join(strings.Fields(paragraph), " "), "", "", width))
	}
	if len(n.Positional) > 0 {
		section(w, "What to name")
		var rows [][2]string
		for _, p := range n.Positional {
			rows = append(rows, [2]string{argument(p), p.Help})
		}
		columns(w, rows)
	}
	section(w, "Flags")
	columns(w, append(flagRows(n.Flags), flagRows(app.Flags)...))
	section(w, "Examples")
	for _, e := range a.examples {
		fmt.Fprintf(w, "  %s\n%s", e.line, wrap(e.why, "      ", "      ", width))
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
	return strings.TrimSpace(wrap(strings.Join(parts, " "), "  ", "      ", width))
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

func section(w io.Writer, title string) { fmt.Fprintf(w, "\n%s\n", title) }

// columns writes rows as two columns, the second wrapped.
func columns(w io.Writer, rows [][2]string) {
	left := 0
	for _, r := range rows {
		left = max(left, len([]rune(r[0])))
	}
	for _, r := range rows {
		pad := strings.Repeat(" ", left-len([]rune(r[0])))
		io.WriteString(w, wrap(r[1], "  "+r[0]+pad+"  ", strings.Repeat(" ", left+4), width))
	}
}

// wrap breaks text at spaces so that lines stay within cols where words allow it; the first line begins with first, the
// others with rest. The result ends with a newline.
func wrap(text, first, rest string, cols int) string {
	var b strings.Builder
	line, empty := first, true
	for _, word := range strings.Fields(text) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > cols {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
	return b.String()
}

// printWarnings shows what travels with a result and must be seen.
func printWarnings(w io.Writer, warnings []string) {
	for _, s := range warnings {
		fmt.Fprintf(w, "\n%s", wrap(s, "Note: ", "      ", width))
	}
}
