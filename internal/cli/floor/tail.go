package floor

import (
	"context"
	"io"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
)

// Tail shows the end of the journal.
type Tail struct {
	Follow       bool   `short:"f" help:"Go on: show each entry as it is written, one JSON object a line with --json, until you stop it."`
	Count        int    `short:"n" default:"20" placeholder:"COUNT" help:"How many of the latest entries to show."`
	After        *int64 `placeholder:"NUMBER" help:"Show the entries after this number instead."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Tail) About() verb.About {
	return verb.About{
		Text: `Shows the latest entries of the journal: number, time, station, person, act, and the act's fields. Each entry is verified against its
			hash before it is shown. It reads beside a running server.`,
		Examples: []verb.Example{
			{"slatewright book tail", "the latest twenty"},
			{"slatewright book tail -f", "and every new one, until Ctrl-C"},
			{"slatewright book tail --after 0 -n 1000000 --json", "the journal from its beginning, for programs"},
		},
	}
}

type tailReport struct {
	Site    string         `json:"site"`
	Entries []opened.Entry `json:"entries"`
}

// Run reads the end of the journal, and follows it if asked.
func (v Tail) Run(s *verb.Session) (verb.Report, error) {
	return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		list, err := v.latest(ctx, l)
		if err != nil {
			return nil, err
		}
		if v.Follow {
			return verb.Said{}, follow(ctx, s, l, list)
		}
		r := &tailReport{Site: l.Site(), Entries: []opened.Entry{}}
		for _, p := range list {
			r.Entries = append(r.Entries, opened.Tell(s, p))
		}
		return r, nil
	})
}

// latest is the entries to begin with.
func (v Tail) latest(ctx context.Context, l book.Ledger) ([]book.Placed, error) {
	count := max(v.Count, 0)
	if v.After != nil && *v.After >= 0 {
		return upTo(ctx, l, *v.After, count)
	}
	end, err := opened.LastNumber(ctx, l)
	if err != nil {
		return nil, err
	}
	return upTo(ctx, l, max(end-int64(count), 0), count)
}

// upTo reads at most count entries after a number.
func upTo(ctx context.Context, l book.Ledger, after int64, count int) (list []book.Placed, err error) {
	for len(list) < count {
		some, err := l.Entries(ctx, after, min(count-len(list), 500))
		if err != nil {
			return nil, err
		}
		if len(some) == 0 {
			break
		}
		list = append(list, some...)
		after = some[len(some)-1].Seq
	}
	return list, nil
}

// pause is how long a follower waits at most before it looks again: another program may write, and that is not always heard.
const pause = time.Second

// follow says entries until the context ends.
func follow(ctx context.Context, s *verb.Session, l book.Ledger, list []book.Placed) error {
	ctx, stop := opened.UntilStopped(ctx)
	defer stop()
	after := int64(0)
	if len(list) == 0 {
		last, err := opened.LastNumber(ctx, l)
		if err != nil {
			return err
		}
		after = last
	}
	for {
		changed := l.Changed()
		for _, p := range list {
			if err := s.Say(opened.Tell(s, p)); err != nil {
				return err
			}
			after = p.Seq
		}
		var err error
		if list, err = l.Entries(ctx, after, 500); ctx.Err() != nil {
			return nil
		} else if err != nil {
			return err
		}
		if len(list) > 0 {
			continue
		}
		select {
		case <-ctx.Done():
			return nil
		case <-changed:
		case <-time.After(pause):
		}
	}
}

func (r *tailReport) Outcome() verb.Outcome { return verb.Done }

func (r *tailReport) Print(w io.Writer) {
	if len(r.Entries) == 0 {
		io.WriteString(w, "Nothing stands there yet.\n")
	}
	for _, e := range r.Entries {
		e.Print(w)
	}
}
