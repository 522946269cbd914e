package kept

// Waiting is how many wait for their turn.
func (s *Shelf) Waiting() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.turns.waiting)
}

// Waits is how many wait for the answer to a key.
func (s *Shelf) Waits(key string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f, ok := s.flights[key]; ok {
		return f.waits
	}
	return 0
}
