package book

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"slatewright/trouble"
)

// moment is the book at the place of one act. It notes what the act looked at, since a later change of that must ask again.
type moment struct {
	d       *desk
	at      place
	running map[Ref]*held // things whose history is being derived anew, as they stand here; nil otherwise
	looked  map[Ref]bool
	enters  bool // the act takes its place now; it does not stand there already
}

// get returns a thing as it stands here.
func (m *moment) get(r Ref) (*held, error) {
	m.looked[r] = true
	return m.peek(r)
}

func (m *moment) peek(r Ref) (*held, error) {
	if h := m.running[r]; h != nil {
		return h, nil
	}
	h, err := m.d.get(r)
	if err != nil || !h.found() || h.At.Before(m.at.at) {
		return h, err
	}
	h, _, err = m.d.stateAt(r, m.at)
	return h, err
}

// exists tells whether a thing is in the book here. What is no stone has stood where it is since it came.
func (m *moment) exists(r Ref) (bool, error) {
	if m.running[r] == nil && !isStone(r.Kind) {
		t, found, err := m.d.thing(r)
		if since, here := t.Since.UnixMilli(), m.at.at.UnixMilli(); err != nil || !found || since != here {
			return found && since < here, err
		}
	}
	h, err := m.peek(r)
	return err == nil && h.found(), err
}

// settings are the mill's answers and leads as they stand here.
func (m *moment) settings() (*MillState, error) {
	h, err := m.peek(m.d.mill)
	if err != nil || !h.found() {
		return &MillState{}, err
	}
	return h.state.(*MillState), nil
}

