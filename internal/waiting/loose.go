package waiting

import (
	"fmt"
	"maps"
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/waiting/house"
	"slatewright/judge"
)

// What is asked of pieces that are in no set. Those with the same answer are asked about together.

// The steps of a loose piece.
const (
	toSurface = "surface"
	toEnter   = "enter-room"
	toLeave   = "leave-room"
	toRead    = "read"
	toRegrind = "regrind"
	toMatch   = "match"
	resting   = "rest"
)

// stockMM is how much thicker than it must be a piece is when its surfacing is not at its end yet. The book does not say which pass is the last
// one; common practice aims at 0.3 to 0.6 mm above the least thickness.
const stockMM = 1

// looseNext is what comes next for a piece that is in no set.
func (l *look) looseNext(t *Thing) string {
	s := piece(t)
	switch {
	case s.Room != "" && l.ready(t, "leave-room").After(l.now):
		return resting
	case s.Room != "":
		return toLeave
	case s.Surfaced == 0 || s.FacedMS == 0 && !l.faceLater:
		return toSurface
	case l.faceLater && l.custom.room > 0 && !l.seasoned(s):
		return toEnter
	case l.faceLater && s.FacedMS <= s.LeftRoomMS:
		return toSurface
	}
	r, there := usable(s, false)
	if !there && s.ThicknessMM > l.spec.ThicknessMin+stockMM {
		return toSurface
	} else if !there {
		return toRead
	}
	if flat, known := l.files().Flat(r.Blob); known && l.faceRuling(flat).Verdict != judge.Conforms {
		return toRegrind
	}
	return toMatch
}

// faceRuling holds the zone of a face against the zone that the whole bed may have: no bed is flatter than each of its pieces.
func (l *look) faceRuling(f Flat) judge.Ruling {
	u := f.UMM
	if u == 0 {
		u = l.spec.Uncertainty.Reading
	}
	return judge.Decide(judge.Characteristic{Name: judge.Zone, Value: f.ZoneMM, U: u, Limit: l.spec.Limits.Zone}, l.spec.Decision)
}

// askLoose asks about loose pieces: readings, faces out of limit, the room, matching, proposals.
func askLoose(l *look) (list []Question) {
	proposed := l.openProposals()
	taken := map[string]bool{}
	for _, p := range proposed {
		for _, id := range p.Pieces {
			taken[id] = true
		}
		list = append(list, l.askProposal(p))
	}
	for _, size := range slices.Sorted(maps.Keys(l.loose)) {
		groups := map[string][]*Thing{}
		for _, t := range l.loose[size] {
			if next := l.looseNext(t); next == toRegrind {
				list = append(list, l.askFace(t, size))
			} else if !taken[t.ID] {
				key := next + " " + string(t.Station)
				if next == toMatch {
					key = next
				}
				groups[key] = append(groups[key], t)
			}
		}
		for _, key := range slices.Sorted(maps.Keys(groups)) {
			if q, asks := l.askGroup(size, groups[key]); asks {
				list = append(list, q)
			}
		}
	}
	return list
}

// group begins a question about loose pieces of the same size that need the same.
func (l *look) group(k Kind, key string, pieces []*Thing, b burden, acts ...string) Question {
	q := l.new(k, pieces[0], acts...)
	q.Key, q.Thing = string(k)+":"+key, l.MillThing().Ref
	q.Also, q.Evidence = refsOf(pieces), refsOf(pieces[:min(len(pieces), 12)])
	for _, p := range pieces {
		if p.At.Before(q.Since) {
			q.Since = p.At
		}
	}
	q.Cost = l.cost(b)
	return q
}

func (l *look) askGroup(size string, pieces []*Thing) (q Question, asks bool) {
	n, station := len(pieces), pieces[0].Station
	key := fmt.Sprintf("%s:%s", station, size)
	switch l.looseNext(pieces[0]) {
	case toRead:
		q = l.group(Measure, key, pieces, l.ofLoosePieces(size, n, "read"), "read")
		q.Station = station
		q.Say = sentence("waiting.say.measure-loose", "n", n, "station", station, "pieces", names(q.Also))
		q.Recommend, q.Sure = sentence("waiting.do.measure-loose"), byRule(sentence("waiting.sure.stock"))
	case toEnter:
		q = l.group(EnterRoom, key, pieces, l.ofLoosePieces(size, n, "enter-room", "surface", "read"), "enter-room")
		q.Say = sentence("waiting.say.enter-loose", "n", n, "station", station, "pieces", names(q.Also))
		q.Recommend, q.Sure = sentence("waiting.do.enter-room"), byRule(sentence("waiting.sure.way"))
		l.askEnter(&q, n)
	case toLeave:
		q = l.group(LeaveRoom, key, pieces, l.ofLoosePieces(size, n, "leave-room", "surface", "read"), "leave-room")
		q.Say = sentence("waiting.say.leave-loose", "n", n, "pieces", names(q.Also))
		q.Recommend, q.Sure = sentence("waiting.do.leave-room"), byRule(sentence("waiting.sure.room", "n", int(l.custom.room)))
	case toMatch:
		return l.askMatch(size, pieces)
	default:
		return q, false // plain work, or rest
	}
	return q, true
}

