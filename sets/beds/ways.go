package beds

import "slatewright/bed"

// Ways are the ways in which a piece may lie in a bed: bit 2·place + turned, turned 0 or 1.
type Ways uint8

const (
	anyWay   Ways = 1<<6 - 1
	unturned Ways = 1<<0 | 1<<2 | 1<<4
)

// AnyWay is any place, turned or not: a piece whose pockets are not cut.
func AnyWay() Ways { return anyWay }

// In is one place, turned or not.
func In(place bed.Place) Ways { return 3 << (2 * place) }

// CutAs are the ways of a piece whose pockets are cut for a place: a head may serve as a foot that is turned and a foot as a head
// that is turned, for they are mirrored by half a turn; a centre may be turned. Common practice, no source.
func CutAs(place bed.Place) Ways {
	switch place {
	case bed.Head:
		return way(bed.Head, false) | way(bed.Foot, true)
	case bed.Foot:
		return way(bed.Foot, false) | way(bed.Head, true)
	}
	return In(bed.Centre)
}

// Unturned takes the turned ways away.
func (w Ways) Unturned() Ways { return w & unturned }

// Has tells whether the piece may lie in the place so.
func (w Ways) Has(place bed.Place, turned bool) bool { return w&way(place, turned) != 0 }

// Stands tells whether the piece may lie in the place at all.
func (w Ways) Stands(place bed.Place) bool { return w&In(place) != 0 }

func way(place bed.Place, turned bool) Ways {
	if turned {
		return 2 << (2 * place)
	}
	return 1 << (2 * place)
}
