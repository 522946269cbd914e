package book

import (
	"bytes"
	"sync"
)

// warm keeps decoded states of the things that were last in the hand, since decoding takes longer than everything else that is done to
// an entry. A state is good only for the very bytes that it was written to, so nobody can see that it is kept; who takes one owns it.
var warm shelf

// mostWarm is how many states each half of the shelf holds; a state is 1 to 2 kB.
const mostWarm = 8000

type shelf struct {
	mu         sync.Mutex
	young, old map[Ref]written // when the young half is full it becomes the old one, and the old one is forgotten
}

type written struct {
	text  []byte
	state state
}

// take takes the state of a thing off the shelf, if it is the one of these bytes.
func (s *shelf) take(r Ref, text []byte) state {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, half := range []map[Ref]written{s.young, s.old} {
		if w, there := half[r]; there {
			delete(half, r)
			if bytes.Equal(w.text, text) {
				return w.state
			}
		}
	}
	return nil
}

// put lays states on the shelf, each with the bytes that it was written to.
func (s *shelf) put(things map[Ref]*held) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for r, h := range things {
		if !h.found() {
			continue
		}
		if s.young == nil || len(s.young) >= mostWarm {
			s.young, s.old = make(map[Ref]written, mostWarm), s.young
		}
		s.young[r] = written{h.State, h.state}
	}
}
