package reckon

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime"
	"time"

	"slatewright/cores"
	"slatewright/internal/book"
	"slatewright/internal/jobs"
	"slatewright/seating"
	"slatewright/sets"
	"slatewright/trouble"
)

// MatchResult is a choice of sets.
type MatchResult struct {
	Pattern   string   `json:"pattern"` // of the specification
	Pieces    int      `json:"pieces"`
	Beds      int      `json:"beds_tried"`
	MaxStepMM float64  `json:"max_step_mm"`
	RoomMM    float64  `json:"room_mm"` // what the doubt of the readings is expected to take from each limit
	Good      int      `json:"good"`    // sets that may be expected to conform
	Sets      []Set    `json:"sets"`    // good ones first
	Unused    []string `json:"unused"`
	NotReady  []string `json:"not_ready"` // pieces that may not be judged as they were read
	Warnings  []string `json:"warnings"`
}

// Set is three pieces that belong together, from head to foot: predicted, not laid up, and not judged.
type Set struct {
	Pieces       [3]string  `json:"pieces"`
	Turned       [3]bool    `json:"turned"`
	Good         bool       `json:"good"`
	Closes       bool       `json:"joints_close"` // the steps keep within the largest step
	StepsMM      [2]float64 `json:"steps_mm"`
	ZoneMM       float64    `json:"zone_mm"`
	LengthwiseMM float64    `json:"lengthwise_mm"`
	AcrossMM     float64    `json:"across_mm"`
}

// match is the worker.
type match struct {
	source
	slice time.Duration // how long one slice tries
}

// Match tries every three pieces of a stock in every place and turn they allow, and chooses the best sets, exactly. One slice tries
// for about two seconds; its checkpoint is all trials so far.
func Match(b book.Blobs) jobs.Worker { return match{source{b}, 2 * time.Second} }

func (match) Kind() string { return "match" }

func (match) Check(input json.RawMessage) error {
	_, err := parseMatch(input)
	return err
}

// tried is the checkpoint.
type tried struct {
	Trials trials `json:"trials"`
}

func (m match) Work(ctx context.Context, j jobs.Job) (jobs.Slice, error) {
	in, err := parseMatch(j.Input)
	if err != nil {
		return jobs.Slice{}, err
	}
	var so tried
	if j.Checkpoint != nil {
		if err := json.Unmarshal(j.Checkpoint, &so); err != nil {
			return jobs.Slice{}, fmt.Errorf("the checkpoint: %w", err)
		}
	}
	k, err := m.stock(ctx, in)
	if err != nil {
		return jobs.Slice{}, err
	}
	if so.Trials, err = k.try(ctx, so.Trials, time.Now().Add(m.slice)); err != nil {
		return jobs.Slice{}, err
	}
	total := sets.Triples(len(k.pieces))
	s := jobs.Slice{Progress: float64(len(so.Trials)) / float64(total), Said: fmt.Sprintf("%d of %s tried", len(so.Trials), trouble.Count(total, "bed", "beds"))}
	if s.Done = len(so.Trials) == total; s.Done {
		s.Result, err = k.choose(so.Trials)
	} else {
		s.Checkpoint, err = json.Marshal(so)
	}
	return s, err
}

// try goes on with the trials until all are done or the time is over; at least one step is done. A step is one triple a core.
func (k *stock) try(ctx context.Context, done trials, until time.Time) (trials, error) {
	todo := triples(len(k.pieces))
	if len(done) > len(todo) {
		return nil, errors.New("the checkpoint is of another stock")
	}
	todo = todo[len(done):]
	for len(todo) > 0 {
		step := todo[:min(len(todo), runtime.GOMAXPROCS(0))]
		todo = todo[len(step):]
		now, errs := make([]seating.Trial, len(step)), make([]error, len(step))
		cores.Share(len(step), 1, func(from, to int) {
			for i := from; i < to; i++ {
				now[i], errs[i] = k.seats.Try(step[i][0], step[i][1], step[i][2], k.maxStep)
			}
		})
		if err := errors.Join(errs...); err != nil {
			return nil, err
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if done = append(done, now...); time.Now().After(until) {
			break
		}
	}
	return done, nil
}

// triples lists every three of n pieces, in a fixed order.
func triples(n int) (list [][3]int) {
	for i := range n {
		for j := i + 1; j < n; j++ {
			for k := j + 1; k < n; k++ {
				list = append(list, [3]int{i, j, k})
			}
		}
	}
	return list
}

// choose packs the trials and puts the choice in words.
func (k *stock) choose(done trials) (json.RawMessage, error) {
	plan, err := sets.Pack(len(k.pieces), done, k.criteria.Good, k.criteria.Cost)
	if err != nil {
		return nil, err
	}
	r := MatchResult{Pattern: k.spec.Pattern, Pieces: len(k.pieces), Beds: len(done), MaxStepMM: k.maxStep, RoomMM: k.criteria.Room, Good: plan.Good,
		Sets: []Set{}, Unused: []string{}, NotReady: []string{}, Warnings: k.warnings()}
	for _, t := range plan.Sets {
		r.Sets = append(r.Sets, k.set(t))
	}
	for _, i := range plan.Unused {
		r.Unused = append(r.Unused, k.pieces[i])
	}
	for i, ready := range k.criteria.Ready {
		if !ready {
			r.NotReady = append(r.NotReady, k.pieces[i])
		}
	}
	return json.Marshal(r)
}

func (k *stock) set(t seating.Trial) Set {
	s := Set{Turned: t.Turned, Good: k.criteria.Good(t), Closes: t.Feasible, StepsMM: t.Steps, ZoneMM: t.Zone, LengthwiseMM: t.Lengthwise, AcrossMM: t.Across}
	for place, i := range t.Index {
		s.Pieces[place] = k.pieces[i]
	}
	return s
}

// mostWarnings is how many warnings of one file a result shows.
const mostWarnings = 10

// warnings are those of the files, which name the piece, and pieces whose file bears another number.
func (k *stock) warnings() []string {
	list := []string{}
	for i, f := range k.faces {
		if f.Piece != "" && f.Piece != k.pieces[i] {
			list = append(list, fmt.Sprintf("%s: the readings say that they are of %s", k.pieces[i], f.Piece))
		}
		list = append(list, f.Warnings[:min(len(f.Warnings), mostWarnings)]...)
		if more := len(f.Warnings) - mostWarnings; more > 0 {
			list = append(list, k.pieces[i]+": "+trouble.Count(more, "more warning", "more warnings"))
		}
	}
	return list
}
