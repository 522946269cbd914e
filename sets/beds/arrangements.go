package beds

import "slatewright/bed"

// arrangement says which of three pieces lies where, and how.
type arrangement struct {
	place  [3]int8 // of the three: head, centre, foot
	turned [3]bool
	mirror int8 // the number of the same bed seen from its other end: turned by half a turn as a whole
	meets  [2]meeting
}

// meeting is which edges meet at a joint, 0 for −x, 1 for +x in the pieces' own frames.
type meeting struct{ headEdge, footEdge int8 }

// arrangements are all 48, the preferred ones first: fewest turned pieces, then by the pieces' order, then by the turns.
var arrangements = func() (list []arrangement) {
	orders := [6][3]int8{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}
	for turns := range 4 {
		for _, place := range orders {
			for t := range 8 {
				a := arrangement{place: place, turned: [3]bool{t&4 != 0, t&2 != 0, t&1 != 0}}
				if a.turns() == turns {
					list = append(list, a)
				}
			}
		}
	}
	for k := range list {
		a := &list[k]
		for j := range 2 {
			a.meets[j] = meeting{headEdge: 1 - one(a.turned[j]), footEdge: one(a.turned[j+1])}
		}
		for m, o := range list {
			same := true
			for p := range 3 {
				same = same && o.place[p] == a.place[2-p] && o.turned[p] != a.turned[2-p]
			}
			if same {
				a.mirror = int8(m)
			}
		}
	}
	return list
}()

func (a arrangement) turns() int {
	return int(one(a.turned[0]) + one(a.turned[1]) + one(a.turned[2]))
}

func one(b bool) int8 {
	if b {
		return 1
	}
	return 0
}

func (a *arrangement) of(index [3]int) [3]int {
	return [3]int{index[a.place[0]], index[a.place[1]], index[a.place[2]]}
}

// allowed are the arrangements of three pieces with these ways, as bits.
func allowed(ways [3]Ways) uint64 {
	if ways == [3]Ways{anyWay, anyWay, anyWay} {
		return 1<<48 - 1
	}
	bits := uint64(0)
	for k := range arrangements {
		a := &arrangements[k]
		ok := true
		for p := range 3 {
			ok = ok && ways[a.place[p]].Has(bed.Place(p), a.turned[p])
		}
		if ok {
			bits |= 1 << k
		}
	}
	return bits
}
