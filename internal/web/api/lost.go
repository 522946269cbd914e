package api

import (
	"context"
	"iter"
	"math"
	"net/http"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/book/lost"
)

func (d *desk) addLost() {
	add(d, Route{Method: http.MethodGet, Path: "/lost", ID: "search-lost", Tag: "things", Summary: "Which piece may the one without a number be",
		Text: "The pieces in the house, ranked by where it was found, its size, thickness, mass and the day; give what you can measure. It decides nothing: " +
			"a second person looks at the stone and the candidates, and marks it with the act mark, naming who searched.",
		Least: book.Visitor, Fails: []string{"nothing-described"}, Answer: exampleRanking()}, d.lost)
}

type lostQuestion struct {
	Station   stationWord `query:"station" doc:"Where it was found"`
	Length    float64     `query:"length_mm" minimum:"0" maximum:"100000" doc:"A side"`
	Width     float64     `query:"width_mm" minimum:"0" maximum:"100000" doc:"The other side; which is which does not matter"`
	Thickness float64     `query:"thickness_mm" minimum:"0" maximum:"100000" doc:"Its thickness"`
	Mass      float64     `query:"mass_kg" minimum:"0" maximum:"100000" doc:"Its mass"`
	Since     time.Time   `query:"since" doc:"Since when it has stood there, as far as anybody knows"`
	Limit     int         `query:"limit" minimum:"1" maximum:"100" default:"10" doc:"Candidates at most"`
}

// Ranking is which pieces it may be.
type Ranking struct {
	Candidates []Candidate `json:"candidates" nullable:"false" doc:"The likeliest first"`
	Searched   int         `json:"searched" doc:"Pieces in the house that were looked at"`
	CannotTell string      `json:"cannot_tell,omitempty" doc:"Why the first cannot be told from the others; not there when it stands out"`
}

// Candidate is a piece that it may be.
type Candidate struct {
	Piece   string    `json:"piece" example:"QH-0101"`
	Station string    `json:"station" doc:"Where the book has it"`
	Since   time.Time `json:"since"`
	Share   float64   `json:"share" minimum:"0" maximum:"1" doc:"How likely it is this one, among all candidates and a piece that the book does not know"`
	Reasons []string  `json:"reasons" nullable:"false" doc:"What speaks for and against it"`
}

func exampleRanking() Ranking {
	return Ranking{Candidates: []Candidate{{"QH-0101", "room", exampleTime, 0.96, []string{"it has lost its number", "the book has it there too"}}}, Searched: 61}
}

func (d *desk) lost(ctx context.Context, in *lostQuestion) (*answer[Ranking], error) {
	var failed error
	found, err := lost.Rank(d.pieces(ctx, &failed), lost.Description{Station: book.Station(in.Station), LengthMM: in.Length, WidthMM: in.Width,
		ThicknessMM: in.Thickness, MassKg: in.Mass, Since: in.Since}, in.Limit)
	if failed != nil {
		return nil, failed
	}
	if err != nil {
		return nil, err
	}
	out := Ranking{Candidates: make([]Candidate, 0, len(found.Candidates)), Searched: found.Searched, CannotTell: found.CannotTell}
	for _, c := range found.Candidates {
		share := math.Round(1e4*c.Share) / 1e4
		out.Candidates = append(out.Candidates, Candidate{c.ID, string(c.Station), c.Since, share, append([]string{}, c.Reasons...)})
	}
	return &answer[Ranking]{out}, nil
}

// pieces gives every piece of the book, page by page, until one cannot be read.
func (d *desk) pieces(ctx context.Context, failed *error) iter.Seq[book.Thing] {
	const most = 500
	return func(yield func(book.Thing) bool) {
		for cursor := ""; ; {
			page, err := d.Ledger.Things(ctx, book.Filter{Kind: book.KindPiece}, cursor, most)
			if err != nil {
				*failed = err
				return
			}
			for _, t := range page.Items {
				if !yield(t) {
					return
				}
			}
			if cursor = page.Next; cursor == "" {
				return
			}
		}
	}
}
