package office

import (
	"context"
	"fmt"
	"io"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/ledger"
	"slatewright/trouble"
)

// Token holds the verbs about machines.
type Token struct {
	New    TokenNew    `cmd:"" help:"How does a machine hand in its acts?"`
	List   TokenList   `cmd:"" help:"Which machines may?"`
	Revoke TokenRevoke `cmd:"" help:"How is a machine shut out?"`
}

// TokenNew makes a token.
type TokenNew struct {
	Name         string `arg:"" help:"What the machine is, such as scale-1."`
	Role         string `default:"hand" enum:"visitor,hand,inspector" help:"What it may do at most: visitor, hand or inspector. A machine never certifies."`
	Days         int    `default:"365" placeholder:"COUNT" help:"How many days it holds."`
	owner        `embed:""`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (TokenNew) About() verb.About {
	return verb.About{
		Text: `Makes a token with which a machine (a scale, a scanner, another program) uses the server's /api/v1. It is shown once and never again;
			the book keeps only a digest of it. Give each machine its own.` + ownerText,
		Examples: []verb.Example{
			{"slatewright token new scale-1", "for a year, with the role hand"},
			{"slatewright token new wall-screen --role visitor --days 30 --json", "may only read"},
		},
	}
}

type tokenReport struct {
	Name  string    `json:"name"`
	Role  book.Role `json:"role"`
	Until time.Time `json:"until"`
	Token string    `json:"token"`
}

// Run makes it.
func (v TokenNew) Run(s *verb.Session) (verb.Report, error) {
	if v.Days < 1 {
		return nil, trouble.Usage("bad-count", "slatewright token new", fmt.Sprintf("--days %d is no time to hold", v.Days), "give 1 or more")
	}
	return v.Writing(s, "token new", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		g := opened.GateOf(s, l)
		if err := v.allowed(ctx, s, l, g); err != nil {
			return nil, err
		}
		r := &tokenReport{Name: v.Name, Role: book.Role(v.Role), Until: s.Clock().AddDate(0, 0, v.Days).UTC()}
		var err error
		r.Token, err = g.NewToken(ctx, v.Name, r.Role, r.Until)
		return r, err
	})
}

func (r *tokenReport) Outcome() verb.Outcome { return verb.Done }

func (r *tokenReport) Print(w io.Writer) {
	fmt.Fprintf(w, "Token for %s (%s), until %s. It is shown this once:\n\n  %s\n\nThe machine sends it as 'Authorization: Bearer TOKEN'.\n", r.Name, r.Role, r.Until.Format(time.DateOnly), r.Token)
}

// TokenList lists the tokens.
type TokenList struct {
	opened.Place `embed:""`
}

// About is the help of the verb.
func (TokenList) About() verb.About {
	return verb.About{
		Text:     `Lists the machines' tokens with what they may do and until when; the tokens themselves are not kept.`,
		Examples: []verb.Example{{"slatewright token list", "every machine"}},
	}
}

type tokensReport struct {
	Tokens []tokenLine `json:"tokens"`
}

type tokenLine struct {
	Name  string    `json:"name"`
	Role  book.Role `json:"role"`
	Until time.Time `json:"until"`
	Ended bool      `json:"ended"`
	Begin string    `json:"begins_with"`
}

// Run asks the gate.
func (v TokenList) Run(s *verb.Session) (verb.Report, error) {
	return v.Open(s, ledger.Options{ReadOnly: true, Clock: s.Clock}, func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		list, err := opened.GateOf(s, l).Tokens(ctx)
		r := &tokensReport{Tokens: []tokenLine{}}
		for _, t := range list {
			r.Tokens = append(r.Tokens, tokenLine{t.Name, t.Role, t.Until, !s.Clock().Before(t.Until), t.Prefix})
		}
		return r, err
	})
}

func (r *tokensReport) Outcome() verb.Outcome { return verb.Done }

func (r *tokensReport) Print(w io.Writer) {
	if len(r.Tokens) == 0 {
		fmt.Fprint(w, "No machine has a token.\n")
	}
	for _, t := range r.Tokens {
		until := "until " + t.Until.Format(time.DateOnly)
		if t.Ended {
			until = "ended " + t.Until.Format(time.DateOnly)
		}
		fmt.Fprintf(w, "  %-20s  %-9s  %s  %s…\n", t.Name, t.Role, until, t.Begin)
	}
}

// TokenRevoke ends a token.
type TokenRevoke struct {
	Name         string `arg:"" help:"The machine's name, as in the list."`
	owner        `embed:""`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (TokenRevoke) About() verb.About {
	return verb.About{
		Text:     `Ends a machine's token at once. What it recorded stays in the book.` + ownerText,
		Examples: []verb.Example{{"slatewright token revoke scale-1", "the scale's token is known to others"}},
	}
}

// Run ends it.
func (v TokenRevoke) Run(s *verb.Session) (verb.Report, error) {
	return v.Writing(s, "token revoke", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		g := opened.GateOf(s, l)
		if err := v.allowed(ctx, s, l, g); err != nil {
			return nil, err
		}
		return &personReport{Person: v.Name, Did: "is shut out", Notes: []string{}}, g.RevokeToken(ctx, v.Name)
	})
}
