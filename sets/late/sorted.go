package late

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"slatewright/trouble"
)

// Sorted is what sorting does for the stock that there is, by thickness alone: the mean of largest less smallest in a set, mm.
type Sorted struct {
	Pieces int // with a thickness and a place
	Left   int // without one of them: not counted in
	Sets   int // the most sets that the places allow; 0: none, and no figure below says anything
	// Taken: sets taken as they come; the mean over all threes that the places allow.
	Taken float64
	// Best: the best sorting of that many sets. Where Proven is false (some pieces may take one place, some several) it is less than any sorting has.
	Best   float64
	Proven bool
}

func (s Sorted) warnings() (list []string) {
	if s.Left > 0 {
		list = append(list, trouble.Count(s.Left, "piece has", "pieces have")+" no thickness or no place, and did not count in the spread")
	}
	if s.Sets > 0 && !s.Proven {
		list = append(list, "some pieces may take any place and some may not: the spread after sorting is a bound, and no sorting has less")
	}
	return list
}

const anyPlaces = 7

// places are those that a piece may take: bit 0 head, 1 centre, 2 foot.
func (p Piece) places() (set int) {
	for place, may := range p.Places {
		if may {
			set |= 1 << place
		}
	}
	return set
}

func sorted(stock []Piece) Sorted {
	known := make([]Piece, 0, len(stock))
	for _, p := range stock {
		if p.places() != 0 && !math.IsNaN(p.Thickness) {
			known = append(known, p)
		}
	}
	slices.SortStableFunc(known, func(a, b Piece) int { return cmp.Compare(a.Thickness, b.Thickness) })
	s := Sorted{Pieces: len(known), Left: len(stock) - len(known), Sets: sets(known)}
	if s.Sets == 0 {
		return s
	}
	s.Taken = taken(known)
	all := make([]float64, len(known))
	var byPlace [3][]float64
	single, several := 0, 0
	for i, p := range known {
		all[i] = p.Thickness
		switch set := p.places(); bits.OnesCount(uint(set)) {
		case 1:
			single++
			place := bits.TrailingZeros(uint(set))
			byPlace[place] = append(byPlace[place], p.Thickness)
		case 3:
			several++
		}
	}
	if single == len(known) {
		s.Best = closestByPlace(byPlace) / float64(s.Sets)
	} else {
		s.Best = closest(all, s.Sets) / float64(s.Sets)
	}
	s.Proven = single == len(known) || several == len(known)
	return s
}

// sets is the most sets that can be made: every place, every two and all three must have enough pieces between them (P. Hall, On representatives of
// subsets, Journal of the London Mathematical Society 10, 1935, 26, from memory).
func sets(stock []Piece) int {
	most := len(stock)
	for some := 1; some <= anyPlaces; some++ {
		n := 0
		for _, p := range stock {
			if p.places()&some != 0 {
				n++
			}
		}
		most = min(most, n/bits.OnesCount(uint(some)))
	}
	return most
}

// taken is the mean, over all threes of the ascending stock that fill the three places, of largest less smallest: every piece counts as often as it is the
// largest, less as often as it is the smallest.
func taken(stock []Piece) float64 {
	tops, threes := ends(stock)
	slices.Reverse(stock)
	bottoms, _ := ends(stock)
	slices.Reverse(stock)
	sum := 0.0
	for i, p := range stock {
		sum += (p.Thickness - stock[0].Thickness) * float64(tops[i]-bottoms[len(stock)-1-i])
	}
	return sum / float64(threes)
}

// ends counts for every piece the twos before it that fill the three places with it, and all of them.
func ends(stock []Piece) (of []int, all int) {
	of = make([]int, len(stock))
	var before [anyPlaces + 1]int // pieces so far, by the places that they may take
	for i, p := range stock {
		for a := 1; a <= anyPlaces; a++ {
			for b := a; b <= anyPlaces; b++ {
				if !fill(p.places(), a, b) {
					continue
				}
				if a == b {
					of[i] += before[a] * (before[a] - 1) / 2
				} else {
					of[i] += before[a] * before[b]
				}
			}
		}
		before[p.places()]++
		all += of[i]
	}
	return of, all
}

// fill reports whether three pieces with these places can take one each.
func fill(a, b, c int) bool {
	for _, two := range [][2]int{{a, b}, {a, c}, {b, c}} {
		if bits.OnesCount(uint(two[0]|two[1])) < 2 {
			return false
		}
	}
	return a != 0 && b != 0 && c != 0 && a|b|c == anyPlaces
}
