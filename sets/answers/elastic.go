package answers

import (
	"fmt"
	"sync/atomic"

	"slatewright/cores"
	levelled "slatewright/seating/levelling/answers"
	"slatewright/sets"
	"slatewright/stone"
	"slatewright/trouble"
)

// fewest supports hold a piece.
const fewestSupports = 3

// lay lays each set as stone that bends: on the supports of the specification, on shims that exist, as far as the time reaches.
func (m *Matched) lay(a Ask) error {
	for _, s := range a.Spec.Supports {
		if len(s) < fewestSupports {
			a.Elastic = false
		}
	}
	if !a.Elastic {
		return nil
	}
	var laid, not atomic.Int32
	seated := 0
	for _, s := range m.Plan.Sets {
		if s.Seated {
			seated++
		}
	}
	cores.Share(len(m.Sets), 1, func(from, to int) {
		for i := from; i < to; i++ {
			s := m.Plan.Sets[i]
			if !s.Seated || a.Stop != nil && a.Stop(1) {
				continue
			}
			if m.layOne(a, i, s) {
				laid.Add(1)
			} else {
				not.Add(1)
			}
		}
	})
	if n := laid.Load(); n > 0 {
		m.Warnings = append(m.Warnings, fmt.Sprintf("%s laid as stone that bends, of %.0f GPa, on the supports and shims of the specification: level-bed says the packs, and the range of the stone",
			trouble.Count(int(n), "set was", "sets were"), (stone.Slate().Along+stone.Slate().Across)/2/1000))
	}
	if n := not.Load(); n > 0 {
		m.Warnings = append(m.Warnings, fmt.Sprintf("%s not be laid as stone that bends: ask level-bed why", trouble.Count(int(n), "set could", "sets could")))
	}
	if n := seated - int(laid.Load()) - int(not.Load()); n > 0 {
		m.Warnings = append(m.Warnings, fmt.Sprintf("%s not laid as stone that bends: the time was over", trouble.Count(n, "set was", "sets were")))
	}
	return nil
}

// layOne lays one set; ok is false where its pieces or supports do not let it.
func (m *Matched) layOne(a Ask, i int, s sets.Set) (ok bool) {
	ask := levelled.Ask{Spec: a.Spec, Stone: stone.Slate(), Turned: s.Turned}
	ask.Stone.Density = a.Spec.Density
	for place, at := range s.Pieces {
		ask.Faces[place] = m.Question.Pieces[at].Face
	}
	_, r, err := ask.Laid()
	if err != nil {
		return false
	}
	m.Sets[i].ElasticStepMM, m.Sets[i].ElasticZoneMM = known(max(r.Steps[0], r.Steps[1])), known(r.Zone)
	return true
}
