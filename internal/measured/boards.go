package measured

import (
	"context"
	"io"

	"slatewright/internal/measured/kept"
	"slatewright/lining/answers"
	"slatewright/sheet"
)

// WantBoards has the list of a batch of lining boards worked out behind, and never waits.
func (r *Room) WantBoards(digest string) Asked[*answers.Glue] {
	return kept.Want(r.shelf, "boards "+digest, kept.Work[*answers.Glue]{
		Bytes: func(*answers.Glue) int64 { return boardsBytes },
		Do: func(ctx context.Context) (*answers.Glue, error) {
			list, err := read(ctx, r, unnamed, digest, func(name string, from io.Reader) (*sheet.Sheet, error) { return sheet.Read(name, from) })
			if err != nil {
				return nil, err
			}
			return turn(ctx, r, light, func() (*answers.Glue, error) { return answers.OfBatch(list) })
		},
	})
}

// boardsBytes is about what an answer takes: twelve months, a few layouts, some sentences.
const boardsBytes = 16 << 10
