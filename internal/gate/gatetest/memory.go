// Package gatetest is the one exercise that every store of a gate passes, and a store in memory for the tests of others. It is
// imported by tests only, and checks no rule of the gate itself.
package gatetest

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"sync"
	"time"

	"slatewright/internal/gate"
)

// Memory is a store that forgets everything when it ends. The zero value is empty.
type Memory struct {
	mu       sync.Mutex
	accounts map[string]gate.Account
	sessions map[string]gate.Open
	tablets  map[[2]string]place
	tallies  map[string]gate.Tally
	tokens   map[string]gate.Token
}

// place is what is kept of a person on a tablet.
type place struct {
	generation int64
	until      time.Time
	tries      int
}

var _ gate.Store = (*Memory)(nil)

// put adds to a map that may not be there yet.
func put[K comparable, V any](m *map[K]V, k K, v V) {
	if *m == nil {
		*m = map[K]V{}
	}
	(*m)[k] = v
}

// Site is the invented mill.
func (m *Memory) Site() string { return "quern-hollow" }

func (m *Memory) change(person string, f func(*gate.Account)) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	a, found := m.accounts[person]
	if !found {
		a = gate.Account{Person: person, Generation: 1}
	}
	f(&a)
	put(&m.accounts, person, a)
	return nil
}

// Account returns what is kept of a person.
func (m *Memory) Account(_ context.Context, person string) (gate.Account, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	a, found := m.accounts[person]
	return a, found, nil
}

// SetPassphrase keeps a hash and begins the next generation.
func (m *Memory) SetPassphrase(_ context.Context, person, hash string) error {
	return m.change(person, func(a *gate.Account) { a.Passphrase, a.Generation = hash, a.Generation+1 })
}

// SetPIN keeps a hash.
func (m *Memory) SetPIN(_ context.Context, person, hash string) error {
	return m.change(person, func(a *gate.Account) { a.PIN = hash })
}

// Rehash writes new hashes where the old ones still stand.
func (m *Memory) Rehash(_ context.Context, was, now gate.Account) error {
	return m.change(was.Person, func(a *gate.Account) {
		if a.Passphrase == was.Passphrase && a.PIN == was.PIN {
			a.Passphrase, a.PIN = now.Passphrase, now.PIN
		}
	})
}

// NextGeneration ends a person's sessions and tablets.
func (m *Memory) NextGeneration(_ context.Context, person string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if a, found := m.accounts[person]; found {
		a.Generation++
		m.accounts[person] = a
	}
	return nil
}

// Begin adds a session and ends what else is open on its tablet.
func (m *Memory) Begin(_ context.Context, o gate.Open) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	maps.DeleteFunc(m.sessions, func(_ string, other gate.Open) bool { return o.Tablet != "" && other.Tablet == o.Tablet })
	put(&m.sessions, o.Digest, o)
	return nil
}

// Session finds a session.
func (m *Memory) Session(_ context.Context, digest string) (gate.Open, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	o, found := m.sessions[digest]
	if !found || o.Generation != m.accounts[o.Person].Generation {
		return gate.Open{}, false, nil
	}
	return o, true, nil
}

// Seen says that a session was used.
func (m *Memory) Seen(_ context.Context, digest string, at time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if o, found := m.sessions[digest]; found {
		o.Seen = at
		m.sessions[digest] = o
	}
	return nil
}

// End ends a session.
func (m *Memory) End(_ context.Context, digest string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.sessions, digest)
	return nil
}

// Sessions lists a person's sessions.
func (m *Memory) Sessions(_ context.Context, person string) ([]gate.Open, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	list := slices.SortedFunc(maps.Values(m.sessions), func(a, b gate.Open) int {
		return cmp.Or(a.Began.Compare(b.Began), cmp.Compare(a.Digest, b.Digest))
	})
	return slices.DeleteFunc(list, func(o gate.Open) bool {
		return o.Person != person || o.Generation != m.accounts[person].Generation
	}), nil
}

// Know remembers a person on a tablet.
func (m *Memory) Know(_ context.Context, tablet, person string, generation int64, until time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	put(&m.tablets, [2]string{tablet, person}, place{generation: generation, until: until})
	return nil
}

func (m *Memory) known(tablet, person string, at time.Time) bool {
	p, found := m.tablets[[2]string{tablet, person}]
	return found && p.generation == m.accounts[person].Generation && at.Before(p.until)
}

// Known tells whether a person is known on a tablet.
func (m *Memory) Known(_ context.Context, tablet, person string, at time.Time) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.known(tablet, person, at), nil
}

// TryPIN counts a try.
func (m *Memory) TryPIN(_ context.Context, tablet, person string, at time.Time, most int) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p := m.tablets[[2]string{tablet, person}]
	if !m.known(tablet, person, at) || p.tries >= most {
		return false, nil
	}
	p.tries++
	m.tablets[[2]string{tablet, person}] = p
	return true, nil
}

// UntryPIN takes a try back.
func (m *Memory) UntryPIN(_ context.Context, tablet, person string) error {
	return m.retry(tablet, person, func(tries int) int { return max(tries-1, 0) })
}

// RightPIN forgets the tries on a tablet.
func (m *Memory) RightPIN(_ context.Context, tablet, person string) error {
	return m.retry(tablet, person, func(int) int { return 0 })
}

func (m *Memory) retry(tablet, person string, change func(int) int) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if p, found := m.tablets[[2]string{tablet, person}]; found {
		p.tries = change(p.tries)
		m.tablets[[2]string{tablet, person}] = p
	}
	return nil
}

// Tally returns the tries at a lock.
func (m *Memory) Tally(_ context.Context, lock string) (gate.Tally, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.tallies[lock], nil
}

// Recount writes a tally if the one that is kept is still was.
func (m *Memory) Recount(_ context.Context, lock string, was, now gate.Tally) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.tallies[lock] != was {
		return false, nil
	}
	if put(&m.tallies, lock, now); now == (gate.Tally{}) {
		delete(m.tallies, lock)
	}
	return true, nil
}

// AddToken keeps a token, unless its name is taken.
func (m *Memory) AddToken(_ context.Context, t gate.Token) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, taken := m.tokens[t.Name]; taken {
		return false, nil
	}
	put(&m.tokens, t.Name, t)
	return true, nil
}

// Token finds a token by the digest of its secret.
func (m *Memory) Token(_ context.Context, digest string) (gate.Token, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, t := range m.tokens {
		if t.Digest == digest {
			return t, true, nil
		}
	}
	return gate.Token{}, false, nil
}

// Tokens lists the tokens by name.
func (m *Memory) Tokens(context.Context) ([]gate.Token, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.SortedFunc(maps.Values(m.tokens), func(a, b gate.Token) int { return cmp.Compare(a.Name, b.Name) }), nil
}

// DropToken takes a token away.
func (m *Memory) DropToken(_ context.Context, name string) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	_, found := m.tokens[name]
	delete(m.tokens, name)
	return found, nil
}

// Sweep takes away what has ended.
func (m *Memory) Sweep(_ context.Context, now, tallied time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	maps.DeleteFunc(m.sessions, func(_ string, o gate.Open) bool { return !o.Until.After(now) })
	maps.DeleteFunc(m.tablets, func(_ [2]string, p place) bool { return !p.until.After(now) })
	maps.DeleteFunc(m.tallies, func(_ string, t gate.Tally) bool { return t.Last.Before(tallied) })
	return nil
}
