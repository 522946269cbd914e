package web_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sort"
	"sync"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/jobs"
	"slatewright/trouble"
)

// The fakes stand for the book, the gate and the queue where only the web is tested. The real ones are in real_test.go.

// shelf is a book that keeps entries, lets persons do what the common route says, and derives nothing but people.
type shelf struct {
	mu      sync.Mutex
	entries []book.Placed
	things  map[book.Ref]book.Thing
	changed chan struct{}
}

// tooHeavy is the mass that this book takes for a conflict.
const tooHeavy = 999

func newShelf() *shelf {
	return &shelf{things: map[book.Ref]book.Thing{}, changed: make(chan struct{})}
}

func (s *shelf) put(ref book.Ref, state any) {
	text, err := json.Marshal(state)
	if err != nil {
		panic(err)
	}
	s.things[ref] = book.Thing{Ref: ref, Station: book.Office, Since: morning, Seq: 1, At: morning, State: text}
}

func (s *shelf) Site() string { return "quern-hollow" }

func (s *shelf) Append(_ context.Context, in book.Submission) (book.Receipt, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, e := range s.entries {
		if e.ID == in.Entry.ID {
			return book.Receipt{Entry: e.Entry, Repeated: true}, nil
		}
	}
	act, err := book.Decode(in.Entry.Act, in.Entry.Body)
	if err != nil {
		return book.Receipt{}, err
	}
	for _, step := range book.DefaultRoute().Steps {
		if step.Act == act.Word() && !in.Caller.Role.Covers(step.May) {
			return book.Receipt{}, trouble.Data("not-allowed", "", "a "+string(in.Caller.Role)+" may not do this", "ask a "+string(step.May))
		}
	}
	if c, ok := act.(*book.Correct); act.Word() == "certify" && !in.Caller.Reaffirmed || ok && c.Act == "certify" && !in.Caller.Reaffirmed {
		return book.Receipt{}, trouble.Data("passphrase-needed", "", "certifying needs the passphrase again", "give it")
	}
	e := in.Entry
	e.Seq = int64(len(s.entries) + 1)
	e.Hash = sha256.Sum256(e.Body)
	r := book.Receipt{Entry: e}
	if w, ok := act.(*book.Weigh); ok && w.MassKg == tooHeavy {
		if !in.Late {
			return book.Receipt{}, trouble.Data("used-up", "thing", "nothing is left of it", "look again")
		}
		r.Conflict = &book.Standing{Seq: e.Seq, State: "conflict", By: 1, Why: `{"code":"used-up","what":"nothing is left of it","next":"look again"}`}
	}
	placed := book.Placed{Entry: e, At: e.At}
	if r.Conflict != nil {
		placed.Standing = *r.Conflict
	}
	s.entries = append(s.entries, placed)
	close(s.changed)
	s.changed = make(chan struct{})
	return r, nil
}

func (s *shelf) AppendAll(context.Context, []book.Submission, bool) ([]book.Receipt, []error, error) {
	return nil, nil, errors.New("not asked by the web")
}

func (s *shelf) Thing(_ context.Context, r book.Ref) (book.Thing, error) {
	if t, ok := s.things[r]; ok {
		return t, nil
	}
	return book.Thing{}, trouble.Data("no-such-thing", r.String(), "the book has no "+r.String(), "look it up")
}

func (s *shelf) Things(_ context.Context, f book.Filter, cursor string, limit int) (book.Page[book.Thing], error) {
	var found []book.Thing
	for _, t := range s.things {
		if (f.Kind == "" || t.Kind == f.Kind) && (f.ID == "" || t.ID == f.ID) && t.Ref.String() > cursor {
			found = append(found, t)
		}
	}
	sort.Slice(found, func(i, j int) bool { return found[i].Ref.String() < found[j].Ref.String() })
	return paged(found, limit, func(t book.Thing) string { return t.Ref.String() }), nil
}

func paged[T any](found []T, limit int, cursor func(T) string) book.Page[T] {
	if len(found) <= limit {
		return book.Page[T]{Items: found}
	}
	return book.Page[T]{Items: found[:limit], Next: cursor(found[limit-1])}
}

func (s *shelf) Stations(context.Context) (map[book.Station]map[book.Kind]int, error) {
	return map[book.Station]map[book.Kind]int{book.Office: {book.KindPerson: len(s.things)}}, nil
}

