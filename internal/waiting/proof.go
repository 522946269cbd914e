package waiting

import (
	"slices"
	"strings"

	"slatewright/internal/book"
)

// What is asked of a set whose pieces need no work any more: is it proven, and may it go?

// noFile is a digest of nothing: the book is asked whether something could be certified, not whether this file would do.
var noFile = strings.Repeat("0", 64)

// askProof finds what the set needs before it can go into its crate: it asks the book backwards, from the crate to the readings.
func (l *look) askProof(s *inWork) (q Question, asks bool) {
	state := set(s.Thing)
	if state.Certificate != "" && state.Stale == "" {
		r := l.mayDo(&book.Pack{Set: s.ID, Codes: state.Pieces}, s)
		switch {
		case r.allowed():
			q = l.setQuestion(Pack, s, "pack")
			q.Say, q.Recommend, q.Sure = sentence("waiting.say.pack", "set", s.ID), sentence("waiting.do.pack"), byRule(sentence("waiting.sure.certified"))
			return q, true
		case r.code == "not-marked" || slices.Contains(timed, r.code):
			return q, false // asked of the piece, or it comes by itself
		case r.code == "reading-unseen":
			return l.askJudge(s)
		}
		return l.hindered(s, "pack", r), true
	}
	r := l.mayDo(&book.Certify{Set: s.ID, Certificate: "waiting", Digest: noFile, Blob: noFile, Key: "waiting", Answers: state.Answers}, s)
	switch {
	case r.allowed():
		return l.askCertify(s), true
	case r.code == "not-laid-up" || r.code == "layup-expired":
		return l.layUpAgain(s), true
	case measures(r.code):
		return l.measureSet(s, r), true
	case slices.Contains([]string{"not-judged", "verdict-stale", "reading-unseen", "other-answers"}, r.code):
		return l.askJudge(s)
	case r.code == "not-conforming":
		return l.refused(s), true
	}
	return l.hindered(s, "certify", r), true
}

// mayDo asks the book about an act on a set, or remembers what it said.
func (l *look) mayDo(act book.Act, s *inWork) refusal {
	return l.remembered(act.Word(), s, l.now, func() refusal { return l.may(act, l.place(act.Word(), s.Thing), l.now) })
}

// measures tells whether a refusal asks for new readings.
func measures(code string) bool {
	return strings.HasPrefix(code, "reading-") && code != "reading-unseen" || strings.HasPrefix(code, "calibration-") || code == "not-calibrated" ||
		code == "other-support" || code == "support-unsaid"
}

func (l *look) askCertify(s *inWork) Question {
	q := l.setQuestion(Certify, s, "certify")
	q.Say, q.Recommend = sentence("waiting.say.certify", "set", s.ID), sentence("waiting.do.certify")
	q.Sure = byRule(sentence("waiting.sure.judged", "day", at(set(s.Thing).JudgedMS)))
	if b, known := l.bed(s); known && b.Chance > 0 {
		q.Sure = computed(b.Chance, sentence("waiting.sure.bed"))
	}
	return q
}

func (l *look) layUpAgain(s *inWork) Question {
	q := l.setQuestion(LayUp, s, "lay-up")
	q.Say = sentence("waiting.say.lay-up-needed", "set", s.ID)
	q.Recommend, q.Sure = sentence("waiting.do.lay-up-again"), byRule(sentence("waiting.sure.route"))
	return q
}

// measureWhy is what is recommended when a reading does not count, by the code of the refusal; what is not here is for its calibration.
var measureWhy = map[string]string{
	"reading-missing":      "waiting.do.measure-missing",
	"reading-expired":      "waiting.do.measure-expired",
	"reading-wet":          "waiting.do.measure-wet",
	"reading-without-file": "waiting.do.measure-no-file",
	"other-support":        "waiting.do.measure-support",
	"support-unsaid":       "waiting.do.measure-support",
}

