package book

import (
	"maps"
	"reflect"
	"slices"

	"slatewright/internal/book/field"
)

// answerWords are the mill's own questions that the route follows, by the key of the answer, with the words that answer each, the usual
// one first.
var answerWords = map[string][]string{
	"flatness-state": {"laid", "free"},
	"lining-layout":  {"full", "strips", "pads", noLining},
	"surfacing":      {faceAfterRoom, faceBeforeRoom},
	"supports":       {"bench", "lines", "points"},
}

const (
	noLining       = "none"
	faceAfterRoom  = "after the room"
	faceBeforeRoom = "before the room"
)

// AnswerWords are the words that answer one of the mill's own questions, the usual one first; none for a question that the book does not know.
func AnswerWords(key string) []string { return slices.Clone(answerWords[key]) }

// checkAnswers wants the book's own questions to be answered in its words. Other answers are the mill's affair; an empty one takes it back.
func checkAnswers(given map[string]string) error {
	for _, key := range slices.Sorted(maps.Keys(given)) {
		if words := answerWords[key]; words != nil && given[key] != "" {
			if err := field.OneOf(given[key], words, "answers."+key); err != nil {
				return err
			}
		}
	}
	return nil
}

// settle takes the mill's answers and its route. What is not answered anew stays as it was. A route that nobody edited follows the answers.
func (s *MillState) settle(a *Settle) {
	unedited := s.Route.Steps == nil || reflect.DeepEqual(s.Route, RouteFor(s.Answers))
	s.Name, s.Demo = a.Name, s.Demo || a.Demo
	answers := maps.Clone(s.Answers)
	if answers == nil {
		answers = map[string]string{}
	}
	maps.Copy(answers, a.Answers)
	maps.DeleteFunc(answers, func(_, answer string) bool { return answer == "" })
	s.Answers = answers
	switch {
	case a.Route != nil:
		s.Route = *a.Route
	case unedited:
		s.Route = RouteFor(s.Answers)
	}
}

// lines tells whether the mill's layout puts a lining under a piece.
func (s *MillState) lines() bool {
	layout := s.Answers["lining-layout"]
	return layout != "" && layout != noLining
}

// RouteFor is common practice, no source, for a mill that gave these answers; every mill may edit it. Without answers it is the DefaultRoute.
func RouteFor(answers map[string]string) Route {
	r := DefaultRoute()
	if answers["lining-layout"] == noLining {
		r.withoutLining()
	}
	switch answers["surfacing"] {
	case faceBeforeRoom:
		r.Holds = append(r.Holds, Hold{Before: "enter-room", Needs: "surfaced"})
	case faceAfterRoom:
		r.at("leave-room").To = Surfacing
		r.Holds = append(r.Holds, Hold{Before: "surface", Needs: "face-after-room", Amount: usualDaysInRoom}, Hold{Before: "pack", Needs: "surfaced-since-room"})
	}
	if answers["flatness-state"] == "free" {
		r.Holds = append(r.Holds, Hold{Before: "certify", Needs: "support-known"})
	}
	return r
}

// withoutLining takes the lining off the way: no stone comes to its station, and nothing waits for it.
func (r *Route) withoutLining() {
	for i := range r.Steps {
		s := &r.Steps[i]
		s.From = slices.DeleteFunc(slices.Clone(s.From), func(at Station) bool { return at == Lining })
		if s.To == Lining {
			s.To = Bench
		}
	}
	r.Holds = slices.DeleteFunc(r.Holds, func(h Hold) bool { return h.Needs == "lining-cured" })
}

// at is the step of an act that the route has.
func (r *Route) at(word string) *Step {
	return &r.Steps[slices.IndexFunc(r.Steps, func(s Step) bool { return s.Act == word })]
}