func (s *shelf) History(_ context.Context, _ book.Ref, cursor string, limit int) (book.Page[book.Placed], error) {
	return s.pageOf(cursor, limit, func(book.Placed) bool { return true }), nil
}

func (s *shelf) pageOf(cursor string, limit int, want func(book.Placed) bool) book.Page[book.Placed] {
	s.mu.Lock()
	defer s.mu.Unlock()
	var found []book.Placed
	for _, e := range s.entries {
		if fmt.Sprintf("%09d", e.Seq) > cursor && want(e) {
			found = append(found, e)
		}
	}
	return paged(found, limit, func(p book.Placed) string { return fmt.Sprintf("%09d", p.Seq) })
}

func (s *shelf) Entries(_ context.Context, after int64, limit int) ([]book.Placed, error) {
	return s.pageOf("", limit, func(p book.Placed) bool { return p.Seq > after }).Items, nil
}

func (s *shelf) Entry(_ context.Context, id string) (book.Placed, error) {
	for _, e := range s.pageOf("", 1000, func(p book.Placed) bool { return p.ID == id }).Items {
		return e, nil
	}
	return book.Placed{}, trouble.Data("no-such-entry", id, "the journal has no such entry", "look at the journal")
}

func (s *shelf) Conflicts(_ context.Context, cursor string, limit int) (book.Page[book.Placed], error) {
	return s.pageOf(cursor, limit, func(p book.Placed) bool { return p.Standing.State == "conflict" }), nil
}

func (s *shelf) Affected(_ context.Context, origin book.Ref, _ string, _ int) (book.Page[book.Reach], error) {
	return book.Page[book.Reach]{Items: []book.Reach{{Origin: origin, Target: book.Ref{Kind: book.KindSet, ID: "QH-12"}, Rank: 0}}}, nil
}

func (s *shelf) AffectedCount(context.Context, book.Ref) (book.Count, error) {
	return book.Count{Shipped: 1}, nil
}

func (s *shelf) Origins(_ context.Context, target book.Ref) ([]book.Ref, error) {
	return []book.Ref{{Kind: book.KindLayer, ID: "L-2"}}, nil
}

func (s *shelf) Changed() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.changed
}

func (s *shelf) Faults() []book.Fault { return nil }

// waiting is a book that tells when somebody reads the journal.
type waiting struct {
	*shelf
	asked chan struct{}
	once  *sync.Once
}

func (w waiting) Entries(ctx context.Context, after int64, limit int) ([]book.Placed, error) {
	w.once.Do(func() { close(w.asked) })
	return w.shelf.Entries(ctx, after, limit)
}

// porter is a gate with everything in plain text.
type porter struct {
	mu                sync.Mutex
	passphrases, pins map[string]string
	sessions          map[string]gate.Identity
	tablets           map[string]bool // tablet and person
	tokens            []gate.Token
	made              int
}

func newPorter() *porter {
	return &porter{passphrases: map[string]string{}, pins: map[string]string{}, sessions: map[string]gate.Identity{}, tablets: map[string]bool{}}
}

func wrong() error { return trouble.Data("wrong-passphrase", "", "that is not it", "try again") }

func (p *porter) begin(id gate.Identity) gate.Session {
	p.made++
	id.Session = fmt.Sprintf("s%d", p.made)
	p.sessions["token-"+id.Session] = id
	return gate.Session{Token: "token-" + id.Session, Person: id.Person, Until: morning.Add(12 * time.Hour), Full: id.Full}
}

func (p *porter) SignIn(_ context.Context, person, passphrase, tablet, _ string) (gate.Session, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.passphrases[person] != passphrase || passphrase == "" {
		return gate.Session{}, wrong()
	}
	p.tablets[tablet+" "+person] = true
	return p.begin(gate.Identity{Person: person, Full: true, Tablet: tablet}), nil
}

func (p *porter) Switch(_ context.Context, tablet, person, pin, _ string) (gate.Session, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.tablets[tablet+" "+person] || p.pins[person] != pin {
		return gate.Session{}, wrong()
	}
	return p.begin(gate.Identity{Person: person, Tablet: tablet}), nil
}

func (p *porter) Identify(_ context.Context, token string) (gate.Identity, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if id, ok := p.sessions[token]; ok {
		return id, nil
	}
	return gate.Identity{}, trouble.Data("not-signed-in", "", "the session has ended", "sign in again")
}