// measureSet asks for readings of the pieces whose last one does not count.
func (l *look) measureSet(s *inWork, r refusal) Question {
	q := l.setQuestion(Measure, s, "read")
	var which []*Thing
	for _, p := range s.pieces {
		reading, counts := usable(piece(p), true)
		with := slices.Contains(reading.Instruments, r.about.ID) || reading.Bench == r.about.ID
		if !counts || p.Ref == r.about || with && r.about.Kind != book.KindPiece {
			which = append(which, p)
		}
	}
	if len(which) == 0 {
		which = s.pieces
	}
	q.Also = refsOf(which)
	if r.about != (book.Ref{}) {
		q.Evidence = append(q.Evidence, r.about)
	}
	q.Say = sentence("waiting.say.measure-set", "set", s.ID, "n", len(which), "pieces", names(q.Also))
	if why, there := measureWhy[r.code]; there {
		q.Recommend = sentence(why)
	} else {
		q.Recommend = sentence("waiting.do.measure-calibrated", "instrument", r.about.ID)
	}
	q.Sure = byRule(sentence("waiting.sure.route"))
	return q
}

// bed asks what was measured about a set as it stands.
func (l *look) bed(s *inWork) (Bed, bool) {
	var faces []string
	for _, p := range s.pieces {
		r, there := usable(piece(p), false)
		if !there {
			return Bed{}, false
		}
		faces = append(faces, r.Blob)
	}
	layUp := ""
	if list := set(s.Thing).LayUps; len(list) > 0 && list[len(list)-1].ExpiredBy == "" {
		layUp = list[len(list)-1].Blob
	}
	return l.files().Bed(faces, layUp)
}

// askJudge asks for a verdict, and says what it would be where that is known.
func (l *look) askJudge(s *inWork) (Question, bool) {
	if r := l.mayDo(&book.Judge{Set: s.ID, Verdict: "conforms"}, s); !r.allowed() {
		if r.code == "not-laid-up" || r.code == "layup-expired" {
			return l.layUpAgain(s), true
		}
		return l.hindered(s, "judge", r), true
	}
	q := l.setQuestion(Judge, s, "judge")
	if layUps := set(s.Thing).LayUps; len(layUps) == 0 || layUps[len(layUps)-1].ExpiredBy != "" {
		q.Acts = append(q.Acts, "lay-up")
	}
	b, known := l.bed(s)
	switch {
	case s.back:
		q.Say = sentence("waiting.say.judge-back", "set", s.ID)
		q.Recommend, q.Sure = sentence("waiting.do.judge-back"), cannotTell(sentence("waiting.sure.frame"))
		q.Acts = []string{"read", "judge"}
		return q, true
	case set(s.Thing).Verdict != "":
		q.Say = sentence("waiting.say.judge-again", "set", s.ID, "day", at(set(s.Thing).JudgedMS))
	default:
		q.Say = sentence("waiting.say.judge", "set", s.ID)
	}
	switch {
	case !known:
		q.Recommend, q.Sure = sentence("waiting.do.judge"), cannotTell(sentence("waiting.sure.computing"))
	case b.Verdict == "conforms" && b.Predicted:
		q.Recommend, q.Sure = sentence("waiting.do.judge-lay-up"), computed(b.Chance, sentence("waiting.sure.bed"))
		q.Acts = []string{"lay-up", "judge"}
	default:
		q.Recommend, q.Sure = sentence("waiting.do.judge-known", "verdict", b.Verdict), computed(b.Chance, sentence("waiting.sure.bed"))
	}
	return q, true
}