// pieces returns the pieces of a set.
func (m *moment) pieces(id string) ([]*held, error) {
	h, err := m.get(set(id))
	if err != nil || !h.found() {
		return nil, err
	}
	var list []*held
	for _, id := range h.state.(*SetState).Pieces {
		p, err := m.get(piece(id))
		if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, nil
}

// changes returns what the act changes here: what it names, the set of a piece that moves or is disturbed, the pieces of a set
// that moves or ends.
func (m *moment) changes(d doing) ([]Ref, error) {
	list := changed(d.act, m.d.mill.ID)
	if id := pieceOf(d.act); id != "" && (d.to != "" || disturbs(d.act) != "") {
		h, err := m.peek(piece(id))
		if err != nil {
			return nil, err
		}
		if h.found() && h.state.(*PieceState).Set != "" {
			list = append(list, set(h.state.(*PieceState).Set))
		}
	}
	for _, id := range movedSets(d) {
		h, err := m.peek(set(id))
		if err != nil {
			return nil, err
		}
		if h.found() {
			list = append(list, refs(KindPiece, h.state.(*SetState).Pieces)...)
		}
	}
	slices.SortFunc(list, compareRefs)
	return slices.Compact(list), nil
}

// movedSets are the sets whose pieces the act changes with them.
func movedSets(d doing) []string {
	switch a := d.act.(type) {
	case *PartSet:
		return []string{a.Set}
	case *Pack:
		return []string{a.Set}
	case *Ship:
		return a.Sets
	case *Return:
		return []string{a.Set}
	}
	return nil
}

// check refuses an act that cannot be done here.
func (m *moment) check(d doing) error {
	route, err := m.d.route(d.Seq)
	if err != nil {
		return err
	}
	step, _ := route.step(d.act.Word())
	for _, r := range changed(d.act, m.d.mill.ID) {
		if err := m.checkThing(r, d, step); err != nil {
			return err
		}
	}
	if err := m.checkNamed(d); err != nil {
		return err
	}
	if err := m.checkAct(d); err != nil {
		return err
	}
	for _, hold := range route.Holds {
		if hold.Before != d.act.Word() || excused(hold, d.act) {
			continue
		}
		if err := holds(m, d, hold); err != nil {
			return err
		}
	}
	return nil
}

// checkThing asks whether a thing is there, and where it must stand.
func (m *moment) checkThing(r Ref, d doing, step Step) error {
	h, err := m.peek(r)
	if err != nil {
		return err
	}
	if !h.found() {
		if creates(d.act, r) || r == m.d.mill {
			return nil
		}
		return noSuchThing(r)
	}
	if creates(d.act, r) && !again(d.act) {
		return trouble.Data("already-there", r.String(), fmt.Sprintf("the book already has %s %s, since %s", r.Kind, r.ID, instant(h.state.common().BornMS)),
			"give the new one another number; for a mistake correct the entry that made it")
	}
	if _, ok := d.act.(*Correct); ok || stone(h.state) == nil && r.Kind != KindSet {
		return nil
	}
	return checkStation(h, d, step)
}

func checkStation(h *held, d doing, step Step) error {
	if s := stone(h.state); s != nil && s.Rejected != "" {
		return trouble.Data("rejected", h.String(), fmt.Sprintf("%s %s was rejected on %s: %s", h.Kind, h.ID, day(h.Since), s.Rejected),
			"look at the number; if the rejection was wrong, correct it")
	}
	if s := stone(h.state); s != nil && s.UsedUp {
		return trouble.Data("used-up", h.String(), fmt.Sprintf("nothing is left of %s %s since %s", h.Kind, h.ID, day(h.Since)), "look at the number")
	}
	if s, ok := h.state.(*SetState); ok && s.Parted != "" {
		return trouble.Data("parted", h.String(), fmt.Sprintf("set %s was parted on %s", h.ID, day(h.Since)), "lay its pieces up as a new set")
	}
	if len(step.From) > 0 && !slices.Contains(step.From, h.Station) {
		return trouble.Data("wrong-station", h.String(), fmt.Sprintf("%s %s stands at %s; %s is done at %s", h.Kind, h.ID, h.Station, d.act.Word(), join(step.From, ", ")),
			"record what brought it here first; the lead can change the route")
	}
	if len(step.From) == 0 && h.Station == Away && moves(d) {
		return trouble.Data("wrong-station", h.String(), fmt.Sprintf("%s %s was shipped on %s", h.Kind, h.ID, day(h.Since)), "record its return first")
	}
	return nil
}

func moves(d doing) bool { return d.to != "" || disturbs(d.act) != "" }

// checkNamed asks whether everything the act names is in the book.
func (m *moment) checkNamed(d doing) error {
	list := used(d.act)
	if from := origin(d.act); from != (Ref{}) {
		list = append(list, from)
	}
	if a, ok := d.act.(*Mark); ok && a.SearchedBy != "" {
		list = append(list, Ref{KindPerson, a.SearchedBy})
	}
	for _, r := range list {
		if there, err := m.exists(r); err != nil {
			return err
		} else if !there {
			return noSuchThing(r)
		}
	}
	return nil
}

// checkAct asks what only this act asks.
func (m *moment) checkAct(d doing) error {
	if id := pieceOf(d.act); id != "" {
		h, err := m.peek(piece(id))
		if err != nil || !h.found() {
			return err
		}
		if err := m.checkPiece(h, d); err != nil {
			return err
		}
	}
	switch a := d.act.(type) {
	case *Reject:
		return m.checkFree(a.Thing)
	case *Resize:
		return m.checkResize(a)
	case *Slice:
		return m.checkCut(Ref{KindBlock, a.Block}, "slabs", a.Slabs)
	case *Cut:
		return m.checkCut(Ref{KindSlab, a.Slab}, "pieces", a.Pieces)
	case *TakeIn:
		return checkDue(a.Order, d.at)
	case *LayUp:
		return m.checkLayUp(a)
	case *Match:
		return m.checkMatch(a)
	case *Appoint:
		return m.checkAppoint(a)
	}
	return nil
}

func (m *moment) checkPiece(h *held, d doing) error {
	s := h.state.(*PieceState)
	surface, now := takesAway(d.act)
	if surface != "" && surface == s.MarkedOn && now == "" {
		return trouble.Data("mark-needed", "mark_now", fmt.Sprintf("the number of piece %s stands on the %s, which %s takes away", h.ID, surface, d.act.Word()),
			"say where the number now stands: top, bottom, edge, lining, or nowhere")
	}
	switch a := d.act.(type) {
	case *Surfaced:
		return s.checkDepth(h, a)
	case *Mark:
		return m.checkMark(h, s, d, a)
	case *EnterRoom:
		if s.Room != "" {
			return trouble.Data("in-room", h.String(), "piece "+h.ID+" is in room "+s.Room+" already", "let it leave that room first")
		}
	case *LeaveRoom:
		if s.Room == "" {
			return trouble.Data("not-in-room", h.String(), "piece "+h.ID+" is in no room", "look at the number, or record when it entered")
		}
	case *Ream:
		if !s.Lined {
			return trouble.Data("not-lined", h.String(), "piece "+h.ID+" has no lining to ream through", "record the gluing first")
		}
	case *GlueLining:
		if s.Lined {
			return trouble.Data("lined", h.String(), "piece "+h.ID+" has a lining already, since "+day(time.UnixMilli(s.GluedMS)), "look at the number; for a new lining record a repair")
		}
	}
	return nil
}

// checkMark wants two persons for a piece that had lost its number: one who searched and another who marks it.
func (m *moment) checkMark(h *held, s *PieceState, d doing, a *Mark) error {
	if a.SearchedBy == "" {
		if s.MarkedOn != Nowhere {
			return nil
		}
	} else if s.MarkedOn != Nowhere && s.MarkedOn != "" {
		return trouble.Data("not-lost", "searched_by", fmt.Sprintf("the number of piece %s stands on the %s; nobody had to search for it", h.ID, s.MarkedOn),
			"leave searched_by out; if the number is not there, first mark it with on=nowhere, and look whether this is the piece that was found")
	}
	if a.SearchedBy == "" || a.SearchedBy == d.Person {
		return trouble.Data("second-person", "searched_by", "piece "+h.ID+" had lost its number; it is marked again by a person other than the one who searched",
			"let a second person look at the candidates and mark it, and name who searched")
	}
	return nil
}

// checkFree wants a piece that is in no set.
func (m *moment) checkFree(r Ref) error {
	h, err := m.peek(r)
	if err != nil || !h.found() {
		return err
	}
	if s, ok := h.state.(*PieceState); ok && s.Set != "" {
		return trouble.Data("in-set", r.String(), "piece "+r.ID+" belongs to set "+s.Set, "part the set first")
	}
	return nil
}

func (m *moment) checkLayUp(a *LayUp) error {
	h, err := m.peek(set(a.Set))
	if err != nil {
		return err
	}
	if h.found() && !slices.Equal(h.state.(*SetState).Pieces, a.Pieces) {
		return trouble.Data("other-pieces", "pieces", fmt.Sprintf("set %s is %s, from head to foot", a.Set, join(h.state.(*SetState).Pieces, ", ")),
			"part that set first, or give the new one another number")
	}
	return m.checkMembers(a.Pieces, a.Set)
}

func (m *moment) checkMatch(a *Match) error { return m.checkMembers(a.Pieces, "") }

// checkMembers wants pieces that are in no other set.
func (m *moment) checkMembers(ids []string, in string) error {
	for _, id := range ids {
		h, err := m.get(piece(id))
		if err != nil {
			return err
		}
		if !h.found() {
			return noSuchThing(piece(id))
		}
		s := h.state.(*PieceState)
		if s.Set != "" && s.Set != in {
			return trouble.Data("in-set", "pieces", "piece "+id+" belongs to set "+s.Set, "part that set first")
		}
		if s.Rejected != "" {
			return trouble.Data("rejected", "pieces", "piece "+id+" was rejected: "+s.Rejected, "choose another piece")
		}
	}
	return nil
}

// checkAppoint keeps one lead in the mill.
func (m *moment) checkAppoint(a *Appoint) error {
	s, err := m.settings()
	if err != nil {
		return err
	}
	if !slices.Contains(s.Leads, a.Person) || a.Role == Lead && !a.Gone || len(s.Leads) > 1 {
		return nil
	}
	return trouble.Data("last-lead", "person", a.Person+" is the only lead", "appoint another lead first")
}

// excused reports whether the act goes on without the condition and says why. That the person may was asked when it was handed in.
func excused(h Hold, act Act) bool { return h.Unless != "" && reason(act) != "" }

// reason is the reason that an act gives for going on without a condition.
func reason(a Act) string {
	if a, ok := a.(*LeaveRoom); ok {
		return a.Released
	}
	return ""
}

func join[T ~string](list []T, between string) string {
	words := make([]string, len(list))
	for i, w := range list {
		words[i] = string(w)
	}
	return strings.Join(words, between)
}

func day(t time.Time) string { return t.UTC().Format("2006-01-02") }
