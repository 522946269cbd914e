package tongue

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
	"sync"
)

// pattern is an English sentence of the book that is known, with its places.
type pattern struct {
	key    string
	places []string
	fits   *regexp.Regexp
	words  int // characters that are not places: the more, the surer
}

// told is the group of the sentences that the book and the gate say in English.
const told = "told."

// surely is how many characters of its own a sentence needs to take whole phrases into its places; others take single words only.
const surely = 12

// patterns are the known sentences, the most telling first.
var patterns = sync.OnceValue(func() (list []pattern) {
	for key, e := range loaded[English]() {
		if strings.HasPrefix(key, told) {
			list = append(list, patternOf(key, e[other]))
		}
	}
	slices.SortFunc(list, func(a, b pattern) int { return cmp.Or(b.words-a.words, strings.Compare(a.key, b.key)) })
	return list
})

func patternOf(key, text string) pattern {
	p := pattern{key: key, words: len(place.ReplaceAllString(text, ""))}
	takes := `(.+?)`
	if p.words < surely {
		takes = `(\S+)`
	}
	expression, from := "", 0
	for _, hole := range place.FindAllStringIndex(text, -1) {
		expression += regexp.QuoteMeta(text[from:hole[0]]) + takes
		p.places = append(p.places, text[hole[0]+1:hole[1]-1])
		from = hole[1]
	}
	expression += regexp.QuoteMeta(text[from:])
	if strings.HasPrefix(text, ",") { // it is said behind another sentence
		expression, p.places = `(.+)`+expression, append([]string{""}, p.places...)
	}
	p.fits = regexp.MustCompile(`^` + expression + `$`)
	return p
}

// tradeWords are the groups of words that stand in the places of such sentences.
var tradeWords = []string{"kind", "act", "station", "role", "verdict", "cause", "surface", "layout", "how", "stage", "sort", "place", "face", "reading", "joint"}

// InWords says in the reader's language what the book says in English of what cannot be done: the sentences of the group told. What it
// does not know it returns as it is.
func (w Words) InWords(english string) string {
	if w.Language() == English {
		return english
	}
	return w.inWords(english, 0)
}

// nested is how deep sentences may stand in the places of sentences.
const nested = 3

func (w Words) inWords(text string, depth int) string {
	for _, group := range tradeWords {
		if key := group + "." + text; w.Has(key) {
			return w.Say(key)
		}
	}
	if depth == nested {
		return text
	}
	for _, p := range patterns() {
		found := p.fits.FindStringSubmatch(text)
		if found == nil {
			continue
		}
		args, before := map[string]any{}, ""
		for i, name := range p.places {
			value := w.inWords(found[i+1], depth+1)
			if name == "" {
				before = value
				continue
			}
			args[name] = value
		}
		return before + w.Tell(p.key, args)
	}
	return text
}