// refused asks what becomes of a set whose verdict is not that it conforms.
func (l *look) refused(s *inWork) Question {
	state := set(s.Thing)
	b, known := l.bed(s)
	if state.Verdict == "cannot tell" {
		q := l.setQuestion(Measure, s, "read", "lay-up", "judge")
		q.Say = sentence("waiting.say.measure-verdict", "set", s.ID, "day", at(state.JudgedMS))
		q.Recommend = advice(state.Next, "waiting.do.measure-all")
		q.Sure = byRule(sentence("waiting.sure.verdict"))
		return q
	}
	q := l.setQuestion(Part, s, "part-set", "dress-joint", "surface")
	q.Say = sentence("waiting.say.part", "set", s.ID, "day", at(state.JudgedMS))
	switch {
	case known && b.DressMM > 0:
		q.Acts = []string{"dress-joint", "part-set"}
		q.Recommend, q.Sure = sentence("waiting.do.part-dress", "depth_mm", b.DressMM), computed(1-b.Chance, sentence("waiting.sure.bed"))
	case known:
		q.Recommend, q.Sure = sentence("waiting.do.part"), computed(1-b.Chance, sentence("waiting.sure.over", "over_mm", b.OverMM))
	default:
		q.Recommend, q.Sure = advice(state.Next, "waiting.do.part"), byRule(sentence("waiting.sure.verdict"))
	}
	return q
}

// advice is what the verdict said itself, or something else when it said nothing.
func advice(next, otherwise string) Sentence {
	if next == "" {
		return sentence(otherwise)
	}
	return sentence("waiting.do.advice", "next", next)
}

// askShip asks about the packed sets of each order, and about each that belongs to none.
func askShip(l *look) (list []Question) {
	packed := map[*wanted][]*inWork{}
	for _, s := range l.sets {
		if !set(s.Thing).Packed || len(s.pieces) == 0 {
			continue
		}
		r := l.mayDo(&book.Ship{Shipment: "waiting", Sets: []string{s.ID}}, s)
		if slices.Contains(timed, r.code) {
			continue
		}
		if !r.allowed() {
			list = append(list, l.hindered(s, "ship", r))
			continue
		}
		packed[s.order] = append(packed[s.order], s)
	}
	for _, o := range l.orders {
		if sets := packed[o]; len(sets) > 0 {
			list = append(list, l.shipFor(o, sets))
		}
	}
	for _, s := range packed[nil] {
		q := l.setQuestion(Ship, s, "ship")
		q.Say, q.Recommend = sentence("waiting.say.ship", "set", s.ID), sentence("waiting.do.ship-none")
		q.Sure = cannotTell(sentence("waiting.sure.no-order"))
		list = append(list, q)
	}
	return list
}

// shipFor asks whether to send what is packed of an order, or to wait for the rest of it.
func (l *look) shipFor(o *wanted, sets []*inWork) Question {
	q := l.new(Ship, o.Thing, "ship")
	q.Station, q.Since = book.Shipping, sets[0].At
	q.Evidence = []book.Ref{o.Ref}
	for _, s := range sets {
		q.Also, q.Since = append(q.Also, s.Ref), later(q.Since, s.At)
	}
	q.Evidence = append(q.Evidence, q.Also...)
	q.Cost = l.cost(l.ofSets(sets))
	q.Say = sentence("waiting.say.ship-order", "order", o.ID, "n", len(sets), "sets", names(q.Also), "of", o.facts.Sets, "shipped", o.shipped)
	rest := o.open() - len(sets)
	last := way{}
	for _, s := range o.sets {
		if !slices.Contains(sets, s) && s.way.days > last.days {
			last = s.way
		}
	}
	switch ships := days["ship"]; {
	case rest <= 0:
		q.Recommend, q.Sure = sentence("waiting.do.ship-all"), byRule(sentence("waiting.sure.packed"))
	case len(o.sets)-len(sets) >= rest && last.late(l.now, o.facts.Due) < 0.05 && last.days <= waitTogether+ships:
		q.Recommend = sentence("waiting.do.ship-together", "n", rest, "day", last.end(l.now))
		q.Sure = computed(1-last.late(l.now, o.facts.Due), sentence("waiting.sure.rest"))
	default:
		q.Recommend = sentence("waiting.do.ship-part", "n", rest)
		q.Sure = computed(last.late(l.now, o.facts.Due), sentence("waiting.sure.rest-late"))
	}
	return q
}

// waitTogether is how many days a packed set waits for the others of its order rather than travel alone. Our own choice.
const waitTogether = 7
