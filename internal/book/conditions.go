package book

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"slatewright/trouble"
)

// Condition is something that a route can ask for before an act.
type Condition struct {
	Name   string `json:"name"`
	Says   string `json:"says"`             // one sentence, as a page shows it
	Amount string `json:"amount,omitempty"` // what a hold's amount counts: days, hours …; "" when it has none
}

type condition struct {
	Condition
	by    string // the act that brings it about; "" when none does, or any time
	holds func(m *moment, d doing, h Hold) error
}

// conditions is the one table of them.
var conditions = []condition{
	{Condition{"marked", "Each piece carries its number.", ""}, "mark", marked},
	{Condition{"laid-up", "The pieces were laid up as a set, and the steps of its joints were read.", ""}, "lay-up", laidUp},
	{Condition{"layup-fresh", "No piece was worked on since the set was last laid up.", ""}, "lay-up", layUpFresh},
	{Condition{"readings-fresh", "The playing face of each piece was read dry, the readings are kept as a file, and nothing was done to the piece since.", ""}, "read", readingsFresh},
	{Condition{"calibration-current", "Every bench and instrument whose readings count was within its calibration when they were taken, and was not found wrong since.", ""}, "", calibrated},
	{Condition{"checks-good", "The last check of each piece found nothing wrong.", ""}, "", checksGood},
	{Condition{"judged-conforms", "The set was judged to conform, and no piece was worked on since.", ""}, "judge", judgedConforms},
	{Condition{"certified", "The set has a certificate, and no piece was worked on since.", ""}, "certify", certified},
	{Condition{"packed", "The set is in its crate.", ""}, "pack", packed},
	{Condition{"codes-match", "The numbers that were read are those of the set's pieces, all of them and no other.", ""}, "", codesMatch},
	{Condition{"in-time", "The act is dated at most so many hours before it is handed in, and before the last that the book knows of the set and its pieces.", "hours"}, "", inTime},
	{Condition{"days-in-room", "The piece has been in the room for so many days, or was released from it with a reason.", "days"}, "enter-room", daysInRoom},
	{Condition{"surfaced", "The playing face of the piece was surfaced.", ""}, "surface", surfaced},
	{Condition{"face-after-room", "A fine pass over the playing face comes after so many days in the room, or after a release from it with a reason.", "days"}, "enter-room", faceComesAfterRoom},
	{Condition{"surfaced-since-room", "The playing face of each piece was surfaced since it last left the room.", ""}, "surface", surfacedSinceRoom},
	{Condition{"layout-settled", "The lining is laid out as the mill has settled; where it has settled none, nothing is glued.", ""}, "", layoutSettled},
	{Condition{"lining-cured", "Each piece has a lining where the mill's layout asks for one, and every lining has cured for so many hours.", "hours"}, "", liningCured},
	{Condition{"stone-left", "So many millimetres of the stone are left after the pass, where its thickness is known.", "mm"}, "", stoneLeft},
	{Condition{"instrument-suits", "The instrument is of a sort with which such a reading can be taken.", ""}, "", instrumentSuits},
	{Condition{"mass-plausible", "The mass is that of slate of the stone's measures, or off by no more than so many per cent.", "per cent"}, "", massPlausible},
	{Condition{"support-settled", "The readings that count were taken on the support that the mill has settled, as far as they say.", ""}, "", supportSettled},
	{Condition{"support-known", "Of each reading that counts it is written down on what the piece lay, so that gravity can be computed away.", ""}, "", supportKnown},
	{Condition{"answers-settled", "The verdict used the answers that the mill has settled, as far as it says.", ""}, "", answersSettled},
	{Condition{"batch-usable", "Boards and glue are not past their use-before date.", ""}, "", batchUsable},
}

// Conditions lists what a route can ask for.
func Conditions() []Condition {
	list := make([]Condition, len(conditions))
	for i, c := range conditions {
		list[i] = c.Condition
	}
	return list
}

func conditionNamed(name string) (condition, bool) {
	i := slices.IndexFunc(conditions, func(c condition) bool { return c.Name == name })
	if i < 0 {
		return condition{}, false
	}
	return conditions[i], true
}

// holds refuses an act whose condition does not hold here.
func holds(m *moment, d doing, h Hold) error {
	c, known := conditionNamed(h.Needs)
	if !known {
		return trouble.Own("no-such-condition", h.Before, fmt.Sprintf("the route asks for %q, which this program does not know", h.Needs), "use the program that settled the route, or settle it anew")
	}
	return c.holds(m, d, h)
}

