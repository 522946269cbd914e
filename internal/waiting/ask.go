package waiting

import (
	"cmp"
	"slices"
	"time"

	"slatewright/internal/book"
)

// Ask lists what waits for a person, the costliest waiting first. The same house at the same time gives the same list.
func Ask(h *House, now time.Time) []Question {
	l := h.look(now)
	var all []Question
	for _, ask := range []func(*look) []Question{askSets, askShip, askLoose, askMarks, askStone, askOrders, askInstruments, askConflicts} {
		all = append(all, ask(l)...)
	}
	slices.SortFunc(all, func(a, b Question) int {
		return cmp.Or(cmp.Compare(b.Cost.Rate, a.Cost.Rate), cmp.Compare(rank[a.Kind], rank[b.Kind]), cmp.Compare(a.Key, b.Key))
	})
	return all
}

// rank is the order of the kinds for questions of the same cost: what is further on its way comes first.
var rank = func() map[Kind]int {
	m := map[Kind]int{}
	for i, k := range Kinds() {
		m[k] = -i
	}
	return m
}()

// askSets asks about each set what is next for it.
func askSets(l *look) (list []Question) {
	for _, s := range l.sets {
		if q, asks := l.askSet(s); asks {
			list = append(list, q)
		}
	}
	return list
}

// askSet finds the one question about a set, if its next step is one.
func (l *look) askSet(s *inWork) (Question, bool) {
	if len(s.pieces) < len(set(s.Thing).Pieces) || set(s.Thing).Packed {
		return Question{}, false
	}
	if p := firstBad(s.pieces); p != nil {
		return l.putRight(s, p), true
	}
	if q, asks := l.askJoints(s); asks {
		return q, true
	}
	if s.next != "" {
		return l.askWork(s)
	}
	return l.askProof(s)
}

// firstBad is the first piece whose last check found it wrong.
func firstBad(pieces []*Thing) *Thing {
	for _, p := range pieces {
		if good := piece(p).CheckGood; good != nil && !*good {
			return p
		}
	}
	return nil
}

// setQuestion begins a question about a set: what it costs that the set waits, its pieces beside it.
func (l *look) setQuestion(k Kind, s *inWork, acts ...string) Question {
	q := l.new(k, s.Thing, acts...)
	q.Also, q.Evidence = refsOf(s.pieces), append([]book.Ref{s.Ref}, refsOf(s.pieces)...)
	for _, p := range s.pieces {
		if p.At.After(q.Since) {
			q.Since = p.At
		}
	}
	q.Cost = l.cost(l.ofSet(s))
	return q
}

// putRight asks what to do with a piece that a check found wrong.
func (l *look) putRight(s *inWork, p *Thing) Question {
	q := l.setQuestion(PutRight, s, "repair", "check", "part-set")
	q.Also = []book.Ref{p.Ref}
	q.Say = sentence("waiting.say.put-right", "piece", p.ID, "set", s.ID)
	q.Recommend = sentence("waiting.do.put-right")
	q.Sure = byRule(sentence("waiting.sure.checks"))
	return q
}

// hindered asks what to do with a set whose next act the book refuses for a reason that is none of the usual ones.
func (l *look) hindered(s *inWork, act string, r refusal) Question {
	q := l.setQuestion(PutRight, s, act)
	if r.about != (book.Ref{}) {
		q.Evidence = append([]book.Ref{r.about}, q.Evidence...)
	}
	q.Say = sentence("waiting.say.hindered", "set", s.ID, "act", act, "what", r.what)
	q.Recommend = sentence("waiting.do.hindered", "next", r.next)
	q.Sure = byRule(sentence("waiting.sure.route"))
	return q
}
