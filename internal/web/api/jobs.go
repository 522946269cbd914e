package api

import (
	"context"
	"net/http"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/jobs"
)

// Job is a long computation.
type Job struct {
	ID       string    `json:"id" example:"01KB3C5V8Q3Z6J1W2Y4X7T9R0N"`
	Kind     string    `json:"kind" doc:"scan or match" example:"scan"`
	Person   string    `json:"person" doc:"Who asked for it" example:"bench-1"`
	State    string    `json:"state" enum:"queued,running,done,failed,cancelled"`
	Progress float64   `json:"progress" minimum:"0" maximum:"1" doc:"Part done, 0 to 1"`
	Said     string    `json:"said,omitempty" doc:"What it is at"`
	Trouble  string    `json:"trouble,omitempty" doc:"Why it failed"`
	Input    Object    `json:"input,omitempty"`
	Result   Object    `json:"result,omitempty" doc:"When it is done"`
	Asked    time.Time `json:"asked_at"`
	Began    time.Time `json:"began_at,omitzero"`
	Ended    time.Time `json:"ended_at,omitzero"`
}

func shownJob(j jobs.Job) Job {
	return Job{ID: j.ID, Kind: j.Kind, Person: j.Person, State: string(j.State), Progress: j.Progress, Said: j.Said, Trouble: j.Trouble,
		Input: Object(j.Input), Result: Object(j.Result), Asked: j.Asked, Began: j.Began, Ended: j.Ended}
}

func (d *desk) addJobs() {
	add(d, Route{Method: http.MethodPost, Path: "/jobs", ID: "submit-job", Tag: "jobs", Summary: "Ask for a long computation",
		Text:    "It survives a restart and reports its progress. The kind scan computes the flatness of a scan or readings blob, match the sets of a stock.",
		Least:   book.Hand,
		Example: exampleJobAsked(), Answer: exampleJob(), status: http.StatusAccepted, Fails: []string{"unknown-kind"}}, d.submit)
	add(d, Route{Method: http.MethodGet, Path: "/jobs", ID: "list-jobs", Tag: "jobs", Summary: "List long computations",
		Text:  "The newest first.",
		Least: book.Visitor,
		Fails: []string{"bad-cursor"}, Answer: Listed[Job]{Items: []Job{exampleJob()}}}, d.jobs)
	add(d, Route{Method: http.MethodGet, Path: "/jobs/{id}", ID: "read-job", Tag: "jobs", Summary: "Read one long computation",
		Text:  "Its progress, and its result when it is done.",
		Least: book.Visitor,
		Fails: []string{"no-such-job"}, Answer: exampleJob()}, d.job)
	add(d, Route{Method: http.MethodPost, Path: "/jobs/{id}/cancel", ID: "cancel-job", Tag: "jobs", Summary: "Cancel a long computation",
		Text:  "A job that waits ends at once; one that is being computed is told within a second. One that has ended stays as it is.",
		Least: book.Hand, Fails: []string{"no-such-job"}, Answer: exampleJob()}, d.cancel)
}

type jobAsked struct {
	Body struct {
		Kind  string `json:"kind" maxLength:"40" doc:"What to compute: scan or match"`
		Input Object `json:"input" doc:"As the kind wants it"`
	}
}

func (d *desk) submit(ctx context.Context, in *jobAsked) (*answer[Job], error) {
	j, err := d.Queue.Submit(ctx, in.Body.Kind, asked(ctx).sender.Person, []byte(in.Body.Input))
	return &answer[Job]{shownJob(j)}, err
}

func (d *desk) jobs(ctx context.Context, in *struct{ Paging }) (*listedAnswer[Job], error) {
	page, err := d.Queue.Jobs(ctx, in.Cursor, in.Limit)
	if err != nil {
		return nil, err
	}
	return listed(page, shownJob), nil
}

type jobNamed struct {
	ID string `path:"id" maxLength:"64" doc:"Id of the job" example:"01KB3C5V8Q3Z6J1W2Y4X7T9R0N"`
}

func (d *desk) job(ctx context.Context, in *jobNamed) (*answer[Job], error) {
	j, err := d.Queue.Job(ctx, in.ID)
	return &answer[Job]{shownJob(j)}, err
}

func (d *desk) cancel(ctx context.Context, in *jobNamed) (*answer[Job], error) {
	if err := d.Queue.Cancel(ctx, in.ID); err != nil {
		return nil, err
	}
	return d.job(ctx, in)
}
