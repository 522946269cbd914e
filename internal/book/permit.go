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
	for _, a := range actsOf(act) {
		if err := d.may(a, c, m.state.(*MillState)); err != nil {
			return err
		}
	}
	return nil
}

// actsOf is the act, and the act inside a correction.
func actsOf(act Act) []Act {
	if c, ok := act.(*Correct); ok && c.Act != "" {
		if inner, err := decode(c.Act, c.Body); err == nil {
			return []Act{act, inner}
		}
	}
	return []Act{act}
}

func (d *desk) may(act Act, c Caller, m *MillState) error {
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
		return trouble.Data("not-allowed", act.Word(), fmt.Sprintf("%s is for the %s or above; %s is %s", act.Word(), least, c.Person, orNobody(role)),
			"ask somebody who may")
	}
	for _, h := range m.Route.Holds {
		if h.Before == act.Word() && excused(h, act) && !role.Covers(h.Unless) {
			return trouble.Data("not-allowed", act.Word(), fmt.Sprintf("only the %s or above gives a reason for going on without %q; %s is %s", h.Unless, h.Needs, c.Person, orNobody(role)),
				"leave the reason out, or ask somebody who may")
		}
	}
	if _, ok := act.(*Certify); ok && !c.Reaffirmed {
		return trouble.Data("passphrase-needed", act.Word(), "certifying asks for the passphrase again", "give the passphrase with the act; a PIN or a machine's token does not certify")
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
