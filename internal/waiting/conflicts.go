package waiting

import (
	"cmp"
	"encoding/json"
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/waiting/house"
)

// askConflicts asks about each entry that the book keeps and could not apply.
func askConflicts(l *look) (list []Question) {
	for _, c := range l.Conflicts() {
		q := Question{Key: "resolve:" + c.ID, Kind: Resolve, Station: c.Station, May: l.step("correct").May, Acts: []string{"correct"}, Since: c.Entry.At}
		var b burden
		seen := map[book.Ref]bool{}
		for _, r := range house.TouchedBy(c.Entry) {
			if r.Kind == book.KindMill || r.Kind == book.KindPerson || seen[r] {
				continue
			}
			seen[r] = true
			if q.Thing == (book.Ref{}) {
				q.Thing = r
			} else {
				q.Also = append(q.Also, r)
			}
			b = b.with(l.ofThing(r))
		}
		if b.rate() == 0 {
			b.still = standing // the book itself does not agree
		}
		q.Evidence = append([]book.Ref{q.Thing}, q.Also...)
		q.Cost = l.cost(b)
		q.Say = sentence("waiting.say.resolve", "act", c.Act, "thing", q.Thing.ID, "person", c.Person, "day", c.Entry.At)
		q.Recommend, q.Sure = l.resolution(c)
		list = append(list, q)
	}
	slices.SortStableFunc(list, func(a, b Question) int { return cmp.Compare(a.Key, b.Key) })
	return list
}

// ofThing is what it costs that a piece or set is held up.
func (l *look) ofThing(r book.Ref) burden {
	if r.Kind == book.KindSet {
		if s := l.bySet[r.ID]; s != nil {
			return l.ofSet(s)
		}
	}
	if t, there := l.Thing(r); there && r.Kind == book.KindPiece {
		if s := l.bySet[piece(t).Set]; s != nil {
			return l.ofSet(s).times(perSet)
		}
		return l.ofLoosePieces(sizeOf(piece(t)), 1)
	}
	return burden{}
}

// The refusals that say that the book has gone on meanwhile, and those that say that it lacks something.
var (
	goneOn = []string{"breaks-later", "used-up", "rejected", "parted", "wrong-station", "in-set", "already-there", "in-room", "not-in-room", "lined", "other-pieces"}
	lacks  = []string{"no-such-thing", "no-such-entry", "not-lined"}
)

// resolution is what to do with a conflict, by the reason for which it could not follow.
func (l *look) resolution(c book.Placed) (Sentence, Sure) {
	var why struct{ Code string }
	if err := json.Unmarshal([]byte(c.Standing.Why), &why); err != nil {
		return sentence("waiting.do.resolve-look"), cannotTell(sentence("waiting.sure.conflict"))
	}
	sure := cannotTell(sentence("waiting.sure.conflict"))
	switch {
	case slices.Contains(goneOn, why.Code):
		return sentence("waiting.do.resolve-gone-on"), sure
	case slices.Contains(lacks, why.Code):
		return sentence("waiting.do.resolve-lacks"), sure
	}
	return sentence("waiting.do.resolve-look"), sure
}
