package matching

import (
	"context"
	"encoding/json"
	"io"
	"math"
	"slices"
	"sync"
	"time"

	"slatewright/internal/book"
	"slatewright/judge"
	"slatewright/sets/learned"
)

// lesson is a set that was proposed, and then laid up and perhaps judged: what was foretold of it and what was found. Lengths in mm; NaN: nobody knows.
type lesson struct {
	Set                string
	Day                time.Time // of the lay-up
	StepForetold, Step float64   // larger step: as proposed, and as read at the lay-up
	ZoneForetold, Zone float64   // zone: as proposed, and as judged
}

// lessons follow the journal for proposals and what became of them. They look at it when they are asked, and then only at what is new.
type lessons struct {
	mu     sync.Mutex
	after  int64 // the last entry that was looked at
	threes []*book.Match
	laid   map[string]*laidUp
	order  []string           // sets in the order of their first lay-up
	zones  map[string]float64 // by the digest of a judgement
}

// laidUp is a set's first lay-up, and its last judgement.
type laidUp struct {
	act    *book.LayUp
	at     time.Time
	said   *book.Match // the last proposal of it before
	judged string
}

const (
	pageOfEntries = 1000
	mostThrees    = 2000 // proposals that are remembered, the latest
	mostLessons   = 60   // sets that are learned from, the latest: what was long ago says little of today
	mostJudgement = 8 << 20
)

// all are the lessons of the mill, the first before the others.
func (l *lessons) all(ctx context.Context, ledger book.Ledger, blobs book.Blobs) (list []lesson, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if err := l.catchUp(ctx, ledger); err != nil {
		return nil, err
	}
	for _, set := range l.order {
		u := l.laid[set]
		if u.said == nil || len(u.act.StepsMM) == 0 {
			continue
		}
		x := lesson{Set: set, Day: u.at, StepForetold: known(u.said.StepMM), Step: largest(u.act.StepsMM), ZoneForetold: known(u.said.ZoneMM), Zone: math.NaN()}
		list = append(list, x)
	}
	list = list[max(0, len(list)-mostLessons):]
	for i := range list {
		list[i].Zone = l.zoneOf(ctx, blobs, l.laid[list[i].Set].judged)
	}
	return list, nil
}

// known is a figure of an act, NaN where none was given.
func known(mm float64) float64 {
	if mm == 0 {
		return math.NaN()
	}
	return mm
}

func largest(steps []float64) (most float64) {
	for _, s := range steps {
		most = max(most, math.Abs(s))
	}
	return most
}

// catchUp looks at the new entries. A correction may strike out what was looked at: then all is looked at again.
func (l *lessons) catchUp(ctx context.Context, ledger book.Ledger) error {
	fresh := l.after == 0
	if l.laid == nil {
		l.laid, l.zones = map[string]*laidUp{}, map[string]float64{}
	}
	for {
		page, err := ledger.Entries(ctx, l.after, pageOfEntries)
		if err != nil {
			return err
		}
		if !fresh && slices.ContainsFunc(page, func(p book.Placed) bool { return p.Act == "correct" }) {
			l.after, l.threes, l.laid, l.order = 0, nil, map[string]*laidUp{}, nil
			fresh = true
			continue
		}
		for _, p := range page {
			l.take(p)
			l.after = p.Seq
		}
		if len(page) < pageOfEntries {
			return nil
		}
	}
}

// take learns of one entry that stands.
func (l *lessons) take(p book.Placed) {
	if p.Standing.State != "" || !slices.Contains([]string{"match", "lay-up", "judge", "correct"}, p.Act) {
		return
	}
	switch a := effective(p.Entry).(type) {
	case *book.Match:
		l.threes = append(l.threes, a)
		l.threes = l.threes[max(0, len(l.threes)-mostThrees):]
	case *book.LayUp:
		if l.laid[a.Set] == nil {
			l.laid[a.Set] = &laidUp{act: a, at: p.At, said: l.proposal(a)}
			l.order = append(l.order, a.Set)
		}
	case *book.Judge:
		if u := l.laid[a.Set]; u != nil && a.Blob != "" {
			u.judged = a.Blob
		}
	}
}

// proposal is the last proposal of the bed that was laid up: of its pieces, from head to foot or from foot to head, and turned as they lie
// where both say so.
func (l *lessons) proposal(laid *book.LayUp) *book.Match {
	for _, m := range slices.Backward(l.threes) {
		turned, same := m.TurnedIn(laid.Pieces)
		if same && (turned == nil || laid.Turned == nil || len(turned) == len(laid.Turned) && share(turned, laid.Turned) == len(turned)) {
			return m
		}
	}
	return nil
}

// effective is what an entry does: its own act, or the one that a correction puts in the place of another; nil when it only strikes out.
func effective(e book.Entry) book.Act {
	act, err := book.Decode(e.Act, e.Body)
	if c, ok := act.(*book.Correct); ok && err == nil {
		if c.Act == "" {
			return nil
		}
		act, err = book.Decode(c.Act, c.Body)
	}
	if err != nil {
		return nil // what the book took in can be decoded
	}
	return act
}

// zoneOf is the zone that a judgement found, as it was read; NaN where there is none.
func (l *lessons) zoneOf(ctx context.Context, blobs book.Blobs, digest string) float64 {
	if digest == "" {
		return math.NaN()
	}
	if zone, there := l.zones[digest]; there {
		return zone
	}
	var body struct {
		Found struct {
			Results []struct {
				Name judge.Name `json:"name"`
				Read *float64   `json:"read_mm"`
			} `json:"results"`
		} `json:"found"`
	}
	in, _, err := blobs.Open(ctx, digest)
	if err != nil {
		return math.NaN() // it may be there the next time
	}
	defer in.Close()
	zone := math.NaN()
	if err := json.NewDecoder(io.LimitReader(in, mostJudgement)).Decode(&body); err == nil {
		for _, r := range body.Found.Results {
			if r.Name == judge.Zone && r.Read != nil {
				zone = *r.Read
			}
		}
	}
	l.zones[digest] = zone
	return zone
}

// stepsOf and zonesOf are the pairs that package learned learns from.
func stepsOf(list []lesson) (pairs []learned.Pair) {
	for _, x := range list {
		pairs = append(pairs, learned.Pair{Set: x.Set, Foretold: x.StepForetold, Read: x.Step, Day: dayNumber(x.Day)})
	}
	return pairs
}

func zonesOf(list []lesson) (pairs []learned.Pair) {
	for _, x := range list {
		pairs = append(pairs, learned.Pair{Set: x.Set, Foretold: x.ZoneForetold, Read: x.Zone, Day: dayNumber(x.Day)})
	}
	return pairs
}

// dayNumber counts days.
func dayNumber(t time.Time) float64 { return math.Floor(float64(t.Unix()) / (24 * 60 * 60)) }
