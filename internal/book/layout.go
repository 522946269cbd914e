package book

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"slatewright/trouble"
)

// The conditions that ask for the mill's own answers.

func surfaced(m *moment, d doing, _ Hold) error {
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		if s.FacedMS == 0 {
			return trouble.Data("not-surfaced", h.String(), "the playing face of piece "+h.ID+" was not surfaced, and this mill surfaces it before the room", "surface the top first")
		}
		return nil
	})
}

func faceComesAfterRoom(m *moment, d doing, hold Hold) error {
	if a, ok := d.act.(*Surfaced); !ok || a.Face != "top" || a.Stage != "fine" {
		return nil
	}
	return daysInRoom(m, d, hold)
}

func surfacedSinceRoom(m *moment, d doing, _ Hold) error {
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		switch {
		case s.FacedMS == 0:
			return trouble.Data("not-surfaced", h.String(), "the playing face of piece "+h.ID+" was never surfaced", "surface the top, and read it again")
		case s.FacedMS <= s.LeftRoomMS:
			return trouble.Data("not-surfaced", h.String(), fmt.Sprintf("piece %s left the room on %s, and its playing face was not surfaced since", h.ID, instant(s.LeftRoomMS)),
				"this mill surfaces after the room: surface the top, and read it again")
		}
		return nil
	})
}

func layoutSettled(m *moment, d doing, _ Hold) error {
	a, ok := d.act.(*GlueLining)
	if !ok {
		return nil
	}
	mill, err := m.d.settledBefore(d.Seq)
	if err != nil {
		return err
	}
	switch layout := mill.Answers["lining-layout"]; {
	case layout == noLining:
		return trouble.Data("no-lining", "layout", "this mill has settled that its pieces have no lining", "look at what was glued; a lead can settle another lining-layout")
	case layout != "" && a.Layout != "" && a.Layout != layout:
		return trouble.Data("other-layout", "layout", fmt.Sprintf("the lining is laid out as %q, and this mill has settled %q", a.Layout, layout), "look at the piece; a lead can settle another lining-layout")
	}
	return nil
}

const hourMS = 3600 * 1000

func liningCured(m *moment, d doing, hold Hold) error {
	mill, err := m.d.settledBefore(d.Seq)
	if err != nil {
		return err
	}
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		if !s.Lined {
			if mill.lines() {
				return trouble.Data("not-lined", h.String(), fmt.Sprintf("piece %s has no lining, and this mill's layout is %q", h.ID, mill.Answers["lining-layout"]), "glue its lining first, and read the piece again when it has cured")
			}
			return nil
		}
		if ready := s.GluedMS + int64(hold.Amount*hourMS); d.at.UnixMilli() < ready {
			return trouble.Data("not-cured", h.String(), fmt.Sprintf("the lining of piece %s was glued on %s and cures for %g hours", h.ID, instant(s.GluedMS), hold.Amount),
				"wait until "+instant(ready))
		}
		return nil
	})
}

// lay is on what a piece lay when it was read: the first word of what was said, or the bench that was named; "" when nothing was said.
func (r Reading) lay() string {
	if words := strings.Fields(r.Support); len(words) > 0 {
		return strings.ToLower(words[0])
	}
	if r.Bench != "" {
		return "bench"
	}
	return ""
}

func supportSettled(m *moment, d doing, _ Hold) error {
	mill, err := m.d.settledBefore(d.Seq)
	if err != nil {
		return err
	}
	want := mill.Answers["supports"]
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		r, err := counted(h, s)
		// Words that are none of the answers ("on the granite") say nothing that could be compared.
		if err != nil || want == "" || r.lay() == want || !slices.Contains(answerWords["supports"], r.lay()) {
			return err
		}
		return trouble.Data("other-support", h.String(), fmt.Sprintf("the top of piece %s was read on %s on %s, and this mill has settled %s", h.ID, r.lay(), instant(r.AtMS), want),
			"read it again on "+want+"; the support is part of the number")
	})
}

func supportKnown(m *moment, d doing, _ Hold) error {
	return eachPiece(m, d, func(h *held, s *PieceState) error {
		r, err := counted(h, s)
		if err != nil || r.lay() != "" {
			return err
		}
		return trouble.Data("support-unsaid", h.String(), fmt.Sprintf("nobody wrote down on what piece %s lay when its top was read on %s, and this mill promises the free shape", h.ID, instant(r.AtMS)),
			"read it again with its support, or let the lead correct the entry "+r.Entry)
	})
}

// answersSettled holds the answers that a verdict says it used against the mill's.
func answersSettled(m *moment, d doing, _ Hold) error {
	mill, err := m.d.settledBefore(d.Seq)
	if err != nil {
		return err
	}
	switch a := d.act.(type) {
	case *Judge:
		return mill.sameAnswers(a.Answers, "answers.", "judge it with the mill's answers")
	case *Certify:
		if err := mill.sameAnswers(a.Answers, "answers.", "judge and certify it with the mill's answers"); err != nil {
			return err
		}
	}
	return eachSet(m, d, func(h *held, s *SetState) error {
		return mill.sameAnswers(s.Answers, h.String()+" ", "judge the set again")
	})
}

func (s *MillState) sameAnswers(used map[string]string, where, next string) error {
	for _, key := range slices.Sorted(maps.Keys(used)) {
		if settled := s.Answers[key]; answerWords[key] != nil && settled != "" && used[key] != settled {
			return trouble.Data("other-answers", where+key, fmt.Sprintf("the verdict used the answer %q to %s, and the mill has settled %q", used[key], key, settled), next)
		}
	}
	return nil
}
