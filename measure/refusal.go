package measure

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"slatewright/trouble"
)

// refuse returns the error of a text that is not read.
func refuse(code, what, next string) error {
	return trouble.Data(code, "", what, next)
}

// What quantities look like, for messages.
const (
	likeNumber = `12.34 or 12,34`
	likeLength = `0.25 mm, 250 µm, 0.010 in, 10 thou or 1/32 in`
	likeFeet   = "9' 2 1/4\""
)

func (r *reader) notNumber() error {
	if r.text == "" {
		return refuse("bad-number", "nothing is written where a number should be", "write it like "+r.like)
	}
	return refuse("bad-number", shown(r.text)+" is not a number", "write it like "+r.like)
}

func (r *reader) outOfRange() error {
	return refuse("out-of-range", shown(r.text)+" is beyond what a number can hold", "look for a slip in the exponent")
}

// trailing refuses what follows a quantity that is complete.
func (r *reader) trailing() error {
	return refuse("bad-length", shown(r.text)+" goes on after a complete length: "+shown(r.rest), "write it like "+r.like)
}

// shown quotes a text for a message, cut to a length that a line can bear.
func shown(text string) string {
	const most = 60
	if len(text) <= most {
		return quoted(text)
	}
	cut := most
	for cut > 0 && !utf8.RuneStart(text[cut]) {
		cut--
	}
	return quoted(text[:cut] + "…")
}

// quoted puts a text in quotes, with what cannot be seen written as escapes. One with an inch mark comes in backquotes, which leave
// the mark readable.
func quoted(text string) string {
	if strings.Contains(text, `"`) && strconv.CanBackquote(text) && !strings.ContainsFunc(text, hidden) {
		return "`" + text + "`"
	}
	return strconv.Quote(text)
}

func hidden(c rune) bool { return !strconv.IsPrint(c) }
