// Package tongue says things in the five languages of the mill's pages: words and sentences, and numbers, lengths, masses,
// dates and spans of time as a person of that language and with those units reads them.
//
// # For builders
//
// The words stand in catalogues, one file for a room and a language: en/floor.yaml, pt/floor.yaml, it/, es/, zh/. A catalogue is
// flat; a key is a group and a name, parted by a dot, and a group lives in one file only. Every text stands in double quotes:
//
//	floor.empty: "Nothing waits"
//	floor.waits:
//	  one: "{n} piece waits at {station}"
//	  other: "{n} pieces wait at {station}"
//
// Say fills the places in braces: w.Say("floor.waits", "n", 3, "station", "saw"). The place n chooses among the plural forms; which
// forms there must be is the language's rule (English, Portuguese, Italian, Spanish: one, other; Chinese: other). A value is shown by its
// type and by the name of its place, so that whoever makes a sentence need not know the language:
//
//	whole number, float64       w.Number; at most three decimals
//	…mm (step_mm, mm)           w.Length: a step, a zone, a bow
//	…size (length_size, size)   w.Size of a number: the length of a piece
//	…kg                         w.Mass
//	…percent                    w.Percent
//	…chance                     w.Chance: a probability from 0 to 1
//	time.Time, time.Duration    w.Day, w.Since
//	station, kind, act, did, cause, face, surface, joint, place, direction, role, verdict, stage, how, table, reading, check, sort,
//	layout, state, shape
//	                            the word of that group, when the value is one of it: "saw" is said as station.saw
//	[]string                    the words, parted as the language does
//	Key("floor.soon")           what that key says
//
// Keys that are built from data (station.saw from the station's name) are listed in the tests; every other key must stand in some page,
// script or source. A key that does not exist panics in tests and shows as ⟨key⟩ in the program.
//
// What the book, the gate and the reckoning say in English (a refusal, a warning, what to do next) stands in the groups told, told-shape,
// told-gauge …: each text is a sentence of the sources as it comes out there, with places for what is filled in, and InWords says it. A
// sentence with a number of things has plural forms in English too, each as the program makes it: "{n} point lies", "{n} points lie"; a
// count alone stands in told-count and fills a place of another sentence. A new sentence in those sources without its words fails the
// tests. Places piece, file and support are left as people wrote them.
//
// # For translators
//
// Translate what stands in the quotes; leave keys, braces and what is in the braces as they are. A line that begins with # is a remark.
//
// The package knows no HTTP, no page and no person, reads no clock and no file, and parses nothing that people type: that is measure.
package tongue

import (
	"slices"

	"golang.org/x/text/language"
)

// Language is one of the languages of the pages.
type Language string

// The languages. Chinese is written in simplified characters, Portuguese as in Brazil.
const (
	English    Language = "en"
	Portuguese Language = "pt"
	Italian    Language = "it"
	Spanish    Language = "es"
	Chinese    Language = "zh"
)

// Languages lists the languages, English first.
func Languages() []Language { return []Language{English, Portuguese, Italian, Spanish, Chinese} }

// names are what the languages are called by those who speak them, and their tags for the lang attribute of a page.
var names = map[Language]struct{ own, tag string }{
	English: {"English", "en"}, Portuguese: {"Português", "pt-BR"}, Italian: {"Italiano", "it"}, Spanish: {"Español", "es"}, Chinese: {"简体中文", "zh-Hans"},
}

// Own returns the language's name in the language itself.
func (l Language) Own() string { return names[l].own }

// Tag returns the language's tag for a page's lang attribute, as in zh-Hans.
func (l Language) Tag() string { return names[l].tag }

// Known reports whether the language is one of Languages.
func (l Language) Known() bool { return slices.Contains(Languages(), l) }

// matcher finds the nearest of Languages, in their order.
var matcher = language.NewMatcher([]language.Tag{language.English, language.BrazilianPortuguese, language.Italian, language.Spanish, language.SimplifiedChinese})

// Choose returns the person's own choice when it is one of the languages, else the best for the browser's Accept-Language, else English.
func Choose(wish, accept string) Language {
	if l := Language(wish); l.Known() {
		return l
	}
	tags, _, err := language.ParseAcceptLanguage(accept)
	if err != nil || len(tags) == 0 {
		return English
	}
	_, i, sure := matcher.Match(tags...)
	if sure == language.No {
		return English
	}
	return Languages()[i]
}

// Units are the units in which a person reads lengths and masses.
type Units string

// The units.
const (
	Metric Units = "mm"   // mm, kg
	Inch   Units = "inch" // inches and thousandths of an inch, lb
)

// Words says things in one language and with one kind of units. It is a small value, safe for use by several goroutines; its methods are
// meant to be called from templates too. The zero Words speaks English and mm.
type Words struct {
	language Language
	units    Units
}

// In returns the words of a language with some units. What is not known is English, and mm.
func In(l Language, u Units) Words {
	if !l.Known() {
		l = English
	}
	if u != Inch {
		u = Metric
	}
	return Words{l, u}
}

// Language returns the language of the words.
func (w Words) Language() Language {
	if w.language == "" {
		return English
	}
	return w.language
}

// Units returns the units of the words.
func (w Words) Units() Units {
	if w.units == "" {
		return Metric
	}
	return w.units
}
