package waiting

import (
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/judge"
)

// usable is the last reading of a piece's playing face, if nothing was done to it since and it is kept as a file. With dry the stone must
// have been dry as well, as a certificate asks.
func usable(s *book.PieceState, dry bool) (book.Reading, bool) {
	for i := len(s.Readings) - 1; i >= 0; i-- {
		if r := s.Readings[i]; r.What == "top" {
			return r, r.ExpiredBy == "" && r.Blob != "" && !(dry && r.Wet)
		}
	}
	return book.Reading{}, false
}

// askJoints asks about the joints of a set that nothing was done to since it was laid up: a step that is too high, or a joint that was dressed.
func (l *look) askJoints(s *inWork) (q Question, asks bool) {
	state := set(s.Thing)
	worked := slices.ContainsFunc(s.pieces, func(p *Thing) bool { return piece(p).Pattern != "" || piece(p).Room != "" || piece(p).Lined })
	if len(state.LayUps) == 0 || worked {
		return q, false
	}
	if last := state.LayUps[len(state.LayUps)-1]; last.ExpiredBy != "" {
		q = l.setQuestion(LayUp, s, "lay-up")
		q.Say = sentence("waiting.say.lay-up-again", "set", s.ID, "did", last.ExpiredAct, "day", at(last.ExpiredMS))
		q.Recommend = sentence("waiting.do.lay-up-again")
		q.Sure = byRule(sentence("waiting.sure.lay-up"))
		return q, last.ExpiredAct == "dress-joint" || last.ExpiredAct == "surface"
	}
	for i, step := range state.StepsMM {
		r := judge.Decide(judge.Characteristic{Name: judge.StepHead, Value: abs(step), U: l.spec.Uncertainty.Reading, Limit: l.spec.Limits.Step}, l.spec.Decision)
		if r.Verdict == judge.Conforms {
			continue
		}
		q = l.setQuestion(Dress, s, "dress-joint", "lay-up", "part-set")
		q.Say = sentence("waiting.say.dress", "set", s.ID, "joint", i+1, "step_mm", abs(step), "limit_mm", l.spec.Limits.Step)
		q.Recommend = sentence("waiting.do.dress", "depth_mm", round(-r.Margin, 3))
		if -r.Margin > judge.MaxDress {
			q.Acts = []string{"part-set", "lay-up", "dress-joint"}
			q.Recommend = sentence("waiting.do.dress-not", "depth_mm", round(-r.Margin, 3), "most_mm", judge.MaxDress)
		}
		q.Sure = computed(1-r.Probability, sentence("waiting.sure.step", "good_chance", unsure(r.Probability)))
		return q, true
	}
	return q, false
}

func abs(x float64) float64 { return max(x, -x) }

// workKinds are the kinds of the questions about work on pieces.
var workKinds = map[string]Kind{"drill": Drill, "check": Check, "enter-room": EnterRoom, "leave-room": LeaveRoom, "glue-lining": Line, "ream": Ream, "finish": Finish}

// workSays are the question and the recommendation of each of them.
var workSays = map[Kind][2]string{
	Drill:     {"waiting.say.drill", "waiting.do.drill"},
	Check:     {"waiting.say.check", "waiting.do.check"},
	EnterRoom: {"waiting.say.enter-room", "waiting.do.enter-room"},
	LeaveRoom: {"waiting.say.leave-room", "waiting.do.leave-room"},
	Line:      {"waiting.say.line", "waiting.do.line"},
	Ream:      {"waiting.say.ream", "waiting.do.ream"},
	Finish:    {"waiting.say.finish", "waiting.do.finish"},
}