// fewest are the pieces that a set needs.
const fewest = 3

// askMatch asks whether to make sets of the stock. How many belong together is for the matching to find; never more than a third of them.
func (l *look) askMatch(size string, pieces []*Thing) (q Question, asks bool) {
	most := len(pieces) / fewest
	if most == 0 || size == "" {
		return q, false
	}
	var for_ *wanted
	sets, unmeasured := 0.0, 0
	for _, o := range l.orders {
		if o.facts.Size == size && o.pool > 0 {
			sets += o.pool
			if for_ == nil {
				for_ = o
			}
		}
	}
	for _, t := range pieces {
		r, _ := usable(piece(t), false)
		if _, known := l.files().Flat(r.Blob); !known {
			unmeasured++
		}
	}
	q = l.group(Match, size, pieces, l.ofLoosePieces(size, len(pieces)), "match", "lay-up")
	q.Station = book.Sets
	q.Say = sentence("waiting.say.match", "n", len(pieces), "table", size, "most", most)
	if for_ == nil {
		q.Recommend, q.Sure = sentence("waiting.do.match-stock"), computed(0, sentence("waiting.sure.stock-grows"))
		return q, true
	}
	q.Evidence = append([]book.Ref{for_.Ref}, q.Evidence...)
	q.Recommend = sentence("waiting.do.match", "n", min(int(sets), most), "order", for_.ID)
	q.Sure = cannotTell(sentence("waiting.sure.match"))
	if unmeasured > 0 {
		q.Sure = cannotTell(sentence("waiting.sure.match-unread", "n", unmeasured))
	}
	return q, true
}

// openProposals are the matches of which all pieces are still loose and have readings that hold, and which nothing followed: no later match
// with one of the pieces, and no lay-up.
func (l *look) openProposals() (list []house.Proposal) {
	for _, p := range l.Proposals() {
		open := p.Match != nil && !slices.ContainsFunc(p.Pieces, func(id string) bool {
			t, there := l.Thing(book.Ref{Kind: book.KindPiece, ID: id})
			if !there || piece(t).Set != "" {
				return true
			}
			_, holds := usable(piece(t), false)
			return !holds
		})
		followed := slices.ContainsFunc(l.Proposals(), func(o house.Proposal) bool {
			return o.After(p) && slices.ContainsFunc(o.Pieces, func(id string) bool { return slices.Contains(p.Pieces, id) })
		})
		if open && !followed {
			list = append(list, p)
		}
	}
	return list
}

// askProposal asks for the lay-up of a match.
func (l *look) askProposal(p house.Proposal) Question {
	first, _ := l.Thing(book.Ref{Kind: book.KindPiece, ID: p.Pieces[0]})
	q := l.new(LayUp, first, "lay-up", "match")
	q.Key, q.Station, q.Since = "lay-up:"+p.Entry, book.Sets, p.At
	for _, id := range p.Pieces {
		q.Also = append(q.Also, book.Ref{Kind: book.KindPiece, ID: id})
	}
	q.Evidence = slices.Clone(q.Also)
	size := sizeOf(piece(first))
	b := l.ofLoosePieces(size, len(q.Also))
	for _, o := range l.orders {
		if o.ID == p.Match.Order {
			w := l.custom.ofLoose()
			risk := w.late(l.now, o.facts.Due)
			b = burden{late: risk, still: standing, sets: 1, order: o, risk: risk, way: w}
			q.Evidence = append(q.Evidence, o.Ref)
		}
	}
	q.Cost = l.cost(b)
	q.Say = sentence("waiting.say.lay-up", "pieces", names(q.Also), "step_mm", p.Match.StepMM)
	q.Recommend = sentence("waiting.do.lay-up")
	r := judge.Decide(judge.Characteristic{Name: judge.StepHead, Value: p.Match.StepMM, U: judge.FirstDoubt(l.spec), Limit: l.spec.Limits.Step}, l.spec.Decision)
	q.Sure = computed(r.Probability, sentence("waiting.sure.predicted"))
	if p.Match.StepMM == 0 {
		q.Say = sentence("waiting.say.lay-up-bare", "pieces", names(q.Also))
		q.Sure = cannotTell(sentence("waiting.sure.no-prediction"))
	}
	return q
}

// reserve is what the stone should keep above its least thickness after it was ground again: what the caliper does not know. Common practice.
const reserve = 2 * judge.CaliperU

// skin is what a pass takes beyond the zone of the face, so that all of it is cut. Common practice, no source.
const skin = 0.05

