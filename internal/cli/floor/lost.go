package floor

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/book/lost"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// Lost searches for a piece that has lost its number.
type Lost struct {
	Station      string       `placeholder:"STATION" help:"Where it was found."`
	Length       *verb.Length `placeholder:"LENGTH" help:"Its longer side."`
	Width        *verb.Length `placeholder:"LENGTH" help:"Its shorter side."`
	Thickness    *verb.Length `placeholder:"LENGTH" help:"Its thickness."`
	Mass         float64      `placeholder:"KG" help:"Its mass."`
	Since        string       `placeholder:"YYYY-MM-DD" help:"The day since when it has stood there, as far as anybody knows."`
	Limit        int          `default:"10" placeholder:"COUNT" help:"How many candidates to list."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Lost) About() verb.About {
	return verb.About{
		Text: `Ranks the pieces that a piece without a number may be, by where it was found, its size, thickness, mass and the day. Give what you can
			measure; what you do not give does not count.

			The search decides nothing. A second person looks at the piece and the candidates, and marks it: the act mark, with searched_by.

			Exit status 0: one piece stands out. 2: cannot tell; the answer says why. It reads beside a running server.`,
		Examples: []verb.Example{
			{"slatewright lost --station room --length 1473mm --width 914mm --mass 97", "found in the room"},
			{"slatewright lost --thickness 25.9mm --since 2026-11-02 --json", "for programs"},
		},
	}
}

type lostReport struct {
	Candidates []candidate `json:"candidates"`
	Searched   int         `json:"searched"`
	CannotTell string      `json:"cannot_tell"`
}

type candidate struct {
	Piece   string       `json:"piece"`
	Station book.Station `json:"station"`
	Since   time.Time    `json:"since"`
	Share   float64      `json:"share"`
	Reasons []string     `json:"reasons"`
}

// Run ranks the pieces in the house.
func (v Lost) Run(s *verb.Session) (verb.Report, error) {
	d, err := v.description(s)
	if err != nil {
		return nil, err
	}
	return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		pieces, err := opened.Things(ctx, l, book.Filter{Kind: book.KindPiece})
		if err != nil {
			return nil, err
		}
		found, err := lost.Rank(slices.Values(pieces), d, max(v.Limit, 1))
		if err != nil {
			return nil, err
		}
		r := &lostReport{Candidates: []candidate{}, Searched: found.Searched, CannotTell: found.CannotTell}
		for _, c := range found.Candidates {
			r.Candidates = append(r.Candidates, candidate{c.ID, c.Station, c.Since, math.Round(1e4*c.Share) / 1e4, c.Reasons})
		}
		return r, nil
	})
}

func (v Lost) description(s *verb.Session) (d lost.Description, err error) {
	d = lost.Description{Station: book.Station(v.Station), LengthMM: mm(v.Length), WidthMM: mm(v.Width), ThicknessMM: mm(v.Thickness), MassKg: v.Mass}
	if err := checkStation("lost", v.Station); err != nil {
		return d, err
	}
	if v.Since != "" {
		if d.Since, err = time.ParseInLocation(time.DateOnly, v.Since, s.Clock().Location()); err != nil {
			return d, trouble.Usage("bad-time", "slatewright lost", fmt.Sprintf("--since %q is no day", v.Since), "write it as 2026-11-25").Because(err)
		}
	}
	return d, nil
}

// mm is a length that may not have been given; 0 then.
func mm(l *verb.Length) float64 {
	if l == nil {
		return 0
	}
	return l.MM
}

func (r *lostReport) Outcome() verb.Outcome {
	if r.CannotTell != "" {
		return verb.CannotTell
	}
	return verb.Done
}

func (r *lostReport) Print(w io.Writer) {
	if r.CannotTell == "" {
		fmt.Fprintf(w, "It is most likely %s, of %s in the house. A second person looks and marks it.\n", r.Candidates[0].Piece,
			trouble.Count(r.Searched, "piece", "pieces"))
	} else {
		fmt.Fprint(w, verb.Wrap(fmt.Sprintf("Cannot tell, of %s in the house: %s.", trouble.Count(r.Searched, "piece", "pieces"), r.CannotTell), "", "", verb.Width))
	}
	for _, c := range r.Candidates {
		fmt.Fprintf(w, "\n  %5.1f %%  %s at %s\n", 100*c.Share, c.Piece, c.Station)
		io.WriteString(w, verb.Wrap(strings.Join(c.Reasons, "; "), "           ", "           ", verb.Width))
	}
}
