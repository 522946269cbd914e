package measure

import (
	"strings"
	"unicode"
)

// names lists how units of length are written, in small letters and with plain quotes.
var names = map[string]Unit{
	"mm": MM, "millimetre": MM, "millimetres": MM, "millimeter": MM, "millimeters": MM,
	"cm": Centimetre, "centimetre": Centimetre, "centimetres": Centimetre, "centimeter": Centimetre, "centimeters": Centimetre,
	"m": Metre, "metre": Metre, "metres": Metre, "meter": Metre, "meters": Metre,
	"µm": Micron, "μm": Micron, "um": Micron, "micron": Micron, "microns": Micron, // the micro sign and the Greek letter
	"micrometre": Micron, "micrometres": Micron, "micrometer": Micron, "micrometers": Micron,
	"in": Inch, "inch": Inch, "inches": Inch, `"`: Inch, "''": Inch,
	"thou": Thou, "thous": Thou,
	"ft": Foot, "foot": Foot, "feet": Foot, "'": Foot,
}

// unclear lists words that are used for lengths but mean different things to different people, and what to write instead.
var unclear = map[string]struct{ why, next string }{
	"mil":    {"a thousandth of an inch to some, a millimetre to others", "write thou or mm"},
	"mils":   {"thousandths of an inch to some, millimetres to others", "write thou or mm"},
	"mill":   {"a thousandth of an inch to some, a millimetre to others", "write thou or mm"},
	"mills":  {"thousandths of an inch to some, millimetres to others", "write thou or mm"},
	"tenth":  {"0.0001 in to some, 0.1 mm to others", "write it in thou or mm"},
	"tenths": {"0.0001 in to some, 0.1 mm to others", "write it in thou or mm"},
	"µ":      {"a micrometre only in old drawings", "write µm"},
	"μ":      {"a micrometre only in old drawings", "write µm"},
}

const knownUnits = "write mm, cm, m, µm, in, thou or ft"

// quotes turns the marks for feet and inches into plain ones.
var quotes = strings.NewReplacer("′", "'", "’", "'", "‘", "'", "″", `"`, "”", `"`, "“", `"`)

// ParseUnit reads the name of a unit of length.
func ParseUnit(s string) (Unit, error) {
	text := strings.TrimSpace(s)
	if u, known := names[plain(text)]; known {
		return u, nil
	}
	r := reader{text: text, rest: text, like: likeLength}
	return 0, r.notUnit(text)
}

// unit reads the name of a unit at the start of the rest.
func (r *reader) unit() (Unit, error) {
	word := r.rest
	if end := strings.IndexFunc(word, func(c rune) bool { return !unicode.IsLetter(c) && !strings.ContainsRune(`.'"′″’‘”“`, c) }); end >= 0 {
		word = word[:end]
	}
	if u, known := names[plain(word)]; known {
		r.rest = r.rest[len(word):]
		return u, nil
	}
	return 0, r.notUnit(word)
}

// plain returns a word as it stands in names.
func plain(word string) string {
	return quotes.Replace(strings.TrimSuffix(strings.Map(func(c rune) rune {
		if 'A' <= c && c <= 'Z' { // other capitals stay: Μ is not µ
			return c + ('a' - 'A')
		}
		return c
	}, word), "."))
}

// notUnit refuses a text whose rest, or the word at its start, is no unit of length.
func (r *reader) notUnit(word string) error {
	if c := r.peek(); c-'0' <= 9 {
		return refuse("bad-number", shown(r.text)+" has a gap inside a number", "write the digits of one number together, and fractions like 2 1/4")
	}
	if r.text == "" {
		return refuse("no-unit", "no unit is written", knownUnits)
	}
	if r.rest == "" {
		return refuse("no-unit", shown(r.text)+" has no unit", "write "+quoted(r.text+" mm")+" or "+quoted(r.text+" in"))
	}
	if u, found := unclear[plain(word)]; found {
		return refuse("ambiguous-unit", shown(r.text)+" is unclear: "+word+" is "+u.why, u.next)
	}
	return refuse("unknown-unit", shown(r.text)+" has "+shown(r.rest)+" where a unit of length should be", knownUnits)
}
