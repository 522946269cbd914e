package credentials

import (
	"context"

	"slatewright/internal/gate"
)

const tokenColumns = `select name, digest, prefix, role, made_ms, until_ms from token where site = $1 `

func scanToken(scan func(...any) error) (t gate.Token, err error) {
	var made, until int64
	err = scan(&t.Name, &t.Digest, &t.Prefix, &t.Role, &made, &until)
	t.Made, t.Until = moment(made), moment(until)
	return t, err
}

const addToken = `insert into token (site, name, digest, prefix, role, made_ms, until_ms) values ($1, $2, $3, $4, $5, $6, $7) `

func tokenValues(t gate.Token) []any {
	return []any{t.Name, t.Digest, t.Prefix, string(t.Role), t.Made.UnixMilli(), t.Until.UnixMilli()}
}

// AddToken keeps a token, unless its name is taken.
func (s *Store) AddToken(ctx context.Context, t gate.Token) (added bool, err error) {
	return s.change(ctx, "add a token", addToken+`on conflict (site, name) do nothing`, tokenValues(t)...)
}

// Token finds a token by the digest of its secret.
func (s *Store) Token(ctx context.Context, digest string) (t gate.Token, found bool, err error) {
	list, err := all(ctx, s, "find a token", tokenColumns+`and digest = $2`, []any{digest}, scanToken)
	if len(list) == 0 {
		return gate.Token{}, false, err
	}
	return list[0], true, err
}

// Tokens lists the tokens by name.
func (s *Store) Tokens(ctx context.Context) ([]gate.Token, error) {
	return all(ctx, s, "list the tokens", tokenColumns+`order by name`, nil, scanToken)
}

// DropToken takes a token away.
func (s *Store) DropToken(ctx context.Context, name string) (dropped bool, err error) {
	return s.change(ctx, "drop a token", `delete from token where site = $1 and name = $2`, name)
}
