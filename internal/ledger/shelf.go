package ledger

// A shelf keeps the values last used, about as many as its size. When it is full it drops all those that were not used since it
// was last full; so it keeps no order and no links.
type shelf[K comparable, V any] struct {
	size      int
	new, aged map[K]V
}

func newShelf[K comparable, V any](size int) *shelf[K, V] {
	return &shelf[K, V]{size: size, new: map[K]V{}}
}

func (s *shelf[K, V]) get(k K) (v V, ok bool) {
	if v, ok = s.new[k]; ok {
		return v, true
	}
	if v, ok = s.aged[k]; ok {
		s.put(k, v)
	}
	return v, ok
}

func (s *shelf[K, V]) put(k K, v V) {
	if len(s.new) >= s.size/2 {
		s.aged, s.new = s.new, make(map[K]V, s.size/2)
	}
	s.new[k] = v
}

func (s *shelf[K, V]) clear() { s.new, s.aged = map[K]V{}, nil }
