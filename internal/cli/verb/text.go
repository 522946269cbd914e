package verb

import (
	"fmt"
	"io"
	"strings"
)

// Width is the columns of help, trouble and answers for people.
const Width = 96

// Section writes a heading.
func Section(w io.Writer, title string) { fmt.Fprintf(w, "\n%s\n", title) }

// Columns writes rows as two columns, the second wrapped.
func Columns(w io.Writer, rows [][2]string) {
	left := 0
	for _, r := range rows {
		left = max(left, len([]rune(r[0])))
	}
	for _, r := range rows {
		pad := strings.Repeat(" ", left-len([]rune(r[0])))
		io.WriteString(w, Wrap(r[1], "  "+r[0]+pad+"  ", strings.Repeat(" ", left+4), Width))
	}
}

// Table writes rows in columns as wide as their widest cell: the first so many to the left, the others to the right.
func Table(w io.Writer, left int, rows ...[]string) {
	var width []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(width) {
				width = append(width, 0)
			}
			width[i] = max(width[i], len([]rune(cell)))
		}
	}
	for _, row := range rows {
		line := " "
		for i, cell := range row {
			pad := strings.Repeat(" ", width[i]-len([]rune(cell)))
			if i < left {
				line += " " + cell + pad
			} else {
				line += "  " + pad + cell
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
}

// Wrap breaks text at spaces so that lines stay within cols where words allow it; the first line begins with first, the
// others with rest. The result ends with a newline.
func Wrap(text, first, rest string, cols int) string {
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

// PrintWarnings shows what travels with a result and must be seen.
func PrintWarnings(w io.Writer, warnings []string) {
	for _, s := range warnings {
		fmt.Fprintf(w, "\n%s", Wrap(s, "Note: ", "      ", Width))
	}
}
