package sets

import (
	"fmt"

	"slatewright/trouble"
)

// warnings are what every output must show.
func (r *Racks) warnings(answers []*answer) []string {
	list := []string{}
	var bare, thin, faced int
	for i, p := range r.q.Pieces {
		switch {
		case r.groupOf[i] < 0:
			continue
		case p.Face == nil:
			bare++
		default:
			faced++
		}
		if p.Thickness != p.Thickness {
			thin++
		}
	}
	if bare > 0 && faced > 0 {
		list = append(list, trouble.Count(bare, "piece has", "pieces have")+" no face: that a set with one conforms is not foretold, and it seems cheaper than it is")
	}
	if bare > 0 && faced == 0 {
		list = append(list, "no piece has a face: steps and zones are not foretold, and sets are chosen by thickness and layer alone")
	}
	if thin > 0 && r.q.Weights.Spread > 0 {
		list = append(list, "the thickness of "+trouble.Count(thin, "piece is", "pieces is")+" not known: in the spread of a set it does not count")
	}
	for _, o := range r.q.Orders {
		if g, _ := r.sized(o); g == nil {
			list = append(list, fmt.Sprintf("%s: there is no piece of the size %q", o.ID, o.Size))
		}
	}
	return append(list, r.unkept(answers)...)
}

// unkept names the companies that are in no set.
func (r *Racks) unkept(answers []*answer) (list []string) {
	for n, g := range r.groups {
		used := make([]bool, len(g.pieces))
		for _, c := range answers[n].chosen {
			for _, i := range c.Three {
				used[i] = true
			}
		}
		for _, company := range g.hand.company {
			if used[company[0]] {
				continue
			}
			names := ""
			for i, p := range r.q.Pieces {
				if r.groupOf[i] == n && g.hand.with[r.thingOf[i]] >= 0 && g.hand.with[r.thingOf[i]] == g.hand.with[company[0]] {
					if names != "" {
						names += ", "
					}
					names += p.ID
				}
			}
			list = append(list, fmt.Sprintf("%s: to be kept together, and in no set: no set with them conforms, or a set would be lost", names))
		}
	}
	return list
}
