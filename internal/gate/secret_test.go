package gate_test

import (
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
)

func TestPassphrasesThatAreRefused(t *testing.T) {
	m := newMill(t)
	for passphrase, because := range map[string]string{
		"": "too short", "slate and light": "", "slate and ligh": "too short", strings.Repeat("ö", 14): "too short",
		strings.Repeat("abcd", 10): "again", strings.Repeat("word ", 205): "too long", "ünder dem nördlichen Licht": "", strings.Repeat("word ", 204): "",
		"slate\nunder the north light": "typed", "slate\x00under the north light": "typed", "slate under the\xff north": "typed",
		"saw-1saw-1saw-1saw-1": "name", "Slatewright-saw-1": "name", "slatewright under north light": "", "Quern Hollow Quern Hollow": "name", "QUERN_HOLLOW saw_1 1": "name", "quern hollow and north light": "",
		"⚒⚒⛏⛏⚙⚙⚖⚖☂☂☃☃☄☄★★": "", "sla\u0301te and ligh": "too short",
	} {
		err := gate.CheckPassphrase("saw-1", passphrase, "quern-hollow")
		if set := m.SetPassphrase(t.Context(), "saw-1", passphrase); code(t, set) != code(t, err) {
			t.Errorf("%.30q: checked %v, set %v", passphrase, err, set)
		}
		switch {
		case because == "" && err != nil:
			t.Errorf("%.30q is refused: %v", passphrase, err)
		case because != "" && (code(t, err) != "weak-passphrase" || !strings.Contains(err.Error(), because)):
			t.Errorf("%.30q: %v, want %q", passphrase, err, because)
		case because != "" && len(passphrase) > 0 && strings.Contains(err.Error(), passphrase):
			t.Errorf("%v repeats it", err)
		}
	}
	for _, person := range []string{"", "a b", strings.Repeat("x", 41), "\x00"} {
		for name, err := range map[string]error{"passphrase": m.SetPassphrase(t.Context(), person, words), "PIN": m.SetPIN(t.Context(), person, pin),
			"revoke": m.RevokeAll(t.Context(), person)} {
			want(t, name+" of "+person, code(t, err), "bad-id")
		}
	}
}

func TestPINsThatAreRefused(t *testing.T) {
	m := newMill(t)
	for pin, good := range map[string]bool{"8052": true, "80521937": true, "": false, "805": false, "805219371": false, "80a2": false, "٨٠٥٢": false, "0000": false,
		"1234": false, "98765": false, "1122": true, "1357": true, " 8052": false, "-805": false} {
		err := m.SetPIN(t.Context(), "saw-1", pin)
		if good != (err == nil) || !good && code(t, err) != "bad-pin" {
			t.Errorf("%q: %v", pin, err)
		}
	}
}

// A hash that is cheaper than hashes are now is replaced when the secret is next given.
func TestHashesAreRaised(t *testing.T) {
	m := newMill(t)
	before, _, err := m.store.Account(t.Context(), "saw-1")
	if err != nil {
		t.Fatal(err)
	}
	m.opts.Cost = gate.Cost{MemoryKiB: 16, Passes: 2, Lanes: 1}
	m.restart()
	m.wrong(t, "saw-1", tablet, address)
	m.in(t, "bench-1", tablet)
	if now, _, err := m.store.Account(t.Context(), "saw-1"); err != nil || now != before {
		t.Errorf("a wrong passphrase changed what is kept: %+v, %v", now, err)
	}
	session := m.in(t, "saw-1", tablet)
	now, _, err := m.store.Account(t.Context(), "saw-1")
	if err != nil || !strings.Contains(now.Passphrase, "m=16,t=2,p=1") || now.PIN != before.PIN || now.Generation != before.Generation {
		t.Errorf("after the passphrase: %+v, %v", now, err)
	}
	m.identify(t, session.Token)
	if _, err := m.Switch(t.Context(), tablet, "saw-1", pin, address); err != nil {
		t.Fatal(err)
	}
	if now, _, err = m.store.Account(t.Context(), "saw-1"); err != nil || !strings.Contains(now.PIN, "m=16,t=2,p=1") {
		t.Errorf("after the PIN: %+v, %v", now, err)
	}
	m.opts.Cost = cheap // lowered: what is there is better and stays
	m.restart()
	m.in(t, "saw-1", tablet)
	if again, _, err := m.store.Account(t.Context(), "saw-1"); err != nil || again != now {
		t.Errorf("lowered: %+v, %v", again, err)
	}
}

