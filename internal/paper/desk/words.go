package desk

import (
	"strings"

	"slatewright/certificate"
	"slatewright/judge"
	"slatewright/measure"
)

// Name is a result's name as the terminal says it.
func Name(result string) string { return (&Set{}).name(result) }

// name is a result's name as papers say it.
func (s *Set) name(result string) string {
	if key := "paper.name-" + result; s.words.Has(key) {
		return s.words.Say(key)
	}
	return result
}

// what says what exactly a result is.
func (s *Set) what(result string) string {
	if key := "paper.what-" + result; s.words.Has(key) {
		return s.words.Say(key)
	}
	return ""
}

// Reason says in a sentence or two what decided, always with the margin. What cannot be told has it from the judgement.
func (s *Set) Reason() string {
	r := s.deciding()
	switch {
	case r.Missing || s.Verdict() == judge.Conforms:
		return s.Margin()
	case s.Verdict() == judge.DoesNotConform:
		return s.words.Say("paper.misses", "result", s.name(r.Name), "amount", s.both(max(r.Value-r.Limit, r.Limit-r.Value)), "room", s.room(r))
	}
	return s.words.Say("paper.cannot-be-told", "result", s.name(r.Name), "reason", s.told(r.Reason))
}

// Margin says in one sentence which result decides, and how far it is from where conformity is proven.
func (s *Set) Margin() string {
	r := s.deciding()
	switch {
	case r.Missing:
		return s.words.Say("paper.decides-unread", "result", s.name(r.Name))
	case s.withheld(r):
		return s.words.Say("paper.would-decide", "result", s.name(r.Name), "room", s.room(r))
	}
	return s.words.Say("paper.decides", "result", s.name(r.Name), "room", s.room(r))
}

// room says how far a result is inside or beyond what is accepted.
func (s *Set) room(r certificate.Result) string {
	if r.Margin < 0 {
		return s.words.Say("paper.room-beyond", "amount", s.both(-r.Margin))
	}
	return s.words.Say("paper.room-inside", "amount", s.both(r.Margin))
}

// deciding is the result that decides.
func (s *Set) deciding() certificate.Result {
	for _, r := range s.Body.Found.Results {
		if r.Name == s.Body.Found.DecidedBy {
			return r
		}
	}
	return certificate.Result{Name: s.Body.Found.DecidedBy, Missing: true}
}

// both is a length in both units.
func (s *Set) both(l certificate.Length) string {
	return s.words.Figure(measure.FormatRounded(l.Float64(), measure.MM, 3) + " (" + measure.FormatRounded(l.Float64(), measure.Thou, 1) + ")")
}

// asSentence makes a phrase a sentence.
func asSentence(phrase string) string {
	if phrase == "" {
		return ""
	}
	return strings.ToUpper(phrase[:1]) + phrase[1:] + "."
}

// told says a sealed text in the language of the papers, sentence by sentence. A certificate seals its sentences in English; what is not
// known is from another version of the program, or from the hand of a person, and stands as it was sealed.
func (s *Set) told(text string) string { return s.words.InWords(text) }

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
	step, known := s.words.Known(text)
	why = s.told(found.Next.Reason)
	if key := "stone.do-" + found.Next.Code; !known && s.words.Has(key) {
		step, why = s.words.Say(key), strings.TrimSpace(text+" "+why)
	}
	if of != "" {
		step = s.words.Say("paper.unchecked", "subject", s.of(of), "demand", step)
	}
	return step, why
}

// of names the pieces that something is about: a place in the bed, words of the judgement, or what people call a piece.
func (s *Set) of(pieces string) string {
	if place := s.words.Word("place", pieces); place != pieces {
		return place
	}
	return s.told(pieces)
}
