package field

import (
	"fmt"
	"strings"

	"slatewright/spelling"
	"slatewright/trouble"
)

// maxID is how long a number or mark may be: as much as is painted on a stone or printed under a code.
const maxID = 40

// ID checks a number or mark.
func ID(id, where string) error {
	if isID(id) {
		return nil
	}
	return trouble.Data("bad-id", where, fmt.Sprintf("%q cannot be a number or mark", id),
		"use 1 to 40 letters, digits, dots, strokes, slashes or underscores, a letter or digit first and last")
}

func isID(id string) bool {
	if id == "" || len(id) > maxID || !alphanumeric(id[0]) || !alphanumeric(id[len(id)-1]) {
		return false
	}
	for i := range len(id) {
		if c := id[i]; !alphanumeric(c) && c != '.' && c != '_' && c != '/' && c != '-' {
			return false
		}
	}
	return true
}

func alphanumeric(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9'
}

// isDigest tells whether a text is a SHA-256 in hexadecimal, small letters.
func isDigest(s string) bool {
	for i := range len(s) {
		if c := s[i]; (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return len(s) == 64
}

// OneOf checks a word against those there are.
func OneOf(word string, words []string, where string) error {
	for _, w := range words {
		if w == word {
			return nil
		}
	}
	next := "use one of: " + strings.Join(words, ", ")
	if near := spelling.Nearest(word, words); near != "" {
		next = fmt.Sprintf("did you mean %q? %s", near, next)
	}
	return trouble.Data("not-one-of", where, fmt.Sprintf("%q is none of the words that can stand here", word), next)
}
