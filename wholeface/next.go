package wholeface

import (
	"math"
	"slices"
)

// Advice is a place to read next, and what reading there is expected to bring.
type Advice struct {
	X, Y float64 // mm, piece frame
	// Saves is by how much the chance of a wrong decision is expected to fall: from min(P, 1−P) now to its mean after the reading.
	Saves float64
}

const (
	groups    = 6   // of faces by what they say of a reading: enough to see a bend, and some 65 faces in each
	apartNext = 120 // mm, least distance of advised places: two next to each other say the same
	readApart = 30  // mm, least distance from a place already read
)

// Next returns up to n places where a reading is expected to settle most whether the true zone keeps within the limit, best first.
// Candidates are every second node both ways. The drawn faces are sorted by what a probe would read there, noise included, and cut
// into groups: each group is what one outcome of the reading would leave. Where nothing is in doubt any more, places are ranked
// by how much the doubt of the zone itself is expected to fall.
//
// The threshold is the limit as the drawn zones know it: that zone below which as many of them lie as the corrected probability
// says.
func (a *Live) Next(limit float64, n int) []Advice {
	zone, _ := a.Zone(nil)
	p := zone.Below(limit)
	sorted := slices.Clone(a.zones)
	slices.Sort(sorted)
	threshold := sorted[max(0, min(len(sorted)-1, int(p*float64(len(sorted)))))]
	settled := math.Min(p, 1-p) < 0.005
	type found struct {
		Advice
		narrows float64
	}
	var list []found
	l := a.scene.l
	for i := 0; i < l.nx; i += 2 {
		for j := 0; j < l.ny; j += 2 {
			k := i*l.ny + j
			x, y := l.place(k)
			if a.wasRead(x, y) {
				continue
			}
			wrong, spread := a.after(k, threshold)
			list = append(list, found{Advice{X: x, Y: y, Saves: math.Max(0, math.Min(p, 1-p)-wrong)}, -spread})
		}
	}
	slices.SortStableFunc(list, func(u, v found) int {
		if !settled && u.Saves != v.Saves {
			return higher(u.Saves, v.Saves)
		}
		return higher(u.narrows, v.narrows)
	})
	var next []Advice
	for _, f := range list {
		if len(next) == n {
			break
		}
		if !slices.ContainsFunc(next, func(o Advice) bool { return math.Hypot(o.X-f.X, o.Y-f.Y) < apartNext }) {
			next = append(next, f.Advice)
		}
	}
	return next
}

// higher sorts the larger first.
func higher(a, b float64) int {
	switch {
	case a > b:
		return -1
	case a < b:
		return 1
	}
	return 0
}

func (a *Live) wasRead(x, y float64) bool {
	return slices.ContainsFunc(a.q.Readings, func(r Reading) bool { return math.Hypot(r.X-x, r.Y-y) < readApart })
}

// after is what a reading at node k is expected to leave: the chance of a wrong decision, and the variance of the zone.
func (a *Live) after(k int, threshold float64) (wrong, variance float64) {
	type told struct{ reads, zone float64 }
	list := make([]told, len(a.faces))
	own := a.scene.own
	for d, f := range a.faces {
		// The noise of a reading to come is the same at every candidate, so that candidates are compared and not their noise.
		reads := f.height[k] + math.Sqrt(own+f.at.tau*f.at.tau)*a.scene.fields.short(d)[0]
		for t := range terms {
			reads += f.bench[t] * a.basis[k][t]
		}
		list[d] = told{reads, a.zones[d]}
	}
	slices.SortStableFunc(list, func(u, v told) int { return higher(v.reads, u.reads) })
	n := len(list)
	for g := range groups {
		part := list[g*n/groups : (g+1)*n/groups]
		keep, sum, squares := 0.0, 0.0, 0.0
		for _, t := range part {
			if t.zone <= threshold {
				keep++
			}
			sum += t.zone
			squares += t.zone * t.zone
		}
		m := float64(len(part))
		wrong += math.Min(keep, m-keep) / float64(n)
		variance += (squares - sum*sum/m) / float64(n)
	}
	return wrong, variance
}
