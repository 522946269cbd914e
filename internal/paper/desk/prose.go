package desk

import (
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"slatewright/internal/tongue"
)

// A certificate seals its sentences in English. The catalogue holds each of them as a pattern, and what fits one is said in another
// language with the same figures in its places. What fits none is from another version of the program, or from the hand of a person,
// and stands as it was sealed.

// pattern is an English sentence with places.
type pattern struct {
	key    string
	fits   *regexp.Regexp
	places []string
	length int // of what stands fixed
}

const sealedWords = "paper.said-"

var hole = regexp.MustCompile(`\{[a-z0-9_]+\}`)

// patterns are all sentences that can be said, those with the most fixed words first.
var patterns = sync.OnceValue(func() (list []pattern) {
	for key, text := range tongue.In(tongue.English, tongue.Metric).Some(sealedWords) {
		text = strings.NewReplacer("“", `"`, "”", `"`, "’", "'").Replace(text)
		p := pattern{key: key}
		parts := hole.Split(text, -1)
		for i, part := range parts {
			parts[i] = regexp.QuoteMeta(part)
			p.length += len(part)
		}
		p.fits = regexp.MustCompile(`(?s)^` + strings.Join(parts, `(.+?)`) + `$`)
		for _, place := range hole.FindAllString(text, -1) {
			p.places = append(p.places, place[1:len(place)-1])
		}
		list = append(list, p)
	}
	slices.SortFunc(list, func(a, b pattern) int {
		if a.length != b.length {
			return b.length - a.length
		}
		return strings.Compare(a.key, b.key)
	})
	return list
})

// told says a sealed text in the language of the papers, sentence by sentence. What is not known stands as it is.
func (s *Set) told(text string) string {
	said, _ := s.tell(text)
	return said
}

// tell is told, and reports whether every sentence was known.
func (s *Set) tell(text string) (string, bool) {
	if s.words.Language() == tongue.English || text == "" {
		return text, true
	}
	if said, ok := s.sentence(text); ok {
		return said, true
	}
	for end := strings.Index(text, ". "); end >= 0 && end+2 < len(text); {
		if said, ok := s.sentence(text[:end+1]); ok {
			rest, all := s.tell(text[end+2:])
			return said + gap(s.words) + rest, all
		}
		next := strings.Index(text[end+2:], ". ")
		if next < 0 {
			break
		}
		end += 2 + next
	}
	return text, false
}

// sentence says one that fits a pattern as a whole.
func (s *Set) sentence(text string) (string, bool) {
	for _, p := range patterns() {
		found := p.fits.FindStringSubmatch(text)
		if found == nil {
			continue
		}
		args := map[string]any{}
		for i, place := range p.places {
			args[place] = s.value(place, found[i+1])
		}
		said := s.words.Tell(p.key, args)
		if first, n := utf8.DecodeRuneInString(said); startsCapital(text) && strings.HasSuffix(text, ".") {
			said = string(unicode.ToUpper(first)) + said[n:]
		}
		return said, true
	}
	return "", false
}

func startsCapital(text string) bool {
	first, _ := utf8.DecodeRuneInString(text)
	return unicode.IsUpper(first)
}

var (
	number = regexp.MustCompile(`^-?\d+(\.\d+)?( mm)?$`)
	given  = []string{"piece", "file", "support"} // what people call things
)

// value says what stands in a place: a figure, a day, a place in the bed, or words that are known themselves.
func (s *Set) value(place, text string) string {
	switch {
	case slices.Contains(given, place):
		return text
	case number.MatchString(text):
		return s.figure(text)
	case s.words.Has("place." + text):
		return s.words.Word("place", text)
	}
	if day := s.day(text); day != text {
		return day
	}
	for _, form := range [2]string{text, lower(text)} {
		if said, ok := s.sentence(form); ok {
			return said
		}
	}
	return text
}

// figure writes a number with the mark of the language between whole and fraction.
func (s *Set) figure(number string) string {
	mark := strings.Trim(s.words.Number(0.5, 1), "05")
	return strings.NewReplacer(".", mark, "-", "−").Replace(number)
}

var anyDay = regexp.MustCompile(`^(\d{4})-(\d\d)-(\d\d)$`)

// day writes a date in the order of the language; what is none stands as it is.
func (s *Set) day(text string) string {
	m := anyDay.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	return s.words.Say("paper.date", "y", m[1], "m", m[2], "d", m[3])
}

// lower makes the first letter small.
func lower(text string) string {
	first, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToLower(first)) + text[n:]
}

// gap stands between two sentences.
func gap(w tongue.Words) string {
	if w.Language() == tongue.Chinese {
		return ""
	}
	return " "
}

// next is the next step in the language, and why. A step in words that are not known is said by its code, with the sealed words after it.
func (s *Set) next() (step, why string) {
	found := s.Body.Found
	text, of := found.Next.Text, ""
	for _, h := range found.Hindrances {
		if rest, ok := strings.CutPrefix(text, h.Of+": "); ok && h.Code == found.Next.Code {
			text, of = rest, h.Of
			break
		}
	}
	step, known := s.tell(text)
	why = s.told(found.Next.Reason)
	if key := "stone.do-" + found.Next.Code; !known && s.words.Has(key) {
		step, why = s.words.Say(key), strings.TrimSpace(text+" "+why)
	}
	if of != "" {
		step = s.words.Say("paper.unchecked", "subject", s.of(of), "demand", step)
	}
	return step, why
}

// of names the pieces that something is about.
func (s *Set) of(pieces string) string { return s.value("of", pieces) }
