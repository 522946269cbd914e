package sheet

import (
	"bufio"
	"io"
	"strings"
)

// Writer writes rows as RFC 4180 says: commas, CRLF, and quotation marks where a cell needs them. The text begins with a byte
// order mark, without which spreadsheets take UTF-8 for something else.
type Writer struct {
	out *bufio.Writer
}

// NewWriter returns a writer on w.
func NewWriter(w io.Writer) *Writer {
	s := &Writer{bufio.NewWriter(w)}
	s.out.WriteString("\ufeff") // an error stays in the bufio.Writer until Flush
	return s
}

// Row writes one row. Cells that are text go through Guard before.
func (w *Writer) Row(cells []string) {
	for i, cell := range cells {
		if i > 0 {
			w.out.WriteByte(',')
		}
		if cell == "" && len(cells) > 1 || !strings.ContainsAny(cell, "\",;\t\r\n ") && cell != "" {
			w.out.WriteString(cell)
			continue
		}
		w.out.WriteByte('"')
		w.out.WriteString(strings.ReplaceAll(cell, `"`, `""`))
		w.out.WriteByte('"')
	}
	w.out.WriteString("\r\n")
}

// Flush writes out what is held back and returns the first error of all writing.
func (w *Writer) Flush() error { return w.out.Flush() }

// Guard keeps a spreadsheet from taking text for a formula: an apostrophe stands before text that begins with a character that
// starts one. Unguard takes it away again; of any text, Unguard(Guard(text)) is the text.
func Guard(text string) string {
	if startsFormula(strings.TrimLeft(text, "'")) {
		return "'" + text
	}
	return text
}

// Unguard takes the apostrophe away that Guard sets. Any other apostrophe stays, as in 's-Gravenhage.
func Unguard(text string) string {
	if strings.HasPrefix(text, "'") && startsFormula(strings.TrimLeft(text, "'")) {
		return text[1:]
	}
	return text
}

// startsFormula tells text that some spreadsheet runs: the characters that the OWASP page on CSV injection names, with their
// full-width forms, also behind blanks.
func startsFormula(text string) bool {
	if text == "" {
		return false
	}
	if strings.ContainsRune("\t\r\n", rune(text[0])) {
		return true
	}
	text = strings.TrimLeft(text, " \t\r\n\u00a0")
	for _, mark := range []string{"=", "+", "-", "@", "＝", "＋", "－", "＠"} {
		if strings.HasPrefix(text, mark) {
			return true
		}
	}
	return false
}
