package bed

import (
	"cmp"
	"math"
	"slices"
)

// Pack is what is laid at one support: shims that exist, thickest first, and their total height in mm.
type Pack struct {
	Height float64
	Shims  []float64
}

// Packs returns every height that can be built from the shims that exist, ascending, each by the fewest shims; the empty
// pack (height 0) is the first. Heights are exact to 1e-6 mm.
//
// A shim may be used more than once: a mill buys them by the box.
func (s Spec) Packs() []Pack {
	packs := []Pack{{}}
	seen := map[int64]bool{0: true} // looked up, never walked: the order comes from packs
	for start, n := 0, 0; n < s.ShimsPerPack; n++ {
		end := len(packs) // the packs of n shims stand at start..end
		for _, p := range packs[start:end] {
			for _, shim := range s.Shims {
				h := nanometres(p.Height) + nanometres(shim)
				if seen[h] {
					continue
				}
				seen[h] = true
				shims := append(slices.Clone(p.Shims), shim)
				slices.SortFunc(shims, func(a, b float64) int { return cmp.Compare(b, a) })
				packs = append(packs, Pack{Height: float64(h) / 1e6, Shims: shims})
			}
		}
		start = end
	}
	slices.SortFunc(packs, func(a, b Pack) int { return cmp.Compare(a.Height, b.Height) })
	return packs
}

// NearestPack returns the pack whose height is nearest to height, the lower of two that are equally near. Negative
// heights get the empty pack: nothing can be taken away under a piece.
func (s Spec) NearestPack(height float64) Pack {
	packs := s.Packs()
	best := packs[0]
	for _, p := range packs[1:] {
		if math.Abs(p.Height-height) < math.Abs(best.Height-height) {
			best = p
		}
	}
	return best
}

func nanometres(mm float64) int64 { return int64(math.Round(mm * 1e6)) }
