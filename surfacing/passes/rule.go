package passes

import "math"

// byRule is the plan by the rule of thumb, for comparison. The rule: each face lies pressed on the bed as it comes, the bottom first; the finer
// stages make one pass each at their greatest depth, and the first stage before them as many even passes as its greatest depth asks
// for, more where that would be less than half of the rounds; the feed is the middle of the stage's range, or what the motor allows; no
// spark-outs. Common practice, no source. It asks for no limit: which ones it breaks is said beside it.
func (w *work) byRule() *Plan {
	var list []laying
	for _, f := range []Face{Bottom, Top} {
		if w.Take[f].Max > 0 {
			end := len(w.cutters) - 1
			if f == Bottom {
				end = w.BottomStage - 1
			}
			list = append(list, laying{face: f, hold: Pressed, steps: w.rounds(w.Take[f].Max, end)})
		}
	}
	p := w.reckon(list)
	p.Broken = w.broken(p)
	return p
}

// rounds are the rule's passes down one face.
func (w *work) rounds(depth float64, end int) []step {
	take := make([]float64, end+1)
	rest := math.Ceil(depth/w.unit-1e-6) * w.unit
	for s := end; s > 0; s-- {
		take[s] = math.Min(rest, w.Machine.Stages[s].DepthMax)
		rest = math.Max(0, rest-take[s])
	}
	take[0] = rest
	first, fine := 0, 0
	for s := end; s >= 0; s-- {
		if take[s] > 1e-9 {
			first = s
			fine++
		}
	}
	n := max(int(math.Ceil(take[first]/w.Machine.Stages[first].DepthMax-1e-9)), (w.Rounds+1)/2-(fine-1), 1)
	var list []step
	for s := first; s <= end; s++ {
		of := 1
		if s == first {
			of = n
		}
		for range of {
			d := math.Ceil(take[s]/float64(of)/w.unit-1e-6) * w.unit
			list = append(list, step{s, d, w.middling(s, d)})
		}
	}
	return list
}

// middling is the middle of a stage's feeds, or what the motor allows.
func (w *work) middling(stage int, depth float64) float64 {
	c := &w.cutters[stage]
	f := (c.FeedMin + c.FeedMax) / 2
	if most := c.fastest(depth); most > 0 {
		f = math.Min(f, most)
	} else {
		f = c.FeedMin
	}
	return f
}
