package worked_test

import (
	"flag"
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/worked"
	"slatewright/surfacing/worked/removal"
)

// bridge is a machine's file: what it believes.
func bridge() machine.Machine {
	disc := machine.Disc{Diameter: 400, Bits: 96, BitArea: 50, BitHeight: 8}
	rough := machine.Stage{Name: "rough", Disc: disc, Speed: 1400, DepthMin: 0.1, DepthMax: 0.5, Step: 0.05, FeedMin: 10, FeedMax: 33, RimMin: 20000, RimMax: 35000,
		G: machine.Known{Value: 1000, U: 300}, Energy: machine.Known{Value: 4, U: 1}, Normal: machine.Known{Value: 3, U: 0.6}, Damage: 0.2}
	fine := rough
	fine.Name, fine.DepthMin, fine.DepthMax, fine.Step = "fine", 0.02, 0.1, 0.01
	fine.G, fine.Energy, fine.Normal = machine.Known{Value: 2000, U: 600}, machine.Known{Value: 9, U: 2.5}, machine.Known{Value: 4, U: 1}
	return machine.Machine{Name: "bridge", Heads: []machine.Head{{Power: 15, Stiffness: machine.Known{Value: 30000, U: 8000}}}, Stages: []machine.Stage{rough, fine},
		Table: machine.Table{X: 3000, Y: 1600, Pitch: 280, Setting: 0.008}}
}

func cuts(stage, n int, depth, feed float64) (list []worked.Pass) {
	for range n {
		list = append(list, worked.Pass{Stage: stage, Depth: depth, Feed: feed})
	}
	return list
}

func join(lists ...[]worked.Pass) (all []worked.Pass) {
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

// rate counts how often an interval holds.
type rate struct{ held, told, asked int }

func (r *rate) count(low, high, truth float64) {
	r.asked++
	if !math.IsInf(high, 1) {
		r.told++
	}
	if low <= truth && truth <= high {
		r.held++
	}
}

func (r rate) share() float64 { return float64(r.held) / float64(max(r.asked, 1)) }

// kinds are jobs of a mill.
var kinds = []struct {
	name string
	how  how
}{
	{"rough only, no spark-out", how{passes: cuts(0, 4, 0.5, 25), uneven: 0.3, uBits: 0.003, pairs: 8, uPair: 0.0125 * math.Sqrt2, uMap: 0.005, spread: 1}},
	{"rough, bits grow dull", how{passes: cuts(0, 6, 0.4, 25), uneven: 0.1, uBits: 0.003, pairs: 8, uPair: 0.0125 * math.Sqrt2, uMap: 0.005, spread: 1, rezero: true, dull: 0.1}},
	{"rough and fine", how{passes: join(cuts(0, 3, 0.4, 25), cuts(1, 3, 0.08, 20), cuts(1, 1, 0, 20)), uneven: 0.25, uBits: 0.003, pairs: 8, uPair: 0.0125 * math.Sqrt2, uMap: 0.005, spread: 1, rezero: true}},
	{"one rough pass over waves", how{passes: cuts(0, 1, 0.5, 33), uneven: 0.4, uBits: 0.003, pairs: 8, uPair: 0.0125 * math.Sqrt2, uMap: 0.005, spread: 1}},
	{"fine only, 4 pairs", how{passes: cuts(1, 3, 0.08, 20), uneven: 0.03, uBits: 0.003, pairs: 4, uPair: 0.0125 * math.Sqrt2, uMap: 0.004, spread: 1, rezero: true}},
}

// jobs is how many of each kind are tried; 'make calibration' tries more, for the handbook's table.
var jobs = flag.Int("jobs", 8, "jobs of each kind that the slow machine makes")

func TestIntervalsHoldTheTruthOfASlowMachine(t *testing.T) {
	for k, kind := range kinds {
		var stone, stages, g, give, energy rate
		dull, asked := 0, 0
		for i := range *jobs {
			e := exerciseOf(bridge(), kind.how, chance.NewStream(uint64(1000*k+i)))
			r, err := removal.Of(e.removed)
			if err != nil {
				t.Fatal(err)
			}
			e.q.Removed = r
			f, err := worked.Of(e.q)
			if err != nil {
				t.Fatal(err)
			}
			stone.count(r.Volume.Low, r.Volume.High, e.volume)
			for _, s := range f.Stages {
				stages.count(s.Stone.Low, s.Stone.High, e.stone[s.Index])
				g.count(s.G.Low, s.G.High, e.g[s.Index])
				if en := s.Energy; en != nil && kind.how.dull == 0 {
					energy.count(en.Mean.Value-1.96*en.Mean.U, en.Mean.Value+1.96*en.Mean.U, e.energy[s.Index])
				}
				if s.Energy != nil && len(s.Energy.Each) > 2 {
					asked++
					if s.Energy.Duller {
						dull++
					}
				}
			}
			give.count(f.Give.Stiffness.Low, f.Give.Stiffness.High, e.stiffness)
		}
		t.Logf("%-26s stone %.3f, by stage %.3f, G %.3f (%d of %d bounded), stiffness %.3f (%d of %d bounded), energy %.3f, told dull %d of %d", kind.name, stone.share(), stages.share(), g.share(), g.told, g.asked,
			give.share(), give.told, give.asked, energy.share(), dull, asked)
		for _, r := range []rate{stone, stages, g, give, energy} {
			if r.asked > 0 && r.share() < 0.84 {
				t.Errorf("%s: an interval held the truth in %.2f of %d", kind.name, r.share(), r.asked)
			}
		}
		if share := float64(dull) / float64(max(asked, 1)); kind.how.dull == 0 && share > 0.15 || kind.how.dull > 0 && share < 0.6 {
			t.Errorf("%s: %d of %d were told dull", kind.name, dull, asked)
		}
	}
}
