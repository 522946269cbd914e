package book

import (
	"fmt"

	"slatewright/trouble"
)

// permit asks whether the caller may hand in the act. The lesser of the caller's role and the person's role in the book holds.
func (d *desk) permit(e Entry, act Act, c Caller) error {
	m, err := d.get(d.mill)
	if err != nil {
		return err
	}
	if !m.found() {
		if _, ok := act.(*Settle); ok && c.System {
			return nil
		}
		return trouble.Data("not-settled", "", "this book does not know its mill yet", "run 'slatewright init' first")
	}
	if c.System {
		return nil
	}
	if c.Person != e.Person {
		return trouble.Data("not-allowed", "person", fmt.Sprintf("%s cannot sign for %s", c.Person, e.Person), "sign in as the person who did it")
	}
	state := m.state.(*MillState)
	if err := d.mayAll(act, c, state); err != nil {
		return err
	}
	if err := d.searcherStays(e, act); err != nil {
		return err
	}
	return d.handedInTime(e, act, &state.Route)
}

// mayAll asks for the act; for a correction also for the act in it and for the one that it strikes out.
func (d *desk) mayAll(act Act, c Caller, m *MillState) error {
	if err := d.may(act, c, m); err != nil {
		return err
	}
	fix, ok := act.(*Correct)
	if !ok {
		return nil
	}
	if fix.Act != "" {
		inner, err := decode(fix.Act, fix.Body)
		if err != nil {
			return err
		}
		if err := d.may(inner, c, m); err != nil {
			return err
		}
	}
	old, found, err := d.entry(fix.Entry)
	if err != nil || !found {
		return err
	}
	struck, err := d.effective(old.Entry)
	if err != nil {
		return err
	}
	return d.mayDo(struck, c, m, "striking out a "+struck.Word())
}

// searcherStays wants who is said to have searched for a lost piece to have been in the mill then.
func (d *desk) searcherStays(e Entry, act Act) error {
	a, ok := act.(*Mark)
	if !ok || a.SearchedBy == "" {
		return nil
	}
	p, err := d.get(Ref{KindPerson, a.SearchedBy})
	if err != nil {
		return err
	}
	if who, ok := p.state.(*PersonState); ok && who.Gone && !p.At.After(e.At) {
		return trouble.Data("not-allowed", "searched_by", fmt.Sprintf("%s has left the mill since %s", a.SearchedBy, instant(p.At.UnixMilli())), "name the person who searched")
	}
	return nil
}

// may asks for an act and for the reason that it gives, if it does.
func (d *desk) may(act Act, c Caller, m *MillState) error {
	if err := d.mayDo(act, c, m, act.Word()); err != nil {
		return err
	}
	role, err := d.roleOf(c)
	if err != nil {
		return err
	}
	for _, h := range m.Route.Holds {
		if h.Before == act.Word() && excused(h, act) && !role.Covers(h.Unless) {
			return trouble.Data("not-allowed", act.Word(), fmt.Sprintf("only the %s or above gives a reason for going on without %q; %s is %s", h.Unless, h.Needs, c.Person, orNobody(role)),
				"leave the reason out, or ask somebody who may")
		}
	}
	return nil
}

// mayDo asks for the role that an act needs, and for the passphrase of one that certifies. What is said to be done is the act, or striking it out.
func (d *desk) mayDo(act Act, c Caller, m *MillState, what string) error {
	step, _ := m.Route.step(act.Word())
	least := step.May
	if least == "" {
		least = Lead
	}
	role, err := d.roleOf(c)
	if err != nil {
		return err
	}
	if !role.Covers(least) {
		return trouble.Data("not-allowed", act.Word(), fmt.Sprintf("%s is for the %s or above; %s is %s", what, least, c.Person, orNobody(role)),
			"ask somebody who may")
	}
	if _, ok := act.(*Certify); ok && !c.Reaffirmed {
		return trouble.Data("passphrase-needed", act.Word(), what+" asks for the passphrase again", "give the passphrase with the act; a PIN or a machine's token does not do")
	}
	return nil
}

func orNobody(r Role) string {
	if r == "" {
		return "nobody here"
	}
	return string(r)
}

// roleOf is the lesser of what the sign-in allows and what the person is in the book. A machine is no person of the book: its token says what it may.
func (d *desk) roleOf(c Caller) (Role, error) {
	p, err := d.get(Ref{KindPerson, c.Person})
	if err != nil {
		return "", err
	}
	if c.Machine && p.found() {
		return "", trouble.Data("not-allowed", "person", "a machine's token is called "+c.Person+", as a person of the book is", "give the machine a token with a name of its own")
	}
	if !p.found() {
		if c.Machine && !c.Role.Covers(Lead) {
			return c.Role, nil
		}
		return "", nil
	}
	s := p.state.(*PersonState)
	switch {
	case s.Gone:
		return "", nil
	case c.Role.Covers(s.Role):
		return s.Role, nil
	}
	return c.Role, nil
}
