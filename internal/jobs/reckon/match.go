package reckon

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/jobs"
	"slatewright/sets"
	"slatewright/trouble"
)

// MatchResult is a choice of sets.
type MatchResult struct {
	Pattern   string  `json:"pattern"` // of the specification
	Pieces    int     `json:"pieces"`
	MaxStepMM float64 `json:"max_step_mm"`
	RoomMM    float64 `json:"room_mm"` // what the doubt of the readings is expected to take from each limit
	Sets      []Set   `json:"sets"`
	Unused    []Left  `json:"unused"`
	Cost      float64 `json:"cost"`
	Bound     float64 `json:"bound"` // no plan of as many sets costs less
	Gap       float64 `json:"gap"`
	// SetsBound is what no plan has more sets than; left out where it is proven that there cannot be more.
	SetsBound *int     `json:"sets_bound,omitempty"`
	Triples   int      `json:"triples"`
	Priced    int      `json:"priced"`  // of them truly laid together; none of the others could win, or was needed
	Stopped   bool     `json:"stopped"` // the time was over: with more of it the plan, or its proof, might be better
	Warnings  []string `json:"warnings"`
}

// Set is three pieces that belong together, from head to foot: foretold, not laid up, and not judged.
type Set struct {
	Pieces       [3]string  `json:"pieces"`
	Turned       [3]bool    `json:"turned"`
	StepsMM      [2]float64 `json:"steps_mm"`
	StepMM       float64    `json:"step_mm"`
	ZoneMM       float64    `json:"zone_mm"`
	LengthwiseMM *float64   `json:"lengthwise_mm"` // null where no more is known than that it keeps its limit
	AcrossMM     float64    `json:"across_mm"`
	SpreadMM     float64    `json:"thickness_spread_mm"`
	Cost         float64    `json:"cost"`
}

// Left is a piece in no set.
type Left struct {
	Piece string `json:"piece"`
	Why   string `json:"why"`
}

// match is the worker.
type match struct {
	source
	slice time.Duration // how long the first slice searches
}

// Match chooses sets from a stock. The first slice searches for about two seconds, each that follows twice as long as the one before until
// [longest]; its checkpoint is the best plan so far, so the plan only gets better.
func Match(b book.Blobs) jobs.Worker { return match{source{b}, 2 * time.Second} }

// longest is the longest time that one slice searches.
const longest = 10 * time.Second

func (match) Kind() string { return "match" }

func (match) Check(input json.RawMessage) error {
	_, err := parseMatch(input)
	return err
}

// reached is the checkpoint.
type reached struct {
	Sets    [][3]int `json:"sets"`
	Bound   float64  `json:"bound"` // proven for so many sets
	Slices  int      `json:"slices"`
	Seconds float64  `json:"seconds"`
}

func (m match) Work(ctx context.Context, j jobs.Job) (jobs.Slice, error) {
	in, err := parseMatch(j.Input)
	if err != nil {
		return jobs.Slice{}, err
	}
	var so reached
	if j.Checkpoint != nil {
		if err := json.Unmarshal(j.Checkpoint, &so); err != nil {
			return jobs.Slice{}, fmt.Errorf("the checkpoint: %w", err)
		}
	}
	k, err := m.stock(ctx, in)
	if err != nil {
		return jobs.Slice{}, err
	}
	q := k.question(in.Before)
	if q.Start, err = so.start(len(q.Pieces)); err != nil {
		return jobs.Slice{}, err
	}
	slice, last := m.next(in, so)
	end := time.Now().Add(slice)
	q.Stop = func() bool { return ctx.Err() != nil || time.Now().After(end) }
	plan, err := sets.Match(q)
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return jobs.Slice{}, err
	}
	return k.reach(so, plan, slice, last || !plan.Stopped, in)
}

// next says how long the next slice searches, and whether it is the last one.
func (m match) next(in MatchInput, so reached) (slice time.Duration, last bool) {
	const shortest, doublings = time.Millisecond, 10
	slice = min(longest, max(shortest, m.slice)<<min(so.Slices, doublings))
	if left := time.Duration((in.seconds() - so.Seconds) * float64(time.Second)); left <= slice {
		return max(shortest, left), true
	}
	return slice, false
}

// reach keeps what a slice came to.
func (k *stock) reach(so reached, p sets.Plan, slice time.Duration, done bool, in MatchInput) (s jobs.Slice, err error) {
	if len(p.Sets) == len(so.Sets) && so.Slices > 0 && so.Bound > p.Bound {
		p.Bound = min(p.Cost, so.Bound)
		p.Gap = sets.Gap(p.Cost, p.Bound)
	}
	s.Said = fmt.Sprintf("%s, at most %.1f %% dearer than the best", trouble.Count(len(p.Sets), "set", "sets"), math.Ceil(1000*p.Gap)/10)
	if s.Done = done; done {
		s.Progress = 1
		s.Result, err = json.Marshal(k.result(p))
		return s, err
	}
	so.Sets = nil
	for _, x := range p.Sets {
		so.Sets = append(so.Sets, x.Pieces)
	}
	so.Bound, so.Slices, so.Seconds = p.Bound, so.Slices+1, so.Seconds+slice.Seconds()
	s.Progress = so.Seconds / in.seconds()
	s.Checkpoint, err = json.Marshal(so)
	return s, err
}

// start is the plan so far, if it is one of so many pieces.
func (so reached) start(pieces int) ([][3]int, error) {
	for _, t := range so.Sets {
		for _, i := range t {
			if i < 0 || i >= pieces || t[0] == t[1] || t[1] == t[2] || t[0] == t[2] {
				return nil, errors.New("the checkpoint is of another stock")
			}
		}
	}
	return so.Sets, nil
}

// result puts a plan in the pieces' numbers.
func (k *stock) result(p sets.Plan) MatchResult {
	r := MatchResult{Pattern: k.spec.Pattern, Pieces: len(k.pieces), MaxStepMM: k.maxStep(), RoomMM: k.class.Room, Sets: []Set{}, Unused: []Left{},
		Cost: p.Cost, Bound: p.Bound, Gap: p.Gap, Triples: p.Triples, Priced: p.Priced, Stopped: p.Stopped, Warnings: k.warnings(p)}
	if !p.SetsProven {
		r.SetsBound = &p.SetsBound
	}
	for _, s := range p.Sets {
		set := Set{Turned: s.Turned, StepsMM: s.Steps, StepMM: s.Step, ZoneMM: s.Zone, AcrossMM: s.Across, SpreadMM: s.Spread, Cost: s.Cost}
		if !math.IsNaN(s.Lengthwise) {
			set.LengthwiseMM = &s.Lengthwise
		}
		for place, i := range s.Pieces {
			set.Pieces[place] = k.pieces[i]
		}
		r.Sets = append(r.Sets, set)
	}
	for _, l := range p.Unused {
		r.Unused = append(r.Unused, Left{k.pieces[l.Index], l.Why})
	}
	return r
}

// mostWarnings is how many warnings of one file a result shows.
const mostWarnings = 10

// warnings are those of the plan and of the files, which name the piece, and pieces whose file bears another number.
func (k *stock) warnings(p sets.Plan) []string {
	list := append([]string{}, p.Warnings...)
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
