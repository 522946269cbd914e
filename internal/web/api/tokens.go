package api

import (
	"context"
	"net/http"
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/trouble"
)

// Token is a machine's token. The secret itself is shown once, when it is made.
type Token struct {
	Name   string    `json:"name" doc:"What the machine is; it acts under this name" example:"scale-1"`
	Begins string    `json:"begins,omitempty" doc:"How the token begins, so that one is told from another"`
	Role   book.Role `json:"role" enum:"visitor,hand,inspector" doc:"What it may do at most"`
	Until  time.Time `json:"until" doc:"When it ends"`
	Secret string    `json:"token,omitempty" doc:"Only in the answer that makes it: send it as Authorization: Bearer"`
}

// longestToken is how long a token may hold: common practice, no source.
const longestToken = 3 * 366

func (d *desk) addTokens() {
	add(d, Route{Method: http.MethodPost, Path: "/tokens", ID: "new-token", Tag: "sign-in", Summary: "Make a token for a machine",
		Text:  "A machine (a scale, a scanner, another program) acts under the token's name. It never certifies. The token is shown this once.",
		Least: book.Lead, Example: map[string]any{"name": "scale-1", "role": "hand", "days": 365}, Answer: exampleToken("st_4P3ZC6Q7"), status: http.StatusCreated, Fails: []string{"token-exists", "name-taken", "bad-role", "bad-time", "bad-id"}}, d.newToken)
	add(d, Route{Method: http.MethodGet, Path: "/tokens", ID: "list-tokens", Tag: "sign-in", Summary: "List the machines' tokens",
		Text:   "Without the secrets.",
		Least:  book.Lead,
		Answer: Listed[Token]{Items: []Token{exampleToken("")}}}, d.tokens)
	add(d, Route{Method: http.MethodDelete, Path: "/tokens/{name}", ID: "revoke-token", Tag: "sign-in", Summary: "Revoke a machine's token",
		Text:  "It is shut out at once.",
		Least: book.Lead,
		Fails: []string{"no-such-token"}, status: http.StatusNoContent}, d.revokeToken)
}

type newTokenInput struct {
	Body struct {
		Name string    `json:"name" minLength:"1" maxLength:"40" doc:"What the machine is"`
		Role book.Role `json:"role" enum:"visitor,hand,inspector" doc:"What it may do at most"`
		Days int       `json:"days" minimum:"1" maximum:"1098" doc:"How many days it holds"`
	}
}

func (d *desk) newToken(ctx context.Context, in *newTokenInput) (*answer[Token], error) {
	if asked(ctx).sender.Machine {
		return nil, trouble.Data("not-allowed", "", "a machine makes no token", "let a lead do it")
	}
	switch err := d.known(ctx, in.Body.Name); {
	case err == nil:
		return nil, trouble.Data("name-taken", "name", in.Body.Name+" is a person of the book", "give the machine a name of its own: entries must tell who did it")
	case !isUnknown(err):
		return nil, err
	}
	until := d.Clock().AddDate(0, 0, min(in.Body.Days, longestToken)).UTC().Truncate(time.Second)
	secret, err := d.Gate.NewToken(ctx, in.Body.Name, in.Body.Role, until)
	return &answer[Token]{Token{Name: in.Body.Name, Role: in.Body.Role, Until: until, Secret: secret}}, err
}

var appoint = (&book.Appoint{}).Word()

// noMachine refuses to appoint a person by the name of a machine's token. The book knows no tokens.
func (d *desk) noMachine(ctx context.Context, word string, body []byte) error {
	if word != appoint {
		return nil
	}
	act, err := book.Decode(word, body)
	appointed, ok := act.(*book.Appoint)
	if err != nil || !ok {
		return nil // what is no act is the book's to refuse
	}
	list, err := d.Gate.Tokens(ctx)
	if err == nil && slices.ContainsFunc(list, func(t gate.Token) bool { return t.Name == appointed.Person }) {
		err = trouble.Data("name-taken", "person", appointed.Person+" is the name of a machine's token", "revoke that token, or give the person another name: entries must tell who did it")
	}
	return err
}

func (d *desk) tokens(ctx context.Context, _ *struct{}) (*listedAnswer[Token], error) {
	list, err := d.Gate.Tokens(ctx)
	if err != nil {
		return nil, err
	}
	return listed(book.Page[gate.Token]{Items: list}, func(t gate.Token) Token { return Token{Name: t.Name, Begins: t.Prefix, Role: t.Role, Until: t.Until} }), nil
}

func (d *desk) revokeToken(ctx context.Context, in *struct {
	Name string `path:"name" maxLength:"40" doc:"The token's name" example:"scale-1"`
}) (*struct{}, error) {
	return nil, d.Gate.RevokeToken(ctx, in.Name)
}
