package tongue

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"
)

// pattern is an English sentence that is known, with its places.
type pattern struct {
	key    string
	places []hole
	fits   *regexp.Regexp
	begins string // what stands before its first place, and
	ends   string // behind its last: without them, and
	part   string // without the longest of its fixed parts, nothing fits
	words  int    // characters that are not places: the more, the surer
}

// hole is a place of a pattern. What stands in some of them as it is, people wrote.
type hole struct {
	name   string
	asIs   bool // it is named in given
	quoted bool // it stands in quotes or behind a # there: only words of the program with a blank are said
}

// The sentences that are known: the groups that begin with told hold what the book, the gate and the reckoning say in English, the keys
// that begin with sealed what a certificate seals.
const (
	told   = "told"
	sealed = "paper.said-"
)

// surely is how many characters of its own a sentence needs to take whole phrases into its places; others take single words only.
const surely = 12

// patterns are the known sentences, the most telling first.
var patterns = sync.OnceValue(func() (list []pattern) {
	for key, e := range loaded[English]() {
		if !strings.HasPrefix(key, told) && !strings.HasPrefix(key, sealed) {
			continue
		}
		for _, text := range e { // each plural form is a sentence of its own
			list = append(list, patternOf(key, straight.Replace(text)))
		}
	}
	slices.SortFunc(list, func(a, b pattern) int {
		return cmp.Or(b.words-a.words, strings.Compare(a.key, b.key), strings.Compare(a.part, b.part))
	})
	return list
})

// straight are the quotes and strokes as a program writes them.
var straight = strings.NewReplacer("“", `"`, "”", `"`, "’", "'")

func patternOf(key, text string) pattern {
	p := pattern{key: key, words: len(place.ReplaceAllString(text, ""))}
	takes := `(.+?)`
	if p.words < surely {
		takes = `(\S+)`
	}
	expression, from := "", 0
	for _, at := range append(place.FindAllStringIndex(text, -1), []int{len(text), len(text)}) {
		fixed := text[from:at[0]]
		if len(fixed) > len(p.part) {
			p.part = fixed
		}
		expression += regexp.QuoteMeta(fixed)
		switch name := strings.Trim(text[at[0]:at[1]], "{}"); name {
		case "":
		case counted:
			expression, p.places = expression+`(\d+)`, append(p.places, hole{name: name})
		default:
			expression, p.places = expression+takes, append(p.places, hole{name, slices.Contains(given, name), quotes.MatchString(fixed)})
		}
		from = at[1]
	}
	p.begins, p.ends = text, text
	if holes := place.FindAllStringIndex(text, -1); len(holes) > 0 {
		p.begins, p.ends = text[:holes[0][0]], text[holes[len(holes)-1][1]:]
	}
	if strings.HasPrefix(text, ",") { // it is said behind another sentence
		expression, p.places, p.begins = `(.+)`+expression, append([]hole{{}}, p.places...), ""
	}
	p.fits = regexp.MustCompile(`(?s)^` + expression + `$`)
	return p
}

// quotes are what stands before a place whose words people wrote.
var quotes = regexp.MustCompile(`["'#]\s?$`)

// counted is the place of the whole number that chooses among the plural forms.
const counted = "n"

// find returns what stands in the places, or nothing where the sentence does not fit.
func (p pattern) find(text string) []string {
	if !strings.HasPrefix(text, p.begins) || !strings.HasSuffix(text, p.ends) || !strings.Contains(text, p.part) {
		return nil
	}
	found := p.fits.FindStringSubmatch(text)
	if found != nil && p.begins == "" && ofPieces.MatchString(found[1]) {
		return nil // its first place would take the names before the sentence too
	}
	return found
}

// tradeWords are the groups of words that stand in the places of such sentences.
var tradeWords = []string{"kind", "act", "station", "role", "verdict", "place", "component", "cause", "surface", "layout", "how", "stage", "sort", "face", "reading", "joint", "shape"}

// InWords says in the reader's language what the program says in English of what cannot be done, what it warns of and what it seals: the
// sentences of the groups told and paper.said, one after the other. What it does not know it returns as it is.
func (w Words) InWords(english string) string {
	said, _ := w.Known(english)
	return said
}

// longest is how many bytes of a text are looked through: what the program says is far shorter, and what people write may be anything.
const longest = 4000

// Known is InWords, and reports whether every sentence was known.
func (w Words) Known(english string) (said string, all bool) {
	if w.Language() == English || english == "" {
		return english, true
	}
	if len(english) > longest {
		return english, false
	}
	if said, known := w.whole(english); known {
		return said, true
	}
	if withUnit.MatchString(english) { // a bare number may be a name
		return w.Figure(english), true
	}
	if about := ofPieces.FindString(english); about != "" {
		said, all = w.Known(english[len(about):])
		if w.Language() == Chinese && all {
			about = wide.Replace(about)
		}
		return about + said, all
	}
	for end := strings.Index(english, ". "); end >= 0 && end+2 < len(english); {
		if said, known := w.whole(english[:end+1]); known {
			rest, all := w.Known(english[end+2:])
			return said + w.gap() + rest, all
		}
		next := strings.Index(english[end+2:], ". ")
		if next < 0 {
			break
		}
		end += 2 + next
	}
	return english, false
}

