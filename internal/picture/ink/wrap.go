package ink

import "strings"

// Wrap breaks words into lines of at most width mm, at spaces where there are any, and inside a word only when the word
// alone is too long. Line feeds are kept, a number stays with its unit, and nothing is left out.
func Wrap(s Sheet, words string, t Type, width float64) []string {
	var out []string
	for _, para := range strings.Split(words, "\n") {
		out = append(out, wrapPara(s, withUnits(fields(para)), t, width)...)
	}
	return out
}

// field is a word with what stands before it: a blank, or nothing.
type field struct{ words, before string }

// fields parts a text at blanks, and where characters of Chinese stand.
func fields(text string) (out []field) {
	for _, word := range strings.Fields(text) {
		before := " "
		for word != "" {
			n := unbreakable(word)
			out = append(out, field{word[:n], before})
			word, before = word[n:], ""
		}
	}
	return out
}

// unbreakable is how much of a word, in bytes, must stay together at its beginning.
func unbreakable(word string) int {
	var last rune
	for i, r := range word {
		if i > 0 && (last >= firstOutside || r >= firstOutside) && !strings.ContainsRune(closing, r) && !strings.ContainsRune(opening, last) {
			return i
		}
		last = r
	}
	return len(word)
}

const (
	closing = "，。、；：？！）》”’％%…)],.;:"
	opening = "（《“‘(["
)

// withUnits joins a number and the unit behind it, which must not be parted at the end of a line.
func withUnits(fields []field) []field {
	var out []field
	for _, f := range fields {
		n := len(out)
		unit := strings.TrimRight(f.words, ".,;:)，。；：）")
		if n > 0 && strings.HasSuffix(out[n-1].words, "#") { // the sign of a header line, before its name
			out[n-1].words += f.before + f.words
			continue
		}
		if n > 0 && strings.Contains(" mm mm/m thou in kg lb °C % ", " "+unit+" ") && endsInDigit(out[n-1].words) {
			out[n-1].words += f.before + f.words
			continue
		}
		out = append(out, f)
	}
	return out
}

func endsInDigit(s string) bool { return s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

func wrapPara(s Sheet, fields []field, t Type, width float64) []string {
	var out []string
	line := ""
	for _, f := range fields {
		word := f.words
		joined := word
		if line != "" {
			joined = line + f.before + word
		}
		if s.Width(joined, t) <= width {
			line = joined
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for s.Width(word, t) > width {
			head, tail := split(s, word, t, width)
			if tail == "" {
				break
			}
			out = append(out, head)
			word = tail
		}
		line = word
	}
	return append(out, line)
}

// split takes as many letters off the front of a word as fit, at least one, after a hyphen, slash or point if one is in the
// last third.
func split(s Sheet, word string, t Type, width float64) (head, tail string) {
	letters := []rune(word)
	n := 1
	for n < len(letters) && s.Width(string(letters[:n+1]), t) <= width {
		n++
	}
	for k := n; k > 2*n/3 && k > 1; k-- {
		if strings.ContainsRune("-/._", letters[k-1]) {
			n = k
			break
		}
	}
	return string(letters[:n]), string(letters[n:])
}

// Fit returns the type in the largest size, not above its own and not below least points, at which the words are at most
// width mm long.
func Fit(s Sheet, words string, t Type, width, least float64) Type {
	for t.Size > least && s.Width(words, t) > width {
		t.Size = max(least, t.Size-0.25)
	}
	return t
}
