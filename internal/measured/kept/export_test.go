package kept

// Waiting is how many wait for their turn.
func (s *Shelf) Waiting() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.turns.waiting)
}
