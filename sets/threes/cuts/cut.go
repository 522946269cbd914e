// Package cuts finds cutting planes for choices of disjoint threes: inequalities that every choice keeps and a fractional one breaks.
//
// It looks at groups S of things and at what threes have in common with them. It knows nothing of costs, programs or stone.
package cuts

// Three is three things, ascending.
type Three = [3]int32

// Cut is Σ By[|t ∩ S|]·x(t) + Missing·(sets that are missing) ≤ Room over a group S of things.
//
// All are of one kind: the rows of the things of S times a half, a third or two thirds, rounded down (V. Chvátal, Edmonds
// polytopes and a hierarchy of combinatorial problems, Discrete Mathematics 4, 1973, 305); or the same of the things outside S,
// written over S by the number of sets.
type Cut struct {
	In      []bool  // of each thing: it is in S
	List    []int32 // the things of S, ascending
	By      [4]float64
	Missing float64
	Room    float64
}

// With is the coefficient of a three.
func (c *Cut) With(t Three) float64 {
	m := 0
	for _, i := range t {
		if c.In[i] {
			m++
		}
	}
	return c.By[m]
}