// subjects are the pieces that an act is about: the one it is done to, those it lays up, or those of the sets it names.
func subjects(m *moment, d doing) ([]*held, error) {
	ids := []string{}
	switch a := d.act.(type) {
	case *LayUp:
		ids = a.Pieces
	case *Match:
		ids = a.Pieces
	case *Read:
		ids = numbers(a.Thing)
	case *Weigh:
		ids = numbers(a.Thing)
	case *Reject:
		ids = numbers(a.Thing)
	default:
		if id := pieceOf(d.act); id != "" {
			ids = []string{id}
		}
	}
	var list []*held
	for _, id := range ids {
		h, err := m.get(piece(id))
		if err != nil {
			return nil, err
		}
		list = append(list, h)
	}
	for _, id := range setsOf(d.act) {
		pieces, err := m.pieces(id)
		if err != nil {
			return nil, err
		}
		list = append(list, pieces...)
	}
	return slices.DeleteFunc(list, func(h *held) bool { return !h.found() }), nil
}

func numbers(r Ref) []string {
	if r.Kind == KindPiece {
		return []string{r.ID}
	}
	return nil
}

// setsOf are the sets that an act names, but for the one that a lay-up makes.
func setsOf(a Act) []string {
	switch a := a.(type) {
	case *PartSet:
		return []string{a.Set}
	case *Judge:
		return []string{a.Set}
	case *Certify:
		return []string{a.Set}
	case *Pack:
		return []string{a.Set}
	case *Return:
		return []string{a.Set}
	case *Ship:
		return a.Sets
	}
	return nil
}

// eachPiece asks the same of each piece that an act is about.
func eachPiece(m *moment, d doing, ask func(h *held, s *PieceState) error) error {
	list, err := subjects(m, d)
	if err != nil {
		return err
	}
	for _, h := range list {
		if err := ask(h, h.state.(*PieceState)); err != nil {
			return err
		}
	}
	return nil
}

// eachSet asks the same of each set that an act names.
func eachSet(m *moment, d doing, ask func(h *held, s *SetState) error) error {
	for _, id := range setsOf(d.act) {
		h, err := m.get(set(id))
		if err != nil {
			return err
		}
		if h.found() {
			if err := ask(h, h.state.(*SetState)); err != nil {
				return err
			}
		}
	}
	return nil
}

func marked(m *moment, d doing, _ Hold) error {
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		switch s.MarkedOn {
		case Nowhere:
			return trouble.Data("not-marked", h.String(), "piece "+h.ID+" has lost its number", "search for it among those without a number, and let a second person mark it")
		case "":
			return trouble.Data("not-marked", h.String(), "nobody has said where the number of piece "+h.ID+" stands", "put it on, and record the act mark")
		}
		return nil
	})
}

func laidUp(m *moment, d doing, _ Hold) error {
	err := eachPiece(m, d, func(h *held, s *PieceState) error {
		if s.Set == "" {
			return trouble.Data("not-laid-up", h.String(), "piece "+h.ID+" is in no set", "lay it up with the others first")
		}
		return nil
	})
	if err != nil {
		return err
	}
	return eachSet(m, d, func(h *held, s *SetState) error {
		if len(s.LayUps) == 0 || len(s.StepsMM) != len(s.Pieces)-1 {
			return trouble.Data("not-laid-up", h.String(), "no steps were read of set "+h.ID, "lay it up and read the step of each joint")
		}
		return nil
	})
}

func layUpFresh(m *moment, d doing, _ Hold) error {
	return eachSet(m, d, func(h *held, s *SetState) error {
		if len(s.LayUps) == 0 {
			return trouble.Data("not-laid-up", h.String(), "set "+h.ID+" was not laid up", "lay it up and read the step of each joint")
		}
		if last := s.LayUps[len(s.LayUps)-1]; last.ExpiredBy != "" {
			return trouble.Data("layup-expired", h.String(), fmt.Sprintf("set %s was laid up on %s, and %s was done to a piece of it on %s", h.ID, instant(last.AtMS), last.ExpiredAct, instant(last.ExpiredMS)),
				"lay it up again and read the steps")
		}
		return nil
	})
}

func readingsFresh(m *moment, d doing, _ Hold) error {
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		_, err := counted(h, s)
		return err
	})
}

