package waiting

import (
	"math"
	"slices"
	"time"

	"slatewright/chance"
	"slatewright/internal/book"
)

// The way of the stone, as far as it is still before a thing: which act comes next, and how many days it takes to the crate.

// days are what one step of the way takes, from when it can be done until it is: work, and waiting for a turn. Common practice, no source;
// rest in the room and curing come on top, as the route asks for them. A mill that knows better will have its own figures computed.
var days = map[string]float64{"lift": 2, "slice": 1, "cut": 1, "surface": 2, "mark": 0.5, "read": 1, "match": 1, "lay-up": 1, "dress-joint": 0.5, "drill": 1, "check": 0.5,
	"enter-room": 1, "leave-room": 0.5, "glue-lining": 1, "ream": 0.5, "finish": 0.5, "judge": 0.5, "certify": 0.5, "pack": 1, "ship": 2}

// usualCure are the hours that a lining cures where the route does not say. Common practice, no source.
const usualCure = 24

// pieceWork are the acts that are done to each piece of a set before it is judged. Their order is that of the route's steps.
var pieceWork = []string{"surface", "drill", "check", "enter-room", "leave-room", "glue-lining", "ream", "finish"}

// setWork are the acts that follow, in their order.
var setWork = []string{"read", "judge", "certify", "pack", "ship"}

// custom is what the mill's route and answers make of the way, worked out once for each look at the house.
type custom struct {
	order     []string // pieceWork in the order of the route
	room      float64  // days in the room; 0: there is no such rest
	cure      float64  // hours
	lines     bool     // pieces are lined
	checks    bool     // a bad check holds up the certificate, so somebody checks
	faceLater bool     // the playing face is surfaced after the room
}

func (h *House) custom() custom {
	c := custom{order: slices.Clone(pieceWork), cure: usualCure, lines: h.Mill().Answers["lining-layout"] != "none"}
	steps := h.Mill().Route.Steps
	place := func(word string) int {
		return slices.IndexFunc(steps, func(s book.Step) bool { return s.Act == word })
	}
	slices.SortStableFunc(c.order, func(a, b string) int { return place(a) - place(b) })
	c.room, _ = h.holds("days-in-room", "")
	if hours, there := h.holds("lining-cured", ""); there {
		c.cure = hours
	}
	_, c.checks = h.holds("checks-good", "")
	_, c.faceLater = h.holds("surfaced-since-room", "")
	return c
}

// seasoned tells whether a piece has been in the room for long enough, or was let go.
func (c custom) seasoned(s *book.PieceState) bool { return s.Seasoned >= c.room || s.Released != "" }

// needs tells whether a piece still needs an act.
func (c custom) needs(t *Thing, h *House, act string) bool {
	s := piece(t)
	switch act {
	case "surface":
		return c.faceLater && s.LeftRoomMS > 0 && s.FacedMS <= s.LeftRoomMS
	case "drill":
		return s.Pattern == ""
	case "check":
		drilled := s.Pattern != "" && t.Station == h.step("drill").To
		return c.checks && s.CheckGood == nil && (drilled || s.Finished)
	case "enter-room":
		return c.room > 0 && s.Room == "" && !c.seasoned(s)
	case "leave-room":
		return s.Room != ""
	case "glue-lining":
		return c.lines && !s.Lined
	case "ream":
		return c.lines && !s.Reamed
	case "finish":
		return !s.Finished
	}
	return false
}

// next is the first act that some of the pieces still need, and those pieces; "" when there is none.
func (c custom) next(h *House, pieces []*Thing) (act string, which []*Thing) {
	for _, act := range c.order {
		for _, p := range pieces {
			if c.needs(p, h, act) {
				which = append(which, p)
			}
		}
		if len(which) > 0 {
			return act, which
		}
	}
	return "", nil
}

// ready is when an act can be done to a piece: at once (zero), or when it has lain in the room or cured for long enough.
func (c custom) ready(p *Thing, act string) time.Time {
	s := piece(p)
	switch {
	case act == "leave-room" && s.Room != "":
		return at(s.InRoomMS).Add(time.Duration(c.room * 24 * float64(time.Hour)))
	case act == "ream" && s.Lined:
		return at(s.GluedMS).Add(time.Duration(c.cure * float64(time.Hour)))
	}
	return time.Time{}
}

// way is what is still before something: days, and the steps that they are made of.
type way struct {
	days  float64
	steps int
}

func (w *way) add(act string) {
	w.days += days[act]
	w.steps++
}

// ofPiece is the way of a piece to the end of its own work.
func (c custom) ofPiece(t *Thing, h *House, now time.Time) (w way) {
	lined := piece(t).Lined
	for _, act := range c.order {
		resting := act == "leave-room" && c.needs(t, h, "enter-room")
		if !c.needs(t, h, act) && !resting {
			continue
		}
		w.add(act)
		switch wait := c.ready(t, act).Sub(now).Hours() / 24; {
		case resting:
			w.days += c.room
		case act == "ream" && !lined:
			w.days += c.cure / 24
		case wait > 0 && !c.ready(t, act).IsZero():
			w.days += wait
		}
	}
	return w
}

// ofSet is the way of a set out of the house.
func (c custom) ofSet(h *House, t *Thing, pieces []*Thing, now time.Time) (w way) {
	for _, p := range pieces {
		if own := c.ofPiece(p, h, now); own.days > w.days {
			w = own
		}
	}
	s := set(t)
	for _, act := range setWork {
		if act != "ship" && (s.Packed || act != "pack" && s.Certificate != "" && s.Stale == "") {
			continue
		}
		w.add(act)
	}
	return w
}

// ofLoose is the way of a loose piece out of the house, in a set that is still to be matched; made is what had to be done before that.
func (c custom) ofLoose(before ...string) (w way) {
	for _, act := range append(before, "match", "lay-up") {
		w.add(act)
	}
	for _, act := range c.order {
		if act == "surface" && !c.faceLater || !c.lines && (act == "glue-lining" || act == "ream") || c.room == 0 && (act == "enter-room" || act == "leave-room") {
			continue
		}
		w.add(act)
	}
	for _, act := range setWork {
		w.add(act)
	}
	w.days += c.room
	if c.lines {
		w.days += c.cure / 24
	}
	return w
}

// late is the probability that a way ends after a day.
func (w way) late(now, due time.Time) float64 {
	left := due.Sub(now).Hours() / 24
	return chance.Cumulative((w.days - left) / math.Sqrt(float64(max(1, w.steps))))
}

// end is when a way is expected to end.
func (w way) end(now time.Time) time.Time {
	return now.Add(time.Duration(w.days * 24 * float64(time.Hour)))
}
