package levelling

import (
	"cmp"
	"slices"

	"slatewright/bed"
	"slatewright/stations"
)

// line is the places of a line of the bed in rising order, as numbers of heights counted over all pieces, and its limit.
type line struct {
	at    []int
	s     []float64 // along the line, mm
	limit float64
}

// lines gathers the lines of the bed as package flatness judges them: readings whose stations agree, along the table over all
// pieces and across it.
func lines(shape *bedShape, heads [4]int, limits bed.Limits) []line {
	var at []int
	var x, y []float64
	for k, spots := range shape.places {
		for _, sp := range spots {
			at, x, y = append(at, heads[k]+sp.at), append(x, sp.x), append(y, sp.y)
		}
	}
	return append(parallel(at, y, x, limits.Lengthwise), parallel(at, x, y, limits.Across)...)
}

// parallel gathers the lines of one direction: t is where a line stands, s runs along it.
func parallel(at []int, t, s []float64, limit float64) (list []line) {
	order := make([]int, len(t))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Or(cmp.Compare(t[i], t[j]), i-j) })
	for from := 0; from < len(order); {
		to := from
		for to < len(order) && stations.Same(t[order[from]], t[order[to]]) {
			to++
		}
		l := line{limit: limit}
		members := slices.Clone(order[from:to])
		slices.SortFunc(members, func(i, j int) int { return cmp.Or(cmp.Compare(s[i], s[j]), i-j) })
		for _, i := range members {
			l.at, l.s = append(l.at, at[i]), append(l.s, s[i])
		}
		if len(members) >= 3 {
			list = append(list, l)
		}
		from = to
	}
	return list
}

// overChord finds the place of a line that lies furthest above a chord between two others, by the lower hull of the places; s rises.
// on is zero where there is none.
func overChord(s, z []float64) (d float64, on [3]int) {
	hull := []int{}
	for i := range s {
		for len(hull) >= 2 {
			a, b := hull[len(hull)-2], hull[len(hull)-1]
			if float64((z[b]-z[a])*(s[i]-s[a])) < float64((z[i]-z[a])*(s[b]-s[a])) {
				break
			}
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, i)
	}
	for k := 0; k+1 < len(hull); k++ {
		a, b := hull[k], hull[k+1]
		for i := a + 1; i < b; i++ {
			if s[i] <= s[a] || s[i] >= s[b] {
				continue
			}
			chord := z[a] + float64((z[b]-z[a])*((s[i]-s[a])/(s[b]-s[a])))
			if e := z[i] - chord; e > d {
				d, on = e, [3]int{a, i, b}
			}
		}
	}
	return max(d, 0), on
}