// counted is the reading of a piece's playing face that counts for a certificate: the last one, when it was taken dry, kept as a file
// and nothing was done to the piece since.
func counted(h *held, s *PieceState) (Reading, error) {
	for i := len(s.Readings) - 1; i >= 0; i-- {
		r := s.Readings[i]
		if r.What != "top" {
			continue
		}
		refuse := func(code, why string) (Reading, error) {
			return r, trouble.Data(code, h.String(), fmt.Sprintf("the reading of the top of piece %s of %s no longer counts: %s", h.ID, instant(r.AtMS), why),
				fmt.Sprintf("read the top of piece %s again, dry, and keep the readings as a file", h.ID))
		}
		switch {
		case r.ExpiredBy != "":
			return refuse("reading-expired", fmt.Sprintf("%s was done on %s", r.ExpiredAct, instant(r.ExpiredMS)))
		case r.Wet:
			return refuse("reading-wet", "the stone was wet")
		case r.Blob == "":
			return refuse("reading-without-file", "it is not kept as a file")
		}
		return r, nil
	}
	return Reading{}, trouble.Data("reading-missing", h.String(), "the top of piece "+h.ID+" was not read", "read the top of piece "+h.ID+", dry, and keep the readings as a file")
}

// calibrated looks at what the readings that count were taken with; of an act that is itself a reading, at what it names.
func calibrated(m *moment, d doing, _ Hold) error {
	if len(setsOf(d.act)) == 0 {
		return m.calibratedAll(used(d.act), d.at, d.at)
	}
	err := eachPiece(m, d, func(h *held, s *PieceState) error {
		r, err := counted(h, s)
		if err != nil {
			return err
		}
		return m.calibratedAll(with(r), time.UnixMilli(r.AtMS), d.at)
	})
	if err != nil {
		return err
	}
	return eachSet(m, d, func(_ *held, s *SetState) error {
		if len(s.LayUps) == 0 {
			return nil
		}
		r := s.LayUps[len(s.LayUps)-1]
		return m.calibratedAll(with(r), time.UnixMilli(r.AtMS), d.at)
	})
}

// with is what a reading was taken with.
func with(r Reading) []Ref {
	list := refs(KindInstrument, r.Instruments)
	if r.Bench != "" {
		list = append(list, Ref{KindBench, r.Bench})
	}
	return list
}

// calibratedAll asks of each bench and instrument whether it could be relied on at a time, as known at another.
func (m *moment) calibratedAll(list []Ref, at, known time.Time) error {
	for _, r := range list {
		if r.Kind != KindInstrument && r.Kind != KindBench {
			continue
		}
		h, err := m.get(r)
		if err != nil {
			return err
		}
		if !h.found() {
			return noSuchThing(r)
		}
		if err := h.state.(*InstrumentState).reliable(r, at.UnixMilli(), known.UnixMilli()); err != nil {
			return err
		}
	}
	return nil
}

// reliable refuses an instrument that was not within its calibration at a time, or was found wrong between then and another time.
func (s *InstrumentState) reliable(r Ref, at, known int64) error {
	const next = "read again with one that is calibrated"
	var last *Calibration
	for i, c := range s.Calibrations {
		switch {
		case c.AtMS <= at:
			last = &s.Calibrations[i]
		case c.AtMS <= known && !c.Good:
			return trouble.Data("calibration-bad", r.String(), fmt.Sprintf("%s %s, used on %s, was found wrong on %s", r.Kind, r.ID, instant(at), instant(c.AtMS)), next)
		case c.AtMS <= known:
			known = c.AtMS // found right: what comes later says nothing about the time before
		}
	}
	switch {
	case last == nil && s.IntervalDays == 0:
		return nil
	case last == nil:
		return trouble.Data("not-calibrated", r.String(), fmt.Sprintf("%s %s was not calibrated when it was used on %s", r.Kind, r.ID, instant(at)), next)
	case !last.Good:
		return trouble.Data("calibration-bad", r.String(), fmt.Sprintf("%s %s, used on %s, was found wrong on %s", r.Kind, r.ID, instant(at), instant(last.AtMS)), next)
	case s.IntervalDays > 0 && at >= last.DueMS:
		return trouble.Data("calibration-expired", r.String(), fmt.Sprintf("the calibration of %s %s ended on %s, and it was used on %s", r.Kind, r.ID, instant(last.DueMS), instant(at)), next)
	}
	return nil
}

func checksGood(m *moment, d doing, _ Hold) error {
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		if s.CheckGood != nil && !*s.CheckGood {
			return trouble.Data("check-bad", h.String(), "the last check of piece "+h.ID+" found it wrong", "put it right and check it again, or part the set")
		}
		return nil
	})
}

