package threes

import (
	"cmp"
	"slices"
)

// assign gives priced sets to the groups of a program, those whose missing sets cost most first, by ways of exchanges (H. W. Kuhn,
// The Hungarian method for the assignment problem, 1955, without costs). What no group has room for is left out.
func (st *stage) assign(sets []set) []set {
	order := make([]int32, len(st.p.groups))
	for g := range order {
		order[g] = int32(g)
	}
	slices.SortStableFunc(order, func(a, b int32) int {
		return cmp.Compare(st.p.groups[b].missing, st.p.groups[a].missing)
	})
	wanted := make([]int, len(order))
	for g := range wanted {
		wanted[g] = st.p.groups[order[g]].wanted
	}
	return st.give(sets, order, wanted)
}

// give gives sets to groups in the stated order, to each as many more as are wanted there; none loses by a later one.
func (s *search) give(sets []set, order []int32, wanted []int) []set {
	m := giver{search: s, sets: sets, group: make([]int32, len(sets))}
	for a := range m.group {
		m.group[a] = -1
	}
	for a, g := range order {
		for range wanted[a] {
			m.seen = make([]bool, len(s.groups))
			if !m.feed(g) {
				break
			}
		}
	}
	var given []set
	for a, g := range m.group {
		if g >= 0 {
			c := sets[a]
			c.group = g
			given = append(given, c)
		}
	}
	return given
}

type giver struct {
	*search
	sets  []set
	group []int32 // of each set; −1: none
	seen  []bool
}

// feed gets group g one more set: a free one, or one of another group that can be fed in its turn.
func (m *giver) feed(g int32) bool {
	m.seen[g] = true
	for a := range m.sets {
		if m.group[a] < 0 && m.can(m.sets[a].place, g) {
			m.group[a] = g
			return true
		}
	}
	for a := range m.sets {
		if from := m.group[a]; from >= 0 && !m.seen[from] && m.can(m.sets[a].place, g) && m.feed(from) {
			m.group[a] = g
			return true
		}
	}
	return false
}
