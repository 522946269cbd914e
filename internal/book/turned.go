package book

import "slices"

// TurnedIn tells which of a bed's pieces lie turned end for end as proposed; same is false when the proposal is of others. The pieces may
// be named from head to foot or from foot to head: a bed that is seen from its other end has those turned that were not. Turned is nil
// when the proposal does not say, and not nil when none is.
func (a *Match) TurnedIn(pieces []string) (turned []string, same bool) {
	if slices.Equal(a.Pieces, pieces) {
		return a.Turned, true
	}
	back := slices.Clone(pieces)
	slices.Reverse(back)
	if !slices.Equal(a.Pieces, back) {
		return nil, false
	}
	if a.Turned == nil {
		return nil, true
	}
	turned = []string{}
	for _, id := range pieces {
		if !slices.Contains(a.Turned, id) {
			turned = append(turned, id)
		}
	}
	return turned, true
}
