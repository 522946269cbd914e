package work

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"slatewright/internal/jobs"
	"slatewright/trouble"
)

// mostListed is the longest page of a list.
const mostListed = 500

// columns are those that a list shows; the large ones follow them.
const columns = `id, kind, person, state, progress, said, trouble, asked, began, ended, beat, slices, lost`

// Job answers how a job stands.
func (s *store) Job(ctx context.Context, id string) (jobs.Job, error) {
	j, err := scan(s.read.QueryRowContext(ctx, `select `+columns+`, input, checkpoint, result from job where site = $1 and id = $2`, s.site, storable(id)))
	if errors.Is(err, sql.ErrNoRows) {
		return jobs.Job{}, trouble.Data("no-such-job", id, "there is no job with this id", "look at the list of jobs")
	}
	return j, err
}

// scan reads a row of columns and the three large ones.
func scan(row interface{ Scan(...any) error }) (j jobs.Job, err error) {
	var asked, began, ended, beat int64
	var input, checkpoint, result string
	err = row.Scan(&j.ID, &j.Kind, &j.Person, &j.State, &j.Progress, &j.Said, &j.Trouble, &asked, &began, &ended, &beat, &j.Slices, &j.Lost,
		&input, &checkpoint, &result)
	if err != nil {
		return jobs.Job{}, fmt.Errorf("work: %w", err)
	}
	j.Asked, j.Began, j.Ended, j.Beat = moment(asked), moment(began), moment(ended), moment(beat)
	j.Input, j.Checkpoint, j.Result = text(input), text(checkpoint), text(result)
	return j, nil
}

// moment is a time in milliseconds; 0 is none.
func moment(ms int64) time.Time {
	if ms == 0 {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}

func text(s string) json.RawMessage {
	if s == "" {
		return nil
	}
	return json.RawMessage(s)
}
