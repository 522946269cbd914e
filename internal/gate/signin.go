package gate

import (
	"context"
	"encoding/base64"
	"errors"
	"net/netip"
	"slices"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Tokens begin with a word that tells what they are, so that one found in a file can be told, and has 256 random bits.
const (
	sessionToken = "sws_"
	machineToken = "swm_"
	tokenBits    = 256
)

func kindOf(token string) string {
	for _, kind := range []string{sessionToken, machineToken} {
		if strings.HasPrefix(token, kind) {
			return kind
		}
	}
	return ""
}

func (g *Gate) newToken(kind string) (string, error) {
	b, err := g.bytes(tokenBits / 8)
	return kind + base64.RawURLEncoding.EncodeToString(b), err
}

// shortestTablet is the length of a tablet's secret, in characters, from which on it is known again; 100 random bits in base 32.
const shortestTablet = 20

// tabletOf is the digest by which a tablet is kept. What is too short to be a secret is no tablet: somebody else could name it.
func tabletOf(secret string) string {
	if len(secret) < shortestTablet {
		return ""
	}
	return digest(secret)
}

// sourceOf names the lock of where a try comes from. One IPv6 customer has at least 2^64 addresses, so they count as one.
func sourceOf(from string) string {
	a, err := netip.ParseAddr(from)
	if err != nil {
		return "from:" + digest(from)
	}
	a = a.Unmap().WithZone("")
	if a.Is6() {
		if p, err := a.Prefix(64); err == nil {
			return "from:" + p.String()
		}
	}
	return "from:" + a.String()
}

// SignIn opens a session by passphrase. tablet is the secret by which the device is known again, at least 20 characters; anything
// shorter is no tablet, and a PIN will not serve there. from is where the try comes from, such as an address. A session that was open
// on the tablet ends.
func (g *Gate) SignIn(ctx context.Context, person, passphrase, tablet, from string) (Session, error) {
	kept := tabletOf(tablet)
	account, err := g.check(ctx, person, passphrase, kept, from)
	if err != nil {
		return Session{}, err
	}
	now := g.now()
	if err := g.store.Sweep(ctx, now, now.Add(-max(g.limits.Person.Forget, g.limits.Source.Forget))); err != nil {
		return Session{}, err
	}
	if kept != "" {
		if err := g.store.Know(ctx, kept, person, account.Generation, now.Add(g.limits.Tablet)); err != nil {
			return Session{}, err
		}
	}
	return g.begin(ctx, account, kept, true)
}

// Reaffirm asks for the passphrase again, of somebody who is signed in with it: for an act that only they may do, such as to
// certify. A PIN or a machine's token does not do.
func (g *Gate) Reaffirm(ctx context.Context, id Identity, passphrase, from string) error {
	if id.Machine || !id.Full {
		return trouble.Data("not-allowed", "", "this needs somebody who is signed in with the passphrase", "sign in with the passphrase and try again")
	}
	_, err := g.check(ctx, id.Person, passphrase, id.Tablet, from)
	return err
}

// check tries a passphrase. Every try is counted before it is made: at its source, and at the person's lock. What was not tried in the end,
// because too many do or we fail, is taken back.
func (g *Gate) check(ctx context.Context, person, passphrase, tablet, from string) (Account, error) {
	account, err := g.account(ctx, person)
	if err != nil {
		return Account{}, err
	}
	lock, err := g.lockOf(ctx, person, tablet)
	if err != nil {
		return Account{}, err
	}
	if err := g.hasher.crowded(); err != nil {
		return Account{}, err
	}
	source, after := sourceOf(from), context.WithoutCancel(ctx)
	atSource, err := g.count(ctx, source, g.limits.Source)
	if err != nil {
		return Account{}, err
	}
	atLock, err := g.count(ctx, lock, g.limits.Person)
	if err != nil {
		return Account{}, errors.Join(err, g.uncount(after, source, atSource))
	}
	ok, better, err := g.hasher.matches(ctx, account.Passphrase, typed(passphrase))
	if err != nil {
		return Account{}, errors.Join(err, g.uncount(after, lock, atLock), g.uncount(after, source, atSource))
	}
	if !ok {
		return Account{}, trouble.Data("wrong-passphrase", "", "person and passphrase do not belong together", "try again; a lead can set a new passphrase")
	}
	if err := errors.Join(g.clear(after, lock), g.uncount(after, source, atSource)); err != nil {
		return Account{}, err
	}
	return account, g.rehash(ctx, account, better, "")
}

// lockOf names the lock of a person's passphrase. Where the person has signed in before it is one of that tablet, so that a
// stranger's tries elsewhere do not shut somebody out of their own place.
func (g *Gate) lockOf(ctx context.Context, person, tablet string) (string, error) {
	anywhere := "person:" + digest(person)
	if tablet == "" || checkPerson(person) != nil {
		return anywhere, nil
	}
	known, err := g.store.Known(ctx, tablet, person, g.now())
	if err != nil || !known {
		return anywhere, err
	}
	return "tablet:" + tablet + ":" + person, nil
}

// account is what is kept of a person; nothing of somebody unknown.
func (g *Gate) account(ctx context.Context, person string) (Account, error) {
	if checkPerson(person) != nil {
		return Account{}, nil
	}
	a, _, err := g.store.Account(ctx, person)
	a.Person = person
	return a, err
}

func checkPerson(person string) error {
	_, err := book.ParseRef(string(book.KindPerson) + ":" + person)
	return err
}

// rehash keeps better hashes of the same secrets.
func (g *Gate) rehash(ctx context.Context, was Account, passphrase, pin string) error {
	now := was
	now.Passphrase, now.PIN = or(passphrase, was.Passphrase), or(pin, was.PIN)
	if now == was {
		return nil
	}
	return g.store.Rehash(ctx, was, now)
}

// Switch opens a session by PIN on a tablet where the person has signed in with the passphrase. Too many wrong PINs, and it needs
// the passphrase again. A session by PIN never certifies.
func (g *Gate) Switch(ctx context.Context, tablet, person, pin, from string) (Session, error) {
	kept := tabletOf(tablet)
	account, err := g.account(ctx, person)
	if err != nil {
		return Session{}, err
	}
	if err := g.hasher.crowded(); err != nil {
		return Session{}, err
	}
	may := kept != "" && account.PIN != ""
	if may {
		may, err = g.store.TryPIN(ctx, kept, person, g.now(), g.limits.PINs)
	}
	if err != nil {
		return Session{}, err
	}
	if !may {
		return Session{}, trouble.Data("passphrase-needed", "", "on this tablet this person needs the passphrase",
			"sign in with the passphrase; afterwards the PIN serves here, if one is set")
	}
	ok, better, err := g.hasher.matches(ctx, account.PIN, pin)
	switch {
	case err != nil: // it was not tried
		return Session{}, errors.Join(err, g.store.UntryPIN(context.WithoutCancel(ctx), kept, person))
	case !ok:
		return Session{}, trouble.Data("wrong-pin", "", "this is not the person's PIN", "try again, or sign in with the passphrase; after a few wrong PINs it must be that")
	}
	if err := g.store.RightPIN(ctx, kept, person); err != nil {
		return Session{}, err
	}
	if err := g.rehash(ctx, account, "", better); err != nil {
		return Session{}, err
	}
	return g.begin(ctx, account, kept, false)
}

// begin opens the session.
func (g *Gate) begin(ctx context.Context, a Account, tablet string, full bool) (Session, error) {
	token, err := g.newToken(sessionToken)
	if err != nil {
		return Session{}, err
	}
	now := g.now()
	o := Open{Digest: digest(token), Person: a.Person, Full: full, Tablet: tablet, Generation: a.Generation, Began: now, Seen: now, Until: now.Add(g.limits.Longest)}
	return Session{token, a.Person, o.Until, full}, g.store.Begin(ctx, o)
}

// seenEvery is how exactly a session's last use is kept, so that not every question writes.
const seenEvery = time.Minute

// identifySession tells whose session it is, and notes that it was used.
func (g *Gate) identifySession(ctx context.Context, token string, used bool) (Identity, error) {
	o, found, err := g.store.Session(ctx, digest(token))
	if err != nil {
		return Identity{}, err
	}
	now := g.now()
	if !found || !now.Before(o.Until) || now.Sub(o.Seen) >= g.idle(o) {
		return Identity{}, notSignedIn("the session has ended")
	}
	if used && now.Sub(o.Seen) >= seenEvery {
		g.seen(o.Digest, now)
	}
	return Identity{Person: o.Person, Full: o.Full, Tablet: o.Tablet, Session: o.Digest}, nil
}

// seenWithin is how long it may take to note that a session was used, before it is left to the next question.
const seenWithin = time.Minute

// seen notes that a session was used, aside: nobody's question waits until the one who may write has time. When nothing can be written
// people must still be able to read; their session then ends the earlier.
func (g *Gate) seen(session string, now time.Time) {
	if _, already := g.noting.LoadOrStore(session, true); already {
		return
	}
	g.aside(func() {
		defer g.noting.Delete(session)
		ctx, stop := context.WithTimeout(context.Background(), seenWithin)
		defer stop()
		_ = g.store.Seen(ctx, session, now)
	})
}

func (g *Gate) idle(o Open) time.Duration {
	if o.Full {
		return g.limits.Idle
	}
	return g.limits.IdlePIN
}

// SignOut ends a session. The tablet stays known. A session that has ended already is no trouble.
func (g *Gate) SignOut(ctx context.Context, token string) error {
	if kindOf(token) != sessionToken {
		return trouble.Data("not-allowed", "", "only a session can be signed out", "a machine's token is revoked by a lead")
	}
	return g.store.End(ctx, digest(token))
}

// Sessions lists a person's open sessions, the oldest first.
func (g *Gate) Sessions(ctx context.Context, person string) ([]Open, error) {
	if err := checkPerson(person); err != nil {
		return nil, err
	}
	all, err := g.store.Sessions(ctx, person)
	now := g.now()
	return slices.DeleteFunc(all, func(o Open) bool { return !now.Before(o.Until) || now.Sub(o.Seen) >= g.idle(o) }), err
}

// RevokeAll ends all sessions of a person, and no tablet takes their PIN until they sign in there again.
func (g *Gate) RevokeAll(ctx context.Context, person string) error {
	if err := checkPerson(person); err != nil {
		return err
	}
	return g.store.NextGeneration(ctx, person)
}
