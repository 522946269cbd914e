package waiting

import (
	"errors"
	"slices"
	"strings"
	"sync"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// What may be done is asked of the book itself, with an act as it would be handed in, so that no rule of the book stands here a second
// time. Nothing is written: the answer is looked at and forgotten.

// view is a house as the book looks at it. It knows what there is now and nothing of what went before.
type view struct{ h *House }

var errPast = errors.New("waiting: a house does not know what was")

func (v view) Thing(r book.Ref) (book.Thing, bool, error) {
	if t, there := v.h.Thing(r); there {
		return t.Thing, true, nil
	}
	return book.Thing{}, false, nil
}

func (v view) History(book.Ref) ([]book.Placed, error)   { return nil, errPast }
func (v view) Entry(string) (book.Placed, bool, error)   { return book.Placed{}, false, nil }
func (v view) Children(book.Ref) ([]book.Ref, error)     { return nil, nil }
func (v view) Conflicts(book.Ref) ([]book.Placed, error) { return nil, nil }
func (v view) ReachOf(book.Ref) ([]book.Reach, error)    { return nil, nil }

// trialID is the number of an entry that is never handed in: later than any.
const trialID = "7ZZZZZZZZZZZZZZZZZZZZZZZZZ"

// refusal is what the book says against an act: a code, the thing it is about, and the sentence with its next step.
type refusal struct {
	code, what, next string
	about            book.Ref
}

// allowed tells that nothing hinders.
func (r refusal) allowed() bool { return r.code == "" }

// may asks the book whether an act could be done now.
func (h *House) may(act book.Act, station book.Station, now time.Time) refusal {
	word, body, err := book.Encode(act)
	if err != nil {
		return told(err)
	}
	e := book.Entry{Seq: 1 << 60, ID: trialID, Site: h.Site(), At: now, Person: "waiting", Station: station, Act: word, Body: body}
	_, err = book.Admit(view{h}, e, book.Caller{Person: "waiting", System: true}, false)
	return told(err)
}

// told takes a refusal out of an error.
func told(err error) refusal {
	if err == nil {
		return refusal{}
	}
	var t *trouble.Trouble
	if !errors.As(err, &t) {
		return refusal{code: "cannot-tell", what: err.Error()}
	}
	r := refusal{code: t.Code, what: t.What, next: t.Next}
	if about, err := book.ParseRef(strings.TrimSpace(t.Where)); err == nil {
		r.about = about
	}
	return r
}

// memory is what the book answered before. An answer about a set holds as long as the set, its pieces and what is no stone are what they
// were: those are never changed in place, so it is enough that they are the same.
type memory struct {
	mu      sync.Mutex
	furnish []*Thing // the instruments, benches, batches and the mill that the answers rest on
	of      map[question]answer
}

type question struct{ word, set string }

type answer struct {
	refusal
	things []*Thing // the set and its pieces
	at     time.Time
}

func newMemory() *memory { return &memory{of: map[question]answer{}} }

// timed are refusals that end by themselves.
var timed = []string{"not-seasoned", "not-cured"}

// mostAge is how long a refusal that ends by itself is believed.
const mostAge = 10 * time.Minute

// remembered is what the book said about an act on a set, or says now.
func (h *House) remembered(word string, s *inWork, now time.Time, ask func() refusal) refusal {
	key, things := question{word, s.ID}, append([]*Thing{s.Thing}, s.pieces...)
	m := h.answers
	m.mu.Lock()
	defer m.mu.Unlock()
	if !slices.Equal(h.Furniture(), m.furnish) || len(m.of) > mostAnswers {
		m.furnish = h.Furniture()
		clear(m.of)
	}
	known, there := m.of[key]
	if there && slices.Equal(known.things, things) && !now.Before(known.at) && (now.Sub(known.at) < mostAge || !slices.Contains(timed, known.code)) {
		return known.refusal
	}
	known = answer{ask(), things, now}
	m.of[key] = known
	return known.refusal
}

// mostAnswers bounds what is remembered.
const mostAnswers = 50_000