func TestMachines(t *testing.T) {
	m := newMill(t)
	ctx, until := t.Context(), m.now.Add(time.Hour)
	secret, err := m.NewToken(ctx, "scale-1", book.Hand, until)
	if err != nil {
		t.Fatal(err)
	}
	if id := m.identify(t, secret); id != (gate.Identity{Person: "scale-1", Role: book.Hand, Machine: true}) {
		t.Errorf("identity %+v", id)
	}
	list, err := m.Tokens(ctx)
	if err != nil || len(list) != 1 || list[0].Name != "scale-1" || list[0].Role != book.Hand || !list[0].Until.Equal(until) ||
		!strings.HasPrefix(secret, list[0].Prefix) || len(list[0].Prefix) > 8 || len(secret) != len("swm_")+43 {
		t.Errorf("tokens %+v, %v", list, err)
	}
	want(t, "signed out", code(t, m.SignOut(ctx, secret)), "not-allowed")
	for name, c := range map[string]struct {
		name  string
		role  book.Role
		until time.Time
		code  string
	}{
		"the name again": {"scale-1", book.Hand, until, "token-exists"}, "no name": {"", book.Hand, until, "bad-id"}, "no role": {"scale-2", "", until, "bad-role"},
		"another role": {"scale-2", "owner", until, "bad-role"}, "a lead": {"scale-2", book.Lead, until, "bad-role"}, "a person": {"saw-1", book.Hand, until, "name-taken"}, "ended": {"scale-2", book.Hand, m.now, "bad-time"},
		"for ever": {"scale-2", book.Hand, m.now.AddDate(4, 0, 0), "bad-time"},
	} {
		got, err := m.NewToken(ctx, c.name, c.role, c.until)
		want(t, name, code(t, err), c.code)
		want(t, name, got, "")
	}
	want(t, "a person of its name", code(t, m.SetPassphrase(ctx, "scale-1", words)), "name-taken")
	m.wait(time.Hour)
	_, err = m.Identify(ctx, secret)
	want(t, "ended", code(t, err), "not-signed-in")
	if err := m.RevokeToken(ctx, "scale-1"); err != nil {
		t.Error(err)
	}
	for _, name := range []string{"scale-1", "", "\x00"} {
		want(t, "revoked "+name, code(t, m.RevokeToken(ctx, name)), "no-such-token")
	}
	if secret, err = m.NewToken(ctx, "scale-1", book.Visitor, m.now.Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if err := m.RevokeToken(ctx, "scale-1"); err != nil {
		t.Error(err)
	}
	_, err = m.Identify(ctx, secret)
	want(t, "revoked", code(t, err), "not-signed-in")
}

// The same words fit however the keyboard writes them: accents apart or joined, spaces wide or unbreakable.
func TestTheSameTypedWordsFit(t *testing.T) {
	ways := []string{"Schiefer im nördlichen Licht", "Schiefer im no\u0308rdlichen Licht", "Schiefer\u00a0im\u2003nördlichen\u202fLicht"}
	for _, set := range ways {
		m := newMill(t)
		if err := m.SetPassphrase(t.Context(), "saw-1", set); err != nil {
			t.Fatal(err)
		}
		for _, typed := range ways {
			s, err := m.SignIn(t.Context(), "saw-1", typed, tablet, address)
			if err != nil {
				t.Fatalf("%+q does not fit %+q: %v", typed, set, err)
			}
			if err := m.Reaffirm(t.Context(), m.identify(t, s.Token), typed, address); err != nil {
				t.Errorf("%+q again: %v", typed, err)
			}
		}
		for _, other := range []string{"Schiefer im nordlichen Licht", "schiefer im nördlichen Licht", "Schiefer im nördlichen  Licht"} {
			if _, err := m.SignIn(t.Context(), "saw-1", other, tablet, address); err == nil {
				t.Errorf("%+q fits %+q", other, set)
			}
		}
	}
}

// A mill may be called otherwise than its word says.
func TestNamesOfTheMill(t *testing.T) {
	for passphrase, good := range map[string]bool{"The Old Works at Low Moor": true, "Low Moor Slate, Low Moor Slate": false, "Low-Moor-Slate-Works!": false} {
		err := gate.CheckPassphrase("saw-1", passphrase, "Low Moor Slate")
		if good != (err == nil) {
			t.Errorf("%q: %v", passphrase, err)
		}
	}
}
