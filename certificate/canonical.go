package certificate

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"

	"slatewright/trouble"
)

// List is a list that is never null in JSON: an empty one is [].
type List[T any] []T

// MarshalJSON writes the list.
func (l List[T]) MarshalJSON() ([]byte, error) {
	if len(l) == 0 {
		return []byte("[]"), nil
	}
	return encode([]T(l))
}

// encode writes v as JSON without any space: fields in the order in which the struct declares them, letters as they are.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// canonical returns the one sequence of bytes that stands for v. A text with a control character, a Unicode line separator
// or bytes that are no UTF-8 has none.
func canonical(v any) ([]byte, error) {
	text, err := encode(v)
	if err != nil {
		return nil, err
	}
	if i := unwritable(text); i >= 0 {
		return nil, trouble.Data("bad-text", "", "a text holds a control character or a line separator, or is not UTF-8: …"+
			clipped(string(text[max(0, i-20):min(len(text), i+6)])), "take it out of the set's name, the readings or the specification")
	}
	return text, nil
}

// unwritable finds what a text must not hold, -1 if there is nothing. The writer has escaped the control characters of
// ASCII, the line separators and what is not UTF-8; delete and the control characters from U+0080 on stand as they are.
func unwritable(text []byte) int {
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '\\':
			if i++; text[i] != '"' && text[i] != '\\' {
				return i
			}
		case c == 0x7f, c == 0xc2 && text[i+1] < 0xa0:
			return i
		}
	}
	return -1
}

// tokens calls yield for each byte of a JSON text that is not space between tokens, with its place in the text.
func tokens(text []byte, yield func(at int, quoted bool) bool) {
	quoted := false
	for i := 0; i < len(text); i++ {
		c := text[i]
		if !quoted && (c == ' ' || c == '\t' || c == '\n' || c == '\r') {
			continue
		}
		if !yield(i, quoted) {
			return
		}
		switch {
		case c == '"':
			quoted = !quoted
		case c == '\\' && quoted && i+1 < len(text):
			i++
			if !yield(i, true) {
				return
			}
		}
	}
}

// same tells whether a text, space between tokens left out, is the canonical one; if not, in which line they part.
func same(text, canonical []byte) (line int, ok bool) {
	n, last := 0, 0
	tokens(text, func(at int, _ bool) bool {
		last = at
		if n >= len(canonical) || text[at] != canonical[n] {
			return false
		}
		n++
		last = at + 1
		return true
	})
	rest := bytes.TrimRight(text[last:], " \t\r\n")
	return 1 + bytes.Count(text[:last], []byte("\n")), n == len(canonical) && len(rest) == 0
}

// parse reads canonical JSON with any space between its tokens into v. What does not come back byte for byte when v is written
// again (an unknown, missing or doubled field, fields in another order, a number or letter in another form, anything
// behind the end) is refused.
func parse(name string, text []byte, v any) error {
	const next = "take the file as the mill sent it; if it was changed or reformatted, ask the mill for it again"
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return trouble.Data("not-canonical", name+lineOf(text, err), "this is no certificate in canonical JSON: "+reason(err), next).Because(err)
	}
	again, err := canonical(v)
	if err != nil {
		return trouble.Data("not-canonical", name, err.Error(), next).Because(err)
	}
	if line, ok := same(text, again); !ok {
		return trouble.Data("not-canonical", name+":"+strconv.Itoa(line),
			"here the file parts from the canonical form: a field or number is written otherwise, stands twice, is missing, "+
				"or something follows the end", next)
	}
	return nil
}

// lineOf returns ":line" of an error of the JSON reader, or nothing if it does not say where it was.
func lineOf(text []byte, err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	offset := int64(0)
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &kind):
		offset = kind.Offset
	default:
		return ""
	}
	offset = max(0, min(offset, int64(len(text))))
	return ":" + strconv.Itoa(1+bytes.Count(text[:offset], []byte("\n")))
}

// reason says in one line why JSON could not be read.
func reason(err error) string {
	const most = 200
	text := fmt.Sprint(err)
	if len(text) > most {
		text = text[:most] + "…"
	}
	return text
}

// layOut breaks canonical JSON into short lines for people and mail. Only line breaks and spaces at the start of lines are
// added, so that taking both away gives the canonical bytes back. Lists of numbers stay in one line while they are short.
func layOut(canonical []byte) []byte {
	out := make([]byte, 0, len(canonical)+len(canonical)/4)
	depth := 0
	broken := []bool{} // of each open bracket, whether its elements stand in lines of their own
	newline := func() {
		out = append(out, '\n')
		for range depth {
			out = append(out, ' ')
		}
	}
	tokens(canonical, func(i int, quoted bool) bool {
		c := canonical[i]
		if quoted {
			out = append(out, c)
			return true
		}
		switch c {
		case '{', '[':
			out = append(out, c)
			depth++
			broken = append(broken, !fits(canonical[i:]))
			if broken[depth-1] {
				newline()
			}
		case '}', ']':
			depth--
			if broken[depth] {
				newline()
			}
			broken = broken[:depth]
			out = append(out, c)
		case ',':
			out = append(out, c)
			if broken[depth-1] {
				newline()
			}
		default:
			out = append(out, c)
		}
		return true
	})
	return append(out, '\n')
}

// fits tells whether the list or object at the start of text is empty, or a list of numbers short enough for a line.
func fits(text []byte) bool {
	const width = 100
	if text[1] == '}' || text[1] == ']' {
		return true
	}
	for i, c := range text[:min(len(text), width)] {
		switch {
		case i == 0 && c == '[':
		case c == ']':
			return true
		case c != ',' && c != '-' && c != '.' && (c < '0' || c > '9'):
			return false
		}
	}
	return false
}
