package gate

import (
	"context"
	"fmt"
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

const (
	// longestToken is how long a machine's token may hold: three years and a few days. Common practice, no source.
	longestToken = 3*366*24*time.Hour + 24*time.Hour
	// prefixShown is how many characters of a token are kept readable: its kind and 24 of its 256 bits.
	prefixShown = len(machineToken) + 4
)

// NewToken makes a token for a machine, which acts under this name. The secret is returned this once.
func (g *Gate) NewToken(ctx context.Context, name string, role book.Role, until time.Time) (secret string, err error) {
	now := g.now()
	until = until.UTC().Truncate(time.Millisecond)
	switch {
	case checkPerson(name) != nil:
		return "", checkPerson(name)
	case !role.Covers(book.Visitor):
		return "", trouble.Data("bad-role", "role", fmt.Sprintf("%q is no role", role), "use visitor, hand or inspector")
	case role.Covers(book.Lead):
		return "", trouble.Data("bad-role", "role", "a machine is no lead", "use visitor, hand or inspector")
	case !until.After(now) || until.Sub(now) > longestToken:
		return "", trouble.Data("bad-time", "until", "a token must end later than now and within three years", "give another end")
	}
	if _, person, err := g.store.Account(ctx, name); err != nil {
		return "", err
	} else if person {
		return "", trouble.Data("name-taken", "name", name+" is a person", "give the machine a name of its own: entries must tell who did it")
	}
	if secret, err = g.newToken(machineToken); err != nil {
		return "", err
	}
	added, err := g.store.AddToken(ctx, Token{Name: name, Role: role, Prefix: secret[:prefixShown], Made: now, Until: until, Digest: digest(secret)})
	if err != nil {
		return "", err
	}
	if !added {
		return "", trouble.Data("token-exists", "name", name+" has a token already", "revoke that one first, or give this machine another name")
	}
	return secret, nil
}

// MayBePerson refuses a person whose name is that of a machine's token: it is asked before somebody is appointed.
func (g *Gate) MayBePerson(ctx context.Context, person string) error {
	list, err := g.store.Tokens(ctx)
	if err == nil && slices.ContainsFunc(list, func(t Token) bool { return t.Name == person }) {
		err = trouble.Data("name-taken", "person", person+" is the name of a machine's token", "revoke that token, or give the person another name: entries must tell who did it")
	}
	return err
}

// Tokens lists the machines' tokens by name, those that have ended among them.
func (g *Gate) Tokens(ctx context.Context) ([]Token, error) { return g.store.Tokens(ctx) }

// RevokeToken shuts a machine out.
func (g *Gate) RevokeToken(ctx context.Context, name string) error {
	if checkPerson(name) == nil {
		dropped, err := g.store.DropToken(ctx, name)
		if err != nil || dropped {
			return err
		}
	}
	return trouble.Data("no-such-token", "name", fmt.Sprintf("there is no token of the name %q", name), "look at the list of tokens")
}

// identifyMachine tells whose token it is.
func (g *Gate) identifyMachine(ctx context.Context, token string) (Identity, error) {
	t, found, err := g.store.Token(ctx, digest(token))
	if err != nil {
		return Identity{}, err
	}
	if !found || !g.now().Before(t.Until) {
		return Identity{}, notSignedIn("this token is not known, or has ended or was revoked")
	}
	return Identity{Person: t.Name, Role: t.Role, Machine: true}, nil
}
