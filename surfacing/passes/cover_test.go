package passes_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/passes"
)

// drawn is a machine as it may be behind what its file says of it.
func drawn(r *chance.Stream, m machine.Machine) machine.Machine {
	around := func(k machine.Known) machine.Known {
		return machine.Known{Value: k.Value * math.Exp(r.Normal()*k.U/k.Value)}
	}
	m.Heads, m.Stages = append([]machine.Head{}, m.Heads...), append([]machine.Stage{}, m.Stages...)
	m.Heads[0].Stiffness = around(m.Heads[0].Stiffness)
	for i := range m.Stages {
		s := &m.Stages[i]
		s.G, s.Energy, s.Normal = around(s.G), around(s.Energy), around(s.Normal)
	}
	return m
}

// Machines drawn from what the file says are walked cell by cell through the plan; what wear and yielding leave must keep under the bound of the plan in
// 95 of 100 cases and more, and the mean height that they leave within the limits of its thickness.
func TestPredictionsHoldOnDrawnMachines(t *testing.T) {
	q := question(t)
	a := ask(t, q)
	if a.Plan == nil {
		t.Fatal("no plan")
	}
	r := chance.NewStream(5)
	const cells, machines = 150, 200
	uneven, thick := 0, 0
	for range machines {
		m := drawn(r, *q.Machine)
		high := q.Final + 0.008*r.Normal() + q.Machine.Table.Bed.Value*(r.Float64()-0.5)
		ok := true
		for _, s := range a.Plan.Setups {
			stock := a.Take[s.Face]
			w := &slow{heights: make([]float64, cells)}
			for i := range w.heights { // a wedge with the stock's range, most of it at the end of the path
				u := (float64(i) + 0.5) / cells
				w.heights[i] = stock.Min + stock.Range()*math.Pow(u, stock.Range()/(stock.Mean-stock.Min)-1)
			}
			at := 0.0
			for _, p := range s.Passes {
				at += p.Depth
			}
			for _, p := range s.Passes {
				at -= p.Depth
				w.cutter, w.feed = passes.NewCutter(&m, p.Stage, q.Y, q.X), p.Feed
				w.pass(at)
			}
			high += w.mean()
			ok = ok && w.spread() <= a.Plan.Flat[s.Face].Parts[0].High
		}
		if ok {
			uneven++
		}
		if t := a.Plan.Thickness; high >= t.Low && high <= t.High {
			thick++
		}
	}
	t.Logf("of %d machines %d keep under the bound of wear on both faces, and %d lie in the limits of the thickness", machines, uneven, thick)
	if uneven < 188 || thick < 188 { // 95 % of 200, less one standard error
		t.Errorf("of %d machines only %d keep under the bound of wear on both faces, and %d lie in the limits of the thickness", machines, uneven, thick)
	}
}
