package threes

// Limits say how much is branched on at once.
type Limits = limits

// Usual are those of Choose.
var Usual = usual

// Few are limits of large questions for small ones: more than three threes are branched on in part, two at first.
var Few = limits{open: 3, few: 2, ever: 1_000_000}

// ChooseWithin answers as Choose does, within other limits.
func ChooseWithin(a Ask, l Limits) (Plan, error) {
	if err := check(&a); err != nil {
		return Plan{}, err
	}
	s, err := newSearch(a)
	if err != nil {
		return Plan{}, err
	}
	s.limits = l
	if err := s.run(); err != nil {
		return Plan{}, err
	}
	return s.plan(), nil
}