func judgedConforms(m *moment, d doing, _ Hold) error {
	return eachSet(m, d, func(h *held, s *SetState) error {
		switch {
		case s.Verdict == "":
			return trouble.Data("not-judged", h.String(), "set "+h.ID+" was not judged", "judge it first")
		case s.Verdict != "conforms":
			return trouble.Data("not-conforming", h.String(), fmt.Sprintf("the verdict on set %s of %s is: %s", h.ID, instant(s.JudgedMS), s.Verdict), orElse(s.Next, "do what the verdict says next, and judge it again"))
		case s.Stale != "":
			return trouble.Data("verdict-stale", h.String(), fmt.Sprintf("set %s was judged on %s, and %s was done since", h.ID, instant(s.JudgedMS), s.Stale), "read the pieces that were worked on again, and judge the set again")
		}
		return m.unseen(h, s, s.JudgedBy, "judged", "judge the set again")
	})
}

// unseen refuses a set of which a reading that counts was written down after an entry that rests on the readings: a correction takes the
// place of what it corrects, and so lies before the verdict in time. The ids of entries tell which was made first.
func (m *moment) unseen(h *held, s *SetState, by, done, next string) error {
	pieces, err := m.pieces(h.ID)
	if err != nil {
		return err
	}
	for _, p := range pieces {
		if !p.found() {
			continue
		}
		if r, err := counted(p, p.state.(*PieceState)); err == nil && r.Entry > by {
			return trouble.Data("reading-unseen", p.String(), fmt.Sprintf("the reading of the top of piece %s of %s was written down after set %s was %s", p.ID, instant(r.AtMS), h.ID, done), next)
		}
	}
	if n := len(s.LayUps); n > 0 && s.LayUps[n-1].Entry > by {
		return trouble.Data("reading-unseen", h.String(), fmt.Sprintf("the lay-up of %s was written down after set %s was %s", instant(s.LayUps[n-1].AtMS), h.ID, done), next)
	}
	return nil
}

func orElse(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func certified(m *moment, d doing, _ Hold) error {
	return eachSet(m, d, func(h *held, s *SetState) error {
		if s.Certificate == "" {
			return trouble.Data("not-certified", h.String(), "set "+h.ID+" has no certificate that holds", "let an inspector certify it")
		}
		return m.unseen(h, s, s.CertifiedBy, "certified", "judge and certify it again")
	})
}

func packed(m *moment, d doing, _ Hold) error {
	return eachSet(m, d, func(h *held, s *SetState) error {
		if !s.Packed {
			return trouble.Data("not-packed", h.String(), "set "+h.ID+" is not packed", "pack it first, reading the code of each piece")
		}
		return nil
	})
}

func codesMatch(m *moment, d doing, _ Hold) error {
	a, ok := d.act.(*Pack)
	if !ok {
		return nil
	}
	return eachSet(m, d, func(h *held, s *SetState) error {
		for _, code := range a.Codes {
			if !slices.Contains(s.Pieces, code) {
				return trouble.Data("wrong-code", "codes", fmt.Sprintf("piece %s does not belong to set %s, which is %s", code, h.ID, strings.Join(s.Pieces, ", ")), "find the right piece, and read its code")
			}
		}
		for _, id := range s.Pieces {
			if !slices.Contains(a.Codes, id) {
				return trouble.Data("missing-code", "codes", fmt.Sprintf("piece %s of set %s was not read", id, h.ID), "read the code of each piece as it goes into the crate")
			}
		}
		return nil
	})
}

func daysInRoom(m *moment, d doing, hold Hold) error {
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		days := s.Seasoned
		if s.Room != "" {
			days = float64(d.at.UnixMilli()-s.InRoomMS) / dayMS
		}
		if days >= hold.Amount || s.Room == "" && s.Released != "" {
			return nil
		}
		next := "leave it in the room"
		if hold.Unless != "" {
			next += fmt.Sprintf(", or let a person with the role %s release it, with a reason", hold.Unless)
		}
		return trouble.Data("not-seasoned", h.String(), fmt.Sprintf("piece %s has been in the room for %.1f days of %g", h.ID, days, hold.Amount), next)
	})
}

func batchUsable(m *moment, d doing, _ Hold) error {
	for _, r := range used(d.act) {
		if r.Kind != KindBoardBatch && r.Kind != KindGlueBatch {
			continue
		}
		h, err := m.get(r)
		if err != nil {
			return err
		}
		if s, ok := h.state.(*BatchState); ok && s.UseBefore != nil && !d.at.Before(*s.UseBefore) {
			return trouble.Data("past-use", r.String(), fmt.Sprintf("%s %s is to be used before %s", r.Kind, r.ID, instant(s.UseBefore.UnixMilli())), "take a fresh batch")
		}
	}
	return nil
}

// instant writes a time as refusals name it.
func instant(ms int64) string { return time.UnixMilli(ms).UTC().Format("2006-01-02 15:04 UTC") }
