// Package sheet reads and writes lists as spreadsheets, scales and room loggers write them: text in rows and columns, the first
// row naming the columns.
//
// Rows are parted by line ends, cells by commas, semicolons or tabs; what stands in quotation marks is kept byte for byte.
// Numbers have a point or a comma, units stand in the title, in a row below it, or in the cell. Every fault carries
// file:line and the column. What is written cannot be taken for a formula by a spreadsheet, and reads back as it was. The
// package does not know what a list is about: no piece, no act, no book.
package sheet

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"slatewright/trouble"
)

// Limits of a list, so that no file can fill the memory.
const (
	MaxCell    = 64 << 10
	MaxColumns = 256
	MaxRow     = 1 << 20
)

// lexer takes a text apart into rows of cells.
type lexer struct {
	name      string
	in        *bufio.Reader
	separator byte
	line      int // of the next byte, from 1
}

// newLexer looks at the beginning of a text: byte order mark and separator.
func newLexer(name string, r io.Reader) (*lexer, error) {
	x := &lexer{name: name, in: bufio.NewReaderSize(r, 64<<10), line: 1}
	start, err := x.in.Peek(4)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, x.unreadable(err)
	}
	switch {
	case bytes.HasPrefix(start, []byte("\xff\xfe")), bytes.HasPrefix(start, []byte("\xfe\xff")):
		return nil, x.fault("bad-text", "the text is UTF-16", "save it as CSV in UTF-8")
	case bytes.HasPrefix(start, []byte("\xef\xbb\xbf")):
		x.in.Discard(3)
	}
	x.separator, err = x.guess()
	return x, err
}

// guess finds the separator in the first line that is not blank: a tab or a semicolon where there is one outside quotation
// marks, else a comma.
func (x *lexer) guess() (byte, error) {
	start, err := x.in.Peek(x.in.Size())
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, bufio.ErrBufferFull) {
		return 0, x.unreadable(err)
	}
	first, _, _ := bytes.Cut(bytes.TrimLeft(start, "\r\n"), []byte("\n"))
	quoted := false
	bare := bytes.Map(func(r rune) rune {
		if r == '"' {
			quoted = !quoted
		}
		if quoted {
			return -1
		}
		return r
	}, first)
	for _, separator := range []byte{'\t', ';'} {
		if bytes.IndexByte(bare, separator) >= 0 {
			return separator, nil
		}
	}
	return ',', nil
}

func (x *lexer) at(line int) string { return fmt.Sprintf("%s:%d", x.name, line) }

func (x *lexer) fault(code, what, next string) error {
	return trouble.Data(code, x.at(x.line), what, next)
}

func (x *lexer) unreadable(err error) error {
	return trouble.IO("unreadable", x.at(x.line), "the file cannot be read to its end", "check the file and the disk it is on").Because(err)
}

// row returns the next row and its first line; io.EOF after the last. A row that is wrong in itself is lost as a whole.
func (x *lexer) row() (cells []string, line int, err error) {
	line = x.line
	for size := 0; ; {
		cell, end, err := x.cell()
		if err != nil {
			return nil, line, err
		}
		if end == atEnd && len(cells) == 0 && cell == "" {
			return nil, line, io.EOF
		}
		if size += len(cell); len(cells) == MaxColumns || size > MaxRow {
			return nil, line, x.fault("too-long", "the row is longer than any list needs", "check the quotation marks and the separators")
		}
		if cells = append(cells, cell); end != atSeparator {
			return cells, line, nil
		}
	}
}

// ending is what ended a cell.
type ending int

const (
	atSeparator ending = iota
	atLine
	atEnd
)

// cell reads one cell and what ends it.
func (x *lexer) cell() (string, ending, error) {
	first, err := x.in.ReadByte()
	if err == nil && first == '"' {
		return x.quoted()
	}
	if err == nil {
		err = x.in.UnreadByte()
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return "", 0, x.unreadable(err)
	}
	return x.bare()
}

// bare reads a cell without quotation marks around it. Marks inside it are text, as in 36".
func (x *lexer) bare() (string, ending, error) {
	var text []byte
	for {
		c, err := x.in.ReadByte()
		switch {
		case errors.Is(err, io.EOF):
			cell, err := x.text(text)
			return cell, atEnd, err
		case err != nil:
			return "", 0, x.unreadable(err)
		case c == x.separator:
			cell, err := x.text(text)
			return cell, atSeparator, err
		case c == '\n':
			cell, err := x.text(bytes.TrimSuffix(text, []byte("\r")))
			x.line++
			return cell, atLine, err
		case len(text) == MaxCell:
			return "", 0, x.tooLong()
		}
		text = append(text, c)
	}
}

// quoted reads on after an opening quotation mark.
func (x *lexer) quoted() (string, ending, error) {
	var text []byte
	opened := x.line
	for {
		c, err := x.in.ReadByte()
		switch {
		case errors.Is(err, io.EOF):
			return "", 0, trouble.Data("open-quote", x.at(opened), "a quotation mark is opened here and never closed",
				"close it, or write the mark twice where it is part of the text")
		case err != nil:
			return "", 0, x.unreadable(err)
		case c == '"':
			if next, _ := x.in.Peek(1); len(next) == 0 || next[0] != '"' {
				return x.close(text)
			}
			x.in.Discard(1)
		case c == '\n':
			x.line++
		}
		if len(text) == MaxCell {
			return "", 0, x.tooLong()
		}
		text = append(text, c)
	}
}

// close reads what follows a closing quotation mark.
func (x *lexer) close(text []byte) (string, ending, error) {
	cell, err := x.quotedText(text)
	if err != nil {
		return "", 0, err
	}
	c, err := x.in.ReadByte()
	if err == nil && c == '\r' {
		if c, err = x.in.ReadByte(); err == nil && c != '\n' {
			c = 0
		}
	}
	switch {
	case errors.Is(err, io.EOF):
		return cell, atEnd, nil
	case err != nil:
		return "", 0, x.unreadable(err)
	case c == x.separator:
		return cell, atSeparator, nil
	case c == '\n':
		x.line++
		return cell, atLine, nil
	}
	return "", 0, x.fault("stray-quote", "text goes on after a closing quotation mark", "write a mark that is part of the text twice")
}

func (x *lexer) tooLong() error {
	return x.fault("too-long", "a cell is longer than any list needs", "check the quotation marks")
}

// text checks the text of a cell that has no quotation marks around it.
func (x *lexer) text(b []byte) (string, error) {
	if bytes.IndexByte(b, '\r') >= 0 {
		return "", x.fault("bad-text", "a line ends with CR alone", "save it with line ends LF or CRLF")
	}
	return x.quotedText(b)
}

func (x *lexer) quotedText(b []byte) (string, error) {
	if !utf8.Valid(b) || bytes.IndexByte(b, 0) >= 0 {
		return "", x.fault("bad-text", "the text is not UTF-8", "save it as CSV in UTF-8")
	}
	return string(b), nil
}

// blank tells a row without a word in it.
func blank(cells []string) bool { return strings.TrimSpace(strings.Join(cells, "")) == "" }