// whole says one sentence, of one clause or of several.
func (w Words) whole(english string) (said string, known bool) {
	if said, known = w.sentence(english, 0); known {
		return said, true
	}
	return w.clauses(english)
}

// clauses says a sentence that is put together of several with semicolons between them, if each is known.
func (w Words) clauses(english string) (said string, all bool) {
	body, ended := strings.CutSuffix(english, ".")
	list := strings.Split(body, "; ")
	for i, clause := range list {
		if list[i], all = w.phrase(clause, 0); !all || len(list) == 1 {
			return english, false
		}
	}
	gap, end := "; ", "."
	if w.Language() == Chinese {
		gap, end = "；", "。"
	}
	said = strings.Join(list, gap)
	if ended {
		said = upper(said) + end
	}
	return said, true
}

// phrase says a sentence that may begin with a capital here and with a small letter where it is known.
func (w Words) phrase(text string, depth int) (said string, known bool) {
	if said, known = w.sentence(text, depth); known {
		return said, true
	}
	first, n := utf8.DecodeRuneInString(text)
	if said, known = w.sentence(string(unicode.ToLower(first))+text[n:], depth); known {
		return said, true
	}
	return text, false
}

func upper(text string) string {
	first, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[n:]
}

// gap stands between two sentences.
func (w Words) gap() string {
	if w.Language() == Chinese {
		return ""
	}
	return " "
}

// nested is how deep sentences may stand in the places of sentences.
const nested = 3

// sentence says one sentence, if it is known.
func (w Words) sentence(text string, depth int) (said string, known bool) {
	if depth > nested {
		return text, false
	}
	for _, p := range patterns() {
		found := p.find(text)
		if found == nil {
			continue
		}
		args, before := map[string]any{}, ""
		for i, at := range p.places {
			value := found[i+1]
			switch n, err := strconv.Atoi(value); {
			case at.name == counted && err == nil:
				args[at.name] = n
			case at.name == "":
				before = w.value(value, depth)
			case at.asIs || at.name == counted || at.quoted && !strings.Contains(value, " "):
				args[at.name] = value
			case at.quoted:
				args[at.name], _ = w.phrase(value, depth+1)
			default:
				args[at.name] = w.value(value, depth)
			}
		}
		said = before + w.Tell(p.key, args)
		if capital(text) && strings.HasSuffix(text, ".") {
			said = upper(said)
		}
		return said, true
	}
	return text, false
}

func capital(text string) bool {
	first, _ := utf8.DecodeRuneInString(text)
	return unicode.IsUpper(first)
}

// wide are the marks between names as Chinese writes them.
var wide = strings.NewReplacer(", ", "、", ": ", "：")

// ofPieces are the numbers of pieces, or the name of a file, before what is said of them.
var ofPieces = regexp.MustCompile(`^[^\s:]+(:\d+)?(, [^\s:]+)*: `)

// given are the places in which stands what people call things.
var given = []string{"piece", "file", "support", "key"}

var (
	figure   = regexp.MustCompile(`^[-+]?\d+(\.\d+)?(e[-+]\d+)?( ?(mm|mm/m|µm|K|%|h|kg|N|°|kg/m3|[A-Z]{3}))?$`)
	withUnit = regexp.MustCompile(`^[-+]?\d+(\.\d+)? ?(mm|mm/m|µm|°|kg/m3|%)$`)
	anyDay   = regexp.MustCompile(`^(\d{4})-(\d\d)-(\d\d)( \d\d:\d\d( UTC)?)?$`)
)

// value says what stands in a place: a figure, a day, a word of the trade, or a sentence that is known itself.
func (w Words) value(text string, depth int) string {
	if figure.MatchString(text) {
		return w.Figure(text)
	}
	if m := anyDay.FindStringSubmatch(text); m != nil {
		return w.Say("paper.date", "y", m[1], "m", m[2], "d", m[3]) + m[4]
	}
	for _, group := range tradeWords {
		if key := group + "." + slug(text); w.Has(key) {
			return w.Say(key)
		}
	}
	if said, known := w.phrase(text, depth+1); known {
		return said
	}
	return w.several(text, depth)
}

// several says words with commas between them, if each is known.
func (w Words) several(text string, depth int) string {
	list := strings.Split(text, ", ")
	for i, item := range list {
		said, known := w.phrase(item, depth+1)
		if !known {
			return text
		}
		list[i] = said
	}
	return w.joined(list)
}
