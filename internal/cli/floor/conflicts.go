package floor

import (
	"context"
	"fmt"
	"io"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
)

// Conflicts lists the entries that could not follow.
type Conflicts struct {
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Conflicts) About() verb.About {
	return verb.About{
		Text: `Lists the entries that were handed in late and could not follow what the book already knew: two tablets that say different things
			of one piece, say. They are kept, and not in force, until a person resolves them with a correct act: strike the wrong one of the two, or
			give it the right body or time.

			Exit status 0: there is none. 1: there are some, and they wait for a person. It reads beside a running server.`,
		Examples: []verb.Example{
			{"slatewright conflicts", "what must be resolved?"},
		},
	}
}

type conflictsReport struct {
	Conflicts []opened.Entry `json:"conflicts"`
}

// Run asks the book.
func (v Conflicts) Run(s *verb.Session) (verb.Report, error) {
	return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		r := &conflictsReport{Conflicts: []opened.Entry{}}
		for cursor := ""; ; {
			page, err := l.Conflicts(ctx, cursor, 500)
			if err != nil {
				return nil, err
			}
			for _, p := range page.Items {
				r.Conflicts = append(r.Conflicts, opened.Tell(s, p))
			}
			if cursor = page.Next; cursor == "" {
				return r, nil
			}
		}
	})
}

func (r *conflictsReport) Outcome() verb.Outcome {
	if len(r.Conflicts) > 0 {
		return verb.Refused
	}
	return verb.Done
}

func (r *conflictsReport) Print(w io.Writer) {
	if len(r.Conflicts) == 0 {
		io.WriteString(w, "No entry is in conflict.\n")
		return
	}
	fmt.Fprintf(w, "In conflict, kept and not in force: %d. A person must resolve each (act correct).\n\n", len(r.Conflicts))
	for _, e := range r.Conflicts {
		e.Print(w)
		fmt.Fprintf(w, "        entry %s\n", e.ID)
	}
}
