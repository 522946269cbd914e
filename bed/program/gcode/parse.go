// Package gcode reads and writes the part of numerical control programs (ISO 6983-1) that drilling and cutting a bed needs, and follows them: what moves
// where, with which tool, how fast, with spindle and water on or off.
//
// Straight moves, arcs in the plane of the face, dwells, tool changes and the canned cycles G81 and G83 in millimetres and absolute places are followed. A
// word that the machine's control does not know, or that cannot be followed, is refused with its line: what is not understood is not run past. Parameters,
// jumps, subprograms, inches and relative places are among them.
//
// The package knows no stone and no tools; package replay does.
package gcode

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"slatewright/bed/program/machine"
	"slatewright/trouble"
)

// longest is far above any program for one piece, bytes.
const longest = 16 << 20

// Word is an address with its value.
type Word struct {
	Letter byte
	Value  float64
}

// String is the word as a list of known words writes it, "G0".
func (w Word) String() string {
	return string(w.Letter) + strconv.FormatFloat(w.Value, 'f', -1, 64)
}

// Block is one line with words.
type Block struct {
	Line  int
	Words []Word
}

// Value returns the value of the first word with a letter.
func (b Block) Value(letter byte) (float64, bool) {
	for _, w := range b.Words {
		if w.Letter == letter {
			return w.Value, true
		}
	}
	return 0, false
}

// Program is a program as it stands in a file.
type Program struct {
	Name     string
	Control  machine.Control
	Blocks   []Block
	Comments []string // in their order
}

// Parse reads a program for a control. The name stands in errors, which are *trouble.Trouble with the line.
func Parse(name string, text []byte, control machine.Control) (*Program, error) {
	p := &Program{Name: name, Control: control}
	if len(text) > longest {
		return nil, trouble.Data("bad-program", name, "the program is longer than 16 MiB", "give the program of one piece")
	}
	for i, raw := range bytes.Split(text, []byte("\n")) {
		line := reader{program: p, line: i + 1, text: strings.TrimSuffix(string(raw), "\r")}
		words, err := line.words()
		if err != nil {
			return nil, err
		}
		if len(words) > 0 {
			p.Blocks = append(p.Blocks, Block{i + 1, words})
		}
	}
	return p, nil
}

// Bad is the trouble with a line of a program.
func (p *Program) Bad(line int, what, next string) *trouble.Trouble {
	return trouble.Data("bad-program", fmt.Sprintf("%s:%d", p.Name, line), what, next)
}

type reader struct {
	program *Program
	line    int
	text    string
}

func (r *reader) bad(what, next string) error { return r.program.Bad(r.line, what, next) }

// words reads one line. Line numbers and the number of the program are read and left out.
func (r *reader) words() (words []Word, err error) {
	for {
		r.text = strings.TrimLeft(r.text, " \t")
		if r.text == "" {
			return words, nil
		}
		switch c := r.text[0]; {
		case c == '(':
			end := strings.IndexByte(r.text, ')')
			if end < 0 {
				return nil, r.bad("a comment does not end", "close it with )")
			}
			if strings.IndexByte(r.text[1:end], '(') >= 0 {
				return nil, r.bad("a comment begins within a comment", "take the inner bracket away")
			}
			r.program.Comments = append(r.program.Comments, strings.TrimSpace(r.text[1:end]))
			r.text = r.text[end+1:]
		case c == ';':
			r.program.Comments = append(r.program.Comments, strings.TrimSpace(r.text[1:]))
			return words, nil
		case c == '%' && len(words) == 0:
			r.text = r.text[1:]
		case c >= 'A' && c <= 'Z':
			w, err := r.word()
			if err != nil {
				return nil, err
			}
			if w.Letter == 'N' || w.Letter == 'O' {
				if len(words) > 0 {
					return nil, r.bad(fmt.Sprintf("%q stands behind other words", w), "put the number at the beginning of the line")
				}
				continue
			}
			if err := r.fits(w, words); err != nil {
				return nil, err
			}
			words = append(words, w)
		default:
			return nil, r.bad(fmt.Sprintf("%q cannot be followed", r.text[:1]), "write words of a capital letter and a number; parameters, jumps and skipped blocks are not followed")
		}
	}
}

// word reads an address and its number.
func (r *reader) word() (Word, error) {
	letter := r.text[0]
	rest := strings.TrimLeft(r.text[1:], " \t")
	end := 0
	for end < len(rest) && (rest[end] >= '0' && rest[end] <= '9' || rest[end] == '.' || end == 0 && (rest[end] == '-' || rest[end] == '+')) {
		end++
	}
	v, err := strconv.ParseFloat(rest[:end], 64)
	if err != nil || end > 16 {
		return Word{}, r.bad(fmt.Sprintf("%c has no number behind it", letter), "write it like X12.5")
	}
	r.text = rest[end:]
	return Word{letter, v + 0}, nil
}

// addresses are the letters that can be followed, besides G and M.
const addresses = "TSFXYZIJHPQR"

// fits refuses a word that the control does not know or that stands twice.
func (r *reader) fits(w Word, before []Word) error {
	if w.Letter == 'G' || w.Letter == 'M' {
		if !slices.Contains(r.program.Control.Knows, w.String()) {
			return r.bad("the control does not know "+w.String(), "use its own words; the machine file lists them under control.knows")
		}
		return nil
	}
	if strings.IndexByte(addresses, w.Letter) < 0 {
		return r.bad(fmt.Sprintf("the word %s cannot be followed", w), "the words followed begin with N, O, G, M or one of "+addresses)
	}
	if slices.ContainsFunc(before, func(b Word) bool { return b.Letter == w.Letter }) {
		return r.bad(fmt.Sprintf("%c stands twice in one line", w.Letter), "keep one of them")
	}
	return nil
}