// askFace asks what becomes of a piece whose face alone makes its bed too uneven: grind it again, cut it for a smaller bed, or give it up.
func (l *look) askFace(t *Thing, size string) Question {
	s := piece(t)
	r, _ := usable(s, false)
	flat, _ := l.files().Flat(r.Blob)
	ruling := l.faceRuling(flat)
	depth := round(flat.ZoneMM+skin, 2)
	left := s.ThicknessMM - depth
	q := l.new(Regrind, t, "surface", "resize", "reject")
	q.Evidence = []book.Ref{t.Ref}
	q.Cost = l.cost(l.ofLoosePieces(size, 1, "surface", "read"))
	q.Say = sentence("waiting.say.regrind", "piece", t.ID, "zone_mm", flat.ZoneMM, "limit_mm", l.spec.Limits.Zone)
	q.Sure = computed(1-ruling.Probability, sentence("waiting.sure.face", "good_chance", unsure(ruling.Probability)))
	smaller, share := smallerSize(size)
	switch {
	case ruling.Verdict == judge.CannotTell:
		q.Recommend, q.Acts = sentence("waiting.do.regrind-read"), []string{"read", "surface", "resize", "reject"}
		q.Sure = cannotTell(sentence("waiting.sure.face", "good_chance", unsure(ruling.Probability)))
	case s.ThicknessMM == 0:
		q.Recommend, q.Acts = sentence("waiting.do.regrind-thickness", "least_mm", l.spec.ThicknessMin+reserve+depth), []string{"read", "surface", "resize", "reject"}
		q.Sure = cannotTell(sentence("waiting.sure.thickness-unread"))
	case left >= l.spec.ThicknessMin+reserve:
		q.Recommend = sentence("waiting.do.regrind", "depth_mm", depth, "left_mm", round(left, 2), "least_mm", l.spec.ThicknessMin)
	case smaller != "" && l.faceRuling(Flat{ZoneMM: flat.ZoneMM * share, UMM: flat.UMM}).Verdict == judge.Conforms:
		q.Recommend, q.Acts = sentence("waiting.do.regrade", "table", smaller, "zone_mm", round(flat.ZoneMM*share, 3)), []string{"resize", "reject", "surface"}
	default:
		q.Recommend, q.Acts = sentence("waiting.do.scrap", "left_mm", round(left, 2), "least_mm", l.spec.ThicknessMin), []string{"reject", "resize", "surface"}
	}
	q.Station, q.May = l.place(q.Acts[0], t), l.step(q.Acts[0]).May
	return q
}

// smallerSize is the next smaller bed and what is left of a bow when a piece is cut down to it: a bow grows with the square of the length.
func smallerSize(size string) (smaller string, share float64) {
	order := []string{"12 ft", "9 ft", "8 ft", "7 ft"}
	i := slices.Index(order, size)
	if i < 0 || i == len(order)-1 {
		return "", 0
	}
	long := func(name string) float64 {
		for _, s := range sizes {
			if s.name == name {
				return s.long
			}
		}
		return 0
	}
	ratio := long(order[i+1]) / long(size)
	return order[i+1], ratio * ratio
}

// askMarks asks about each piece that does not carry its number, where the route asks for it.
func askMarks(l *look) (list []Question) {
	if _, asks := l.holds("marked", ""); !asks {
		return nil
	}
	lost := map[string]int{}
	where := func(t *Thing) string { return string(t.Station) + sizeOf(piece(t)) }
	for _, t := range l.Of(book.KindPiece) {
		if piece(t).MarkedOn == book.Nowhere {
			lost[where(t)]++
		}
	}
	for _, t := range l.Of(book.KindPiece) {
		switch piece(t).MarkedOn {
		case book.Nowhere:
			list = append(list, l.askLost(t, lost[where(t)]))
		case "":
			q := l.markQuestion(t)
			q.Say, q.Recommend = sentence("waiting.say.mark", "piece", t.ID), sentence("waiting.do.mark")
			q.Sure = byRule(sentence("waiting.sure.marked"))
			list = append(list, q)
		}
	}
	return list
}

func (l *look) markQuestion(t *Thing) Question {
	q := l.new(Remark, t, "mark")
	q.Evidence, q.Station = []book.Ref{t.Ref}, t.Station
	if s := l.bySet[piece(t).Set]; s != nil {
		q.Also, q.Evidence = []book.Ref{s.Ref}, append(q.Evidence, s.Ref)
		q.Cost = l.cost(l.ofSet(s))
	} else {
		q.Cost = l.cost(l.ofLoosePieces(sizeOf(piece(t)), 1, "mark"))
	}
	return q
}

// askLost asks for a piece that has lost its number among n of its size at its station that have.
func (l *look) askLost(t *Thing, n int) Question {
	q := l.markQuestion(t)
	q.Acts = []string{"mark", "reject"}
	q.Say = sentence("waiting.say.remark", "piece", t.ID, "station", t.Station)
	if n == 1 {
		q.Recommend, q.Sure = sentence("waiting.do.remark-only"), computed(0, sentence("waiting.sure.only-one"))
	} else {
		q.Recommend, q.Sure = sentence("waiting.do.remark", "n", n), cannotTell(sentence("waiting.sure.several", "n", n))
	}
	return q
}