func (p *porter) Peek(ctx context.Context, token string) (gate.Identity, error) {
	return p.Identify(ctx, token)
}

func (p *porter) Reaffirm(_ context.Context, id gate.Identity, passphrase, _ string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if id.Machine || !id.Full || p.passphrases[id.Person] != passphrase {
		return wrong()
	}
	return nil
}

func (p *porter) SetPassphrase(_ context.Context, person, passphrase string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.passphrases[person] = passphrase
	return nil
}

func (p *porter) SetPIN(_ context.Context, person, pin string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.pins[person] = pin
	return nil
}

func (p *porter) SignOut(_ context.Context, token string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.sessions, token)
	return nil
}

func (p *porter) RevokeAll(_ context.Context, person string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	for token, id := range p.sessions {
		if id.Person == person {
			delete(p.sessions, token)
		}
	}
	return nil
}

func (p *porter) NewToken(_ context.Context, name string, role book.Role, until time.Time) (string, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.tokens = append(p.tokens, gate.Token{Name: name, Role: role, Until: until})
	p.sessions["machine-"+name] = gate.Identity{Person: name, Role: role, Machine: true}
	return "machine-" + name, nil
}

func (p *porter) Tokens(context.Context) ([]gate.Token, error) { return p.tokens, nil }

func (p *porter) RevokeToken(_ context.Context, name string) error {
	if _, ok := p.sessions["machine-"+name]; !ok {
		return trouble.Data("no-such-token", name, "there is no such token", "look at the list")
	}
	delete(p.sessions, "machine-"+name)
	return nil
}

// crates keeps blobs in memory.
type crates struct {
	mu    sync.Mutex
	blobs map[string][]byte
	read  int64 // bytes taken from senders
}

func (c *crates) Put(_ context.Context, r io.Reader, limit int64) (string, int64, error) {
	b, err := io.ReadAll(io.LimitReader(r, limit+1))
	c.mu.Lock()
	defer c.mu.Unlock()
	c.read += int64(len(b))
	if err != nil {
		return "", 0, err
	}
	if int64(len(b)) > limit {
		return "", 0, trouble.Data("too-large", "", "too large", "send less")
	}
	digest := fmt.Sprintf("%x", sha256.Sum256(b))
	c.blobs[digest] = b
	return digest, int64(len(b)), nil
}

func (c *crates) Open(_ context.Context, digest string) (io.ReadCloser, int64, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	b, ok := c.blobs[digest]
	if !ok {
		return nil, 0, trouble.Data("no-such-blob", digest, "there is no such blob", "send it again")
	}
	return io.NopCloser(bytes.NewReader(b)), int64(len(b)), nil
}

func (c *crates) List(context.Context, func(string, int64, time.Time) error) error { return nil }

// line is a queue that never computes.
type line struct {
	mu   sync.Mutex
	jobs []jobs.Job
}

func (l *line) Submit(_ context.Context, kind, person string, input json.RawMessage) (jobs.Job, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if kind != "scan" {
		return jobs.Job{}, trouble.Data("unknown-kind", "kind", "nobody computes "+kind, "ask for scan")
	}
	j := jobs.Job{ID: fmt.Sprintf("J%d", len(l.jobs)+1), Kind: kind, Person: person, State: "queued", Input: input, Asked: morning}
	l.jobs = append(l.jobs, j)
	return j, nil
}

func (l *line) Job(_ context.Context, id string) (jobs.Job, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, j := range l.jobs {
		if j.ID == id {
			return j, nil
		}
	}
	return jobs.Job{}, trouble.Data("no-such-job", id, "there is no such job", "look at the list")
}

func (l *line) Jobs(_ context.Context, _ string, limit int) (book.Page[jobs.Job], error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return paged(l.jobs, limit, func(j jobs.Job) string { return j.ID }), nil
}

func (l *line) Cancel(_ context.Context, id string) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i := range l.jobs {
		if l.jobs[i].ID == id {
			l.jobs[i].State = "cancelled"
			return nil
		}
	}
	return trouble.Data("no-such-job", id, "there is no such job", "look at the list")
}

func (l *line) Run(ctx context.Context) error { <-ctx.Done(); return ctx.Err() }
