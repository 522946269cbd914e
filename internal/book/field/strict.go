// Package field reads and checks what is filled into the fields of a record: strictly, with the field's name in every refusal.
//
// What a field may hold stands in the tags of its struct, the same that describe the record to others: minimum, maximum,
// exclusiveMinimum, minLength, maxLength, minItems, maxItems, uniqueItems and enum; and two of its own: form (id, digest or text)
// and kinds. The package knows no act and no thing, and it does not judge fields by one another.
package field

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"slatewright/trouble"
)

// Limits of a record as JSON: bytes, and brackets in one another. A slice of forty slabs has 6 KB; a correction of a settlement
// with its route is eight deep.
const (
	MaxBytes = 1 << 16
	MaxDepth = 16
)

// Read reads one JSON object into a struct, and refuses what the struct does not know, keys twice, and anything behind it.
func Read(text []byte, into any) error {
	if err := scan(text); err != nil {
		return err
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(into); err != nil {
		return unreadable(err)
	}
	if _, err := dec.Token(); err != io.EOF {
		return trouble.Data("bad-body", "", "something stands behind the object", "send one object and nothing else")
	}
	return nil
}

// unreadable says what the decoder found in the words of the one error shape.
func unreadable(err error) error {
	var t *trouble.Trouble
	var wrong *json.UnmarshalTypeError
	const next = "see the fields of the act"
	switch text := err.Error(); {
	case errors.As(err, &t):
		return t
	case errors.As(err, &wrong):
		return trouble.Data("bad-field", wrong.Field, fmt.Sprintf("a %s cannot stand here", wrong.Value), next)
	case strings.HasPrefix(text, "json: unknown field "):
		name := strings.Trim(strings.TrimPrefix(text, "json: unknown field "), `"`)
		return trouble.Data("unknown-field", name, "there is no such field", next)
	default:
		return trouble.Data("bad-body", "", "this is not a JSON object of the act: "+strings.TrimPrefix(text, "json: "), next).Because(err)
	}
}

// scan refuses what is too large, too deep or says a thing twice, before anything is built of it.
func scan(text []byte) error {
	if len(text) > MaxBytes {
		return trouble.Data("too-large", "", fmt.Sprintf("the body has %d bytes; the limit is %d", len(text), MaxBytes), "keep files as blobs and name them by their digest")
	}
	if first := bytes.TrimLeft(text, " \t\r\n"); len(first) == 0 || first[0] != '{' {
		return trouble.Data("bad-body", "", "this is no JSON object", "send one object")
	}
	return walk(text)
}

// level is an object or list that is open: where its keys begin among all that are kept.
type level struct {
	object bool
	keys   int
}

// walk goes through the brackets and keys. Anything else that is wrong is for the decoder to find.
func walk(text []byte) error {
	var open [MaxDepth]level
	var kept [32][]byte
	keys, depth, key := kept[:0], 0, false
	for i := 0; i < len(text); i++ {
		switch c := text[i]; c {
		case '{', '[':
			if depth == MaxDepth {
				return trouble.Data("too-deep", "", fmt.Sprintf("brackets stand more than %d deep in one another", MaxDepth), "send it flatter")
			}
			open[depth] = level{c == '{', len(keys)}
			depth++
			key = c == '{'
		case '}', ']':
			if depth--; depth < 0 {
				return nil
			}
			keys, key = keys[:open[depth].keys], false
		case ',':
			key = depth > 0 && open[depth-1].object
		case '"':
			end := closing(text, i+1)
			if word := text[i+1 : end]; key {
				for _, k := range keys[open[depth-1].keys:] {
					if bytes.Equal(k, word) {
						return trouble.Data("twice", string(word), "this field is given twice", "give it once")
					}
				}
				keys = append(keys, word)
			}
			i, key = end, false
		}
	}
	return nil
}

// closing finds the quotation mark that closes a string.
func closing(text []byte, i int) int {
	for ; i < len(text) && text[i] != '"'; i++ {
		if text[i] == '\\' {
			i++
		}
	}
	return min(i, len(text))
}