// askWork asks about the next act that the pieces of a set need, when it can be done.
func (l *look) askWork(s *inWork) (q Question, asks bool) {
	kind, known := workKinds[s.next]
	if !known {
		return q, false // plain work
	}
	var which []*Thing
	since := time.Time{}
	for _, p := range s.which {
		ready := l.ready(p, s.next)
		if ready.After(l.now) {
			continue
		}
		which = append(which, p)
		since = later(since, later(ready, p.At))
	}
	if len(which) == 0 {
		return q, false
	}
	act := l.workAct(s.next)
	if r := l.mayWork(s, which, act); slices.Contains(timed, r.code) {
		return q, false
	} else if !r.allowed() {
		return l.hindered(s, s.next, r), true
	}
	q = l.setQuestion(kind, s, s.next)
	q.Also, q.Since = refsOf(which), since
	q.Say = sentence(workSays[kind][0], "set", s.ID, "n", len(which), "pieces", names(q.Also))
	q.Recommend, q.Sure = sentence(workSays[kind][1]), byRule(sentence("waiting.sure.way"))
	switch kind {
	case EnterRoom:
		l.askEnter(&q, len(which))
	case LeaveRoom:
		l.askLeave(&q)
	case Line:
		l.askLine(&q)
	}
	return q, true
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// workAct makes the act that the book is asked about, for any piece.
func (l *look) workAct(word string) func(p *Thing) book.Act {
	board, glue := l.batch(book.KindBoardBatch), l.batch(book.KindGlueBatch)
	return func(p *Thing) book.Act {
		switch word {
		case "drill":
			return &book.Drill{Piece: p.ID, Pattern: l.spec.Pattern}
		case "check":
			return &book.Check{Piece: p.ID, What: "holes", Good: true}
		case "enter-room":
			if l.waiting.room == nil {
				return nil
			}
			return &book.EnterRoom{Piece: p.ID, Room: l.waiting.room.ID}
		case "leave-room":
			return &book.LeaveRoom{Piece: p.ID}
		case "glue-lining":
			if board == nil || glue == nil {
				return nil
			}
			return &book.GlueLining{Piece: p.ID, BoardBatch: board.ID, GlueBatch: glue.ID, Layout: l.Mill().Answers["lining-layout"], MarkNow: book.OnLining}
		case "ream":
			return &book.Ream{Piece: p.ID}
		case "finish":
			return &book.Finish{Piece: p.ID}
		}
		return nil
	}
}

// mayWork asks the book about an act on some pieces of a set; what cannot be asked for want of a room or a batch is allowed here.
func (l *look) mayWork(s *inWork, which []*Thing, act func(*Thing) book.Act) refusal {
	return l.remembered(s.next, s, l.now, func() refusal {
		for _, p := range which {
			a := act(p)
			if a == nil {
				return refusal{}
			}
			if r := l.may(a, l.place(s.next, p), l.now); !r.allowed() {
				return r
			}
		}
		return refusal{}
	})
}

// askEnter says which room has a place.
func (l *look) askEnter(q *Question, n int) {
	switch w := l.waiting; {
	case w.room == nil:
		q.Recommend, q.Sure = sentence("waiting.do.enter-no-room"), byRule(sentence("waiting.sure.no-room"))
		q.Acts, q.May = []string{"take-in"}, l.step("take-in").May
	case w.places < 0:
		q.Recommend = sentence("waiting.do.enter-room", "room", w.room.ID)
		q.Evidence = append(q.Evidence, w.room.Ref)
	case w.places < n:
		q.Recommend = sentence("waiting.do.enter-full", "room", w.room.ID, "n", w.places)
		q.Sure = computed(0, sentence("waiting.sure.places"))
		q.Evidence = append(q.Evidence, w.room.Ref)
	default:
		q.Recommend = sentence("waiting.do.enter-places", "room", w.room.ID, "n", w.places)
		q.Sure = computed(0, sentence("waiting.sure.places"))
		q.Evidence = append(q.Evidence, w.room.Ref)
	}
}

// askLeave adds what waits for the places that come free.
func (l *look) askLeave(q *Question) {
	q.Sure = byRule(sentence("waiting.sure.room", "n", int(l.room)))
	if w := l.waiting; w.full() && len(w.sets) > 0 {
		q.Cost = l.cost(l.ofSet(l.bySet[q.Thing.ID]).with(w.burden))
		q.Cost.Says = sentence("waiting.cost.room", "n", len(w.sets))
	}
}

// The moisture that boards should have where a room is kept at 45 to 55 % relative humidity: per cent of their dry mass. From the balance
// figures of an association of board makers (7 to 9 % at 45 %). A pin meter is right within 1 %, ten times what the bow of a lined piece can bear: it
// can forbid, and never allow.
const (
	boardLow, boardHigh = 7, 9
	meterDoubt          = 1
)

// listHolds is how long a batch's list speaks of today. Common practice, no source.
const listHolds = 36 * time.Hour

// askLine says which batches to take, and whether the boards are fit to be glued: by the batch's own list where it is kept with it, otherwise it
// cannot be told.
func (l *look) askLine(q *Question) {
	board, glue := l.batch(book.KindBoardBatch), l.batch(book.KindGlueBatch)
	if board == nil || glue == nil {
		q.Recommend, q.Sure = sentence("waiting.do.line-none"), byRule(sentence("waiting.sure.batch"))
		q.Acts, q.May = []string{"take-in", "glue-lining"}, l.step("take-in").May
		return
	}
	q.Evidence = append(q.Evidence, board.Ref, glue.Ref)
	q.Recommend = sentence("waiting.do.line", "board", board.ID, "glue", glue.ID)
	state := board.State.(*book.BatchState)
	if l.now.Sub(time.UnixMilli(state.WeighedMS)) <= listHolds {
		if b, known := l.files().Boards(state.Weighed); known {
			l.byList(q, board.ID, b)
			return
		}
	}
	switch moist := state.MoisturePercent; {
	case moist == 0:
		q.Sure = cannotTell(sentence("waiting.sure.moisture-unread", "board", board.ID))
		q.Acts = []string{"glue-lining", "read"}
	case moist < boardLow-meterDoubt || moist > boardHigh+meterDoubt:
		q.Recommend = sentence("waiting.do.line-condition", "board", board.ID, "moisture_percent", moist)
		q.Sure = computed(0, sentence("waiting.sure.moisture", "low_percent", float64(boardLow), "high_percent", float64(boardHigh)))
		q.Acts = []string{"read", "glue-lining"}
	default:
		q.Sure = cannotTell(sentence("waiting.sure.moisture-meter", "moisture_percent", moist))
		q.Acts = []string{"glue-lining", "read"}
	}
}

// byList recommends what the batch's list comes to.
func (l *look) byList(q *Question, board string, b Boards) {
	switch b.Verdict {
	case "may be glued":
		q.Sure = computed(0, sentence("waiting.sure.lining", "most_mm", b.MostMM, "limit_mm", b.LimitMM))
	case "not today":
		q.Recommend = sentence("waiting.do.line-not", "board", board)
		q.Sure = computed(0, sentence("waiting.sure.lining-not"))
		q.Acts = []string{"read", "glue-lining"}
	default:
		q.Sure = cannotTell(sentence("waiting.sure.lining-open", "most_mm", b.MostMM, "limit_mm", b.LimitMM))
		q.Acts = []string{"glue-lining", "read"}
	}
}

// batch is the usable batch that should be used first: the one whose use-before date comes first, then the one that lies longest. Glue for
// repairs (epoxy) is not for linings. Nil when there is none.
func (l *look) batch(k book.Kind) (best *Thing) {
	ends := func(t *Thing) time.Time {
		if until := t.State.(*book.BatchState).UseBefore; until != nil {
			return *until
		}
		return time.Unix(1<<40, 0)
	}
	for _, t := range l.Of(k) {
		if !l.now.Before(ends(t)) || k == book.KindGlueBatch && t.State.(*book.BatchState).Sort == "epoxy" {
			continue
		}
		if best == nil || ends(t).Before(ends(best)) {
			best = t
		}
	}
	return best
}
